package soak

import (
	"errors"
	"fmt"
	"math"
)

// Gamma is what is believed about a constant failure rate: a gamma
// distribution with a shape (a count of failures, so to speak) and a rate (a
// running time). It is made by NewGamma or JeffreysRate, and sharpened by
// Update. The zero value is the reciprocal prior, shape 0 and rate 0.
//
// A Gamma with shape 0 or rate 0 is improper: it is a prior that says as
// little as it can, and becomes a distribution once enough has been seen.
//
// Source: A. Gelman and others, Bayesian Data Analysis, 3rd edition, section
// 2.6; NIST/SEMATECH e-Handbook of Statistical Methods, sections 8.2.5 and
// 8.4.6.
type Gamma struct {
	shape, rate float64
}

// Interval is a range of values, from Lower to Upper.
type Interval struct {
	Lower, Upper float64
}

// NewGamma returns the gamma distribution with the given shape and rate, both
// finite and not negative. The rate is a time, since the variable is a failure
// rate.
func NewGamma(shape, rate float64) (Gamma, error) {
	err := first(
		checkNotNegative("shape of the gamma distribution", shape),
		checkNotNegative("rate of the gamma distribution", rate),
	)
	if err != nil {
		return Gamma{}, err
	}
	return Gamma{shape: shape, rate: rate}, nil
}

// JeffreysRate returns the prior of Jeffreys for a failure rate, shape 1/2 and
// rate 0: nothing is known, not even the order of magnitude.
func JeffreysRate() Gamma { return Gamma{shape: 0.5} }

// Shape returns the shape, dimensionless.
func (g Gamma) Shape() float64 { return g.shape }

// Rate returns the rate parameter, a time.
func (g Gamma) Rate() float64 { return g.rate }

// Proper reports whether g is a distribution rather than an improper prior.
func (g Gamma) Proper() bool { return g.shape > 0 && g.rate > 0 }

// Update returns what is believed after a number of failures in a total
// running time: shape and rate grow by them. Both may be zero.
func (g Gamma) Update(failures int, time float64) (Gamma, error) {
	err := first(checkCount("number of failures", failures), checkNotNegative("total running time", time))
	if err != nil {
		return Gamma{}, err
	}
	return Gamma{shape: g.shape + float64(failures), rate: g.rate + time}, nil
}

// Mean returns the mean failure rate, per unit of time. It is +Inf when the
// rate parameter is 0.
func (g Gamma) Mean() float64 {
	if g.rate == 0 {
		return math.Inf(1)
	}
	return g.shape / g.rate
}

// StandardDeviation returns the standard deviation of the failure rate, per
// unit of time. It is +Inf when the rate parameter is 0.
func (g Gamma) StandardDeviation() float64 {
	if g.rate == 0 {
		return math.Inf(1)
	}
	return math.Sqrt(g.shape) / g.rate
}

// CDF returns the chance that the failure rate is at most x. An improper g
// counts as a rate of zero when its shape is 0, and otherwise as one without
// bound.
func (g Gamma) CDF(x float64) float64 {
	return gammaLower(g.shape, g.rate*math.Max(0, x))
}

// Survival returns the chance that the failure rate exceeds x. It is computed
// by itself, not as 1 - CDF, so that a small chance keeps its digits.
func (g Gamma) Survival(x float64) float64 {
	return gammaUpper(g.shape, g.rate*math.Max(0, x))
}

// Quantile returns the failure rate that is not exceeded with chance p. It is
// 0 for p of 0 or less, and +Inf for p of 1 or more or a rate parameter of 0.
func (g Gamma) Quantile(p float64) float64 { return g.quantile(p, 1-p) }

func (g Gamma) quantile(lower, upper float64) float64 {
	x := gammaQuantile(g.shape, lower, upper)
	if x == 0 {
		return 0
	}
	return x / g.rate
}

// Interval returns the equal-tailed credible interval of the failure rate that
// holds it with the chance level. It fails when g is improper.
func (g Gamma) Interval(level float64) (Interval, error) {
	if err := first(checkLevel("level", level), g.checkProper()); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	return Interval{Lower: g.quantile(tail, 1-tail), Upper: g.quantile(1-tail, tail)}, nil
}

