package soak

import (
	"errors"
	"math"
)

// Lomax is the distribution of the time to the next failure when the failure
// rate is constant but known only as a gamma distribution: the exponential
// law averaged over that belief. With n failures seen in a running time T and
// the prior of Jeffreys, the chance of running a further t without failure is
//
//	(T / (T + t))^(n + 1/2)
//
// It is made by NewLomax or Gamma.Predictive.
//
// Source: K. S. Lomax, Business Failures: Another Example of the Analysis of
// Failure Data, Journal of the American Statistical Association 49 (1954); A.
// Gelman and others, Bayesian Data Analysis, 3rd edition, section 2.6, for the
// averaging.
type Lomax struct {
	shape, scale float64
}

// NewLomax returns the Lomax distribution with a shape above zero and a scale,
// a time above zero.
func NewLomax(shape, scale float64) (Lomax, error) {
	err := first(
		checkPositive("shape of the Lomax distribution", shape),
		checkPositive("scale of the Lomax distribution", scale),
	)
	if err != nil {
		return Lomax{}, err
	}
	return Lomax{shape: shape, scale: scale}, nil
}

// Shape returns the shape, dimensionless.
func (l Lomax) Shape() float64 { return l.shape }

// Scale returns the scale, a time.
func (l Lomax) Scale() float64 { return l.scale }

// LogSurvival returns the natural logarithm of Survival. It keeps its digits
// where the chance itself underflows.
func (l Lomax) LogSurvival(t float64) float64 {
	if !(t > 0) || !(l.shape > 0) {
		return 0
	}
	if ratio := t / l.scale; !math.IsInf(ratio, 1) {
		return -l.shape * math.Log1p(ratio)
	}
	return -l.shape * (math.Log(t) - math.Log(l.scale))
}

// Survival returns the chance of running a time t without failure. It is 1 for
// a time of zero or less.
func (l Lomax) Survival(t float64) float64 { return math.Exp(l.LogSurvival(t)) }

// CDF returns the chance of a failure within a time t, with its digits kept
// where it is small.
func (l Lomax) CDF(t float64) float64 { return -math.Expm1(l.LogSurvival(t)) }

// TimeAtSurvival returns the time that is survived with chance p. It is 0 for p
// of 1 or more, and +Inf for p of 0 or less.
func (l Lomax) TimeAtSurvival(p float64) float64 {
	switch {
	case p >= 1:
		return 0
	case !(p > 0) || !(l.shape > 0):
		return math.Inf(1)
	}
	return l.scale * math.Expm1(-math.Log(p)/l.shape)
}

// Median returns the time to the next failure that is exceeded as often as not.
func (l Lomax) Median() float64 { return l.TimeAtSurvival(0.5) }

// Mean returns the mean time to the next failure; it is +Inf for a shape of 1
// or less.
func (l Lomax) Mean() float64 {
	if l.shape <= 1 {
		return math.Inf(1)
	}
	return l.scale / (l.shape - 1)
}

// HazardNow returns the expected failure rate at the start, per unit of time.
func (l Lomax) HazardNow() float64 {
	if l.scale == 0 {
		return math.Inf(1)
	}
	return l.shape / l.scale
}

// After returns the distribution of the time still to come once a time t, zero
// or more, has been survived.
func (l Lomax) After(t float64) (Lomax, error) {
	if err := checkNotNegative("time survived", t); err != nil {
		return Lomax{}, err
	}
	return NewLomax(l.shape, l.scale+t)
}

// NeededRun returns the total running time, with the given number of failures
// in it, after which the unit will run a further time with the chance
// survival: how long to run a unit before lending it out for an evening. It is
// 0 when the prior alone suffices.
func NeededRun(survival, time float64, failures int, prior Gamma) (float64, error) {
	err := first(
		checkLevel("survival", survival),
		checkTime("time to be survived", time),
		checkCount("number of failures", failures),
	)
	if err != nil {
		return 0, err
	}
	shape := prior.shape + float64(failures)
	if shape == 0 {
		return 0, errors.New("soak: with no failure and a prior of shape 0 no running time is enough or too little; use a prior such as JeffreysRate")
	}
	return math.Max(0, time/math.Expm1(-math.Log(survival)/shape)-prior.rate), nil
}
