package metrology_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/metrology"
)

// The chance of a value above z standard uncertainties must hold its digits
// far out, where one minus the rest gives zero.
func TestTails(t *testing.T) {
	// atan(1/z)/π and 1/(r(r + z)) with r = √(2 + z²): Student's t with one and
	// two degrees of freedom in closed form, by integrating the density.
	two := func(z float64) float64 {
		r := math.Sqrt(2 + z*z)
		return 1 / (r * (r + z))
	}
	for _, c := range []struct {
		name      string
		z, dof    float64
		want, rel float64
	}{
		// Abramowitz and Stegun, Handbook of Mathematical Functions, tables 26.1
		// and 26.2 (from memory): 7.61985e-24 and 2.866516e-7.
		{"normal, 10", 10, 0, 7.61985302416e-24, 1e-11},
		{"normal, 5", 5, 0, 2.866515719e-7, 1e-9},
		{"normal, 38", 38, 0, 2.8854e-316, 1e-3},
		{"normal, 0", 0, 0, 0.5, 1e-15},
		{"one degree of freedom, 1", 1, 1, 0.25, 1e-14},
		{"one degree of freedom, 1e6", 1e6, 1, math.Atan(1e-6) / math.Pi, 1e-13},
		{"one degree of freedom, 0.3", 0.3, 1, math.Atan(1/0.3) / math.Pi, 1e-14},
		{"two degrees of freedom, 4", 4, 2, two(4), 1e-13},
		{"two degrees of freedom, 1e5", 1e5, 2, two(1e5), 1e-12},
		// Leading term of the ratio to the normal tail: exp(z⁴/4ν) = 1.0025.
		{"a million degrees of freedom, 10", 10, 1e6, 7.61985302416e-24 * (1 + 2.55e-3), 1e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := metrology.Estimate{Value: -c.z, U: 1, DOF: c.dof}
			got := must(metrology.Conform(e, metrology.Limit{Low: math.Inf(-1)}))
			if math.Abs(got.Above/c.want-1) > c.rel || got.Nonconforming != got.Above || got.Below != 0 {
				t.Errorf("chance above = %.12g, want %.12g", got.Above, c.want)
			}
			// The same chance as a chance to conform, seen from the other side.
			back := must(metrology.Conform(e, metrology.Limit{Low: 0, High: math.Inf(1)}))
			if math.Abs(back.Conforming/c.want-1) > c.rel {
				t.Errorf("chance to conform = %.12g, want %.12g", back.Conforming, c.want)
			}
		})
	}
}

// Student's t passes into the normal distribution without a step where the
// way of computing it changes, a million degrees of freedom.
func TestManyDegreesOfFreedom(t *testing.T) {
	for _, z := range []float64{0.1, 0.9, 1.1, 2, 5, 8} {
		l := metrology.Limit{Low: math.Inf(-1)}
		below := must(metrology.Conform(metrology.Estimate{Value: -z, U: 1, DOF: 0.999999e6}, l)).Above
		above := must(metrology.Conform(metrology.Estimate{Value: -z, U: 1, DOF: 1.000001e6}, l)).Above
		if math.Abs(above/below-1) > 1e-7 {
			t.Errorf("at %g the chance steps from %.12g to %.12g", z, below, above)
		}
	}
	for _, dof := range []float64{1, 100, 1e6, 1e9, math.Inf(1)} {
		c := must(metrology.Conform(metrology.Estimate{U: 1e-300, DOF: dof}, metrology.Limit{Low: -1e300, High: 1}))
		if c.Conforming != 1 || c.Nonconforming > 1e-200 {
			t.Errorf("far within, with %g degrees of freedom: %+v", dof, c)
		}
	}
}

// A coverage factor must undo the chance, for every number of degrees of
// freedom and down to small tails.
func TestCoverageFactorUndoesChance(t *testing.T) {
	for _, dof := range []float64{0, 1, 2, 3.7, 9, 50, 1e3, 1e5, 9e5, 1e6, 1e9} {
		for _, level := range []float64{1e-6, 0.1, 0.5, 0.9, 0.9545, 0.999, 1 - 1e-8} {
			k := must(metrology.CoverageFactor(level, dof))
			c := must(metrology.Conform(metrology.Estimate{U: 1, DOF: dof}, metrology.Limit{Low: -k, High: k}))
			if math.Abs(c.Conforming-level) > 1e-9*level || math.Abs(c.Nonconforming-(1-level)) > 1e-6*(1-level) {
				t.Errorf("k = %g at %g degrees of freedom holds %.12g, want %g", k, dof, c.Conforming, level)
			}
		}
	}
}

