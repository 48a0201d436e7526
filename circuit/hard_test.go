package circuit

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// solve finds an operating point or fails.
func solve(t testing.TB, c *Circuit, from State) *OperatingPoint {
	t.Helper()
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPointFrom(background, from)
	if err != nil {
		t.Fatal(err)
	}
	return op
}

// volts reads a node.
func volts(t testing.TB, op *OperatingPoint, node string) float64 {
	t.Helper()
	v, err := op.Value(Voltage(node))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// schmitt is a Schmitt trigger of two transistors with a common emitter
// resistor, as in any textbook.
func schmitt(input float64) *Circuit {
	c := New("gnd")
	c.Add("VCC", VoltageSource{DC: 12}, "vcc", "gnd")
	c.Add("VIN", VoltageSource{DC: input}, "in", "gnd")
	c.Add("RB", Resistor{Resistance: 4.7e3}, "in", "b1")
	c.Add("Q1", SmallTransistor(N), "c1", "b1", "e")
	c.Add("Q2", SmallTransistor(N), "c2", "b2", "e")
	c.Add("RC1", Resistor{Resistance: 4.7e3}, "vcc", "c1")
	c.Add("RC2", Resistor{Resistance: 2.2e3}, "vcc", "c2")
	c.Add("R1", Resistor{Resistance: 10e3}, "c1", "b2")
	c.Add("R2", Resistor{Resistance: 10e3}, "b2", "gnd")
	c.Add("RE", Resistor{Resistance: 470}, "e", "gnd")
	return c
}

// TestSchmittBothStates: between its thresholds the trigger has two stable
// states, and keeps the one it comes from.
func TestSchmittBothStates(t *testing.T) {
	low := solve(t, schmitt(0), State{})
	high := solve(t, schmitt(6), State{})
	if volts(t, low, "c2") > 5 || volts(t, high, "c2") < 11 {
		t.Fatalf("outputs %g and %g", volts(t, low, "c2"), volts(t, high, "c2"))
	}
	turnUp, turnDown := 0.0, 0.0
	op := low
	for v := 0.0; v <= 6 && turnUp == 0; v += 0.02 {
		if op = solve(t, schmitt(v), op.State()); volts(t, op, "c2") > 10 {
			turnUp = v
		}
	}
	for v := 6.0; v >= 0 && turnDown == 0; v -= 0.02 {
		if op = solve(t, schmitt(v), op.State()); volts(t, op, "c2") < 6 {
			turnDown = v
		}
	}
	if !(turnUp > turnDown+0.3) {
		t.Errorf("turns at %g upwards and %g downwards: no hysteresis", turnUp, turnDown)
	}
	middle := (turnUp + turnDown) / 2
	a := solve(t, schmitt(middle), low.State())
	b := solve(t, schmitt(middle), high.State())
	if volts(t, a, "c2") > 6 || volts(t, b, "c2") < 10 {
		t.Errorf("at %g V in: %g and %g; both states should be there", middle, volts(t, a, "c2"), volts(t, b, "c2"))
	}
}

// TestBistable: an Eccles-Jordan pair takes either state, as guessed.
func TestBistable(t *testing.T) {
	c := New("gnd")
	c.Add("VCC", VoltageSource{DC: 10}, "vcc", "gnd")
	for i, pair := range [2][2]string{{"1", "2"}, {"2", "1"}} {
		me, other := pair[0], pair[1]
		c.Add(fmt.Sprint("RC", i), Resistor{Resistance: 1e3}, "vcc", "c"+me)
		c.Add(fmt.Sprint("RX", i), Resistor{Resistance: 10e3}, "c"+me, "b"+other)
		c.Add(fmt.Sprint("RB", i), Resistor{Resistance: 47e3}, "b"+me, "gnd")
		c.Add(fmt.Sprint("Q", i), SmallTransistor(N), "c"+me, "b"+me, "gnd")
	}
	for on, off := range map[string]string{"1": "2", "2": "1"} {
		op := solve(t, c, Guess(map[string]float64{"vcc": 10, "c" + on: 0.1, "b" + on: 0.7, "c" + off: 9, "b" + off: 0.1}))
		if volts(t, op, "c"+on) > 0.3 || volts(t, op, "c"+off) < 8 {
			t.Errorf("transistor %s on: %g and %g", on, volts(t, op, "c"+on), volts(t, op, "c"+off))
		}
	}
}

// TestFoldbackLatches: a series regulator whose current limit folds back stays
// down behind a lamp-like load after a short, and comes up into a light one.
func TestFoldbackLatches(t *testing.T) {
	build := func(load float64) *Circuit {
		c := New("gnd")
		c.Add("V1", VoltageSource{DC: 20}, "in", "gnd")
		c.Add("R1", Resistor{Resistance: 150}, "in", "b")
		c.Add("Q1", PowerTransistor(N), "in", "b", "e")
		c.Add("RS", Resistor{Resistance: 1}, "e", "out")
		// Fold-back: the limiter's base sits on a divider from the emitter.
		c.Add("RA", Resistor{Resistance: 220}, "e", "lb")
		c.Add("RB", Resistor{Resistance: 2.2e3}, "lb", "gnd")
		c.Add("Q2", SmallTransistor(N), "b", "lb", "out")
		c.Add("Z1", Zener{Voltage: 12.7, TestCurrent: 5e-3, SlopeResistance: 5}, "gnd", "b")
		c.Add("I1", CurrentSource{DC: load}, "pull", "gnd")
		// A constant-current load that gives way near zero.
		c.Add("D1", Rectifier(3, 100), "out", "pull")
		c.Add("D2", Rectifier(3, 100), "gnd", "pull")
		return c
	}
	light := solve(t, build(0.2), State{})
	if v := volts(t, light, "out"); v < 11 || v > 13 {
		t.Fatalf("light load: %g V", v)
	}
	up := solve(t, build(1.3), light.State())
	short := build(1.3)
	short.Add("SHORT", Resistor{Resistance: 0.01}, "out", "gnd")
	down := solve(t, build(1.3), solve(t, short, State{}).State())
	if v := volts(t, up, "out"); v < 10 {
		t.Errorf("coming from a light load: %g V, should hold", v)
	}
	if v := volts(t, down, "out"); v > 2 {
		t.Errorf("coming from a short: %g V, should stay latched down", v)
	}
}

// TestClassAB: an output stage with diode bias passes a sine without a step at
// zero, and without load current beyond its supply.
func TestClassAB(t *testing.T) {
	c := New("gnd")
	c.Add("VP", VoltageSource{DC: 20}, "p", "gnd")
	c.Add("VN", VoltageSource{DC: -20}, "n", "gnd")
	c.Add("VIN", VoltageSource{Wave: Sine{Peak: 10, Frequency: 1000}}, "in", "gnd")
	c.Add("I1", CurrentSource{DC: 5e-3}, "p", "bp")
	c.Add("I2", CurrentSource{DC: 5e-3}, "bn", "n")
	c.Add("D1", SmallSignalDiode(), "bp", "in")
	c.Add("D2", SmallSignalDiode(), "in", "bn")
	c.Add("Q1", PowerTransistor(N), "p", "bp", "ep")
	c.Add("Q2", PowerTransistor(P), "n", "bn", "en")
	c.Add("RE1", Resistor{Resistance: 0.47}, "ep", "out")
	c.Add("RE2", Resistor{Resistance: 0.47}, "out", "en")
	c.Add("RL", Resistor{Resistance: 100}, "out", "gnd")
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := s.Steady(background, Repeat{Record: []Quantity{Voltage("out"), Voltage("in")}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := st.Whole(Voltage("out"))
	if err != nil || r.Max < 9 || r.Max > 10.2 || r.Min > -9 || math.Abs(r.Mean) > 0.2 {
		t.Errorf("%+v %v", r, err)
	}
}

// TestWideResistances: a milliohm and a gigohm in one circuit.
func TestWideResistances(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 5}, "a", "gnd")
	c.Add("R1", Resistor{Resistance: 1e-3}, "a", "b")
	c.Add("R2", Resistor{Resistance: 1e9}, "b", "c")
	c.Add("R3", Resistor{Resistance: 1e9}, "c", "gnd")
	c.Add("R4", Resistor{Resistance: 1}, "b", "d")
	c.Add("R5", Resistor{Resistance: 1e-3}, "d", "e")
	c.Add("R6", Resistor{Resistance: 1e6}, "e", "c")
	c.Add("D1", Diode{}, "e", "gnd")
	c.Add("R7", Resistor{Resistance: 10}, "e", "gnd")
	op := solve(t, c, State{})
	vb, vc, ve := volts(t, op, "b"), volts(t, op, "c"), volts(t, op, "e")
	if balance := (vb-vc)/1e9 - vc/1e9 + (ve-vc)/1e6; math.Abs(balance) > 1e-9*vc/1e9 {
		t.Errorf("node c: %g A are left over of %g A", balance, vc/1e9)
	}
}

// board is a made-up board of many stages: a supply, amplifiers, gates and
// filters, each fed through its own resistor.
func board(stages int) *Circuit {
	c := New("gnd")
	random := rand.New(rand.NewPCG(5, 6))
	c.Add("VCC", VoltageSource{DC: 12}, "vcc", "gnd")
	last := "vcc"
	for i := range stages {
		n := func(what string) string { return fmt.Sprintf("%s%d", what, i) }
		about := func(v float64) float64 { return v * (0.8 + 0.4*random.Float64()) }
		c.Add(n("RS"), Resistor{Resistance: about(47)}, "vcc", n("s"))
		c.Add(n("CS"), Electrolytic(100e-6), n("s"), "gnd")
		c.Add(n("R1"), Resistor{Resistance: about(47e3)}, n("s"), n("b"))
		c.Add(n("R2"), Resistor{Resistance: about(10e3)}, n("b"), "gnd")
		c.Add(n("RC"), Resistor{Resistance: about(3.3e3)}, n("s"), n("c"))
		c.Add(n("RE"), Resistor{Resistance: about(1e3)}, n("e"), "gnd")
		c.Add(n("Q"), SmallTransistor(N), n("c"), n("b"), n("e"))
		c.Add(n("QF"), SmallTransistor(N), n("s"), n("c"), n("o"))
		c.Add(n("RO"), Resistor{Resistance: about(2.2e3)}, n("o"), "gnd")
		if i > 0 {
			// The gain from stage to stage stays below 1: a chain of hundreds
			// that amplifies has no meaning.
			c.Add(n("CC"), Capacitor{Capacitance: 1e-6}, last, n("i"))
			c.Add(n("RI"), Resistor{Resistance: 220e3}, n("i"), n("b"))
		}
		c.Add(n("D"), SmallSignalDiode(), n("o"), n("b"))
		last = n("o")
	}
	return c
}

// TestBoard: two hundred parts at once.
func TestBoard(t *testing.T) {
	c := board(20)
	if n := len(c.Names()); n < 200 {
		t.Fatalf("only %d parts", n)
	}
	op := solve(t, c, State{})
	t.Logf("%d parts, %d unknowns: %s, %d iterations", len(c.Names()), len(op.s.unknowns)-1, op.Help, op.Iterations)
	if v := volts(t, op, "o3"); v < 1 || v > 11 {
		t.Errorf("output of a stage at %g V", v)
	}
}

// TestImpossible: circuits without solution say which part or node.
func TestImpossible(t *testing.T) {
	resistor := Resistor{Resistance: 1e3}
	cases := []struct {
		name  string
		build func(c *Circuit)
		words []string
	}{
		{"floating node", func(c *Circuit) { c.Add("R2", resistor, "x", "y") }, []string{"x, y", "float"}},
		{"gate left open", func(c *Circuit) { c.Add("M1", MOSFET{}, "a", "nogate", "gnd") }, []string{"nogate", "floats"}},
		{"two sources", func(c *Circuit) { c.Add("V2", VoltageSource{DC: 5}, "a", "gnd") }, []string{"V1", "V2", "loop"}},
		{"source loop of three", func(c *Circuit) {
			c.Add("V2", VoltageSource{DC: 5}, "b", "gnd")
			c.Add("V3", VoltageSource{DC: 5}, "a", "b")
		}, []string{"V1", "V2", "V3", "loop"}},
		{"winding across a source", func(c *Circuit) { c.Add("L1", Inductor{Inductance: 1}, "a", "gnd") }, []string{"V1", "L1", "at rest"}},
		{"current source into nothing", func(c *Circuit) { c.Add("I1", CurrentSource{DC: 1}, "gnd", "x") }, []string{"x", "floats"}},
		{"negative resistance", func(c *Circuit) { c.Add("R2", Resistor{Resistance: -1}, "a", "gnd") }, []string{"R2", "resistance is -1", "greater than 0"}},
		{"wrong number of nodes", func(c *Circuit) { c.Add("Q1", Bipolar{}, "a", "gnd") }, []string{"Q1", "2 nodes", "emitter"}},
		{"name used twice", func(c *Circuit) { c.Add("R1", resistor, "a", "gnd") }, []string{"R1", "two parts"}},
		{"oscillating comparator", func(c *Circuit) {
			c.Add("U1", Comparator{High: 5, OutputResistance: 1}, "ref", "o", "o")
			c.Add("V2", VoltageSource{DC: 2}, "ref", "gnd")
		}, []string{"U1", "to and fro"}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			c := New("gnd")
			c.Add("V1", VoltageSource{DC: 5}, "a", "gnd")
			c.Add("R1", resistor, "a", "gnd")
			tc.build(c)
			s, err := c.Solver(Settings{})
			if err == nil {
				_, err = s.OperatingPoint(background)
			}
			if err == nil {
				t.Fatal("no error")
			}
			for _, word := range tc.words {
				if !strings.Contains(err.Error(), word) {
					t.Errorf("error %q does not say %q", err, word)
				}
			}
		})
	}
}

