package circuit

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// ringing is a damped series circuit behind a step.
func ringing() *Circuit {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Sine{Peak: 10, Frequency: 5e3}}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 10}, "in", "a")
	c.Add("L1", Inductor{Inductance: 1e-3}, "a", "out")
	c.Add("C1", Capacitor{Capacitance: 1e-6}, "out", "gnd")
	c.Add("D1", Diode{JunctionCapacitance: 1e-8}, "out", "b")
	c.Add("R2", Resistor{Resistance: 100}, "b", "gnd")
	return c
}

// TestOrderTwo: halving the steps divides the error by four.
func TestOrderTwo(t *testing.T) {
	end := func(steps int) float64 {
		s, err := ringing().Solver(Settings{Accuracy: 1e-10, VoltageFloor: 1e-12, CurrentFloor: 1e-15})
		if err != nil {
			t.Fatal(err)
		}
		const span = 2e-4
		st, err := s.begin(background, atRest, State{}, span)
		if err != nil {
			t.Fatal(err)
		}
		st.fixed, st.h, st.longest = true, (span-st.t)/float64(steps), math.Inf(1)
		tr, err := s.newTrace([]Quantity{Voltage("out")})
		if err != nil {
			t.Fatal(err)
		}
		if err := st.follow(span, tr, nil, nil); err != nil {
			t.Fatal(err)
		}
		return tr.end[0][len(tr.end[0])-1]
	}
	exact := end(20000)
	coarse, fine := math.Abs(end(200)-exact), math.Abs(end(400)-exact)
	order := math.Log2(coarse / fine)
	t.Logf("errors %.3g and %.3g: order %.3f", coarse, fine, order)
	if order < 1.9 || order > 2.2 {
		t.Errorf("order %.3f from errors %g and %g", order, coarse, fine)
	}
}

// TestAccuracy: the error of a run goes down with the accuracy asked for.
func TestAccuracy(t *testing.T) {
	run := func(accuracy float64) (float64, int) {
		s, err := ringing().Solver(Settings{Accuracy: accuracy, VoltageFloor: accuracy * 1e-2, CurrentFloor: accuracy * 1e-5})
		if err != nil {
			t.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: 1e-3, Record: []Quantity{Voltage("out")}})
		if err != nil {
			t.Fatal(err)
		}
		v, err := tr.At(Voltage("out"), 1e-3)
		if err != nil {
			t.Fatal(err)
		}
		return v, s.stepper.steps
	}
	exact, _ := run(1e-10)
	last := math.Inf(1)
	for _, accuracy := range []float64{1e-3, 1e-5, 1e-7} {
		v, steps := run(accuracy)
		e := math.Abs(v - exact)
		t.Logf("accuracy %g: error %.3g V in %d steps", accuracy, e, steps)
		if e > 300*accuracy*10 || e > last {
			t.Errorf("accuracy %g: error %g V", accuracy, e)
		}
		last = e
	}
}

// TestEnergyOverPeriod: over a period of a periodic state the stores give back
// what they took, so that all sources deliver what all parts turn into heat.
func TestEnergyOverPeriod(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 48}, "in", "gnd")
	c.Add("T1", Transformer{Magnetizing: 400e-6, Windings: []Winding{{Turns: 40, Resistance: 0.3, Leakage: 4e-6}, {Turns: 10, Resistance: 0.03, Leakage: 1e-7}}}, "in", "x", "gnd", "s")
	c.Add("S1", Switch{OnResistance: 0.2, Period: 1e-5, Duty: 0.4}, "x", "gnd")
	c.Add("DC1", StraightDiode{ForwardDrop: 0.8, SlopeResistance: 0.1}, "x", "clamp")
	c.Add("CC", Capacitor{Capacitance: 1e-7}, "clamp", "in")
	c.Add("RC", Resistor{Resistance: 1.5e3}, "clamp", "in")
	c.Add("D1", StraightDiode{ForwardDrop: 0.4, SlopeResistance: 0.02}, "s", "out")
	c.Add("CO", Capacitor{Capacitance: 220e-6, SeriesResistance: 0.04}, "out", "gnd")
	c.Add("RL", Resistor{Resistance: 5}, "out", "gnd")
	s, err := c.Solver(Settings{Accuracy: 1e-7, VoltageFloor: 1e-8, CurrentFloor: 1e-11})
	if err != nil {
		t.Fatal(err)
	}
	quantities := []Quantity{Power("V1")}
	for _, name := range c.Names()[1:] {
		quantities = append(quantities, Dissipation(name))
	}
	st, err := s.Steady(background, Repeat{Cold: true, Record: quantities, Stress: true})
	if err != nil {
		t.Fatal(err)
	}
	var heat, in float64
	for i, q := range quantities {
		r, err := st.Whole(q)
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			in = -r.Mean
		} else {
			heat += r.Mean
		}
	}
	t.Logf("%g W in, %g W of heat, %d periods", in, heat, st.Periods)
	if !near(in, heat, 1e-4, 0) || in < 10 {
		t.Errorf("%g W go in, %g W become heat", in, heat)
	}
	for _, stress := range st.Stress(c) {
		if r, err := st.Whole(Dissipation(stress.Part)); stress.Part != "V1" && (err != nil || !near(r.Mean, stress.Dissipation, 2e-2, 1e-3)) {
			t.Errorf("%s: stress says %g W, the mean is %g W", stress.Part, stress.Dissipation, r.Mean)
		}
	}
}

