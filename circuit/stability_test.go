package circuit

import (
	"context"
	"math"
	"testing"
)

// growth is that of a circuit at its operating point.
func growth(t *testing.T, c *Circuit, from State) (rate, hertz float64) {
	t.Helper()
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPointFrom(context.Background(), from)
	if err != nil {
		t.Fatal(err)
	}
	rate, hertz, err = s.Growth(op)
	if err != nil {
		t.Fatal(err)
	}
	return rate, hertz
}

// bridge is a Wien-bridge oscillator with a gain of 1 + feedback. With an ideal
// amplifier its modes solve x² + (3 - A) x + 1 = 0 for x = s R C, so that it
// grows at (A - 3) / (2 R C) (worked by hand from the textbook transfer function
// x / (x² + 3 x + 1) of the network).
func bridge(feedback float64) *Circuit {
	c := New("gnd")
	c.Add("A1", OpAmp{Gain: 1e6, PositiveRail: 15, NegativeRail: -15}, "plus", "minus", "out")
	c.Add("R1", Resistor{Resistance: 10e3}, "out", "series")
	c.Add("C1", Capacitor{Capacitance: 10e-9}, "series", "plus")
	c.Add("R2", Resistor{Resistance: 10e3}, "plus", "gnd")
	c.Add("C2", Capacitor{Capacitance: 10e-9}, "plus", "gnd")
	c.Add("R3", Resistor{Resistance: feedback * 10e3}, "out", "minus")
	c.Add("R4", Resistor{Resistance: 10e3}, "minus", "gnd")
	return c
}

func TestGrowth(t *testing.T) {
	const rc = 10e3 * 10e-9
	for _, test := range []struct {
		name        string
		circuit     *Circuit
		from        State
		rate, hertz float64
	}{
		{"Wien bridge, gain 3.2", bridge(2.2), State{}, 0.2 / (2 * rc), math.Sqrt(1-0.01) / (2 * math.Pi * rc)},
		{"Wien bridge, gain 2.8: dies away", bridge(1.8), State{}, 0, 0},
		{"a diode, resistor and capacitor", rectified(), State{}, 0, 0},
	} {
		t.Run(test.name, func(t *testing.T) {
			rate, hertz := growth(t, test.circuit, test.from)
			if math.Abs(rate-test.rate) > 1e-3*test.rate || math.Abs(hertz-test.hertz) > 1e-3*test.hertz {
				t.Errorf("grows at %g/s at %g Hz, want %g/s at %g Hz", rate, hertz, test.rate, test.hertz)
			}
		})
	}
}

func rectified() *Circuit {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 5}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 1e3}, "in", "anode")
	c.Add("D1", SmallSignalDiode(), "anode", "out")
	c.Add("C1", Capacitor{Capacitance: 1e-6}, "out", "gnd")
	c.Add("R2", Resistor{Resistance: 1e3}, "out", "gnd")
	return c
}

// A flip-flop of two transistors balances at a point that it leaves at once, and
// stays at one of the two to which it falls.
func TestGrowthOfFlipFlop(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 5}, "supply", "gnd")
	for _, side := range [2][2]string{{"1", "2"}, {"2", "1"}} {
		c.Add("R"+side[0], Resistor{Resistance: 1e3}, "supply", "collector "+side[0])
		c.Add("Rb"+side[0], Resistor{Resistance: 10e3}, "collector "+side[1], "base "+side[0])
		c.Add("Q"+side[0], SmallTransistor(N), "collector "+side[0], "base "+side[0], "gnd")
	}
	if rate, hertz := growth(t, c, State{}); rate < 1e5 || hertz != 0 {
		t.Errorf("the balance goes at %g/s and swings at %g Hz; a flip-flop falls within microseconds, without swinging", rate, hertz)
	}
	if rate, _ := growth(t, c, Guess(map[string]float64{"collector 1": 5, "base 2": 0.7, "supply": 5})); rate != 0 {
		t.Errorf("the fallen flip-flop goes on moving at %g/s", rate)
	}
}

// A run ends where it is said to be enough, and a later one is not cut short.
func TestEnough(t *testing.T) {
	s, err := rectified().Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	run := Run{Until: 1, Cold: true, LongestStep: 1e-4, Record: []Quantity{Voltage("out")}}
	run.EndWhen = func(tr *Trace) bool { return tr.Time[len(tr.Time)-1] >= 0.1 }
	tr, err := s.Transient(context.Background(), run)
	if err != nil {
		t.Fatal(err)
	}
	if end := tr.Time[len(tr.Time)-1]; end < 0.1 || end > 0.12 {
		t.Errorf("it ends at %g s, want just after 0.1 s", end)
	}
	run.EndWhen = nil
	if tr, err = s.Transient(context.Background(), run); err != nil || tr.Time[len(tr.Time)-1] != 1 {
		t.Errorf("the next run ends at %v s (%v), want 1 s", tr.Time[len(tr.Time)-1], err)
	}
}
