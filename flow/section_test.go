package flow_test

import (
	"math"
	"sync"
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"
)

// Worked examples with a circuit that can be reckoned by hand: a rail "bias"
// made from "raw" (20 V) by the divider R1 (10 kΩ) over R2 (10 kΩ), so 10 V and
// 5 kΩ at the middle.

// divider is its solver.
type divider struct {
	lock  sync.Mutex
	asked []flow.Circumstances
}

// What a fault does to the resistors; the second number of a fault of R2 is one
// that may latch.
var (
	upper = []float64{10e3, 1e9, 100e3}     // sound, open, drifted to ten times
	lower = []float64{10e3, 1e9, 100, 10e3} // sound, open, leaky, latches or not
)

const latches = 2

func (d *divider) Ways(c *flow.Circumstances) []flow.Way {
	d.lock.Lock()
	d.asked = append(d.asked, *c)
	d.lock.Unlock()
	raw := 20.0
	for _, in := range c.Inputs {
		if in == signal.Absent {
			raw = 0
		}
	}
	r1, r2, latch := upper[0], lower[0], false
	for _, f := range c.Failing {
		if f.Part == 0 {
			r1 = upper[f.Act+1]
		} else {
			r2, latch = lower[f.Act+1], f.Act == latches
		}
	}
	for _, l := range c.Loads {
		if l.State == signal.Absent {
			r2 = 1
		}
	}
	volts := func(r2 float64) float64 { return raw * r2 / (r1 + r2) }
	if latch {
		return []flow.Way{middle{0.5, volts(r2)}, middle{0.5, volts(100)}}
	}
	return []flow.Way{middle{1, volts(r2)}}
}

// middle is the rail at some voltage, give or take 2 %.
type middle struct{ weight, volts float64 }

func (m middle) Weight() float64 { return m.weight }

func (m middle) Net(int) signal.Spread {
	switch {
	case m.volts < 1:
		return signal.Pure(signal.Absent)
	case m.volts < 9:
		return signal.Pure(signal.Low)
	case m.volts > 11:
		return signal.Pure(signal.High)
	}
	return signal.Pure(signal.Good)
}

func (m middle) Log(numbers []flow.Number) float64 {
	sum := 0.0
	for _, n := range numbers {
		mean, deviation := m.Expect(n, nil)
		deviation = math.Hypot(deviation, n.U)
		z := (n.Value - mean) / deviation
		sum += math.Log(0.99*math.Exp(-z*z/2)/(deviation*math.Sqrt(2*math.Pi)) + 0.01/40)
	}
	return sum
}

func (m middle) Expect(flow.Number, []flow.Number) (mean, deviation float64) {
	return m.volts, 0.02*m.volts + 0.01
}

// biased is a unit with that circuit: two chips live on the rail, one of which
// may short it.
func biased(solver flow.Solver) flow.Description {
	resistor := kind("resistor")
	mode := resistor.Modes[0].Name
	return flow.Description{
		Sources: []flow.Source{source("transformer", "raw")},
		Blocks: []flow.Block{
			block("U1", "chip", "", "x", "bias"), block("U2", "chip", "", "y", "bias"),
			{Name: "bias maker", Kind: kind("stage"), Inputs: []string{"raw"}, Outputs: []string{"bias"}, Parts: []flow.Part{{Name: "R1", Kind: resistor}}},
		},
		Sections: []flow.Section{{
			Name: "divider", Inputs: []string{"raw"}, Outputs: []string{"bias"}, Solver: solver,
			Parts: []flow.SectionPart{
				{Part: flow.Part{Name: "R1", Kind: resistor}, Acts: []flow.Act{{Mode: mode, Name: "open", Share: 0.5}, {Mode: mode, Name: "drifted high", Share: 0.5}}},
				{Part: flow.Part{Name: "R2", Kind: resistor}, Acts: []flow.Act{{Mode: mode, Name: "open", Share: 0.4}, {Mode: mode, Name: "leaky", Share: 0.3}, {Mode: mode, Name: "latches", Share: 0.3}}},
			},
		}},
	}
}

// volts enters a reading of the rail.
func (u *unit) volts(scene flow.Scene, value float64) {
	u.t.Helper()
	l := signal.FromNumber(value, 0.05, signal.Expectation{Nominal: 10, Low: 9, High: 11})
	u.e.Numbered(scene, flow.NumberReading{Number: flow.Number{To: -1, Value: value, U: 0.05}, Likelihood: l})
}

// How far the rail is off says which resistor it is, and how.
func TestNumberInSection(t *testing.T) {
	for _, c := range []struct {
		name     string
		volts    float64
		suspects []string
	}{
		{"10/(100+10) of 20 V: R1 drifted to 100 kΩ", 1.82, []string{"R1"}},
		{"R2 open: all of it", 19.9, []string{"R2"}},
		{"R2 leaky: 20 V × 100/10100", 0.2, []string{"R2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			u := onBench(t, biased(&divider{}))
			u.volts(flow.Scene{}, c.volts)
			u.suspects(0.5, 0.35, c.suspects...)
		})
	}
}

// A rail that a circuit makes starves what lives on it; and chips that are both
// wrong on a rail that reads right are not the rail's doing.
func TestSectionFeedsBlocks(t *testing.T) {
	u := onBench(t, biased(&divider{}))
	u.reads(flow.Scene{}, "x: absent", "y: absent")
	u.suspects(0.6, 0.35, "R1", "R2", "source of raw", "rest of bias maker")
	u.volts(flow.Scene{}, 1.82)
	u.suspects(0.6, 0.3, "R1")
	one := onBench(t, biased(&divider{}))
	one.reads(flow.Scene{}, "x: absent", "y: good")
	one.volts(flow.Scene{}, 10.02)
	one.suspects(0.9, 0.05, "U1")
}

