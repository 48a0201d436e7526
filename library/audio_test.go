package library_test

import (
	"context"
	"math"
	"math/cmplx"
	"testing"

	"halfsplit/circuit"
	"halfsplit/prediction"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// solver wires a circuit of a sheet.
func solver(t *testing.T, s *sheet.Sheet, name string, when wiring.Moment) (*wiring.Circuit, *circuit.Solver) {
	t.Helper()
	for n, c := range s.Circuits.All() {
		if n.Text != name {
			continue
		}
		wired, err := s.Wire(c, when)
		if err != nil {
			t.Fatal(err)
		}
		solver, err := wired.Solver(circuit.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		return wired, solver
	}
	t.Fatalf("there is no circuit %q", name)
	return nil, nil
}

// rest is the operating point of a circuit.
func rest(t *testing.T, s *circuit.Solver) *circuit.OperatingPoint {
	t.Helper()
	op, err := s.OperatingPoint(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return op
}

// at gives a quantity at rest.
func at(t *testing.T, op *circuit.OperatingPoint, q circuit.Quantity) float64 {
	t.Helper()
	v, err := op.Value(q)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// gains gives the small-signal voltages of nodes at frequencies.
func gains(t *testing.T, s *circuit.Solver, hertz []float64, node string) []complex128 {
	t.Helper()
	response, err := s.AC(context.Background(), rest(t, s), hertz)
	if err != nil {
		t.Fatal(err)
	}
	list := make([]complex128, len(hertz))
	for i := range hertz {
		if list[i], err = response.Value(i, circuit.Voltage(node)); err != nil {
			t.Fatal(err)
		}
	}
	return list
}

// followed runs a circuit for a time and records the voltages of nodes.
func followed(t *testing.T, s *circuit.Solver, run circuit.Run, nodes ...string) *circuit.Trace {
	t.Helper()
	for _, n := range nodes {
		run.Record = append(run.Record, circuit.Voltage(n))
	}
	trace, err := s.Transient(context.Background(), run)
	if err != nil {
		t.Fatal(err)
	}
	return trace
}

// over reads a node over a stretch of time.
func over(t *testing.T, trace *circuit.Trace, node string, from, to float64) circuit.Reading {
	t.Helper()
	r, err := trace.Over(circuit.Voltage(node), from, to)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// crossing is when a node crosses a level after a time.
func crossing(t *testing.T, trace *circuit.Trace, node string, level float64, up bool, after float64) float64 {
	t.Helper()
	when, ok, err := trace.Crossing(circuit.Voltage(node), level, up, after)
	if err != nil || !ok {
		t.Fatalf("%s does not cross %g V after %g s: %v", node, level, after, err)
	}
	return when
}

// TestQuiescentCurrent: a class-AB pair idles between what leaves a dead zone and what
// makes it class A: some 10 to 50 mA for a stage of a few watt (Self, Audio Power
// Amplifier Design Handbook, chapter on output stages, from memory), at half the
// supply (Horowitz and Hill, The Art of Electronics, 2nd edition, 2.14). The two
// transistors share it.
func TestQuiescentCurrent(t *testing.T) {
	_, s := solver(t, variant(t, "class-ab-output"), "output stage", wiring.Running)
	op := rest(t, s)
	upper := at(t, op, circuit.Current("R5"))
	lower := at(t, op, circuit.Current("R6"))
	if upper < 10e-3 || upper > 50e-3 {
		t.Errorf("%.3g A at rest", upper)
	}
	near(t, "current of the lower half", lower, upper, 0.05)
	near(t, "midpoint", at(t, op, circuit.Voltage("midpoint")), 24.0/2, 0.04)
	// with one diode of the bias shorted nothing idles
	_, s = solver(t, variant(t, "class-ab-output", "{part: D2, kind: diode, nodes", "{part: D2, kind: resistor, value: 0R1, nodes"), "output stage", wiring.Running)
	if idle := at(t, rest(t, s), circuit.Current("R5")); idle > 1e-3 {
		t.Errorf("with D2 shorted %.3g A at rest", idle)
	}
}

// TestClipping: driven hard, the output cannot leave the supply: no more than
// (supply)²/8R goes into the loudspeaker (Horowitz and Hill, 2nd edition, 2.14 and
// exercise there: a sine of half the supply for its peak), and the lower half stops
// where Q1 saturates, one drop and the voltage over R3 above ground. Without the
// bootstrap the upper half stops much earlier, for R4 and R8 then have to feed the
// base of Q2 from what is left above it (same section).
func TestClipping(t *testing.T) {
	swing := func(pairs ...string) circuit.Reading {
		pairs = append([]string{"kind: dc source, value: 1 uV, nodes: [input", "kind: sine source, value: 2 V, nodes: [input"}, pairs...)
		_, s := solver(t, variant(t, "class-ab-output", pairs...), "output stage", wiring.Running)
		return over(t, followed(t, s, circuit.Run{Until: 0.2}, "loudspeaker"), "loudspeaker", 0.18, 0.2)
	}
	sound := swing()
	if power, most := sound.RMS*sound.RMS/8, 24.0*24/8/8; power > 1.3*most || power < 0.2*most {
		t.Errorf("%.3g W when driven hard; a sine of the whole supply would be %.3g W", power, most)
	}
	if sound.Max > 12 || -sound.Min > 12 {
		t.Errorf("swings from %.3g to %.3g V, out of a supply of 24 V", sound.Min, sound.Max)
	}
	if dry := swing("value: 100 uF 25 V, nodes: [bootstrap", "value: 0.1 uF 25 V, nodes: [bootstrap"); dry.Max > 0.9*sound.Max {
		t.Errorf("without a bootstrap it still swings up to %.3g V, with it %.3g V", dry.Max, sound.Max)
	}
}

// equalisation is the replay curve, in decibel relative to 1 kHz, of IEC 60098 (and of
// the RIAA before it): 3180, 318 and 75 µs. Values as tabulated there, from memory.
var equalisation = []struct{ hertz, decibel float64 }{
	{50, 16.95}, {100, 13.09}, {200, 8.22}, {500, 2.65}, {1000, 0}, {2000, -2.59}, {5000, -8.21}, {10000, -13.73}, {15000, -17.16},
}

// TestEqualisation: the preamplifier follows the curve within 1 dB, as its standard
// values allow, and its poles are those of its parts: 3180 µs is R5 C3, 75 µs R6 C4,
// and 318 µs comes of both (Lipshitz, On RIAA Equalization Networks, J. Audio Eng.
// Soc. 27(6), 1979).
func TestEqualisation(t *testing.T) {
	curve := func(hertz float64) float64 {
		s := 2 * math.Pi * hertz
		return 20 * math.Log10(math.Hypot(1, s*318e-6)/math.Hypot(1, s*3180e-6)/math.Hypot(1, s*75e-6))
	}
	_, s := solver(t, variant(t, "phono-preamplifier"), "preamplifier", wiring.Running)
	var hertz []float64
	for _, e := range equalisation {
		hertz = append(hertz, e.hertz)
		if by := curve(e.hertz) - curve(1000); math.Abs(by-e.decibel) > 0.02 {
			t.Errorf("%g Hz: %.2f dB by the time constants, %.2f dB in the table", e.hertz, by, e.decibel)
		}
	}
	list := gains(t, s, hertz, "output")
	middle := cmplx.Abs(list[4])
	for i, e := range equalisation {
		if got := 20 * math.Log10(cmplx.Abs(list[i])/middle); math.Abs(got-e.decibel) > 1 {
			t.Errorf("%g Hz: %.2f dB, the curve has %.2f dB", e.hertz, got, e.decibel)
		}
	}
	// 1 mV in: at 1 kHz the impedance of the network over R3, plus one, less what the
	// loop gain of two transistors leaves over
	half := func(r, c float64) complex128 { return complex(r, 0) / complex(1, 2*math.Pi*1000*r*c) }
	network := half(270e3, 12e-9) + half(22e3, 3.3e-9)
	near(t, "gain at 1 kHz", middle/1e-3, cmplx.Abs(1+network/470), 0.06)
}

// TestFilter: corner and quality of a unity-gain section: f0 = 1/2π√(R3 R4 C2 C3),
// Q = √(R3 R4 C2 C3) / C3 (R3 + R4) (Texas Instruments SLOA024, Analysis of the
// Sallen-Key Architecture, section on the low-pass). At f0 the gain is Q, a quarter of
// a turn behind; far above it falls by 12 dB for each octave.
func TestFilter(t *testing.T) {
	const r, c2, c3 = 22e3, 47e-9, 22e-9
	f0 := 1 / (2 * math.Pi * r * math.Sqrt(c2*c3))
	q := math.Sqrt(c2/c3) / 2
	s := variant(t, "filter-and-integrator", "low: -5 V", "signal: 1 V, low: 0 V") // U1 at rest is not at its rail
	_, solved := solver(t, s, "voice", wiring.Running)
	hertz := []float64{f0, 8 * f0, 16 * f0}
	triangle, filtered := gains(t, solved, hertz, "triangle"), gains(t, solved, hertz, "filtered")
	at := func(i int) complex128 { return filtered[i] / triangle[i] }
	near(t, "gain at the corner", cmplx.Abs(at(0)), q, 0.01)
	near(t, "phase at the corner", cmplx.Phase(at(0)), -math.Pi/2, 0.01)
	near(t, "slope above it", cmplx.Abs(at(1))/cmplx.Abs(at(2)), 4, 0.03)
}

// TestIntegrator: dV/dt = V / R1 C1 (National Semiconductor AN-20, An Applications
// Guide for Op Amps, section on the integrator; from memory), less what R2 leaks: the
// triangle of a square wave of ±5 V is V T / 2 R1 C1 from peak to peak.
func TestIntegrator(t *testing.T) {
	s := variant(t, "filter-and-integrator")
	_, way := read(t, s, s.Circuits[0].Value)
	const volts, period, seconds = 5 * 47e3 / 47.05e3, 5e-3, 47e3 * 47e-9
	near(t, "triangle", level(t, way, prediction.Ripple, "triangle"), volts*period/2/seconds, 0.02)
}