// anyEstimate draws an ordinary measured value with few or many degrees of
// freedom.
func anyEstimate(t *rapid.T) metrology.Estimate {
	return metrology.Estimate{
		Value: rapid.Float64Range(-50, 50).Draw(t, "value"),
		U:     rapid.Float64Range(1e-6, 20).Draw(t, "u"),
		DOF:   rapid.SampledFrom([]float64{0, 1, 2, 4.5, 9, 100, 1e7}).Draw(t, "dof"),
	}
}

// anyLimit draws limits that may be free on one side.
func anyLimit(t *rapid.T) metrology.Limit {
	low := rapid.Float64Range(-40, 40).Draw(t, "low")
	l := metrology.Limit{Low: low, High: low + rapid.Float64Range(0, 30).Draw(t, "width")}
	switch rapid.IntRange(0, 3).Draw(t, "free side") {
	case 1:
		l.Low = math.Inf(-1)
	case 2:
		l.High = math.Inf(1)
	}
	return l
}

// The chances of any measurement are chances, and add up.
func TestChancesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, l := anyEstimate(t), anyLimit(t)
		c := must(metrology.Conform(e, l))
		for _, p := range []float64{c.Conforming, c.Nonconforming, c.Below, c.Above} {
			if !(p >= 0 && p <= 1) {
				t.Fatalf("%+v in %+v has the chances %+v", e, l, c)
			}
		}
		if math.Abs(c.Conforming+c.Nonconforming-1) > 1e-12 {
			t.Fatalf("the chances add up to %.15g", c.Conforming+c.Nonconforming)
		}
	})
}

// Moving a value away from the middle of its limits never makes it likelier
// to conform, nor its word better.
func TestOutwardsIsWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLimit(t)
		e := anyEstimate(t)
		centre := 0.0
		switch {
		case math.IsInf(l.Low, 0):
			centre = -1e3
		case math.IsInf(l.High, 0):
			centre = 1e3
		default:
			centre = (l.Low + l.High) / 2
		}
		further := e
		further.Value += math.Copysign(rapid.Float64Range(0, 20).Draw(t, "step"), e.Value-centre)
		a, b := judge(e, l), judge(further, l)
		if b.Conformity.Conforming > a.Conformity.Conforming+1e-12 {
			t.Fatalf("p rises from %.15g to %.15g between %g and %g in %+v", a.Conformity.Conforming, b.Conformity.Conforming, e.Value, further.Value, l)
		}
		if b.Word > a.Word {
			t.Fatalf("%q at %g turns into %q at %g, further out of %+v", a.Word, e.Value, b.Word, further.Value, l)
		}
	})
}

// judge judges an estimate as it stands.
func judge(e metrology.Estimate, l metrology.Limit) metrology.Verdict {
	m := metrology.Measurement{Value: e.Value, Readings: 1, Components: []metrology.Component{{Origin: metrology.FromInstrument, U: e.U, DOF: e.DOF}}}
	return must(metrology.Judge(m, l))
}

// A negative rail is judged as its mirror image is.
func TestMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, l := anyEstimate(t), anyLimit(t)
		mirrored := e
		mirrored.Value = -e.Value
		a, b := judge(e, l), judge(mirrored, metrology.Limit{Low: -l.High, High: -l.Low})
		swapped := metrology.Conformity{Conforming: a.Conformity.Conforming, Nonconforming: a.Conformity.Nonconforming, Below: a.Conformity.Above, Above: a.Conformity.Below}
		if math.Abs(b.Conformity.Conforming-swapped.Conforming) > 1e-15 || b.Conformity.Above != swapped.Above || b.Conformity.Below != swapped.Below {
			t.Fatalf("%+v turns into %+v", a.Conformity, b.Conformity)
		}
		if a.Word != b.Word || a.Margin != b.Margin || fmt.Sprint(a.Settlement) != fmt.Sprint(b.Settlement) {
			t.Fatalf("%v with margin %g turns into %v with margin %g", a.Word, a.Margin, b.Word, b.Margin)
		}
	})
}