// TestCancel: a long run ends soon after it is cancelled, and gives what it
// has; and a bound on the steps ends one too.
func TestCancel(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Sine{Peak: 1, Frequency: 1e6}}, "a", "gnd")
	c.Add("R1", Resistor{Resistance: 1e3}, "a", "b")
	c.Add("C1", Capacitor{Capacitance: 1e-9}, "b", "gnd")
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(background, 30*time.Millisecond)
	defer cancel()
	tr, err := s.Transient(ctx, Run{Until: 1e6, Record: []Quantity{Voltage("b")}})
	if !errors.Is(err, context.DeadlineExceeded) || len(tr.Time) < 10 {
		t.Errorf("%v after %d samples", err, len(tr.Time))
	}
	few, err := c.Solver(Settings{MaxSteps: 100})
	if err != nil {
		t.Fatal(err)
	}
	tr, err = few.Transient(background, Run{Until: 1, Record: []Quantity{Voltage("b")}})
	var none *NoSolution
	if !errors.As(err, &none) || none.Time == 0 || len(tr.Time) < 50 {
		t.Errorf("%v after %d samples", err, len(tr.Time))
	}
}

// TestSettings: settings that cannot be are refused, and so are parts and
// readings that are not there.
func TestSettings(t *testing.T) {
	c := schmitt(1)
	for _, set := range []Settings{{Accuracy: -1}, {Accuracy: math.NaN()}, {Temperature: -5}, {MaxSteps: -1}, {CurrentFloor: math.Inf(1)}} {
		if _, err := c.Solver(set); err == nil {
			t.Errorf("%+v was taken", set)
		}
	}
	op := solve(t, c, State{})
	for _, q := range []Quantity{Voltage("nowhere"), Current("Q9"), PinCurrent("Q1", "gate"), Temperature("Q1"), VoltageBetween("in", "nowhere")} {
		if v, err := op.Value(q); err == nil {
			t.Errorf("%v is %g", q, v)
		}
	}
	if _, err := c.Replace("Q1", nil); err == nil {
		t.Error("a part was replaced by nothing")
	}
	if _, err := c.Remove("Q9"); err == nil {
		t.Error("a part that is not there was removed")
	}
	if _, err := op.s.Transient(background, Run{Until: math.NaN()}); err == nil {
		t.Error("a run without end was taken")
	}
	if err := op.s.Set("RC1", "resistance", -1); err == nil {
		t.Error("a negative resistance was set")
	}
	if _, err := op.s.AC(background, op, []float64{-1}); err == nil {
		t.Error("a negative frequency was taken")
	}
}