// What feeds the circuit comes from signal flow, and what hangs on it loads it.
func TestFlowFeedsAndLoadsSection(t *testing.T) {
	d := &divider{}
	u := onBench(t, biased(d))
	state := u.m.NewState()
	source := -1
	for i, c := range u.m.Candidates {
		if u.m.Items[c.Item].Name == "source of raw" && c.Mode.Output[signal.Absent] == 1 {
			source = i
		}
	}
	state.Foretell([]int{source}, &flow.Scene{})
	if bias := state.Nets[u.net("bias")]; bias[signal.Absent] < 0.99 {
		t.Errorf("with nothing to divide the rail is %v, want absent", bias)
	}
	d.asked = nil
	state.Foretell([]int{u.fault("U1", "supply shorted")}, &flow.Scene{})
	loaded := false
	for _, c := range d.asked {
		loaded = loaded || len(c.Loads) == 1 && c.Loads[0].Output == 0
	}
	if bias := state.Nets[u.net("bias")]; !loaded || bias[signal.Good] > 0.6 {
		t.Errorf("a shorted chip does not load its rail: %v after %+v", bias, d.asked)
	}
	if y := state.Nets[u.net("y")]; y[signal.Good] > 0.7 {
		t.Errorf("a shorted neighbour leaves y at %v", y)
	}
}

// A fault that may or may not latch is never averaged: 10.2 V and 0.2 V both fit
// it, 5 V does not, and what hangs on the rail goes with the number.
func TestTwoWays(t *testing.T) {
	u := onBench(t, biased(&divider{}))
	latch := u.fault("R2", "latches")
	density := func(volts float64, readings ...string) float64 {
		e := u.m.NewEvidence()
		v := &unit{t, u.m, e}
		v.volts(flow.Scene{}, volts)
		v.reads(flow.Scene{}, readings...)
		return e.Signals([]int{latch})
	}
	up, down, between := density(10), density(0.198), density(5)
	if between > up-4 || between > down-4 {
		t.Errorf("5 V (ln %.2f) fits a latch that gives 10 V (%.2f) or 0.2 V (%.2f)", between, up, down)
	}
	together, against := density(0.198, "x: absent"), density(0.198, "x: good")
	if together < against+2 {
		t.Errorf("with the rail at 0.2 V a dead chip (ln %.2f) should be far likelier than a live one (%.2f)", together, against)
	}
}

// What lies in the same stage but is not in its circuit lies over the rail: then
// the number speaks as it would without a circuit.
func TestBesideTheCircuit(t *testing.T) {
	u := onBench(t, biased(&divider{}))
	u.volts(flow.Scene{}, 6.3) // no fault of the resistors gives that
	u.suspects(0.4, 0.6, "rest of bias maker", "source of raw")
	if u.m.Simulated(u.item("U1")) || !u.m.Simulated(u.item("R1")) {
		t.Error("R1 is solved, U1 is not")
	}
}

// Replaced it is sound; lifted it is out of the circuit.
func TestSceneOfSection(t *testing.T) {
	d := &divider{}
	u := onBench(t, biased(d))
	state := u.m.NewState()
	open := u.fault("R2", "open")
	for _, c := range []struct {
		scene  flow.Scene
		failed int
		lifted int
	}{
		{flow.Scene{}, 1, 0},
		{flow.Scene{Replaced: []int{u.item("R2")}}, 0, 0},
		{flow.Scene{Lifted: []int{u.item("R2")}}, 0, 1},
		{flow.Scene{Off: true}, 1, 0},
	} {
		d.asked = nil
		state.Foretell([]int{open}, &c.scene)
		if got := d.asked[len(d.asked)-1]; len(got.Failing) != c.failed || len(got.Lifted) != c.lifted || got.Off != c.scene.Off {
			t.Errorf("%+v asks for %+v", c.scene, got)
		}
	}
}

// The answers of a test in numbers are ranges; their chances add up to one, and
// the range that holds what a fault gives has most.
func TestRanges(t *testing.T) {
	u := onBench(t, biased(&divider{}))
	test := flow.Test{Kind: flow.Probe, Net: u.net("bias"), Edges: []float64{1, 5, 15}, Number: flow.Number{To: -1, U: 0.05}}
	f := u.e.Foreteller([]flow.Test{test})
	for _, c := range []struct {
		fault  int
		answer int
	}{{u.fault("R1", "drifted high"), 1}, {u.fault("R2", "open"), 3}, {u.fault("R2", "leaky"), 0}} {
		chances := f.Chances([]int{c.fault})[0]
		sum := 0.0
		for _, p := range chances {
			sum += p
		}
		if math.Abs(sum-1) > 1e-9 || chances[c.answer] < 0.9 {
			t.Errorf("fault %d: %v, want most at %d", c.fault, chances, c.answer)
		}
	}
	sum := 0.0
	for _, p := range f.Undescribed(&test) {
		sum += p
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("undescribed adds up to %v", sum)
	}
	sound, _, deviations := f.Expect(0, test.Number, nil, &flow.Scene{})
	if len(sound) != 1 || deviations[0] <= 0 {
		t.Errorf("sound: %v ± %v", sound, deviations)
	}
}

// What a section is asked must be known to it.
func TestSectionRefused(t *testing.T) {
	d := biased(&divider{})
	d.Sections[0].Parts[0].Acts[0].Mode = "evaporated"
	if _, err := flow.Compile(d); err == nil {
		t.Error("an act of no mode is taken")
	}
}
