package prediction

import (
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/quantity"
	"halfsplit/signal"
	"halfsplit/wiring"
)

// reference is a case of testdata/02-tolerance.yaml.
type reference struct {
	ID, Output string
	Parts      []struct {
		Ref, Kind string
		Nodes     []string
		DC, Value float64
		Spread    *struct {
			Dist     string
			Half, SD float64
		}
	}
	Expect []struct {
		Of    string
		Value float64
	}
}

// The spread of a level is the exact standard deviation of the reference cases, to
// first order in the tolerances.
//
// Outside: cases of testdata/02-tolerance.yaml. Within: exact.
func TestToleranceReference(t *testing.T) {
	text, err := os.ReadFile("testdata/02-tolerance.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []reference }
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, c := range file.Cases {
		nodes, ok := strings.CutPrefix(c.Output, "v(")
		if !ok {
			continue
		}
		checked++
		t.Run(c.ID, func(t *testing.T) {
			var parts []wiring.Part
			for _, r := range c.Parts {
				p := wiring.Part{Name: r.Ref, Kind: "resistor", Value: &quantity.Quantity{Value: r.Value, Unit: quantity.Ohm}}
				if r.Kind == "voltage-source" {
					p.Kind, p.Value = "dc source", &quantity.Quantity{Value: r.DC, Unit: quantity.Volt}
				}
				for _, n := range r.Nodes {
					if n == "0" {
						n = "gnd"
					}
					p.Nodes = append(p.Nodes, n)
				}
				share := 0.0
				if s := r.Spread; s != nil { // normal: the even spread of the same deviation
					share = max(s.Half, s.SD*math.Sqrt(3))
				}
				parts = append(parts, within(share, p))
			}
			p := predictor(t, Settings{ModelError: -1}, parts...)
			of := Observable{}
			of.Node, of.To, _ = strings.Cut(strings.TrimSuffix(nodes, ")"), ",")
			mean, deviation := read(t, foretold(t, p, Bench{}), of)
			for _, e := range c.Expect {
				switch e.Of {
				case "mean":
					near(t, "mean", mean, e.Value, 1e-4)
				case "sd":
					near(t, "standard deviation", deviation, e.Value, 3e-3)
				case "sd_first_order":
					near(t, "standard deviation to first order", deviation, e.Value, 1e-5)
				}
			}
		})
	}
	if checked != 3 {
		t.Errorf("%d cases were checked, want 3", checked)
	}
}

// divider is 10 V on two resistors of 10 kΩ, ±5 %, of which the lower has a third
// resistor of the same value in series above the next node.
func dividers() []wiring.Part {
	return []wiring.Part{
		within(0, written("V1", "dc source", "10 V", "in", "gnd")),
		within(0.05, written("R1", "resistor", "10k", "in", "a")),
		within(0.05, written("R2", "resistor", "10k", "a", "b")),
		within(0.05, written("R3", "resistor", "10k", "b", "gnd")),
	}
}

// What is read at one node narrows what is to be expected at the next: by the rule
// for normal distributions, from covariances worked out by hand. With r = 0.05/√3:
// the levels 20/3 V and 10/3 V move by 10/9 × (-2, 1, 1) r and 10/9 × (-1, -1, 2) r
// with the three resistors.
func TestConditioning(t *testing.T) {
	p := predictor(t, Settings{ModelError: -1}, dividers()...)
	f := foretold(t, p, Bench{})
	r := 0.05 / math.Sqrt(3) * 10 / 9
	va, vb, cov := 6*r*r, 6*r*r, (2-1+2)*r*r
	mean, deviation := read(t, f, levelOf("b"))
	near(t, "mean", mean, 10./3, 1e-6)
	near(t, "deviation", deviation, math.Sqrt(vb), 1e-4)
	u := 0.02
	mean, deviation = read(t, f, levelOf("b"), Read{Of: levelOf("a"), Value: 20./3 + 0.1, U: u})
	// The reading fits, so it counts nearly whole.
	near(t, "mean after reading a", mean, 10./3+0.1*cov/(va+u*u), 2e-3)
	near(t, "deviation after reading a", deviation, math.Sqrt(vb-cov*cov/(va+u*u)), 2e-2)
	// Readings of the same point agree by the meter alone.
	_, deviation = read(t, f, levelOf("b"), Read{Of: levelOf("b"), Value: 3.3, U: 1e-3})
	near(t, "deviation after reading b itself", deviation, 1e-3, 0.05)
}

// A reading that is simply wrong costs what a wrong reading costs, and then leaves
// the others as they are.
func TestWrongReading(t *testing.T) {
	p := predictor(t, Settings{}, dividers()...)
	f := foretold(t, p, Bench{})
	right := []Read{{Of: levelOf("a"), Value: 6.7, U: 0.01}, {Of: levelOf("in"), Value: 10, U: 0.01}}
	wrongly := append([]Read{{Of: levelOf("b"), Value: 0.2, U: 0.01}}, right...)
	before, after := f.LogDensity(right), f.LogDensity(wrongly)
	if cost := before - after; cost < 2 || cost > 9 {
		t.Errorf("the wrong reading costs %g, want about -ln(slip × density) = 3 to 8", cost)
	}
	clean, _ := read(t, f, levelOf("b"), right...)
	mean, _ := read(t, f, levelOf("b"), wrongly...)
	near(t, "what b should read", mean, clean, 1e-3)
	// A load of 425 Ω at b explains the reading and costs nothing.
	shorted := foretold(t, p, Bench{}, Trouble{Node: "b", Ohms: 425})
	if shorted.LogDensity(wrongly[:1]) < f.LogDensity(wrongly[:1])+4 {
		t.Error("a load at b does not explain 0.2 V at b better than nothing wrong")
	}
}

// A fuse of 1 A melts above 1.6 A, in the end. With a load of just that, half of the
// units blow it: two ways, not their average.
func TestTwoWays(t *testing.T) {
	parts := []wiring.Part{
		within(0, written("V1", "dc source", "10 V", "in", "gnd")),
		with(written("F1", "fuse", "1 A", "in", "out"), "resistance", "1m"),
		within(0.05, written("R1", "resistor", "6R2", "out", "gnd")),
	}
	p := predictor(t, Settings{Samples: 60}, parts...)
	f := foretold(t, p, Bench{})
	if len(f.Ways) != 2 {
		t.Fatalf("%d ways, want whole and blown", len(f.Ways))
	}
	for _, w := range f.Ways {
		mean, _, _ := w.Predict(levelOf("out"), nil)
		want := 10.0
		if len(w.Blown) > 0 {
			want = 0
		}
		if math.Abs(mean-want) > 0.05 {
			t.Errorf("blown %v: out reads %g V, want %g V", w.Blown, mean, want)
		}
		if w.Weight < 0.15 || w.Weight > 0.85 {
			t.Errorf("blown %v has a weight of %g", w.Blown, w.Weight)
		}
	}
	weights := f.Weights([]Read{{Of: levelOf("out"), Value: 10.02, U: 0.01}})
	for i, w := range f.Ways {
		if whole := len(w.Blown) == 0; whole != (weights[i] > 0.95) {
			t.Errorf("after reading 10 V the way with %v blown has a weight of %g", w.Blown, weights[i])
		}
	}
	s := f.State("out", Rail{Expectation: signal.Expectation{Nominal: 10, Low: 9.5, High: 10.5}})
	if s[signal.Good] < 0.15 || s[signal.Absent] < 0.15 || s[signal.Low] > 0.05 {
		t.Errorf("the rail is %v; it is good or absent, never low", s)
	}
}

// The ohmmeter by hand: resistors in series and parallel; a diode shows on the diode
// range alone, and one way round; a capacitor that leaks shows its leakage.
func TestOhmmeter(t *testing.T) {
	p := predictor(t, Settings{Pairs: [][2]string{{"a", "b"}}},
		written("V1", "dc source", "10 V", "in", "gnd"),
		within(0.05, written("R1", "resistor", "1k", "in", "a")),
		within(0.05, written("R2", "resistor", "2k2", "a", "b")),
		within(0.05, written("R3", "resistor", "330R", "b", "gnd")),
		written("D1", "rectifier", "", "c", "gnd"),
		written("R4", "resistor", "1M", "c", "in"),
		written("C1", "film capacitor", "1 uF", "d", "gnd"),
		written("R5", "resistor", "47R", "d", "gnd"),
		written("D2", "diode", "", "e", "gnd"),
	)
	off := Bench{Off: true}
	ohms := func(node, to string) Observable { return Observable{Aspect: Resistance, Node: node, To: to} }
	f := foretold(t, p, off)
	for _, test := range []struct {
		of   Observable
		want float64
	}{
		{ohms("a", ""), 2530}, {ohms("gnd", "a"), 2530}, {ohms("a", "gnd"), 2530}, {ohms("b", ""), 330}, {ohms("a", "b"), 2200}, {ohms("in", ""), 3530}, {ohms("d", ""), 47},
	} {
		mean, deviation := read(t, f, test.of)
		near(t, "ohms of "+test.of.Node+" to "+test.of.To, mean, test.want, 5e-3)
		if test.of.Node == "a" && test.of.To == "" {
			r := 0.05 / math.Sqrt(3)
			near(t, "its deviation", deviation, math.Hypot(math.Hypot(2200*r, 330*r), 0.02*2530), 2e-2)
		}
	}
	if mean, _ := read(t, f, ohms("e", "")); mean < 1e6 {
		t.Errorf("the diode shows %g Ω on the ohm range", mean)
	}
	diode := ohms("e", "")
	diode.Diode = true
	mean, _ := read(t, f, diode)
	if mean < 0.5 || mean > 0.75 {
		t.Errorf("the diode shows %g V on the diode range, want 0.5 to 0.75 V", mean)
	}
	reversed := Observable{Aspect: Resistance, Node: "gnd", To: "e", Diode: true}
	if mean, _ = read(t, f, reversed); mean < 2.4 {
		t.Errorf("reversed it shows %g V, want over range", mean)
	}
	shorted := foretold(t, p, off, trouble(t, p, "D2", "shorted", 0))
	if mean, _ = read(t, shorted, ohms("e", "")); mean > 1 {
		t.Errorf("shorted it shows %g Ω", mean)
	}
	// "Over range" is no figure.
	over := []Read{{Of: ohms("e", ""), Low: 500e3, High: math.Inf(1)}}
	if good, bad := f.LogDensity(over), shorted.LogDensity(over); good < -0.5 || bad > -3 {
		t.Errorf("over range has a log-density of %g with a good diode and %g with a shorted one", good, bad)
	}
}

// The gain of a low-pass at its corner is 1/√2, and follows R and C by half each
// (d ln|H| / d ln RC = -1/2 there): by hand.
func TestGain(t *testing.T) {
	corner := 1 / (2 * math.Pi * 1e3 * 100e-9)
	p := predictor(t, Settings{Hertz: []float64{corner}, ModelError: -1},
		with(within(0, written("V1", "dc source", "1 V", "in", "gnd")), "signal", "2 V"),
		within(0.05, written("R1", "resistor", "1k", "in", "out")),
		within(0.2, written("C1", "film capacitor", "100 nF", "out", "gnd")),
	)
	gain := Observable{Aspect: Gain, Node: "out", Hertz: corner}
	mean, deviation := read(t, foretold(t, p, Bench{}), gain)
	near(t, "gain", mean, math.Sqrt(0.5), 1e-6)
	near(t, "its deviation", deviation, math.Sqrt(0.5)/2*math.Hypot(0.05, 0.2)/math.Sqrt(3), 1e-3)
	low, _ := read(t, foretold(t, p, Bench{}, trouble(t, p, "R1", "drifted high", 2)), gain)
	near(t, "gain with R1 ten times too high", low, 1/math.Sqrt(101), 1e-4)
}

// Loads, lifted parts and sources are told as on the bench.
func TestBench(t *testing.T) {
	p := predictor(t, Settings{}, append(dividers(), with(written("logic", "load", "", "b", "gnd"), "resistance", "10k"))...)
	for _, test := range []struct {
		name  string
		bench Bench
		want  float64
	}{
		{"as it is", Bench{}, 2},
		{"without the load", Bench{Without: []string{"logic"}}, 10. / 3},
		{"R3 lifted", Bench{Lifted: []string{"R3"}}, 10. / 3},
		{"at half the voltage", Bench{Sources: map[string]float64{"V1": 0.5}}, 1},
		{"unplugged", Bench{Sources: map[string]float64{"V1": 0}}, 0},
	} {
		mean, _ := read(t, foretold(t, p, test.bench), levelOf("b"))
		if math.Abs(mean-test.want) > 1e-3 {
			t.Errorf("%s: b reads %g V, want %g V", test.name, mean, test.want)
		}
	}
	for _, bench := range []Bench{{Lifted: []string{"R9"}}, {Sources: map[string]float64{"R1": 1}}} {
		if _, err := p.Forecast(context.Background(), bench, nil); err == nil {
			t.Errorf("%+v was taken", bench)
		}
	}
}

// What cannot be asked for is said when the predictor is made.
func TestNewMistakes(t *testing.T) {
	c, err := wiring.New("gnd", dividers(), wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	for _, set := range []Settings{{Pairs: [][2]string{{"a", "nowhere"}}}, {Hertz: []float64{100}}, {Hertz: []float64{-1}}} {
		if _, err := New(c, set); err == nil {
			t.Errorf("%+v was taken", set)
		}
	}
	alone, err := wiring.New("gnd", []wiring.Part{written("R1", "resistor", "1k", "a", "b")}, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := New(alone, Settings{}); err == nil || !strings.Contains(err.Error(), "float") {
		t.Errorf("nodes that float: %v", err)
	}
}
