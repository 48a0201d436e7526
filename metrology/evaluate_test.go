package metrology_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/metrology"
)

func plainMeter() metrology.Instrument {
	return must(metrology.InstrumentByName("handheld 3½-digit multimeter"))
}

// The last digit written down tells the range: "12.01 V" was read on the 20 V
// range, "12.0 V" on the 200 V range or rounded, which comes to the same.
func TestRangeFromLastDigit(t *testing.T) {
	for _, c := range []struct {
		reading, digit float64
		full, last     float64 // range taken, and last digit in the budget
	}{
		{12.01, 0.01, 20, 0.01},
		{12.0, 0.1, 200, 0.1},
		{12, 1, 1000, 1},
		{1.234, 0.001, 2, 0.001},
		{1.23, 0.01, 20, 0.01},
		{1.5, 0, 2, 0.001},    // not known: the most sensitive range
		{1.5, 0.5, 2, 0.5},    // rounded to a half: no range, and no better than a half
		{1.5, 1e-6, 2, 0.001}, // more digits than the meter has
		{-12.01, 0.01, 20, 0.01},
		{0, 0.1, 200, 0.1},
	} {
		m := must(plainMeter().Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{c.reading}, Resolution: c.digit}))
		if m.Range.Range != c.full || m.Resolution != c.last {
			t.Errorf("%g V with last digit %g: range %g, last digit %g; want %g and %g", c.reading, c.digit, m.Range.Range, m.Resolution, c.full, c.last)
		}
	}
}

// The budget of one reading, line by line: 4.78 V at 0.5 % + 3 digits of
// 0.01 V is ±0.0539 V, and half a digit is ±0.005 V (JCGM 100, 4.3.7, F.2.2.1).
//
// Outside: JCGM 100:2008, 4.3.7 and F.2.2.1. Within: 1e-12.
func TestBudget(t *testing.T) {
	m := must(plainMeter().Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{4.78}, Resolution: 0.01}))
	want := []metrology.Component{
		{Origin: metrology.FromInstrument, U: 0.0539 / math.Sqrt(3), LastDigitShare: 0.03 / 0.0539},
		{Origin: metrology.FromDisplay, U: 0.005 / math.Sqrt(3), LastDigitShare: 1},
	}
	if len(m.Components) != len(want) {
		t.Fatalf("%d components, want %d", len(m.Components), len(want))
	}
	for i, c := range m.Components {
		if c.Origin != want[i].Origin || !near(c.U, want[i].U, 1e-15) || !near(c.LastDigitShare, want[i].LastDigitShare, 1e-12) || c.DOF != 0 {
			t.Errorf("component %d is %+v, want %+v", i, c, want[i])
		}
	}
	// A workshop at 8 °C, ten kelvins below the band: twice the bound.
	cold := 8.0
	m = must(plainMeter().Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{4.78}, Resolution: 0.01, Ambient: &cold}))
	if u := 2 * 0.0539 / math.Sqrt(3); !near(m.Components[0].U, u, 1e-15) {
		t.Errorf("in the cold u = %g, want %g", m.Components[0].U, u)
	}
}

// A collector at the end of 1 MΩ reads 9.1 % low with 10 MΩ, and the
// correction carries the doubt of both resistances: u = |x|·(Rs/Rm)·√(5 %²/3 +
// 2 %²/3).
func TestEvaluateCorrectsLoading(t *testing.T) {
	r := metrology.Reading{Function: metrology.DCVolts, Values: []float64{10}, Resolution: 0.01, CircuitResistance: 1e6, CircuitTolerance: 0.05}
	m := must(plainMeter().Evaluate(r))
	if !near(m.Value, 11, 1e-12) || m.Indicated != 10 {
		t.Errorf("corrected to %g from %g, want 11 from 10", m.Value, m.Indicated)
	}
	load := m.Components[len(m.Components)-1]
	if want := 10 * 0.1 * math.Hypot(0.05, 0.02) / math.Sqrt(3); load.Origin != metrology.FromLoading || !near(load.U, want, 1e-15) {
		t.Errorf("loading component %+v, want u = %g", load, want)
	}
	if want := 1.1 * (0.05 + 0.03) / math.Sqrt(3); !near(m.Components[0].U, want, 1e-15) {
		t.Errorf("the accuracy grows with the correction to %g, want %g", m.Components[0].U, want)
	}
	// 9 mA through the 10 Ω shunt of the 20 mA range, in a loop of 100 Ω.
	r = metrology.Reading{Function: metrology.DCCurrent, Values: []float64{9e-3}, CircuitResistance: 100}
	if m = must(plainMeter().Evaluate(r)); !near(m.Value, 9.9e-3, 1e-15) {
		t.Errorf("corrected to %g A, want 0.0099", m.Value)
	}
	// Resistance of the circuit means nothing to a thermometer.
	r = metrology.Reading{Function: metrology.Temperature, Values: []float64{40}, CircuitResistance: 100}
	if m = must(plainMeter().Evaluate(r)); m.Value != 40 || len(m.Components) != 2 {
		t.Errorf("a temperature was corrected to %g", m.Value)
	}
}