// TestReferenceThrownBackwards: a shunt reference whose cathode is torn below
// its anode holds it there as a diode does, from the first instant on. Its
// substrate diode must be approached along the exponential; a guess far beyond
// it must not pass for a solution. Expected: i = 1e-12 A (exp(v / 1.5 Vt) - 1)
// from the anode, less what wakes the chip.
func TestReferenceThrownBackwards(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Pulse{Low: 12, High: -60, Delay: 1e-6, Rise: 1e-9, Fall: 1e-9, Width: 1}}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 470}, "in", "k")
	c.Add("U1", Reference{}, "k", "gnd", "k")
	c.Add("C1", Capacitor{Capacitance: 10e-12}, "k", "gnd")
	s, err := c.Solver(Settings{Accuracy: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: 2e-6, Record: []Quantity{Voltage("k")}})
	if err != nil {
		t.Fatal(err)
	}
	down, err1 := tr.Over(Voltage("k"), 1.1e-6, 2e-6)
	all, err2 := tr.Whole(Voltage("k"))
	if err := first(err1, err2); err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for range 50 {
		want = -1.5 * 0.02585 * math.Log1p(((60+want)/470-0.4e-3*math.Tanh(-want)-2e-6*math.Tanh(-want))/1e-12)
	}
	if !near(down.Mean, want, 1e-3, 0) || down.PeakToPeak > 1e-2 || all.Min < want-1e-2 {
		t.Errorf("held at %+v, lowest %g V, want %g V", down, all.Min, want)
	}
}
