package circuit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// everything is a circuit in which every kind of part occurs once.
func everything() *Circuit {
	c := New("earth")
	// The common node is not the ground, so that no derivative goes unseen.
	c.Add("R0", Resistor{Resistance: 0.5}, "gnd", "earth")
	c.Add("V1", VoltageSource{DC: 12, AC: 1, Resistance: 0.1}, "in", "gnd")
	c.Add("V2", VoltageSource{DC: -12}, "neg", "gnd")
	c.Add("I1", CurrentSource{DC: 1e-3, AC: 1e-3}, "in", "a")
	c.Add("R1", Resistor{Resistance: 1e3}, "a", "gnd")
	c.Add("C1", Capacitor{Capacitance: 1e-6, SeriesResistance: 0.1, LeakageResistance: 1e6}, "a", "gnd")
	c.Add("L1", Inductor{Inductance: 1e-3, Resistance: 1}, "in", "b")
	c.Add("L2", Inductor{Inductance: 2e-3, Resistance: 2}, "c", "gnd")
	c.Add("K1", Coupling{First: "L1", Second: "L2", Factor: 0.9})
	c.Add("RB", Resistor{Resistance: 100}, "b", "gnd")
	c.Add("RC", Resistor{Resistance: 100}, "c", "gnd")
	c.Add("T1", Transformer{Magnetizing: 10e-3, CoreLoss: 2e3, Windings: []Winding{{Turns: 100, Resistance: 1, Leakage: 1e-5}, {Turns: 20, Resistance: 0.1}}}, "b", "gnd", "d", "gnd")
	c.Add("RD", Resistor{Resistance: 50}, "d", "gnd")
	c.Add("D1", Diode{SeriesResistance: 1, Breakdown: 50, JunctionCapacitance: 1e-11, StorageTime: 1e-8}, "a", "e")
	c.Add("RE", Resistor{Resistance: 500}, "e", "gnd")
	c.Add("Z1", Zener{Voltage: 5.1}, "gnd", "f")
	c.Add("RF", Resistor{Resistance: 500}, "in", "f")
	c.Add("D2", StraightDiode{ForwardDrop: 0.7, SlopeResistance: 0.1}, "in", "g")
	c.Add("RG", Resistor{Resistance: 500}, "g", "gnd")
	c.Add("Q1", SmallTransistor(N), "h", "f", "i")
	c.Add("RH", Resistor{Resistance: 1e3}, "in", "h")
	c.Add("RI", Resistor{Resistance: 1e3}, "i", "gnd")
	c.Add("Q2", SmallTransistor(P), "j", "h", "in")
	c.Add("RJ", Resistor{Resistance: 2e3}, "j", "gnd")
	c.Add("M1", PowerMOSFET(0), "k", "f", "gnd")
	c.Add("RK", Resistor{Resistance: 1e3}, "in", "k")
	c.Add("J1", JFET{OutputSlope: 0.01, GateSourceCapacitance: 1e-12, GateDrainCapacitance: 1e-12}, "in", "gnd", "l")
	c.Add("RL", Resistor{Resistance: 1e3}, "l", "gnd")
	c.Add("U1", GeneralOpAmp(), "f", "m", "m", "in", "neg")
	c.Add("RM", Resistor{Resistance: 2e3}, "m", "gnd")
	c.Add("U2", Comparator{High: 5, Low: 0.2, OutputResistance: 50}, "f", "a", "n")
	c.Add("RN", Resistor{Resistance: 1e3}, "n", "gnd")
	c.Add("U3", Regulator{Output: 5, ThermalResistance: 20, FoldbackVoltage: 15}, "in", "o", "gnd")
	c.Add("RO", Resistor{Resistance: 50}, "o", "gnd")
	c.Add("U4", Reference{Voltage: 0.3}, "p", "gnd", "q")
	c.Add("RP", Resistor{Resistance: 470}, "in", "p")
	c.Add("RQ", Potentiometer{Resistance: 10e3, Position: 0.5, WiperResistance: 1}, "p", "q", "gnd")
	c.Add("OC1", Optocoupler{Bandwidth: 50e3}, "o", "r", "s", "gnd")
	c.Add("RR", Resistor{Resistance: 1e3}, "r", "gnd")
	c.Add("RS", Resistor{Resistance: 4.7e3}, "in", "s")
	c.Add("SCR1", Thyristor{}, "t", "gnd", "u")
	c.Add("RT", Resistor{Resistance: 100}, "in", "t")
	c.Add("RU", Resistor{Resistance: 1e3}, "o", "u")
	c.Add("TR1", Triac{}, "v", "gnd", "w")
	c.Add("RV", Resistor{Resistance: 100}, "in", "v")
	c.Add("RW", Resistor{Resistance: 100}, "neg", "w")
	c.Add("S1", Switch{Closed: true, OnResistance: 0.1, OffResistance: 1e6}, "in", "x")
	c.Add("RX", Resistor{Resistance: 1e3}, "x", "gnd")
	c.Add("F1", Fuse{Rated: 1}, "in", "y")
	c.Add("B1", Lamp{RatedVoltage: 12, RatedCurrent: 0.1}, "y", "gnd")
	c.Add("K2", Relay{CoilResistance: 300, CoilInductance: 0.5, PullIn: 20e-3}, "y", "gnd", "in", "z", "aa")
	c.Add("RZ", Resistor{Resistance: 1e3}, "z", "gnd")
	c.Add("RAA", Resistor{Resistance: 1e3}, "aa", "gnd")
	return c
}

