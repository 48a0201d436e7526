package circuit

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// twoSecondaries is the mains supply as a restorer would draw it: a transformer
// with two secondaries, wire resistances, no leakage of their own, nothing across
// them. The bridge of one and the rectifier of the other take turns.
func twoSecondaries(transformer func(c *Circuit, primary, a, b, x string)) *Circuit {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Mains{RMS: 230}, Resistance: 2}, "live", "gnd")
	transformer(c, "live", "a", "b", "x")
	for i, nodes := range [][2]string{{"a", "raw"}, {"b", "raw"}, {"gnd", "a"}, {"gnd", "b"}} {
		c.Add(fmt.Sprint("D", i+1), Rectifier(3, 200), nodes[0], nodes[1])
	}
	c.Add("C1", Electrolytic(3300e-6), "raw", "gnd")
	c.Add("R1", Resistor{Resistance: 40}, "raw", "gnd")
	c.Add("D5", Rectifier(1, 200), "minus", "x")
	c.Add("C2", Electrolytic(470e-6), "minus", "gnd")
	c.Add("R2", Resistor{Resistance: 700}, "minus", "gnd")
	return c
}

// TestFullyCoupledWindings: a core told by its flux, the same as inductors with
// a coupling factor of 1, and the same with a factor a little below agree, and
// all can be followed at any accuracy.
func TestFullyCoupledWindings(t *testing.T) {
	const magnetizing = 12.0
	turns := []float64{1150, 85, 60}
	ohms := []float64{40, 0.4, 1.5}
	core := func(c *Circuit, primary, a, b, x string) {
		c.Add("T1", Transformer{Magnetizing: magnetizing, Windings: []Winding{
			{Turns: turns[0], Resistance: ohms[0]}, {Turns: turns[1], Resistance: ohms[1]}, {Turns: turns[2], Resistance: ohms[2]}}}, primary, "gnd", a, b, x, "gnd")
	}
	inductors := func(k float64) func(c *Circuit, primary, a, b, x string) {
		return func(c *Circuit, primary, a, b, x string) {
			for i, nodes := range [][2]string{{primary, "gnd"}, {a, b}, {x, "gnd"}} {
				c.Add(fmt.Sprint("L", i+1), Inductor{Inductance: magnetizing * math.Pow(turns[i]/turns[0], 2), Resistance: ohms[i]}, nodes[0], nodes[1])
			}
			c.Add("K12", Coupling{"L1", "L2", k})
			c.Add("K13", Coupling{"L1", "L3", k})
			c.Add("K23", Coupling{"L2", "L3", k})
		}
	}
	read := func(transformer func(c *Circuit, primary, a, b, x string), accuracy float64) (raw, minus float64) {
		s, err := twoSecondaries(transformer).Solver(Settings{Accuracy: accuracy, MaxSteps: 200_000})
		if err != nil {
			t.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: 60e-3, Cold: true, Record: []Quantity{Voltage("raw"), Voltage("minus")}})
		if err != nil {
			t.Fatalf("accuracy %g: %v", accuracy, err)
		}
		a, err1 := tr.Over(Voltage("raw"), 40e-3, 60e-3)
		b, err2 := tr.Over(Voltage("minus"), 40e-3, 60e-3)
		if err := first(err1, err2); err != nil {
			t.Fatal(err)
		}
		return a.Mean, b.Mean
	}
	raw, minus := read(core, 1e-6)
	if raw < 16 || raw > 24 || minus > -10 || minus < -18 {
		t.Errorf("raw %g V, minus %g V", raw, minus)
	}
	for _, c := range []struct {
		name        string
		transformer func(c *Circuit, primary, a, b, x string)
		accuracy    float64
		within      float64
	}{
		{"core", core, 1e-2, 3e-2}, {"core", core, 1e-3, 2e-3}, {"core", core, 1e-4, 3e-4}, {"core", core, 1e-5, 3e-5},
		{"inductors, k = 1", inductors(1), 1e-3, 2e-3}, {"inductors, k = 1", inductors(1), 1e-5, 3e-5},
		{"inductors, k = 0.9999999", inductors(0.9999999), 1e-4, 3e-4},
	} {
		r, m := read(c.transformer, c.accuracy)
		if math.Abs(r/raw-1) > c.within || math.Abs(m/minus-1) > c.within {
			t.Errorf("%s, accuracy %g: raw %g V, minus %g V; closely solved %g V and %g V", c.name, c.accuracy, r, m, raw, minus)
		}
	}
}

