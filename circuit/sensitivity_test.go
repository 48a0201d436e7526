package circuit

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// tight moves a parameter a little both ways and solves anew each time.
func tight(t *testing.T, s *Solver, op *OperatingPoint, p Parameter, read func(*OperatingPoint) complex128) complex128 {
	t.Helper()
	value := p.Value()
	h := 1e-4 * math.Abs(value)
	if h == 0 {
		h = 1e-5
	}
	var got [2]complex128
	for i, v := range [2]float64{value + h, value - h} {
		s.put(p, v)
		s.restamp()
		moved, err := s.OperatingPointFrom(background, op.State())
		if err != nil {
			t.Fatal(err)
		}
		got[i] = read(moved)
	}
	s.put(p, value)
	s.restamp()
	return (got[0] - got[1]) / complex(2*h, 0)
}

// TestSensitivitiesDC compares the adjoint with solving anew, for voltages,
// currents and powers, by every parameter of every kind of part.
func TestSensitivitiesDC(t *testing.T) {
	for name, c := range map[string]*Circuit{"every kind of part": everything(), "trigger": schmitt(2.5), "board": board(3)} {
		s, err := c.Solver(Settings{})
		if err != nil {
			t.Fatal(err)
		}
		op, err := s.OperatingPoint(background)
		if err != nil {
			t.Fatal(err)
		}
		quantities := map[string][]Quantity{
			"every kind of part": {Voltage("m"), Current("V1"), PinCurrent("Q1", "collector"), Power("Q2"), Dissipation("U3"), Voltage("s"), Temperature("B1"), Voltage("p")},
			"trigger":            {Voltage("c2"), PinCurrent("Q1", "base"), Dissipation("Q2")},
			"board":              {Voltage("o2"), Current("RS1")},
		}[name]
		for _, q := range quantities {
			slopes, err := s.Sensitivities(op, q)
			if err != nil {
				t.Fatal(err)
			}
			largest, checked := 0.0, 0
			reading, err := op.Value(q)
			if err != nil {
				t.Fatal(err)
			}
			reading = math.Abs(reading)
			for _, slope := range slopes {
				largest = max(largest, math.Abs(slope.Relative))
			}
			for _, slope := range slopes {
				want := real(tight(t, s, op, slope.Parameter, func(o *OperatingPoint) complex128 {
					v, err := o.Value(q)
					if err != nil {
						t.Fatal(err)
					}
					return complex(v, 0)
				}))
				// A difference of solutions cannot resolve less than rounding.
				size := math.Abs(slope.Parameter.Value())
				if size == 0 {
					size = 0.1
				}
				if math.Abs(slope.Value-want)*size > 1e-4*math.Abs(want)*size+1e-7*largest+1e-8*reading {
					t.Errorf("%s: %v by %s of %s: adjoint %g, difference %g", name, q, slope.Name, slope.Part, slope.Value, want)
				}
				checked++
			}
			t.Logf("%s: %v by %d parameters", name, q, checked)
		}
	}
}

// TestSensitivitiesAC does so for small signals, whose sensitivities also go
// through the operating point.
func TestSensitivitiesAC(t *testing.T) {
	for name, c := range map[string]*Circuit{"every kind of part": everything(), "board": signalBoard()} {
		s, err := c.Solver(Settings{})
		if err != nil {
			t.Fatal(err)
		}
		op, err := s.OperatingPoint(background)
		if err != nil {
			t.Fatal(err)
		}
		quantities := map[string][]Quantity{
			"every kind of part": {Voltage("m"), Current("L1"), PinCurrent("Q1", "collector"), Current("C1"), Current("D1")},
			"board":              {Voltage("o2"), Current("RS1")},
		}[name]
		frequencies := []float64{100, 20e3}
		r, err := s.AC(background, op, frequencies)
		if err != nil {
			t.Fatal(err)
		}
		for i := range frequencies {
			for _, q := range quantities {
				slopes, err := r.Sensitivities(i, q)
				if err != nil {
					t.Fatal(err)
				}
				largest := 0.0
				for _, slope := range slopes {
					largest = max(largest, cmplx.Abs(slope.Value)*math.Abs(slope.Parameter.Value()))
				}
				for _, slope := range slopes {
					want := tight(t, s, op, slope.Parameter, func(o *OperatingPoint) complex128 {
						moved, err := s.AC(background, o, frequencies)
						if err != nil {
							t.Fatal(err)
						}
						z, err := moved.Value(i, q)
						if err != nil {
							t.Fatal(err)
						}
						return z
					})
					size := math.Abs(slope.Parameter.Value())
					if size == 0 {
						size = 0.1
					}
					if cmplx.Abs(slope.Value-want)*size > 1e-3*cmplx.Abs(want)*size+1e-6*largest {
						t.Errorf("%s at %g Hz: %v by %s of %s: adjoint %g, difference %g", name, frequencies[i], q, slope.Name, slope.Part, slope.Value, want)
					}
				}
			}
		}
	}
}

// signalBoard is a board with a small signal at its input.
func signalBoard() *Circuit {
	c := board(3)
	c.Add("VIN", VoltageSource{AC: 1}, "in", "gnd")
	c.Add("CIN", Capacitor{Capacitance: 1e-6}, "in", "b0")
	return c
}

