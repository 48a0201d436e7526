package soak

import (
	"math"
	"testing"
)

// TestTails checks small chances against closed forms, where one minus the
// other tail would be 0 or noise.
//
// Outside: closed forms of small chances. Within: 1e-9.
func TestTails(t *testing.T) {
	third := 1.0 / 3
	lomax := Lomax{shape: 2, scale: 1}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"exponential, upper", gammaUpper(1, 500), math.Exp(-500)},
		{"exponential, lower", gammaLower(1, 1e-30), 1e-30},
		{"Erlang of three, lower", gammaLower(3, 1e-10), 1e-30 / 6},
		{"Erlang of two, upper", gammaUpper(2, 300), 301 * math.Exp(-300)},
		{"Poisson, none of 700", poissonAtMost(0, 700), math.Exp(-700)},
		{"Poisson, two or more of 1e-9", poissonAtLeast(2, 1e-9), 0.5e-18},
		{"Poisson, exactly two of 1e-9", poissonExactly(2, 1e-9), 0.5e-18},
		{"gamma quantile, tiny lower tail", gammaQuantile(1, 1e-200, 1), 1e-200},
		{"gamma quantile, tiny upper tail", gammaQuantile(1, 1, 1e-200), 200 * math.Ln10},
		{"gamma quantile, shape 1/3", gammaQuantile(third, 1e-6, 1-1e-6), math.Pow(1e-6*math.Gamma(1+third), 3)},
		{"beta, upper near one", betaLower(3, 1, 1e-12, 1-1e-12), 1e-36},
		{"beta quantile, both small", betaQuantile(1, 4, 1e-18, 1), 0.25e-18},
		{"beta quantile, power", betaQuantile(5, 1, 1e-100, 1), 1e-20},
		{"beta survival close to one", (Beta{a: 4, b: 1}).CDF(1e-20), 1e-80},
		// Q(10) = 7.6198530241605e-24: Abramowitz and Stegun, Handbook of
		// Mathematical Functions, table 26.2, gives -log10 Q(10) = 23.11805.
		{"normal at ten, logarithm", logNormalUpper(10) / math.Ln10, -23.118053405},
		{"Lomax, small chance to fail", lomax.CDF(1e-20), 2e-20},
		{"Lomax, logarithm beyond overflow", (Lomax{shape: 2, scale: 1e-300}).LogSurvival(1e300), -1200 * math.Ln10},
		{"Weibull, small chance to fail", (Weibull{shape: 2, scale: 1}).CDF(1e-20), 1e-40},
		{"Weibull, early quantile", (Weibull{shape: 2, scale: 1}).Quantile(1e-40), 1e-20},
	} {
		if math.Abs(c.got-c.want) > 1e-9*math.Abs(c.want) {
			t.Errorf("%s: %.12g, want %.12g", c.name, c.got, c.want)
		}
	}
	for z := 25.0; z <= 37; z++ {
		if series, direct := logNormalUpper(z), math.Log(0.5*math.Erfc(z/math.Sqrt2)); math.Abs(series/direct-1) > 1e-12 {
			t.Errorf("ln Q(%v) = %v by the series, %v directly", z, series, direct)
		}
	}
}

// A doubt far below the last digit of one is kept.
func TestBeliefKeepsSmallDoubt(t *testing.T) {
	fixed, notFixed := belief(0.5, -100)
	if fixed != 1 || math.Abs(notFixed/math.Exp(-100)-1) > 1e-12 {
		t.Errorf("fixed %v, not fixed %v, want 1 and exp(-100)", fixed, notFixed)
	}
	if fixed, notFixed := belief(0, math.Inf(-1)); fixed != 0 || notFixed != 1 {
		t.Errorf("certainly wrong: fixed %v, not fixed %v", fixed, notFixed)
	}
}

// No value of a distribution is NaN, whatever is asked of it, and also for the
// zero values that no constructor made.
func TestDistributionsNeverNaN(t *testing.T) {
	arguments := []float64{math.Inf(-1), -1, 0, 1e-320, 1e-10, 0.3, 1, 7, 1e300, math.Inf(1), math.NaN()}
	gammas := []Gamma{{}, {shape: 0.5}, {rate: 3}, {shape: 1e-3, rate: 1e-300}, {shape: 1e9, rate: 1e12}}
	betas := []Beta{{}, {a: 0.5, b: 0.5}, {a: 1e-3, b: 1e6}, {a: 1e9, b: 1e9}}
	lomaxes := []Lomax{{}, {shape: 0.5, scale: 1}, {shape: 1e-300, scale: 1e300}, {shape: 1e9, scale: 1e-9}}
	weibulls := []Weibull{{}, {shape: 1e-3, scale: 1}, {shape: 1e6, scale: 1e12}}
	fits := []LognormalFit{{}, {Mu: 3, Sigma: 1e-9}}

	check := func(name string, values ...float64) {
		t.Helper()
		for i, v := range values {
			if math.IsNaN(v) {
				t.Errorf("%s: value %d is NaN", name, i)
			}
		}
	}
	for _, x := range arguments {
		for _, g := range gammas {
			check("gamma", g.Mean(), g.StandardDeviation(), g.CDF(x), g.Survival(x), g.Quantile(x))
		}
		for _, b := range betas {
			check("beta", b.Mean(), b.StandardDeviation(), b.CDF(x), b.Survival(x), b.Quantile(x))
		}
		for _, l := range lomaxes {
			check("Lomax", l.Mean(), l.Median(), l.HazardNow(), l.Survival(x), l.CDF(x), l.LogSurvival(x), l.TimeAtSurvival(x))
		}
		for _, w := range weibulls {
			check("Weibull", w.Mean(), w.StandardDeviation(), w.Survival(x), w.CDF(x), w.Quantile(x))
		}
		for _, f := range fits {
			check("lognormal", f.Survival(x))
		}
		p, err := NewWeibullPosterior([]float64{1e-9, 1e12}, []float64{0, 5}, JeffreysRate(), DefaultShapePrior())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []WeibullPosterior{{}, p} {
			check("Weibull posterior", p.Survival(x), p.LogSurvival(x, x), p.TimeAtSurvival(x), p.MedianShape())
		}
	}
}
