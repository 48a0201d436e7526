package metrology_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/metrology"
)

func ttl() metrology.Limit { return must(metrology.FamilyLimit("TTL", 5)).Limit }

// The verdict on a +5 V rail that feeds TTL, read with ±0.04 V: what each
// band of readings is called. The thresholds are those of the package; the
// chances by JCGM 106, 7.4, with u = 0.04/√3 = 0.0231 V.
//
// Outside: JCGM 106:2012, 7.4. Within: 1e-12.
func TestVerdictWords(t *testing.T) {
	for _, c := range []struct {
		reading float64
		word    metrology.Word
		side    metrology.Side
		margin  float64
	}{
		{5.00, metrology.Within, metrology.BothLimits, 0.25},
		{5.19, metrology.Within, metrology.HighLimit, 0.06},
		{4.79, metrology.WithinNear, metrology.LowLimit, 0.04},    // less than U = 2 u from the limit
		{5.205, metrology.WithinNear, metrology.HighLimit, 0.045}, // in the outer fifth
		{4.78, metrology.TooClose, metrology.LowLimit, 0.03},
		{4.75, metrology.TooClose, metrology.LowLimit, 0},
		{5.27, metrology.TooClose, metrology.HighLimit, -0.02},
		{4.71, metrology.Outside, metrology.LowLimit, -0.04},
		{6.20, metrology.Outside, metrology.HighLimit, -0.95},
	} {
		v := must(metrology.Judge(metrology.FromBound(c.reading, 0.04), ttl()))
		if v.Word != c.word || v.Side != c.side || math.Abs(v.Margin-c.margin) > 1e-12 {
			t.Errorf("%g V is %q at the %s by %g; want %q at the %s by %g", c.reading, v.Word, v.Side, v.Margin, c.word, c.side, c.margin)
		}
		if u := 0.04 / math.Sqrt(3); math.Abs(v.Estimate.U-u) > 1e-15 || math.Abs(v.Coverage-2) > 1e-4 || math.Abs(v.Expanded-v.Coverage*u) > 1e-15 {
			t.Errorf("u = %g, k = %g, U = %g", v.Estimate.U, v.Coverage, v.Expanded)
		}
		if (v.Word == metrology.TooClose) != (len(v.Settlement.Remedies) > 0) {
			t.Errorf("%g V is %q and would be settled by %v", c.reading, v.Word, v.Settlement.Remedies)
		}
	}
}

// A margin of the meter's full bound passes, which is the bench's own rule.
func TestFullBoundInsidePasses(t *testing.T) {
	v := must(metrology.Judge(metrology.FromBound(5.21, 0.04), metrology.Limit{Low: math.Inf(-1), High: 5.25}))
	if v.Word < metrology.WithinNear || math.Abs(v.Conformity.Conforming-0.958) > 0.0005 {
		t.Errorf("%q with p = %g; want Φ(√3) = 0.958", v.Word, v.Conformity.Conforming)
	}
}

// A meter far too coarse for the limits condemns nothing: the chance to
// conform is small even in their middle, and still no side is surely exceeded.
func TestCoarseMeterCondemnsNothing(t *testing.T) {
	narrow := metrology.Limit{Low: 4.99, High: 5.01}
	v := must(metrology.Judge(metrology.FromBound(5, 2), narrow))
	if v.Conformity.Conforming > 0.05 || v.Word != metrology.TooClose || !slices.Contains(v.Settlement.Remedies, metrology.BetterMeter) {
		t.Errorf("p = %g, %q, %v", v.Conformity.Conforming, v.Word, v.Settlement.Remedies)
	}
}

// Near the limit without any uncertainty: the outer fifth on either side, and
// for ripple, which has no low limit, the last tenth.
func TestNearZone(t *testing.T) {
	ripple := must(metrology.FamilyLimit("ATX", 5)).Ripple
	for _, c := range []struct {
		limit metrology.Limit
		value float64
		word  metrology.Word
	}{
		{ttl(), 5.1999, metrology.Within}, {ttl(), 5.2001, metrology.WithinNear},
		{ttl(), 4.8001, metrology.Within}, {ttl(), 4.7999, metrology.WithinNear},
		{ripple, 0.0449, metrology.Within}, {ripple, 0.0451, metrology.WithinNear}, {ripple, 0, metrology.Within},
		{metrology.Limit{Low: 1e6, High: math.Inf(1)}, 1.09e6, metrology.WithinNear},
		{metrology.Limit{Low: 1e6, High: math.Inf(1)}, 1.11e6, metrology.Within},
	} {
		if v := must(metrology.Judge(metrology.FromBound(c.value, 0), c.limit)); v.Word != c.word {
			t.Errorf("%g in %g to %g is %q, want %q", c.value, c.limit.Low, c.limit.High, v.Word, c.word)
		}
	}
}