// TestJacobian compares what each kind of part says of its derivatives with
// differences of what it says of its currents and charges, at random points.
func TestJacobian(t *testing.T) {
	s, err := everything().Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 4))
	for i := range s.timed {
		s.timed[i].atRest(false)
	}
	for trial := range 40 {
		for _, d := range s.switches {
			d.setMode(d.mode() ^ random.IntN(2)&b2i(trial > 20))
		}
		s.restamp()
		p := s.newPoint()
		for u := 1; u < len(p.x); u++ {
			switch s.unknowns[u].nature {
			case voltage:
				p.x[u] = 4 * random.Float64()
			case current:
				p.x[u] = 0.3*random.Float64() - 0.1
			case temperature:
				p.x[u] = 100 * random.Float64()
			default:
				p.x[u] = random.Float64()
			}
		}
		// Junctions of 4 V carry more than any rounding could follow.
		for u := range p.x {
			p.x[u] *= 0.2
		}
		s.evaluate(&p)
		g, c := append([]float64(nil), p.g...), append([]float64(nil), p.c...)
		x := append([]float64(nil), p.x...)
		for u := 1; u < len(x); u++ {
			h := 1e-6
			difference := func(read func() []float64) []float64 {
				p.x[u] = x[u] + h
				s.evaluate(&p)
				high := append([]float64(nil), read()...)
				p.x[u] = x[u] - h
				s.evaluate(&p)
				low := read()
				for i := range high {
					high[i] = (high[i] - low[i]) / (2 * h)
				}
				p.x[u] = x[u]
				return high
			}
			df := difference(func() []float64 { return p.f })
			dq := difference(func() []float64 {
				rows := make([]float64, len(p.f))
				for k, st := range s.stores {
					rows[st.plus] += p.q[k]
					rows[st.minus] -= p.q[k]
				}
				return rows
			})
			for row := 1; row < len(x); row++ {
				want := [2]float64{}
				if slot, ok := s.slotOf[[2]int{row, u}]; ok {
					want = [2]float64{g[slot], c[slot]}
				}
				for i, got := range [2]float64{df[row], dq[row]} {
					scale := math.Abs(want[i]) + math.Abs(p.f[row])*[2]float64{1, 0}[i] + [2]float64{1e-3, 1e-9}[i]
					if math.Abs(got-want[i]) > 2e-4*scale {
						t.Fatalf("trial %d: row %q by %q (%s): difference %g, derivative %g", trial, s.unknowns[row].label, s.unknowns[u].label, [2]string{"current", "charge"}[i], got, want[i])
					}
				}
			}
		}
	}
}
