package solution

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"testing"

	"halfsplit/circuit"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

func value(text string, unit quantity.Unit) *quantity.Quantity {
	q, err := quantity.ParseAs(text, unit)
	if err != nil {
		panic(err)
	}
	return &q
}

// lowPass is 1 kΩ and 100 nF behind a signal.
func lowPass(tb testing.TB, when wiring.Moment) *wiring.Circuit {
	tb.Helper()
	c, err := wiring.New("gnd", []wiring.Part{
		{Name: "signal", Kind: "sine source", Value: value("1 V", volt), Nodes: []string{"in", "gnd"}},
		{Name: "R1", Kind: "resistor", Value: value("1k", quantity.Ohm), Nodes: []string{"in", "out"}},
		{Name: "C1", Kind: "film", Value: value("100n", quantity.Farad), Nodes: []string{"out", "gnd"}},
	}, when)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

const volt = quantity.Volt

// The closed form of the low pass: |H| = 1/√(1 + (f/fc)²), fc = 1/(2πRC).
//
// Outside: closed form of the first-order low pass. Within: 1e-6.
func TestLowPass(t *testing.T) {
	corner := 1 / (2 * math.Pi * 1e3 * 100e-9)
	a, err := Ask(context.Background(), lowPass(t, wiring.Running), Question{Nodes: []string{"out"}, Low: 10, High: 1e5})
	if err != nil {
		t.Fatal(err)
	}
	out := a.Response.Nodes[0]
	for i, f := range a.Response.Frequencies {
		gain, phase := -10*math.Log10(1+f*f/corner/corner), -math.Atan(f/corner)*180/math.Pi
		if math.Abs(out.Gain[i]-gain) > 1e-6 || math.Abs(out.Phase[i]-phase) > 1e-6 {
			t.Errorf("%g Hz: %g dB %g°, want %g dB %g°", f, out.Gain[i], out.Phase[i], gain, phase)
		}
	}
	if math.Abs(out.Upper/corner-1) > 1e-3 || out.Lower != 0 || out.Highest != 10 {
		t.Errorf("3 dB down at %g and %g Hz, highest at %g Hz; want %g Hz", out.Lower, out.Upper, out.Highest, corner)
	}
	steady, err := Ask(context.Background(), lowPass(t, wiring.Running), Question{Nodes: []string{"out"}})
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 / math.Sqrt(1+1e6/corner/corner); math.Abs(steady.Nodes[0].RMS/want-1) > 2e-3 {
		t.Errorf("RMS %g V at 1 kHz, want %g V", steady.Nodes[0].RMS, want)
	}
}

// Frequencies are spaced evenly and end where they were asked to.
func TestSweep(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		n         int
	}{{10, 1e5, 121}, {1, 10, 31}, {50, 50.5, 2}} {
		list := sweep(c.low, c.high)
		if len(list) != c.n || list[0] != c.low || list[len(list)-1] != c.high {
			t.Errorf("%g to %g: %d from %g to %g", c.low, c.high, len(list), list[0], list[len(list)-1])
		}
	}
}

// The picture is well-formed SVG that names its curves.
func TestDraw(t *testing.T) {
	a, err := Ask(context.Background(), lowPass(t, wiring.SwitchedOn), Question{Nodes: []string{"in", "out"}, Until: 3e-3})
	if err != nil {
		t.Fatal(err)
	}
	var picture bytes.Buffer
	if err := Draw(&picture, a); err != nil {
		t.Fatal(err)
	}
	text := picture.String()
	for _, want := range []string{"time in ms", ">out<", ">in<"} {
		if !bytes.Contains([]byte(text), []byte(want)) {
			t.Errorf("the picture does not hold %q", want)
		}
	}
	for d := xml.NewDecoder(&picture); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if err := Draw(io.Discard, &Answer{}); err == nil {
		t.Error("a picture of nothing")
	}
}

// A run that is ended early gives what it found, and why it ended.
func TestEndedEarly(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	a, err := Ask(ctx, lowPass(t, wiring.SwitchedOn), Question{Nodes: []string{"out"}, Until: 3600, Progress: func(at float64) {
		if at > 0.05 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || a == nil || a.Stopped == "" || a.To < 0.05 || len(a.Nodes) != 1 {
		t.Errorf("%+v, %v", a, err)
	}
	kept, err := Ask(context.Background(), lowPass(t, wiring.SwitchedOn), Question{Nodes: []string{"out"}, Until: 1e6})
	var none *circuit.NoSolution
	if !errors.As(err, &none) || kept == nil || none.Time <= 0 {
		t.Errorf("%+v, %v; want the limit on steps", kept, err)
	}
}

// Phases are without jumps of a whole turn: three low passes turn the signal by
// more than 180°.
func TestPhaseUnwrapped(t *testing.T) {
	parts := []wiring.Part{{Name: "signal", Kind: "sine source", Value: value("1 V", volt), Nodes: []string{"n0", "gnd"}}}
	for i := range 3 {
		from, to := fmt.Sprintf("n%d", i), fmt.Sprintf("n%d", i+1)
		parts = append(parts, wiring.Part{Name: "R" + to, Kind: "resistor", Value: value("1k", quantity.Ohm), Nodes: []string{from, to}},
			wiring.Part{Name: "C" + to, Kind: "film", Value: value("100n", quantity.Farad), Nodes: []string{to, "gnd"}})
	}
	c, err := wiring.New("gnd", parts, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Ask(context.Background(), c, Question{Nodes: []string{"n3"}, Low: 10, High: 1e6})
	if err != nil {
		t.Fatal(err)
	}
	phase := a.Response.Nodes[0].Phase
	if last := phase[len(phase)-1]; last > -255 || last < -270 {
		t.Errorf("phase ends at %g°, want near -270°", last)
	}
}

func ExampleAsk() {
	c, err := wiring.New("gnd", []wiring.Part{
		{Name: "B1", Kind: "battery", Value: value("9 V", volt), Nodes: []string{"+9", "gnd"}, Settings: []wiring.Entry{{Name: "source resistance", Text: "1R"}}},
		{Name: "R1", Kind: "resistor", Value: value("330R", quantity.Ohm), Rated: []quantity.Quantity{*value("0.25 W", quantity.Watt)}, Nodes: []string{"+9", "lit"}},
		{Name: "D1", Kind: "led", Type: "red", Nodes: []string{"lit", "gnd"}},
	}, wiring.Running)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := Ask(context.Background(), c, Question{})
	if err != nil {
		fmt.Println(err)
		return
	}
	a.Circuit = "indicator"
	_ = Text(os.Stdout, a)
	// Output:
	// Circuit indicator, at rest
	//
	//   node  voltage
	//   +9    8.979 V
	//   lit   1.897 V
	//
	//   part    current  greatest voltage  dissipates  of its rating
	//   B1    -21.46 mA           8.979 V    460.5 µW
	//   R1     21.46 mA           7.082 V    0.1520 W     power 61 %
	//   D1     21.46 mA           1.897 V    40.70 mW
}