// A coarser last digit, a hotter room or a less known circuit never makes a
// reading better, and repeating it keeps the mean.
func TestEvaluateIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		meters := metrology.Instruments()
		meter := meters[rapid.IntRange(0, 3).Draw(t, "meter")]
		x := rapid.Float64Range(-900, 900).Draw(t, "x")
		r := metrology.Reading{Function: metrology.DCVolts, Values: []float64{x}, Resolution: rapid.SampledFrom([]float64{0, 1e-3, 1e-2, 0.1}).Draw(t, "digit")}
		u := func(r metrology.Reading) float64 {
			m := must(meter.Evaluate(r))
			return must(m.Estimate()).U
		}
		base := u(r)
		hot := rapid.Float64Range(-20, 60).Draw(t, "ambient")
		inRoom := r
		inRoom.Ambient = &hot
		if u(inRoom) < base {
			t.Fatalf("at %g °C u falls from %g to %g", hot, base, u(inRoom))
		}
		rounded := r
		rounded.Resolution = 10
		if u(rounded) < base {
			t.Fatalf("rounded to 10 V, u falls from %g to %g", base, u(rounded))
		}
		repeated := r
		repeated.Values = []float64{x, x, x}
		if m := must(meter.Evaluate(repeated)); math.Abs(m.Value-x) > 1e-12*math.Abs(x) || m.Readings != 3 {
			t.Fatalf("three readings of %g give %g", x, m.Value)
		}
	})
}

// Each typical meter is sound, measures over its whole span, names a source
// for each range, and gets no better with the reading.
func TestInstruments(t *testing.T) {
	for _, meter := range metrology.Instruments() {
		t.Run(meter.Name, func(t *testing.T) {
			if err := meter.Check(); err != nil {
				t.Fatal(err)
			}
			if again := must(metrology.InstrumentByName(strings.ToUpper(meter.Name))); again.Name != meter.Name {
				t.Errorf("looked up as %q", again.Name)
			}
			for function, ranges := range meter.Ranges {
				last := 0.0
				for _, r := range ranges {
					if r.Source == "" {
						t.Errorf("%s to %g has no source", function, r.Range)
					}
					if r.Bound(r.Range) < last {
						t.Errorf("%s to %g is better than a lower range", function, r.Range)
					}
					last = r.Bound(r.Range)
					if counts := r.Range / r.Resolution; counts < 99 || counts > 5e6 {
						t.Errorf("%s to %g has %g counts", function, r.Range, counts)
					}
					for _, x := range []float64{r.Range, -r.Range, 0} {
						if _, err := meter.Evaluate(metrology.Reading{Function: function, Values: []float64{x}}); err != nil {
							t.Error(err)
						}
					}
				}
			}
		})
	}
	// What the published notes say of three of them.
	for _, c := range []struct {
		name           string
		reading, digit float64
		bound          float64
	}{
		{"handheld 3½-digit multimeter", 2, 1e-3, 0.013},              // GVDA, Multimeter error
		{"handheld 80 000-count multimeter", 79.999, 1e-3, 0.0339997}, // What does 0.03 % + 10 digit mean
	} {
		meter := must(metrology.InstrumentByName(c.name))
		if got := must(meter.RangeFor(metrology.DCVolts, c.reading, c.digit)).Bound(c.reading); !near(got, c.bound, 1e-12) {
			t.Errorf("%s at %g V: ±%g V, want ±%g V", c.name, c.reading, got, c.bound)
		}
	}
	// A copy handed out may be changed without harm to the next.
	metrology.Instruments()[0].Ranges[metrology.DCVolts][0].OfReading = 1
	if metrology.Instruments()[0].Ranges[metrology.DCVolts][0].OfReading == 1 {
		t.Error("the table was changed through a copy")
	}
}
