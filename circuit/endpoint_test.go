package circuit

import (
	"fmt"
	"math"
	"testing"
)

// imbalance is the worst share of the current at any node that Kirchhoff's law
// leaves over at the end of the last step, with every part evaluated anew where it
// stands. What is below a microampere is not looked at.
func (st *stepper) imbalance(p *point, sum, size, into []float64) (worst float64, node string) {
	s := st.s
	copy(p.x, st.x)
	copy(p.rate, st.rate)
	p.t, p.first, p.eager, p.still = st.t, false, false, false
	s.evaluate(p)
	clear(sum)
	clear(size)
	for at, d := range s.devices {
		pins := into[:s.pins[at]]
		clear(pins)
		d.currents(p, pins)
		for k, i := range pins {
			u := s.own[at][k]
			sum[u] += i
			size[u] += math.Abs(i)
		}
	}
	for u := 1; u < len(s.names); u++ {
		if share := math.Abs(sum[u]) / (size[u] + 1e-6); share > worst {
			worst, node = share, s.names[u]
		}
	}
	return worst, node
}

// besideMains has parts whose laws bend within millivolts beside nodes of 325 V: an
// op-amp that runs against its supplies and its current limit, a regulator that
// drops out in each valley, transistors, a zener.
func besideMains() *Circuit {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Mains{RMS: 230}, Resistance: 10}, "live", "gnd")
	c.Add("D1", Rectifier(1, 800), "live", "high")
	c.Add("C1", Capacitor{Capacitance: 10e-6, SeriesResistance: 1}, "high", "gnd")
	c.Add("R1", Resistor{Resistance: 4.7e3}, "high", "low")
	c.Add("D2", Zener{Voltage: 15}, "gnd", "low")
	c.Add("C2", Capacitor{Capacitance: 47e-6, SeriesResistance: 0.5}, "low", "gnd")
	c.Add("U1", Regulator{Output: 12, Dropout: 2}, "low", "twelve", "gnd")
	c.Add("C3", Capacitor{Capacitance: 1e-6, SeriesResistance: 0.1}, "twelve", "gnd")
	c.Add("R2", Resistor{Resistance: 390}, "twelve", "gnd")
	c.Add("R3", Resistor{Resistance: 1e6}, "live", "plus")
	c.Add("R4", Resistor{Resistance: 22e3}, "plus", "gnd")
	c.Add("U2", GeneralOpAmp(), "plus", "minus", "out", "twelve", "gnd")
	c.Add("R5", Resistor{Resistance: 1e3}, "minus", "gnd")
	c.Add("R6", Resistor{Resistance: 10e3}, "out", "minus")
	c.Add("R7", Resistor{Resistance: 220}, "out", "base")
	c.Add("Q1", SmallTransistor(N), "collector", "base", "gnd")
	c.Add("R8", Resistor{Resistance: 100e3}, "high", "collector")
	return c
}

// TestEndPoints: however coarse the accuracy asked for, a step is not accepted with
// an end at which the currents do not add up. Beside nodes of 300 V, of which 1 % is
// 3 V, a junction is wrong by powers of ten when its 0.7 V is. Currents may be a few
// per cent off where Newton's method stopped, by what a quarter of a junction's
// swing leaves. Coarser than 1e-3, where quickness is asked for, one step in some
// thousands may be further off.
func TestEndPoints(t *testing.T) {
	for _, c := range []struct {
		name    string
		circuit *Circuit
		until   float64
	}{{"flyback", flyback(), 2e-3}, {"beside the mains", besideMains(), 0.1}} {
		for _, accuracy := range []float64{1e-2, 3e-3, 1e-3, 1e-4} {
			s, err := c.circuit.Solver(Settings{Accuracy: accuracy})
			if err != nil {
				t.Fatal(err)
			}
			st, err := s.begin(background, cold, State{}, c.until)
			if err != nil {
				t.Fatal(err)
			}
			p := s.newPoint()
			sum, size, into := make([]float64, len(s.unknowns)), make([]float64, len(s.unknowns)), make([]float64, 16)
			worst, where, steps, off := 0.0, "", 0, 0
			for st.t < c.until {
				if _, err := st.advance(c.until); err != nil {
					t.Fatal(err)
				}
				steps++
				share, node := st.imbalance(&p, sum, size, into)
				if share > worst {
					worst, where = share, fmt.Sprintf("node %s at %g s", node, st.t)
				}
				if share > 0.15 {
					off++
				}
			}
			t.Logf("%s, accuracy %g: %d steps, currents off by %.2g of their size at most, at %s", c.name, accuracy, steps, worst, where)
			allowed := 0
			if accuracy > 1e-3 {
				allowed = steps / 1500
			}
			if off > allowed {
				t.Errorf("%s, accuracy %g: currents off by %.2g of their size, at %s; %d steps of %d", c.name, accuracy, worst, where, off, steps)
			}
		}
	}
}

// TestAstableAtAnyAccuracy: an op-amp between its rails turns over where its inputs
// cross, at every accuracy. When a coarse step was accepted with the output a volt
// beyond the rail, the threshold that hangs on it ran ahead of the capacitor, and the
// frequency came out up to 30 % too low. The period is 2 RC ln 3 (any textbook,
// astable with β = 1/2) for ideal rails; soft ones take half a per cent off.
//
// Outside: period 2 RC ln 3 of the astable, any textbook, closed form. Within: 1 %.
func TestAstableAtAnyAccuracy(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{DC: 10}, "plus", "gnd")
	c.Add("V2", VoltageSource{DC: -10}, "minus", "gnd")
	c.Add("U1", OpAmp{Gain: 200e3, GainBandwidth: 100e6, SlewRate: 100e6, InputResistance: 2e6, OutputResistance: 75, CurrentLimit: 25e-3, SupplyCurrent: 1e-3}, "half", "v", "out", "plus", "minus")
	c.Add("R1", Resistor{Resistance: 10e3}, "out", "half")
	c.Add("R2", Resistor{Resistance: 10e3}, "half", "gnd")
	c.Add("R3", Resistor{Resistance: 10e3}, "out", "v")
	c.Add("C1", Capacitor{Capacitance: 20e-9, InitialVoltage: 1}, "v", "gnd")
	want := 1 / (2 * 10e3 * 20e-9 * math.Log(3))
	for _, accuracy := range []float64{1e-2, 1e-3, 1e-4, 1e-5} {
		if _, b := watched(t, c, accuracy, 40e-3, Voltage("v"), Voltage("out")); b.Habit != Repeating || math.Abs(b.Frequency/want-1) > 0.01 {
			t.Errorf("accuracy %g: %v, want %g Hz", accuracy, b, want)
		}
	}
}
