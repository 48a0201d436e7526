package soak_test

import (
	"math"
	"testing"

	"halfsplit/soak"
	"pgregory.net/rapid"
)

func posteriorOf(t testing.TB, failures, suspensions []float64, rate soak.Gamma, shape soak.ShapePrior) soak.WeibullPosterior {
	t.Helper()
	p, err := soak.NewWeibullPosterior(failures, suspensions, rate, shape)
	return must(t, p, err)
}

// With the shape known to be 1 the Weibull prediction is the exponential one.
func TestWeibullPosteriorExponentialLimit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		failures := rapid.SliceOfN(durations, 2, 6).Draw(rt, "failures")
		suspensions := rapid.SliceOfN(durations, 0, 4).Draw(rt, "suspensions")
		rate := gamma(t, rapid.Float64Range(0, 3).Draw(rt, "prior shape"), rapid.Float64Range(0, 100).Draw(rt, "prior rate"))
		weibull := posteriorOf(t, failures, suspensions, rate, soak.ShapePrior{Median: 1, Spread: 1})
		time := 0.0
		for _, d := range append(append([]float64{}, failures...), suspensions...) {
			time += d
		}
		updated, err := rate.Update(len(failures), time)
		must(t, updated, err)
		exponential, err := updated.Predictive()
		must(t, exponential, err)
		first, second := durations.Draw(rt, "first"), durations.Draw(rt, "second")
		got, want := weibull.LogSurvival(first, second), exponential.LogSurvival(first+second)
		if math.Abs(got-want) > 1e-11*math.Abs(want) {
			rt.Fatalf("ln survival %v with shape 1, %v with a constant rate", got, want)
		}
		p := chances.Draw(rt, "p")
		if got, want := weibull.TimeAtSurvival(p), exponential.TimeAtSurvival(p); math.Abs(got/want-1) > 1e-10 {
			rt.Fatalf("time %v with shape 1, %v with a constant rate", got, want)
		}
	})
}

// TestWeibullPosteriorByQuadrature integrates the prior stated at the type and
// the likelihood over shape and scale, both on a plain grid, and compares the
// prediction with that of the closed form for the scale.
//
// Outside: quadrature on a plain grid. Within: 1e-6.
func TestWeibullPosteriorByQuadrature(t *testing.T) {
	for _, c := range []struct {
		name                  string
		failures, suspensions []float64
		rate                  soak.Gamma
		shape                 soak.ShapePrior
		runs                  []float64
	}{
		{"two failures", []float64{25, 40}, nil, soak.JeffreysRate(), soak.DefaultShapePrior(), []float64{60}},
		{"failures that agree", []float64{30, 31, 29, 30}, nil, soak.JeffreysRate(), soak.DefaultShapePrior(), []float64{45}},
		{"with clean runs", []float64{12, 40, 25}, []float64{60, 15}, soak.JeffreysRate(), soak.DefaultShapePrior(), []float64{20, 50}},
		{"informed prior", []float64{12, 40, 25}, []float64{60, 15}, gamma(t, 2, 35), soak.ShapePrior{Median: 1.5, Spread: 1.6}, []float64{20, 50}},
		{"reciprocal prior", []float64{3, 90}, []float64{10}, gamma(t, 0, 0), soak.DefaultShapePrior(), []float64{200}},
	} {
		t.Run(c.name, func(t *testing.T) {
			reference, a, b := 0.0, c.rate.Shape(), c.rate.Rate()
			for _, f := range c.failures {
				reference += f / float64(len(c.failures))
			}
			evidence, survived, below := 0.0, 0.0, 0.0
			median := posteriorOf(t, c.failures, c.suspensions, c.rate, c.shape).MedianShape()
			const step = 0.02
			for logShape := math.Log(0.02); logShape < math.Log(60); logShape += step {
				shape := math.Exp(logShape)
				z := (logShape - math.Log(c.shape.Median)) / math.Log(c.shape.Spread)
				// The smaller the shape, the wider the range of scales that matter.
				wide := 2 / shape
				for i := -400; i <= 400; i++ {
					logScale := math.Log(reference) + float64(i)*step*wide
					hazard := func(t float64) float64 { return math.Exp(shape * (math.Log(t) - logScale)) }
					logPosterior := -z*z/2 - a*shape*(logScale-math.Log(reference)) - hazard(b)
					for _, f := range c.failures {
						logPosterior += math.Log(shape/f) + shape*(math.Log(f)-logScale) - hazard(f)
					}
					for _, s := range c.suspensions {
						logPosterior -= hazard(s)
					}
					weight := math.Exp(logPosterior) * wide
					evidence += weight
					if shape < median {
						below += weight
					}
					for _, s := range c.runs {
						logPosterior -= hazard(s)
					}
					survived += math.Exp(logPosterior) * wide
				}
			}
			got := math.Exp(posteriorOf(t, c.failures, c.suspensions, c.rate, c.shape).LogSurvival(c.runs...))
			near(t, "survival", got, survived/evidence, 1e-6)
			near(t, "chance of a shape below the median", below/evidence, 0.5, 0.03)
		})
	}
}

// With many failures the posterior settles on the shape that they were drawn
// from, and its prediction on the true survival.
func TestWeibullPosteriorFindsTheShape(t *testing.T) {
	truth, err := soak.NewWeibull(3, 40)
	must(t, truth, err)
	var failures []float64
	const n = 400
	for i := range n {
		failures = append(failures, truth.Quantile((float64(i)+0.5)/n))
	}
	p := posteriorOf(t, failures, nil, soak.JeffreysRate(), soak.DefaultShapePrior())
	near(t, "median shape", p.MedianShape(), 3, 0.02)
	near(t, "survival", p.Survival(50), truth.Survival(50), 0.02)
	interval, err := p.ShapeInterval(0.9)
	must(t, interval, err)
	if width := interval.Upper - interval.Lower; !(interval.Lower < 3 && interval.Upper > 3 && width < 0.5) {
		t.Errorf("90 %% interval of the shape %v", interval)
	}
}