// TestCurrentJumps: 10 mA in a winding of 100 turns, switched off, goes on as 100 mA
// in the one of 10 turns on the same core (ampere-turns are continuous), and dies
// away with L/R of that side: 1 H·(10/100)²/10 Ω = 1 ms.
func TestCurrentJumps(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 10}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 1e3}, "in", "p")
	c.Add("V2", VoltageSource{Wave: Step{To: 1, At: 2e-3}}, "hand", "gnd")
	c.Add("S1", Switch{OnResistance: 1e-3, Closed: true, OpenWhen: &Condition{Of: Voltage("hand"), Level: 0.5}}, "p", "w")
	c.Add("T1", Transformer{Magnetizing: 1, Windings: []Winding{{Turns: 100}, {Turns: 10}}}, "w", "gnd", "s", "gnd")
	c.Add("D1", StraightDiode{}, "load", "s") // carries when the voltage turns round
	c.Add("R2", Resistor{Resistance: 10}, "load", "gnd")
	s, err := c.Solver(Settings{Accuracy: 1e-6})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: 5e-3, Record: []Quantity{Current("R2"), Current("R1")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []float64{2.001e-3, 2.5e-3, 3e-3, 4e-3} {
		i, err := tr.At(Current("R2"), at)
		if want := 0.1 * math.Exp(-(at-2e-3)/1e-3); err != nil || math.Abs(math.Abs(i)-want) > 2e-6 {
			t.Errorf("at %g s: %g A, want %g A (%v)", at, i, want, err)
		}
	}
}

// TestEnergyWithoutLeakage: over a period of a flyback whose windings share all of
// their flux, what the source gives is what the parts, core included, turn into
// heat.
func TestEnergyWithoutLeakage(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 48}, "in", "gnd")
	c.Add("T1", Transformer{Magnetizing: 400e-6, CoreLoss: 5e3, Windings: []Winding{{Turns: 40, Resistance: 0.3}, {Turns: 10, Resistance: 0.03}, {Turns: 10, Resistance: 0.3}}},
		"in", "x", "gnd", "s", "gnd", "aux")
	c.Add("S1", Switch{OnResistance: 0.2, Period: 1e-5, Duty: 0.4}, "x", "gnd")
	c.Add("D1", StraightDiode{ForwardDrop: 0.4, SlopeResistance: 0.02}, "s", "out")
	c.Add("CO", Capacitor{Capacitance: 220e-6, SeriesResistance: 0.04}, "out", "gnd")
	c.Add("RL", Resistor{Resistance: 5}, "out", "gnd")
	c.Add("D2", StraightDiode{ForwardDrop: 0.7, SlopeResistance: 0.1}, "aux", "low")
	c.Add("CA", Capacitor{Capacitance: 22e-6, SeriesResistance: 0.1}, "low", "gnd")
	c.Add("RA", Resistor{Resistance: 100}, "low", "gnd")
	s, err := c.Solver(Settings{Accuracy: 1e-7, VoltageFloor: 1e-8, CurrentFloor: 1e-11})
	if err != nil {
		t.Fatal(err)
	}
	quantities := []Quantity{Power("V1")}
	for _, name := range c.Names()[1:] {
		quantities = append(quantities, Dissipation(name))
	}
	st, err := s.Steady(background, Repeat{Cold: true, Record: quantities})
	if err != nil {
		t.Fatal(err)
	}
	var in, heat float64
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
	t.Logf("%g W in, %g W of heat", in, heat)
	if !near(in, heat, 1e-4, 0) || in < 10 {
		t.Errorf("%g W go in, %g W become heat", in, heat)
	}
}