// Wider limits never lower the chance to conform.
func TestWiderIsBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, l := anyEstimate(t), anyLimit(t)
		wider := must(l.Guarded(-rapid.Float64Range(0, 10).Draw(t, "let out")))
		a, b := must(metrology.Conform(e, l)), must(metrology.Conform(e, wider))
		if b.Conforming < a.Conforming-1e-12 || b.Nonconforming > a.Nonconforming+1e-12 {
			t.Fatalf("p falls from %.15g to %.15g", a.Conforming, b.Conforming)
		}
	})
}

// With the uncertainty going to nothing the chances go to 0 or 1, and with
// none at all the limits belong to the interval.
func TestNoUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, l := anyEstimate(t), anyLimit(t)
		e.DOF = 0
		want := 0.0
		if l.Contains(e.Value) {
			want = 1
		}
		for _, u := range []float64{0, 1e-300} {
			e.U = u
			if min(math.Abs(e.Value-l.Low), math.Abs(e.Value-l.High)) < 1e-290 {
				continue // on the limit, as far as u = 1e-300 can tell
			}
			if c := must(metrology.Conform(e, l)); c.Conforming != want || c.Nonconforming != 1-want {
				t.Fatalf("u = %g at %g in %+v: %+v", u, e.Value, l, c)
			}
		}
	})
	for _, on := range []float64{4.75, 5.25} {
		if c := must(metrology.Conform(metrology.Estimate{Value: on}, metrology.Limit{Low: 4.75, High: 5.25})); c.Conforming != 1 {
			t.Errorf("%g V on the limit itself: %+v", on, c)
		}
	}
}

// A reading joined with what is known of the lot lies between both and is
// better known than either.
func TestPriorDrawsIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEstimate(t)
		e.DOF = 0
		prior := metrology.Prior{Mean: rapid.Float64Range(-50, 50).Draw(t, "mean"), Deviation: rapid.Float64Range(1e-6, 20).Draw(t, "deviation")}
		got := must(e.WithPrior(prior))
		if exact := must(metrology.Estimate{Value: e.Value}.WithPrior(prior)); exact.Value != e.Value || exact.U != 0 {
			t.Fatalf("a prior moved an exact reading from %g to %+v", e.Value, exact)
		}
		low, high := min(e.Value, prior.Mean), max(e.Value, prior.Mean)
		if got.Value < low-1e-12*math.Abs(low) || got.Value > high+1e-12*math.Abs(high) || got.U > min(e.U, prior.Deviation)*(1+1e-15) {
			t.Fatalf("%+v with %+v gives %+v", e, prior, got)
		}
	})
}

// Drawing the acceptance limits in protects who uses the parts and costs who
// sorts them; without any uncertainty of measurement nobody is wronged.
func TestGuardTradesRisks(t *testing.T) {
	tolerance := metrology.Limit{Low: -1, High: 1}
	lot := metrology.Prior{Mean: 0.2, Deviation: 0.6}
	last := metrology.Risks{Consumer: 1}
	for _, width := range []float64{-0.4, -0.2, 0, 0.2, 0.4, 0.8} {
		r := must(metrology.GlobalRisks(lot, 0.2, tolerance, must(tolerance.Guarded(width))))
		if r.Consumer >= last.Consumer || r.Producer <= last.Producer {
			t.Errorf("guard band %g: risks %+v after %+v", width, r, last)
		}
		last = r
	}
	exact := must(metrology.GlobalRisks(lot, 0, tolerance, tolerance))
	if exact.Consumer != 0 || exact.Producer != 0 || exact.Nonconforming == 0 {
		t.Errorf("a measurement without uncertainty has the risks %+v", exact)
	}
	everything := metrology.Limit{Low: math.Inf(-1), High: math.Inf(1)}
	r := must(metrology.GlobalRisks(lot, 0.2, tolerance, everything))
	if math.Abs(r.Consumer-r.Nonconforming) > 1e-12 || r.Producer != 0 {
		t.Errorf("accepting everything has the risks %+v", r)
	}
	// A very good meter makes a steep edge, and no less exact an integral.
	fine := must(metrology.GlobalRisks(lot, 1e-9, tolerance, tolerance))
	if fine.Consumer > 1e-9 || fine.Producer > 1e-9 || fine.Consumer == 0 {
		t.Errorf("a very good meter has the risks %+v", fine)
	}
}
