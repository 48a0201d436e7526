package metrology

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// spread is the distribution of a result about its value in units of the
// standard uncertainty: Student's t with that many degrees of freedom, or
// the normal distribution for zero (infinitely many). Both tails are computed
// as such, never as one minus the rest, so that small chances keep their
// digits: 7.62e-24 at ten standard uncertainties.
type spread float64

// manyDOF is the number of degrees of freedom from which Student's t is
// computed by way of the normal distribution. The incomplete beta function
// loses digits there, while the approximation is right to 1e-9 or better.
const manyDOF = 1e6

// tail returns the chance of a value above z.
func (s spread) tail(z float64) float64 {
	switch nu := float64(s); {
	case nu == 0 || math.IsInf(nu, 1):
		return math.Erfc(z/math.Sqrt2) / 2
	case nu >= manyDOF:
		return math.Erfc(normalFromT(z, nu)/math.Sqrt2) / 2
	case z < 0:
		return 0.5 + s.central(-z)
	case z < 1:
		return 0.5 - s.central(z)
	default:
		return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+z*z)) / 2
	}
}

// central returns the chance of a value between 0 and z, for z ≥ 0.
func (s spread) central(z float64) float64 {
	switch nu := float64(s); {
	case nu == 0 || math.IsInf(nu, 1):
		return math.Erf(z/math.Sqrt2) / 2
	case nu >= manyDOF:
		return math.Erf(normalFromT(z, nu)/math.Sqrt2) / 2
	case z < 1:
		return mathext.RegIncBeta(0.5, nu/2, z*z/(nu+z*z)) / 2
	default:
		return 0.5 - s.tail(z)
	}
}

// factor returns the k for which ±k holds the value with probability level,
// by bisection on the tail or the centre, whichever is smaller. The library's
// inverse of the incomplete beta function is not used: it fails at small
// tails with many degrees of freedom.
func (s spread) factor(level float64) float64 {
	if nu := float64(s); nu == 0 || math.IsInf(nu, 1) {
		return math.Sqrt2 * math.Erfinv(level)
	}
	below := func(k float64) bool { return 2*s.central(k) < level }
	if level > 0.5 {
		below = func(k float64) bool { return 2*s.tail(k) > 1-level }
	}
	low, high := 0.0, 1.0
	for below(high) {
		low, high = high, 2*high
	}
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return high
		}
		if below(middle) {
			low = middle
		} else {
			high = middle
		}
	}
}

// normalFromT turns a t of nu degrees of freedom into the normal deviate of
// the same probability, for large nu.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.8.
func normalFromT(t, nu float64) float64 {
	if math.IsInf(t, 0) {
		return t
	}
	return t * (1 - 1/(4*nu)) / math.Hypot(1, t/math.Sqrt(2*nu))
}