// TestSpreadAgainstSampling: the tolerance worked out from sensitivities
// agrees with drawing parts at random, where the tolerances are small.
func TestSpreadAgainstSampling(t *testing.T) {
	c := board(2)
	for _, name := range []string{"R10", "R20", "RC0", "RE0", "RO0", "R11", "R21"} {
		c.Spread(name, "resistance", Tolerance{Spread: 0.01})
	}
	c.Spread("Q0", "gain", Tolerance{Spread: 0.05, Distribution: Normal})
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPoint(background)
	if err != nil {
		t.Fatal(err)
	}
	q := Voltage("o0")
	spread, err := s.Spread(background, op, q)
	if err != nil {
		t.Fatal(err)
	}
	const n = 4000
	values, err := s.Sample(background, n, rand.New(rand.NewPCG(7, 8)), func() (float64, error) {
		drawn, err := s.OperatingPointFrom(background, op.State())
		if err != nil {
			return 0, err
		}
		return drawn.Value(q)
	})
	if err != nil {
		t.Fatal(err)
	}
	_, sd, kurtosis := moments(values)
	if chance := 4 * sd / 2 * math.Sqrt((kurtosis-1)/n); math.Abs(sd-spread.Deviation) > chance+0.02*sd {
		t.Errorf("deviation %g by sensitivities, %g by sampling", spread.Deviation, sd)
	}
	for _, v := range values {
		if v < spread.Low || v > spread.High {
			t.Errorf("a draw gave %g, outside the extremes %g and %g", v, spread.Low, spread.High)
		}
	}
	if len(spread.Slopes) != 8 {
		t.Errorf("%d slopes", len(spread.Slopes))
	}
}

// TestStress: dissipation and shares of the rating of a divider, and the heat
// of a transistor as the power it takes in.
func TestStress(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 10}, "a", "gnd")
	c.Add("R1", Resistor{Resistance: 100}, "a", "b")
	c.Add("R2", Resistor{Resistance: 100}, "b", "gnd")
	c.Rate("R1", Rating{Power: 0.125, Voltage: 250, Current: 0.1})
	op := solve(t, c, State{})
	for _, s := range op.Stress() {
		if s.Part == "R1" && (!near(s.Dissipation, 0.25, 1e-9, 0) || !near(s.OfPower, 2, 1e-9, 0) || !near(s.OfVoltage, 0.02, 1e-9, 0) || !near(s.Worst(), 2, 1e-9, 0) || !near(s.OfCurrent, 0.5, 1e-9, 0)) {
			t.Errorf("%+v", s)
		}
	}
	op = solve(t, schmitt(4), State{})
	for _, part := range []string{"Q1", "Q2"} {
		power, err1 := op.Value(Power(part))
		heat, err2 := op.Value(Dissipation(part))
		if err1 != nil || err2 != nil || !near(power, heat, 1e-9, 0) {
			t.Errorf("%s takes in %g W and turns %g W into heat", part, power, heat)
		}
	}
}

// TestSpreadOfMeasured: what is found by taking each part to both ends of its
// tolerance agrees with the sensitivities, and names the same part first. For a
// divider the formula says it too: the slope is 12 V R1 R2/(R1+R2)², the deviation
// that times √(5 %² + 1 %²)/√3.
func TestSpreadOfMeasured(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 12}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 10e3}, "in", "mid")
	c.Add("R2", Resistor{Resistance: 4.7e3}, "mid", "gnd")
	c.Spread("R1", "resistance", Tolerance{Spread: 0.05})
	c.Spread("R2", "resistance", Tolerance{Spread: 0.01})
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	measured, err := s.SpreadOf(background, func() ([]float64, error) {
		op, err := s.OperatingPoint(background)
		if err != nil {
			return nil, err
		}
		v, err := op.Value(Voltage("mid"))
		return []float64{v}, err
	})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPoint(background)
	if err != nil {
		t.Fatal(err)
	}
	bySlope, err := s.Spread(background, op, Voltage("mid"))
	if err != nil {
		t.Fatal(err)
	}
	want := 12 * 10e3 * 4.7e3 / (14.7e3 * 14.7e3) * math.Sqrt(0.05*0.05+0.01*0.01) / math.Sqrt(3)
	for name, sp := range map[string]Spread{"measured": measured[0], "by slope": bySlope} {
		if !near(sp.Deviation, want, 2e-3, 0) || sp.Shares[0].Part != "R1" || !near(sp.Shares[0].Share, 25.0/26, 1e-3, 0) {
			t.Errorf("%s: %+v, want a deviation of %g V, 25/26 of its square from R1", name, sp, want)
		}
		// At the ends: 12 V·4.653/(4.653+10.5) and 12 V·4.747/(4.747+9.5).
		if !near(sp.Low, 3.6848, 3e-3, 0) || !near(sp.High, 3.9984, 3e-3, 0) {
			t.Errorf("%s: from %g V to %g V", name, sp.Low, sp.High)
		}
	}
	if r1, _, _ := c.Part("R1"); r1.(Resistor).Resistance != 10e3 || !near(measured[0].Nominal, bySlope.Nominal, 1e-12, 0) {
		t.Error("the parts are not as they were")
	}
}

// TestNothingHoldsIt: a node between capacitors has no voltage at rest that one
// could know, and a current into capacitors alone never comes to rest.
func TestNothingHoldsIt(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 10}, "in", "gnd")
	c.Add("C1", Capacitor{Capacitance: 1e-6}, "in", "mid")
	c.Add("C2", Capacitor{Capacitance: 1e-6}, "mid", "gnd")
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPoint(background)
	if err != nil || len(op.Loose) != 1 || op.Loose[0] != "mid" {
		t.Errorf("loose %v (%v)", op, err)
	}
	c.Add("I1", CurrentSource{DC: 1e-3}, "gnd", "mid")
	if s, err = c.Solver(Settings{}); err != nil {
		t.Fatal(err)
	}
	var no *NoSolution
	if _, err = s.OperatingPoint(background); !errors.As(err, &no) || no.Node != "mid" {
		t.Errorf("with a current into it: %v", err)
	}
}