// MTBFInterval returns the equal-tailed credible interval of the mean time
// between failures, the reciprocal of the rate. It fails when g is improper.
func (g Gamma) MTBFInterval(level float64) (Interval, error) {
	rate, err := g.Interval(level)
	if err != nil {
		return Interval{}, err
	}
	return Interval{Lower: 1 / rate.Upper, Upper: 1 / rate.Lower}, nil
}

// MTBFQuantile returns the mean time between failures that is exceeded with
// the chance confidence: the lower limit at that confidence, and with 0.5 the
// median estimate. It fails when g is improper.
//
// Source: NIST/SEMATECH e-Handbook, section 8.4.6.
func (g Gamma) MTBFQuantile(confidence float64) (float64, error) {
	if err := first(checkLevel("confidence", confidence), g.checkProper()); err != nil {
		return 0, err
	}
	return 1 / g.Quantile(confidence), nil
}

// MTBFExceeds returns the chance that the mean time between failures is
// greater than a target time above zero. It fails when g is improper.
func (g Gamma) MTBFExceeds(target float64) (float64, error) {
	if err := first(checkPositive("target mean time between failures", target), g.checkProper()); err != nil {
		return 0, err
	}
	return g.CDF(1 / target), nil
}

// Predictive returns the distribution of the time to the next failure, with
// the failure rate averaged out. It fails when g is improper.
func (g Gamma) Predictive() (Lomax, error) {
	if err := g.checkProper(); err != nil {
		return Lomax{}, err
	}
	return NewLomax(g.shape, g.rate)
}

// CountProbability returns the chance of exactly k failures in a further
// running time, with the failure rate averaged out (a negative binomial law).
// It fails when g is improper.
func (g Gamma) CountProbability(k int, time float64) (float64, error) {
	err := first(checkCount("number of failures", k), checkNotNegative("running time", time), g.checkProper())
	if err != nil {
		return 0, err
	}
	if time == 0 {
		if k == 0 {
			return 1, nil
		}
		return 0, nil
	}
	n, a := float64(k), g.shape
	logP := logGamma(a+n) - logGamma(a) - logGamma(n+1)
	logP -= a * math.Log1p(time/g.rate)
	if k > 0 {
		logP -= n * math.Log1p(g.rate/time)
	}
	return math.Exp(logP), nil
}

func (g Gamma) checkProper() error {
	switch {
	case g.rate == 0:
		return errors.New("soak: the failure rate is unknown: no running time has been seen and the prior has none; run the unit, or give the prior a rate")
	case g.shape == 0:
		return errors.New("soak: the failure rate is unknown: no failure has been seen and the prior has shape 0; use a prior such as JeffreysRate")
	}
	return nil
}

// ElicitGamma returns the prior of a failure rate from two guesses at the mean
// time between failures: median, which it is as likely to exceed as not, and
// low, which it exceeds with the chance confidence (above 0.5).
//
// Source: NIST/SEMATECH e-Handbook, section 8.2.5, the 50/95 method.
func ElicitGamma(median, low, confidence float64) (Gamma, error) {
	err := first(checkTime("median guess", median), checkTime("low guess", low), checkLevel("confidence", confidence))
	if err != nil {
		return Gamma{}, err
	}
	if !(low < median) || !(confidence > 0.5) {
		return Gamma{}, fmt.Errorf("soak: low guess %v at confidence %v against median %v: the low guess must be below the median, and its confidence above 0.5",
			low, confidence, median)
	}
	ratio := func(logShape float64) float64 {
		a := math.Exp(logShape)
		return gammaQuantile(a, 0.5, 0.5)/gammaQuantile(a, confidence, 1-confidence) - low/median
	}
	smallest, largest := math.Log(0.01), math.Log(1e6)
	if !(ratio(smallest) < 0) || !(ratio(largest) > 0) {
		return Gamma{}, fmt.Errorf("soak: no gamma prior has median %v and exceeds %v with chance %v; the two guesses are too close together or too far apart",
			median, low, confidence)
	}
	shape := math.Exp(root(ratio, smallest, largest))
	return NewGamma(shape, gammaQuantile(shape, 0.5, 0.5)*median)
}