// What would settle a reading depends on what makes it doubtful.
func TestSettlement(t *testing.T) {
	part := func(origin metrology.Origin, u, dof, lastDigit float64) metrology.Component {
		return metrology.Component{Origin: origin, U: u, DOF: dof, LastDigitShare: lastDigit}
	}
	for _, c := range []struct {
		name     string
		value    float64
		readings int
		parts    []metrology.Component
		want     []metrology.Remedy
	}{
		{"scatter alone", 5.23, 5, []metrology.Component{part(metrology.FromRepeats, 0.02, 4, 0)}, []metrology.Remedy{metrology.MoreReadings}},
		{"one digit too coarse", 5.2, 1, []metrology.Component{part(metrology.FromInstrument, 0.02, 0, 0), part(metrology.FromDisplay, 0.029, 0, 1)},
			[]metrology.Remedy{metrology.MoreDigits, metrology.BetterMeter}},
		{"accuracy in per cent", 5.23, 1, []metrology.Component{part(metrology.FromInstrument, 0.03, 0, 0)}, []metrology.Remedy{metrology.BetterMeter}},
		{"scatter and accuracy", 5.24, 3, []metrology.Component{part(metrology.FromInstrument, 0.02, 0, 0), part(metrology.FromRepeats, 0.02, 2, 0)},
			[]metrology.Remedy{metrology.BetterAll}},
		{"unknown circuit", 5.24, 1, []metrology.Component{part(metrology.FromLoading, 0.05, 0, 0)}, []metrology.Remedy{metrology.BetterAll}},
		{"on the limit", 5.25, 1, []metrology.Component{part(metrology.FromInstrument, 0.02, 0, 0)}, []metrology.Remedy{metrology.Nothing}},
		{"as good as on the limit", 5.25001, 1, []metrology.Component{part(metrology.FromInstrument, 0.02, 0, 0)}, []metrology.Remedy{metrology.Nothing}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := metrology.Measurement{Value: c.value, Indicated: c.value, Readings: c.readings, Resolution: 0.1, Components: c.parts}
			v := must(metrology.Judge(m, ttl()))
			if v.Word != metrology.TooClose || !slices.Equal(v.Settlement.Remedies, c.want) {
				t.Errorf("%q, settled by %v; want %v", v.Word, v.Settlement.Remedies, c.want)
			}
		})
	}
}

// Zero against a limit of zero lies on it like any other.
func TestZeroOnZero(t *testing.T) {
	v := must(metrology.Judge(metrology.FromBound(0, 1), metrology.Limit{Low: math.Inf(-1), High: 0}))
	if v.Word != metrology.TooClose || !slices.Equal(v.Settlement.Remedies, []metrology.Remedy{metrology.Nothing}) || v.Conformity.Conforming != 0.5 {
		t.Errorf("%q with p = %g, settled by %v", v.Word, v.Conformity.Conforming, v.Settlement.Remedies)
	}
}