// TestCoupledInductors: random sets of two to four coupled inductors, some of them
// fully, show the impedances of their matrix of inductances (solved densely by
// gonum).
func TestCoupledInductors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 4).Draw(t, "windings")
		cores := rapid.IntRange(1, n).Draw(t, "cores") // fewer than windings: some are fully coupled
		turns := make([][]float64, n)
		for i := range turns {
			for range cores {
				turns[i] = append(turns[i], float64(rapid.IntRange(-9, 9).Draw(t, "turns"))+0.5)
			}
		}
		l := func(i, j int) (sum float64) {
			for k := range cores {
				sum += 1e-4 * turns[i][k] * turns[j][k]
			}
			return sum
		}
		c := New("gnd")
		w := 2 * math.Pi * 1000
		// Real and imaginary parts side by side: (R + jωL) i = v.
		a, b := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
		for i := range n {
			r := math.Pow(10, rapid.Float64Range(-1, 2).Draw(t, "ohms"))
			v := rapid.Float64Range(-10, 10).Draw(t, "volts")
			c.Add(fmt.Sprint("V", i), VoltageSource{AC: v}, fmt.Sprint("v", i), "gnd")
			c.Add(fmt.Sprint("L", i), Inductor{Inductance: l(i, i), Resistance: r}, fmt.Sprint("v", i), "gnd")
			b.SetVec(i, v)
			for j := range n {
				if i == j {
					a.Set(i, i, r)
					a.Set(n+i, n+i, r)
				}
				a.Set(i, n+j, -w*l(i, j))
				a.Set(n+i, j, w*l(i, j))
				if j < i {
					c.Add(fmt.Sprint("K", i, j), Coupling{fmt.Sprint("L", i), fmt.Sprint("L", j), max(-1, min(1, l(i, j)/math.Sqrt(l(i, i)*l(j, j))))})
				}
			}
		}
		var want mat.VecDense
		if err := want.SolveVec(a, b); err != nil { // each winding has a resistance: there is one answer
			t.Fatal(err)
		}
		s, err := c.Solver(Settings{})
		if err != nil {
			t.Fatal(err)
		}
		op, err := s.OperatingPoint(background)
		if err != nil {
			t.Fatal(err)
		}
		response, err := s.AC(background, op, []float64{1000})
		if err != nil {
			t.Fatal(err)
		}
		for i := range n {
			got, err := response.Value(0, Current(fmt.Sprint("L", i)))
			if exact := complex(want.AtVec(i), want.AtVec(n+i)); err != nil || cmplx.Abs(got-exact) > 1e-6*(cmplx.Abs(exact)+mat.Norm(&want, 2)) {
				t.Fatalf("winding %d carries %v, want %v (%v)", i, got, exact, err)
			}
		}
	})
}

// TestImpossibleCoupling: two windings that share all flux with a third share it
// with each other; less than nothing cannot be stored.
func TestImpossibleCoupling(t *testing.T) {
	build := func(k12, k13, k23 float64) error {
		c := New("gnd")
		c.Add("V1", VoltageSource{DC: 1, Resistance: 1}, "a", "gnd")
		for i := range 3 {
			c.Add(fmt.Sprint("L", i+1), Inductor{Inductance: 1e-3, Resistance: 1}, "a", "gnd")
		}
		c.Add("K1", Coupling{"L1", "L2", k12})
		c.Add("K2", Coupling{"L1", "L3", k13})
		c.Add("K3", Coupling{"L2", "L3", k23})
		_, err := c.Solver(Settings{})
		return err
	}
	for _, c := range []struct {
		k    [3]float64
		want string
	}{
		{[3]float64{1, 1, 1}, ""}, {[3]float64{0.9, 0.9, 0.9}, ""}, {[3]float64{1, -1, -1}, ""}, {[3]float64{1, 0.5, 0.5}, ""},
		{[3]float64{0.9, 0.9, 0.1}, "less energy than none"}, {[3]float64{1, 1, 0.5}, "make the coupling factors agree"}, {[3]float64{1, 1, -1}, "make the coupling factors agree"},
	} {
		err := build(c.k[0], c.k[1], c.k[2])
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("factors %v: %v, want %q", c.k, err, c.want)
		}
	}
}

// TestNamesOfUnknowns: no two unknowns of a circuit with every kind of part have the
// same name, as a state is kept by names.
func TestNamesOfUnknowns(t *testing.T) {
	for _, c := range []*Circuit{everything(), flyback()} {
		s, err := c.Solver(Settings{})
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, u := range s.unknowns {
			if seen[u.label] {
				t.Errorf("two unknowns are called %q", u.label)
			}
			seen[u.label] = true
		}
	}
}