// TestAgainstMatrixExponential compares random circuits of resistors,
// capacitors and inductors with the matrix exponential of their state
// equations (by gonum).
func TestAgainstMatrixExponential(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// A ladder: node k is fed from node k-1 through r and l in series, and
		// holds c and a conductance to ground. States: v(k), i(k).
		n := rapid.IntRange(1, 4).Draw(t, "sections")
		value := func(name string, middle float64) float64 {
			return middle * math.Pow(10, rapid.Float64Range(-1, 1).Draw(t, name))
		}
		emf := rapid.Float64Range(-10, 10).Draw(t, "emf")
		c := New("n0")
		c.Add("V", VoltageSource{DC: emf}, "in", "n0")
		size := 2 * n
		a := mat.NewDense(size+1, size+1, nil) // the source is a last, constant state
		last := "in"
		for k := range n {
			r, l, cap, load := value("r", 10), value("l", 1e-4), value("c", 1e-6), value("load", 1e3)
			v0 := rapid.Float64Range(-5, 5).Draw(t, "v0")
			i0 := rapid.Float64Range(-0.1, 0.1).Draw(t, "i0")
			node := fmt.Sprint("v", k)
			c.Add(fmt.Sprint("L", k), Inductor{Inductance: l, Resistance: r, InitialCurrent: i0}, last, node)
			c.Add(fmt.Sprint("C", k), Capacitor{Capacitance: cap, InitialVoltage: v0}, node, "n0")
			c.Add(fmt.Sprint("R", k), Resistor{Resistance: load}, node, "n0")
			last = node
			v, i := 2*k, 2*k+1
			a.Set(v, i, 1/cap)
			a.Set(v, v, -1/(load*cap))
			if k+1 < n {
				a.Set(v, i+2, -1/cap)
			}
			a.Set(i, v, -1/l)
			a.Set(i, i, -r/l)
			if k > 0 {
				a.Set(i, v-2, 1/l)
			} else {
				a.Set(i, size, emf/l)
			}
		}
		const span = 2e-5
		s, err := c.Solver(Settings{Accuracy: 1e-8, VoltageFloor: 1e-9, CurrentFloor: 1e-11})
		if err != nil {
			t.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: span, Cold: true, Record: []Quantity{Voltage("v0"), Current("L0")}})
		if err != nil {
			t.Fatal(err)
		}
		var e mat.Dense
		a.Scale(span, a)
		e.Exp(a)
		x0 := mat.NewVecDense(size+1, nil)
		x0.SetVec(size, 1)
		for k := range n {
			capacitor, _, _ := c.Part(fmt.Sprint("C", k))
			winding, _, _ := c.Part(fmt.Sprint("L", k))
			x0.SetVec(2*k, capacitor.(Capacitor).InitialVoltage)
			x0.SetVec(2*k+1, winding.(Inductor).InitialCurrent)
		}
		var x mat.VecDense
		x.MulVec(&e, x0)
		for k, q := range []Quantity{Voltage("v0"), Current("L0")} {
			got, err := tr.At(q, span)
			if err != nil || math.Abs(got-x.AtVec(k)) > 1e-5*[2]float64{10, 1}[k] {
				t.Fatalf("%v: %.9g, by the exponential %.9g (%v)", q, got, x.AtVec(k), err)
			}
		}
	})
}