// Following the advice must work, and less must not: whatever the budget, each
// remedy that is offered settles the reading, the value staying what it is.
func TestAdviceWorks(t *testing.T) {
	offered := map[metrology.Remedy]int{}
	rapid.Check(t, func(t *rapid.T) {
		meter := metrology.Instrument{Name: "meter", Ranges: map[metrology.Function][]metrology.Accuracy{metrology.DCVolts: {{
			Range: 20, Resolution: rapid.SampledFrom([]float64{0.1, 0.01, 0.001}).Draw(t, "digit"),
			OfReading: rapid.Float64Range(0, 0.01).Draw(t, "of reading"), Digits: float64(rapid.IntRange(0, 5).Draw(t, "digits")),
		}}}}
		n := rapid.IntRange(1, 10).Draw(t, "readings")
		near := rapid.SampledFrom([]float64{4.75, 5.25}).Draw(t, "near")
		reading := near + rapid.Float64Range(-0.1, 0.1).Draw(t, "distance")
		values := make([]float64, n)
		for i := range values {
			values[i] = reading + rapid.Float64Range(-0.05, 0.05).Draw(t, "scatter")
		}
		m := must(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: values}))
		v := must(metrology.Judge(m, ttl()))
		s := v.Settlement
		if v.Word != metrology.TooClose {
			if s.Remedies != nil {
				t.Fatalf("%q, and yet settled by %v", v.Word, s.Remedies)
			}
			return
		}
		with := func(change func(c metrology.Component) metrology.Component) metrology.Word {
			changed := m
			changed.Components = nil
			for _, c := range m.Components {
				changed.Components = append(changed.Components, change(c))
			}
			return must(metrology.Judge(changed, ttl())).Word
		}
		repeated := func(count int) metrology.Word {
			return with(func(c metrology.Component) metrology.Component {
				if c.Origin == metrology.FromRepeats {
					c.U, c.DOF = c.U*math.Sqrt(float64(n)/float64(count)), float64(count-1)
				}
				return c
			})
		}
		for _, r := range s.Remedies {
			offered[r]++
			switch r {
			case metrology.MoreReadings:
				if repeated(s.Readings) == metrology.TooClose || s.Readings > n+1 && repeated(s.Readings-1) != metrology.TooClose {
					t.Fatalf("%d readings are not the least that settles it", s.Readings)
				}
			case metrology.MoreDigits:
				f := s.Resolution / m.Resolution
				if with(func(c metrology.Component) metrology.Component {
					c.U *= 1 - c.LastDigitShare + f*c.LastDigitShare
					return c
				}) == metrology.TooClose {
					t.Fatalf("a last digit of %g does not settle it", s.Resolution)
				}
			case metrology.BetterMeter:
				for _, c := range []struct {
					factor float64
					closed bool
				}{{1 - 1e-9, false}, {1 + 1e-6, true}} {
					swapped := metrology.Measurement{Value: m.Value, Readings: n, Components: []metrology.Component{{Origin: metrology.FromInstrument, U: metrology.Rectangular(s.Bound * c.factor)}}}
					for _, p := range m.Components {
						if p.Origin == metrology.FromRepeats {
							swapped.Components = append(swapped.Components, p)
						}
					}
					if word := must(metrology.Judge(swapped, ttl())).Word; (word == metrology.TooClose) != c.closed {
						t.Fatalf("a meter of ±%g gives %q", s.Bound*c.factor, word)
					}
				}
			}
		}
		if s.Remedies[0] == metrology.Nothing {
			return
		}
		for _, c := range []struct {
			factor float64
			closed bool
		}{{1 - 1e-9, false}, {1 + 1e-6, true}} {
			if word := judge(metrology.Estimate{Value: m.Value, U: s.U * c.factor}, ttl()).Word; (word == metrology.TooClose) != c.closed {
				t.Fatalf("u = %g gives %q", s.U*c.factor, word)
			}
		}
	})
	for _, r := range []metrology.Remedy{metrology.MoreReadings, metrology.MoreDigits, metrology.BetterMeter, metrology.BetterAll} {
		if offered[r] == 0 {
			t.Errorf("%q was never offered", r)
		}
	}
}

// Whatever finite numbers come in, no verdict contains a NaN: it is a verdict
// or an error.
func TestNoNaN(t *testing.T) {
	any := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, math.SmallestNonzeroFloat64, math.MaxFloat64, -math.MaxFloat64, 1e-200, 1e200}))
	judged := 0
	rapid.Check(t, func(t *rapid.T) {
		m := metrology.Measurement{Value: any.Draw(t, "value"), Readings: rapid.IntRange(1, 5).Draw(t, "n"), Resolution: math.Abs(any.Draw(t, "digit"))}
		for range rapid.IntRange(0, 3).Draw(t, "parts") {
			m.Components = append(m.Components, metrology.Component{
				Origin: metrology.Origin(rapid.IntRange(0, 4).Draw(t, "origin")), U: math.Abs(any.Draw(t, "u")),
				DOF: rapid.SampledFrom([]float64{0, 1, 3, 1e300}).Draw(t, "dof"), LastDigitShare: rapid.Float64Range(0, 1).Draw(t, "share"),
			})
		}
		a, b := any.Draw(t, "limit"), any.Draw(t, "limit")
		limit := metrology.Limit{Low: min(a, b), High: max(a, b)}
		switch rapid.IntRange(0, 2).Draw(t, "free side") {
		case 1:
			limit.Low = math.Inf(-1)
		case 2:
			limit.High = math.Inf(1)
		}
		v, err := metrology.Judge(m, limit)
		if err != nil {
			return
		}
		judged++
		for name, x := range map[string]float64{
			"margin": v.Margin, "u": v.Estimate.U, "dof": v.Estimate.DOF, "k": v.Coverage, "U": v.Expanded,
			"p": v.Conformity.Conforming, "1-p": v.Conformity.Nonconforming, "below": v.Conformity.Below, "above": v.Conformity.Above,
			"needed u": v.Settlement.U, "needed digit": v.Settlement.Resolution, "needed bound": v.Settlement.Bound,
		} {
			if math.IsNaN(x) {
				t.Fatalf("%s is not a number in %+v", name, v)
			}
		}
	})
	if judged == 0 {
		t.Error("nothing was judged")
	}
}
