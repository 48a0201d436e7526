package soak

import (
	"errors"
	"fmt"
	"math"
)

// Beta is what is believed about the chance of an event at each trial, such as
// a failure at a cold start: a beta distribution with parameters A and B, which
// count, so to speak, the trials with and without the event. It is made by
// NewBeta or JeffreysProportion, and sharpened by Update. The zero value is not
// a distribution.
//
// Source: A. Gelman and others, Bayesian Data Analysis, 3rd edition, section
// 2.4.
type Beta struct {
	a, b float64
}

// NewBeta returns the beta distribution with parameters a and b, both above
// zero.
func NewBeta(a, b float64) (Beta, error) {
	err := first(
		checkPositive("first parameter of the beta distribution", a),
		checkPositive("second parameter of the beta distribution", b),
	)
	if err != nil {
		return Beta{}, err
	}
	return Beta{a: a, b: b}, nil
}

// JeffreysProportion returns the prior of Jeffreys for a proportion, with both
// parameters 1/2.
func JeffreysProportion() Beta { return Beta{a: 0.5, b: 0.5} }

// A returns the first parameter, of the trials with the event.
func (d Beta) A() float64 { return d.a }

// B returns the second parameter, of the trials without it.
func (d Beta) B() float64 { return d.b }

// Update returns what is believed after a number of events in a number of
// trials.
func (d Beta) Update(events, trials int) (Beta, error) {
	if err := checkTrials(events, trials); err != nil {
		return Beta{}, err
	}
	return NewBeta(d.a+float64(events), d.b+float64(trials-events))
}

// check returns an error for the zero value.
func (d Beta) check() error {
	if !(d.a > 0 && d.b > 0) {
		return errors.New("soak: the beta distribution is empty; begin with JeffreysProportion or NewBeta")
	}
	return nil
}

func checkTrials(events, trials int) error {
	if events < 0 || trials < events {
		return fmt.Errorf("soak: %d events in %d trials; there are between 0 events and one for each trial", events, trials)
	}
	return nil
}

// Mean returns the mean of the proportion.
func (d Beta) Mean() float64 {
	if !(d.a > 0) {
		return 0
	}
	return d.a / (d.a + d.b)
}

// StandardDeviation returns the standard deviation of the proportion.
func (d Beta) StandardDeviation() float64 {
	if !(d.a > 0) {
		return 0
	}
	n := d.a + d.b
	return math.Sqrt(d.a / n * (d.b / n) / (n + 1))
}

// CDF returns the chance that the proportion is at most x.
func (d Beta) CDF(x float64) float64 { return betaLower(d.a, d.b, x, 1-x) }

// Survival returns the chance that the proportion exceeds x, computed by
// itself so that a small chance keeps its digits.
func (d Beta) Survival(x float64) float64 { return betaLower(d.b, d.a, 1-x, x) }

// Quantile returns the proportion that is not exceeded with chance p. It is 0
// for p of 0 or less, and 1 for p of 1 or more.
func (d Beta) Quantile(p float64) float64 { return betaQuantile(d.a, d.b, p, 1-p) }

// Interval returns the equal-tailed credible interval that holds the
// proportion with the chance level.
func (d Beta) Interval(level float64) (Interval, error) {
	if err := first(checkLevel("level", level), d.check()); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	return Interval{
		Lower: betaQuantile(d.a, d.b, tail, 1-tail),
		Upper: betaQuantile(d.a, d.b, 1-tail, tail),
	}, nil
}

// JeffreysInterval returns the equal-tailed interval of a proportion under the
// prior of Jeffreys, with the lower limit set to 0 when no event was seen and
// the upper limit to 1 when nothing else was.
//
// Source: L. D. Brown, T. T. Cai and A. DasGupta, Interval Estimation for a
// Binomial Proportion, Statistical Science 16 (2001), 101-133, section 3.
func JeffreysInterval(events, trials int, level float64) (Interval, error) {
	posterior, err := JeffreysProportion().Update(events, trials)
	if err != nil {
		return Interval{}, err
	}
	interval, err := posterior.Interval(level)
	if err != nil {
		return Interval{}, err
	}
	if events == 0 {
		interval.Lower = 0
	}
	if events == trials {
		interval.Upper = 1
	}
	return interval, nil
}

// Predictive returns the chance of exactly k events in m further trials, with
// the proportion averaged out: the beta-binomial law.
func (d Beta) Predictive(k, m int) (float64, error) {
	if err := first(checkTrials(k, m), d.check()); err != nil {
		return 0, err
	}
	n, x := float64(m), float64(k)
	logChoose := logGamma(n+1) - logGamma(x+1) - logGamma(n-x+1)
	return math.Exp(logChoose + logBeta(d.a+x, d.b+n-x) - logBeta(d.a, d.b)), nil
}

// logNone is the logarithm of the chance of no event in m further trials,
// where m need not be whole.
func (d Beta) logNone(m float64) float64 {
	if !(m > 0) {
		return 0
	}
	const direct = 256 // trials up to which the product is taken term by term
	if m <= direct && m == math.Trunc(m) {
		sum := 0.0
		for i := 0.0; i < m; i++ {
			sum += math.Log1p(-d.a / (d.a + d.b + i))
		}
		return sum
	}
	return logBeta(d.a, d.b+m) - logBeta(d.a, d.b)
}

// logBeta is the logarithm of the beta function of positive arguments.
func logBeta(a, b float64) float64 { return logGamma(a) + logGamma(b) - logGamma(a+b) }