// TestNoAllocation: neither a Newton iteration nor a time step allocates.
func TestNoAllocation(t *testing.T) {
	s, err := ringing().Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := s.begin(background, atRest, State{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	st.longest = 1e-5
	step := func() {
		if _, err := st.advance(1); err != nil {
			t.Fatal(err)
		}
	}
	for range 50 {
		step()
	}
	if n := testing.AllocsPerRun(200, step); n != 0 {
		t.Errorf("a time step allocates %g times", n)
	}
	if _, err := s.OperatingPoint(background); err != nil {
		t.Fatal(err)
	}
	s.atRest(true)
	if n := testing.AllocsPerRun(200, func() {
		clear(s.point.x)
		if err := s.newton(0, nil, 100); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("Newton's method allocates %g times", n)
	}
	// And with parts that switch.
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 24}, "in", "gnd")
	c.Add("S1", Switch{OnResistance: 0.1, Period: 1e-5, Duty: 0.5}, "in", "x")
	c.Add("D1", StraightDiode{ForwardDrop: 0.5}, "gnd", "x")
	c.Add("L1", Inductor{Inductance: 1e-4}, "x", "out")
	c.Add("C1", Capacitor{Capacitance: 47e-6}, "out", "gnd")
	c.Add("RL", Resistor{Resistance: 60}, "out", "gnd")
	b, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	sb, err := b.begin(background, cold, State{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := b.newTrace(nil)
	if err != nil {
		t.Fatal(err)
	}
	period := 0
	follow := func() {
		tr.clear()
		tr.record(sb, false)
		period++
		if err := sb.follow(float64(period)*1e-5, tr, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	for range 400 {
		follow()
	}
	if n := testing.AllocsPerRun(200, follow); n != 0 {
		t.Errorf("a period of a converter allocates %g times", n)
	}
}

// TestFloatingWinding: while all diodes of a bridge block, the winding hangs on
// their picofarads alone. Its voltage is followed as closely as that of any node:
// the difference from a run of a thousandth of the error allowed is of the size
// of what was asked for.
func TestFloatingWinding(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Sine{Peak: 17, Frequency: 50}, Resistance: 0.6}, "a", "b")
	for i, nodes := range [][2]string{{"a", "raw"}, {"b", "raw"}, {"gnd", "a"}, {"gnd", "b"}} {
		c.Add(fmt.Sprint("D", i+1), Rectifier(1, 400), nodes[0], nodes[1])
	}
	c.Add("C1", Capacitor{Capacitance: 470e-6, SeriesResistance: 0.05}, "raw", "gnd")
	c.Add("R1", Resistor{Resistance: 100}, "raw", "gnd")
	c.Add("R2", Resistor{Resistance: 10e6}, "b", "gnd") // a meter
	follow := func(accuracy float64) *Trace {
		s, err := c.Solver(Settings{Accuracy: accuracy})
		if err != nil {
			t.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: 60e-3, Cold: true, Record: []Quantity{Voltage("b")}})
		if err != nil {
			t.Fatal(err)
		}
		return tr
	}
	exact := follow(1e-7)
	for _, accuracy := range []float64{1e-3, 1e-4, 1e-5} {
		tr := follow(accuracy)
		worst := 0.0
		for k := range 2000 {
			at := 20e-3 + 40e-3*float64(k)/2000
			v, err1 := tr.At(Voltage("b"), at)
			w, err2 := exact.At(Voltage("b"), at)
			if err := first(err1, err2); err != nil {
				t.Fatal(err)
			}
			worst = max(worst, math.Abs(v-w))
		}
		t.Logf("accuracy %g: off by %.2g V at most, in %d steps", accuracy, worst, len(tr.Time))
		if worst > 40*math.Pow(accuracy, 2.0/3) {
			t.Errorf("accuracy %g: off by %g V", accuracy, worst)
		}
	}
}
