package soak

import (
	"fmt"
	"math"
)

// The range of Weibull shapes that the package accepts. Shapes met in practice
// run from about 0.3 to 10.
const (
	smallestShape = 1e-3
	largestShape  = 1e6
)

// Weibull is the two-parameter Weibull distribution of a life. Its shape says
// how failures bunch: below 1 they come early or not at all, at 1 they come at
// random, above 1 they gather around one time, as when a part fails each time
// that it reaches a temperature. Its scale, the characteristic life, is the
// time by which 63.2 % have failed. It is made by NewWeibull; the zero value is
// not a distribution.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 8.1.6.2.
type Weibull struct {
	shape, scale float64
}

// NewWeibull returns the Weibull distribution with a shape between 0.001 and
// 1e6, and a scale, a time above zero.
func NewWeibull(shape, scale float64) (Weibull, error) {
	if err := first(checkShape(shape), checkPositive("scale of the Weibull distribution", scale)); err != nil {
		return Weibull{}, err
	}
	return Weibull{shape: shape, scale: scale}, nil
}

func checkShape(shape float64) error {
	if !(shape >= smallestShape && shape <= largestShape) {
		return fmt.Errorf("soak: Weibull shape is %v; it must lie between %v and %v, and in practice between 0.3 and 10", shape, smallestShape, largestShape)
	}
	return nil
}

// Shape returns the shape, dimensionless.
func (w Weibull) Shape() float64 { return w.shape }

// Scale returns the scale or characteristic life, a time.
func (w Weibull) Scale() float64 { return w.scale }

// LogSurvival returns the natural logarithm of Survival.
func (w Weibull) LogSurvival(t float64) float64 {
	if !(t > 0) || !(w.shape > 0) {
		return 0
	}
	return -math.Exp(w.shape * (math.Log(t) - math.Log(w.scale)))
}

// Survival returns the chance of running a time t without failure. It is 1 for
// a time of zero or less.
func (w Weibull) Survival(t float64) float64 { return math.Exp(w.LogSurvival(t)) }

// CDF returns the chance of a failure within a time t, with its digits kept
// where it is small.
func (w Weibull) CDF(t float64) float64 { return -math.Expm1(w.LogSurvival(t)) }

// Quantile returns the time within which a fraction p fails; 0.1 gives the B10
// life. It is 0 for p of 0 or less, and +Inf for p of 1 or more.
func (w Weibull) Quantile(p float64) float64 {
	switch {
	case !(p > 0) || !(w.shape > 0):
		return 0
	case p >= 1:
		return math.Inf(1)
	}
	return w.scale * math.Exp(math.Log(-math.Log1p(-p))/w.shape)
}

// Mean returns the mean life.
func (w Weibull) Mean() float64 {
	if !(w.shape > 0) {
		return 0
	}
	return w.scale * math.Exp(logGamma(1+1/w.shape))
}

// StandardDeviation returns the standard deviation of the life.
func (w Weibull) StandardDeviation() float64 {
	if !(w.shape > 0) {
		return 0
	}
	return w.Mean() * math.Sqrt(math.Max(0, math.Expm1(logGamma(1+2/w.shape)-2*logGamma(1+1/w.shape))))
}

// logDensity is the logarithm of the density at t > 0.
func (w Weibull) logDensity(t float64) float64 {
	logRatio := math.Log(t) - math.Log(w.scale)
	return math.Log(w.shape) - math.Log(w.scale) + (w.shape-1)*logRatio - math.Exp(w.shape*logRatio)
}
