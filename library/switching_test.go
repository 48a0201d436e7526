package library_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfsplit/circuit"
	"halfsplit/library"
	"halfsplit/wiring"
)

// TestResetDelay: from the 0.2 V that U1 leaves on it, C1 charges towards 5 V through
// R4 and R5, so reset is released after R C ln((5 − 0.2) / (5 − 2.5)) (charge of a
// capacitor through a resistor; Horowitz and Hill, The Art of Electronics, 2nd edition,
// 1.13). A supply below the threshold that R1 and R2 set keeps reset low.
func TestResetDelay(t *testing.T) {
	s := variant(t, "reset-and-power-good", "settings: {source resistance: 0R05}", "settings: {source resistance: 0R05, rise: 1 ms}")
	_, solved := solver(t, s, "reset", wiring.SwitchedOn)
	trace := followed(t, solved, circuit.Run{Until: 0.5}, "reset", "power good", "+5")
	released := trace.Events[len(trace.Events)-1]
	if before, after := over(t, trace, "reset", 0.01, released.Time-1e-3).Max, over(t, trace, "reset", released.Time+1e-3, 0.5).Min; released.Part != "U1b" || before > 0.4 || after < 2.4 {
		t.Errorf("reset is not released by U1b alone: %v, up to %.3g V before, from %.3g V after", released, before, after)
	}
	near(t, "delay", released.Time, (33e3+2.2e3)*10e-6*math.Log((5-0.2)/(5-2.5)), 0.02)

	for _, c := range []struct {
		supply string
		high   bool
	}{{"4.75 V", true}, {"4.4 V", false}} { // the threshold is 2.5 V (R1 + R2) / R2 = 4.55 V
		_, solved := solver(t, variant(t, "reset-and-power-good", "value: 5 V, nodes", "value: "+c.supply+", nodes"), "reset", wiring.Running)
		if v := at(t, rest(t, solved), circuit.Voltage("reset")); (v > 2.4) != c.high {
			t.Errorf("with %s the reset line has %.3g V", c.supply, v)
		}
	}
}

// TestBusRise: a line that is let go rises from 10 to 90 % in 2.2 R C (Horowitz and
// Hill, 2nd edition, 1.13), R being the two halves of the terminator side by side; its
// high level is 5 V · 330 / (220 + 330) = 3 V (terminators of 220 and 330 ohms, common
// practice), above the 2 V that TTL asks, and its low level below 0.4 V.
func TestBusRise(t *testing.T) {
	_, s := solver(t, variant(t, "open-collector-bus", "fall: 10 us", "fall: 20 ns"), "line", wiring.Running)
	trace := followed(t, s, circuit.Run{Until: 110e-3, At: []float64{50e-3, 100e-3}}, "received")
	high, low := over(t, trace, "received", 90e-3, 99e-3).Mean, over(t, trace, "received", 20e-3, 40e-3).Mean
	near(t, "high level", high, 3, 0.02)
	if high < 2 || low > 0.4 {
		t.Errorf("levels are %.3g and %.3g V", low, high)
	}
	from := crossing(t, trace, "received", low+0.1*(high-low), true, 49.9e-3)
	until := crossing(t, trace, "received", low+0.9*(high-low), true, from)
	near(t, "rise", until-from, 2.2*132*470e-12, 0.25)
}

// TestCoilClamp: when the driver lets go, the coil lifts its end to one drop above the
// supply, and its current dies away with L/R through D1; without D1 the transistor
// would break down (Horowitz and Hill, 2nd edition, 1.31).
func TestCoilClamp(t *testing.T) {
	s := variant(t, "relay-driver-and-memory-backup")
	_, solved := solver(t, s, "driver", wiring.Running)
	trace := followed(t, solved, circuit.Run{Until: 0.19}, "coil")
	peak := over(t, trace, "coil", 0.09, 0.19).Max
	if drop := peak - 12; drop < 0.5 || drop > 1.1 {
		t.Errorf("the coil's end goes to %.4g V; one drop above 12 V is right", peak)
	}
	// the coil has 12 V squared over 0.4 W; the relay lets go when its current is at the
	// drop-out share, a third of 70 % of 12 V, of what it was
	resistance := 12.0 * 12 / 0.4
	tau := 0.5 / resistance
	lets := trace.Events[len(trace.Events)-1]
	if lets.Part != "K1" || lets.On {
		t.Fatalf("the last that happens is %v", lets)
	}
	most := tau * math.Log((12+0.7)/(12*0.7/3+0.7)) // the current heads for what the drop of D1 makes of it
	near(t, "time until the relay lets go", lets.Time-0.1, most, 0.05)
}

// TestMemoryKept: with the unit on, the cell is charged with what is left over R5; with
// it off, the memory has the cell's voltage less one Schottky drop, and memory select
// is up, so that nothing is written.
func TestMemoryKept(t *testing.T) {
	_, on := solver(t, variant(t, "relay-driver-and-memory-backup"), "memory supply", wiring.Running)
	charging := at(t, rest(t, on), circuit.Current("R5"))
	if charging < 0.2e-3 || charging > 1.5e-3 { // a hundredth to a tenth of 20 to 100 mA·h
		t.Errorf("the cell is charged with %.3g A", charging)
	}
	s := variant(t, "relay-driver-and-memory-backup", `{part: five volt supply, kind: dc source, value: 5 V, nodes: ["+5", gnd], settings: {source resistance: 0R1}}`, `{part: five volt supply, kind: resistor, value: 100R, nodes: ["+5", gnd]}`)
	_, off := solver(t, s, "memory supply", wiring.Running)
	op := rest(t, off)
	kept, chosen := at(t, op, circuit.Voltage("memory supply")), at(t, op, circuit.Voltage("memory select"))
	if kept < 3 || kept > 3.5 || chosen < 0.9*kept {
		t.Errorf("with the unit off the memory has %.3g V, memory select %.3g V", kept, chosen)
	}
}

// TestRefresh: seven row lines make 128 rows; all of them within 2 ms (Texas Instruments
// TMS4116 data sheet, 16K×1 dynamic memory) is one row every 15.6 µs, which the sheet
// tells.
func TestRefresh(t *testing.T) {
	_, s, err := library.Open("dynamic-ram-array")
	if err != nil {
		t.Fatal(err)
	}
	var first, last int
	if n, err := fmt.Sscanf(s.Memories[0].Row[0].Text, "A%d-A%d", &first, &last); n != 2 {
		t.Fatal(err)
	}
	row := last - first + 1
	every := 2e-3 / float64(int(1)<<row)
	if math.Abs(every-15.625e-6) > 1e-12 || !strings.Contains(s.Model.Note, "15.6 us") {
		t.Errorf("%d row lines: one row every %.4g s; the sheet says: %s", row, every, s.Model.Note)
	}
}

// TestClocks: each clock is what the divider makes of the crystal, and the serial one
// is near enough to 16 times 9600 baud for a receiver: within 2 % (common practice).
func TestClocks(t *testing.T) {
	_, s, err := library.Open("crystal-oscillator")
	if err != nil {
		t.Fatal(err)
	}
	hertz := func(point string) float64 { return s.Point(point).Expect.Value.Value }
	crystal := hertz("U1 pin 4")
	for point, by := range map[string]float64{"U2 pin 5": 2, "U2 pin 8": 4, "processor pin 6": 2, "U4 pin 12": 4 * 13} {
		near(t, point, hertz(point), crystal/by, 2e-3)
	}
	near(t, "serial clock", hertz("U4 pin 12"), 16*9600, 0.02)
}
