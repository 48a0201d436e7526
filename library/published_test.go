package library_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfsplit/circuit"
	"halfsplit/library"
	"halfsplit/prediction"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// variant reads a sheet of the library with some of its text replaced; pairs of old
// and new.
func variant(t *testing.T, name string, pairs ...string) *sheet.Sheet {
	t.Helper()
	text, _, err := library.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(string(text), pairs[i]) {
			t.Fatalf("%s holds no %q", name, pairs[i])
		}
		text = []byte(strings.ReplaceAll(string(text), pairs[i], pairs[i+1]))
	}
	s, err := sheet.Parse(name, text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// near fails where a reading is further than a share from what a formula gives.
func near(t *testing.T, what string, reads, formula, share float64) {
	t.Helper()
	if math.Abs(reads-formula) > share*math.Abs(formula) {
		t.Errorf("%s: %.4g in the circuit, %.4g by the formula", what, reads, formula)
	}
}

// TestReservoirRipple: ΔV = I / 2fC (Horowitz and Hill, The Art of Electronics, 3rd
// edition, 1.6.3.A), which takes it that the reservoir is charged in no time and so is
// an upper bound; what is missing is the share of the half-period in which the bridge
// conducts, acos(1 − ΔV/Vp)/π at least.
//
// Outside: P. Horowitz and W. Hill, The Art of Electronics, 3rd edition, 1.6.3.A (from memory). Within: the formula as a bound, and the share of conduction below it.
func TestReservoirRipple(t *testing.T) {
	for _, c := range []struct {
		farads string
		c      float64
		load   float64
	}{{"4700 uF", 4700e-6, 1}, {"10000 uF", 10e-3, 1}, {"10000 uF", 10e-3, 0.3}} {
		s := variant(t, "three-terminal", "4700 uF 25 V", c.farads+" 25 V", "current: 1 A", fmt.Sprintf("current: %g A", c.load))
		_, way := read(t, s, s.Circuits[0].Value)
		ripple := level(t, way, prediction.Ripple, "raw")
		current := c.load + 5e-3 // with what the regulator takes itself
		bound := current / (2 * 50 * c.c)
		charging := math.Acos(1-bound/(level(t, way, prediction.Level, "raw")+2)) / math.Pi
		if ripple > bound || ripple > bound*(1-charging/2) || ripple < 0.5*bound {
			t.Errorf("%s at %g A: %.3g V of ripple; at most %.3g V", c.farads, c.load, ripple, bound)
		}
	}
}

// TestRectifierWithSourceResistance: with a large reservoir the output of a bridge
// falls with the resistance Rs of the winding by tan θ − θ = π Rs / 2 R, output =
// peak · cos θ (half angle of conduction θ; the limit of the curves of O. H. Schade,
// Analysis of rectifier operation, Proceedings of the IRE 31, 1943, for large ωCR). For
// small ones it is near 1 − √(Rs / 2R) (U. Tietze, Ch. Schenk, Halbleiter-
// Schaltungstechnik, chapter on power supplies; from memory).
//
// Outside: O. H. Schade, Analysis of rectifier operation, Proceedings of the IRE 31 (1943), large ωCR. Within: 0.5 %; the rule of thumb 4 %.
func TestRectifierWithSourceResistance(t *testing.T) {
	for _, ohms := range []float64{0.1, 0.5, 2} {
		const load, peak = 20.0, 30.0
		s, err := sheet.Parse("bridge", fmt.Appendf(nil, `sheet: 1
circuits:
  bridge:
    ground: gnd
    parts:
      - {part: winding, kind: mains source, value: %g V, nodes: [a, b], settings: {source resistance: %g}}
      - {part: BR1, kind: bridge, nodes: [a, b, raw, gnd], settings: {law: straight, forward drop: 1 mV, series resistance: 0.1m}}
      - {part: C1, kind: film, value: 50000 uF, nodes: [raw, gnd]}
      - {part: load, kind: resistor, value: %g, nodes: [raw, gnd]}
`, peak/math.Sqrt2, ohms, load))
		if err != nil {
			t.Fatal(err)
		}
		_, way := read(t, s, s.Circuits[0].Value)
		theta := solve(func(x float64) float64 { return math.Tan(x) - x - math.Pi*ohms/(2*load) }, 0, 1.5)
		near(t, fmt.Sprintf("Rs = %g Ω", ohms), level(t, way, prediction.Level, "raw"), peak*math.Cos(theta), 0.005)
		near(t, fmt.Sprintf("Rs = %g Ω, rule of thumb", ohms), level(t, way, prediction.Level, "raw"), peak*(1-math.Sqrt(ohms/(2*load))), 0.04)
	}
}

// solve finds where a rising function passes zero.
func solve(f func(float64) float64, low, high float64) float64 {
	for range 60 {
		if mid := (low + high) / 2; f(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// TestDoubler: without load, twice the peak less a drop of each diode; with load each
// capacitor falls by at most I / fC in a period, being charged once in it, and across
// both it ripples at twice the mains frequency (Horowitz and Hill, The Art of
// Electronics, 3rd edition, 1.6.4.A; Schade 1943, full-wave doubler).
//
// Outside: P. Horowitz and W. Hill, The Art of Electronics, 3rd edition, 1.6.4.A (from memory); Schade 1943. Within: 2 % without load, ripple between 0.6 and 1 of the bound, frequency 1 %.
func TestDoubler(t *testing.T) {
	idle := variant(t, "doubler", "current: 50 mA", "current: 0.5 mA")
	_, way := read(t, idle, idle.Circuits[0].Value)
	peak := level(t, way, prediction.RMS, "secondary") * math.Sqrt2 // the winding lies on a steady middle
	near(t, "without load", level(t, way, prediction.Level, "high"), 2*peak-2*0.5, 0.02)
	s := variant(t, "doubler")
	_, way = read(t, s, s.Circuits[0].Value)
	current := level(t, way, prediction.Level, "high")/(129/0.05) + level(t, way, prediction.Level, "middle")/100e3
	bound := current / (50 * 220e-6)
	if ripple := level(t, way, prediction.Ripple, "middle"); ripple > bound || ripple < 0.6*bound {
		t.Errorf("ripple of one capacitor %.3g V; at most %.3g V", ripple, bound)
	}
	near(t, "frequency across both", level(t, way, prediction.Frequency, "high"), 100, 0.01)
	near(t, "frequency of one", level(t, way, prediction.Frequency, "middle"), 50, 0.01)
	near(t, "half of it in the middle", 2*level(t, way, prediction.Level, "middle"), level(t, way, prediction.Level, "high"), 0.005)
}

// TestZenerShunt: the dropper's current (Vin − Vz) / R is shared by zener and load
// (Horowitz and Hill, The Art of Electronics, 3rd edition, 1.2.6.A); the output stays
// until the load takes all of it, and is a divider from there on.
//
// Outside: P. Horowitz and W. Hill, The Art of Electronics, 3rd edition, 1.2.6.A (from memory). Within: 2 %.
func TestZenerShunt(t *testing.T) {
	for _, c := range []struct{ milliamperes, volts float64 }{{1, 12.1}, {20, 12}, {25, 11.85}, {60, 24 * 200 / (200 + 331)}} {
		s := variant(t, "zener-shunt", "current: 20 mA", fmt.Sprintf("current: %g mA", c.milliamperes))
		_, way := read(t, s, s.Circuits[0].Value)
		near(t, fmt.Sprintf("at %g mA", c.milliamperes), level(t, way, prediction.Level, "out"), c.volts, 0.02)
	}
}

// TestFoldback: the sense transistor turns on when the drop over R10 less the share
// of the output that R8 and R9 take is its base-emitter drop: at full output
// I = (Vbe (R8 + R9) + Vout R8) / (R10 R9), into a short Vbe (R8 + R9) / (R10 R9)
// (Horowitz and Hill, The Art of Electronics, 3rd edition, 9.13.3; the same relations
// in Motorola's Linear/Switchmode Voltage Regulator Handbook, HB206; from memory). Fed here from a stiff 28 V.
//
// Outside: P. Horowitz and W. Hill, The Art of Electronics, 3rd edition, 9.13.3 (from memory). Within: 5 %; the output 2 %.
func TestFoldback(t *testing.T) {
	text, _, err := library.Open("series-pass")
	if err != nil {
		t.Fatal(err)
	}
	given := func(ohms float64) (volts, amperes float64) {
		before, rest, _ := strings.Cut(string(text), "      - {part: inlet,")
		_, after, found := strings.Cut(rest, "      # driver and pass")
		if !found {
			t.Fatal("the sheet has changed")
		}
		after = strings.Replace(after, "settings: {current: 1 A, voltage: 15.4 V}", fmt.Sprintf("settings: {resistance: %g}", ohms), 1)
		before = strings.Replace(before, "reach: [primary, secondary, raw,", "reach: [raw,", 1)
		s, err := sheet.Parse("stiff", []byte(before+"      - {part: stiff, kind: dc source, value: 28 V, nodes: [raw, gnd]}\n      #"+after))
		if err != nil {
			t.Fatal(err)
		}
		_, way := read(t, s, s.Circuits[0].Value)
		volts = level(t, way, prediction.Level, "out")
		return volts, volts / ohms
	}
	const r1, r8, r9, r10 = 2200.0, 120.0, 2200.0, 0.68
	// base-emitter drop of the sense transistor, which takes what R1 gives: 0.65 V at
	// 1 mA, 60 mV more for ten times as much
	drop := func(out float64) float64 { return 0.65 + 0.06*math.Log10((28-out-2)/r1/1e-3) }
	full, _ := given(15)
	most := 0.0
	for ohms := 12.0; ohms > 4; ohms *= 0.97 {
		if v, i := given(ohms); v > 0.97*full {
			most = math.Max(most, i)
		}
	}
	near(t, "knee", most, (drop(full)*(r8+r9)+full*r8)/(r10*r9), 0.05)
	_, short := given(0.01)
	near(t, "into a short", short, drop(0)*(r8+r9)/(r10*r9), 0.05)
	if short > 0.6*most {
		t.Errorf("%.2f A into a short, %.2f A at the knee: it does not fold back", short, most)
	}
	// out = (zener + base-emitter drop) (1 + R6 / R7)
	near(t, "output", full, (6.2+0.65)*(1+3.3/2.7), 0.02)
}

// TestFlyback: energy and times of the self-oscillating flyback. The current rises to
// Ip = Vin ton / L, each stroke takes ½ L Ip² from the primary, and it is given back for
// L Ip / n (Vout + Vd), with the ratio n of the turns (Horowitz and
// Hill, The Art of Electronics, 3rd edition, 9.6.9; Billings, Switchmode Power Supply
// Handbook, 1989, part 2, on flyback converters).
//
// Outside: K. Billings, Switchmode Power Supply Handbook (1989), part 2 (from memory). Within: 15 %.
func TestFlyback(t *testing.T) {
	s := variant(t, "flyback-self-oscillating")
	wired, err := s.Wire(s.Circuits[0].Value, wiring.SwitchedOn)
	if err != nil {
		t.Fatal(err)
	}
	solver, err := wired.Solver(circuit.Settings{Accuracy: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	emitter, collector, drain := circuit.Voltage("emitter"), circuit.Voltage("collector"), circuit.Current("bridge and C1")
	const until = 12e-3
	tr, err := solver.Transient(context.Background(), circuit.Run{Until: until, Cold: true, Record: []circuit.Quantity{emitter, collector, drain, circuit.Voltage("logic"), circuit.Voltage("upper")}})
	if err != nil {
		t.Fatal(err)
	}
	const strokes = 20
	at := 0.9 * until
	begin, on := at, 0.0
	for i := range strokes + 1 {
		falls, ok, err := tr.Crossing(collector, 100, false, at)
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		rises, ok, err := tr.Crossing(collector, 100, true, falls)
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		if i == 0 {
			begin = falls
		}
		if i < strokes {
			on += rises - falls
		}
		at = rises
		if i == strokes {
			at = falls
		}
	}
	period := (at - begin) / strokes
	on /= strokes
	reading := func(q circuit.Quantity) circuit.Reading {
		r, err := tr.Over(q, begin, at)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	const henry, vin, ratio = 2.4e-3, 324.0, 36.0
	peak := vin * on / henry
	if most := reading(emitter).Max / 0.68; most < peak || most > 1.5*peak { // with the base current
		t.Errorf("emitter current up to %.3g A; %.3g A by the formula", most, peak)
	}
	volts := reading(circuit.Voltage("logic")).Mean + 0.45
	near(t, "share of conduction", on/period, ratio*volts/(vin+ratio*volts), 0.15)
	power := -reading(drain).Mean * vin
	near(t, "power from the primary", math.Abs(power), henry*peak*peak/2/period, 0.15)
}

// TestCrowbar: a logic rail that runs away, here by a divider of the wrong ratio, fires
// the thyristor, and the rail ends near the thyristor's on voltage (Horowitz and Hill,
// The Art of Electronics, 3rd edition, 9.13.1).
//
// Outside: P. Horowitz and W. Hill, The Art of Electronics, 3rd edition, 9.13.1 (from memory). Within: 5.8 to 7.2 V.
func TestCrowbar(t *testing.T) {
	s := variant(t, "flyback-self-oscillating", "R41, kind: resistor, value: 4k7", "R41, kind: resistor, value: 470R")
	wired, err := s.Wire(s.Circuits[0].Value, wiring.SwitchedOn)
	if err != nil {
		t.Fatal(err)
	}
	solver, err := wired.Solver(circuit.Settings{Accuracy: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	logic := circuit.Voltage("logic")
	tr, err := solver.Transient(context.Background(), circuit.Run{Until: 10e-3, Cold: true, Record: []circuit.Quantity{logic}})
	if err != nil {
		t.Fatal(err)
	}
	fired := false
	for _, e := range tr.Events {
		fired = fired || e.Part == "Q9" && e.On
	}
	whole, err := tr.Whole(logic)
	if err != nil {
		t.Fatal(err)
	}
	end, err := tr.Over(logic, 9e-3, 10e-3)
	if err != nil {
		t.Fatal(err)
	}
	if !fired || whole.Max < 5.8 || whole.Max > 7.2 || end.Mean > 2.5 {
		t.Errorf("fired: %v; it rose to %.2f V, and stands at %.2f V", fired, whole.Max, end.Mean)
	}
}
