package soak

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// gammaLower is the regularised lower incomplete gamma function P(a, x): the
// chance that a gamma variable of shape a and rate 1 is at most x.
func gammaLower(a, x float64) float64 {
	switch {
	case !(x > 0):
		return 0
	case math.IsInf(x, 1) || !(a > 0):
		return 1
	}
	return mathext.GammaIncReg(a, x)
}

// gammaUpper is the complement of gammaLower, computed so that a small upper
// tail keeps its digits.
func gammaUpper(a, x float64) float64 {
	switch {
	case !(x > 0):
		return 1
	case math.IsInf(x, 1) || !(a > 0):
		return 0
	}
	return mathext.GammaIncRegComp(a, x)
}

// gammaQuantile returns x with P(a, x) = lower. The caller gives both tails,
// lower + upper = 1, so that neither is lost when it is small. Twice the
// result at shape r is the chi-square quantile with 2r degrees of freedom.
func gammaQuantile(a, lower, upper float64) float64 {
	switch {
	case !(a > 0) || !(lower > 0):
		return 0
	case !(upper > 0):
		return math.Inf(1)
	}
	if lower <= upper {
		target := math.Log(lower)
		return positiveRoot(func(x float64) float64 { return math.Log(gammaLower(a, x)) - target }, a)
	}
	target := math.Log(upper)
	return positiveRoot(func(x float64) float64 { return target - math.Log(gammaUpper(a, x)) }, a)
}

// poissonAtMost is the chance that a Poisson count of the given mean is at
// most r (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.4.21).
func poissonAtMost(r int, mean float64) float64 {
	if r < 0 {
		return 0
	}
	return gammaUpper(float64(r)+1, mean)
}

// poissonAtLeast is the chance that a Poisson count of the given mean is r or
// more, without taking it from one.
func poissonAtLeast(r int, mean float64) float64 {
	if r <= 0 {
		return 1
	}
	return gammaLower(float64(r), mean)
}

// poissonExactly is the chance that a Poisson count of the given mean is k.
func poissonExactly(k int, mean float64) float64 {
	if k == 0 {
		return math.Exp(-mean)
	}
	n := float64(k)
	return math.Exp(n*math.Log(mean) - mean - logGamma(n+1))
}

// betaLower is the regularised incomplete beta function I_x(a, b), the chance
// that a beta variable is at most x. The complement y = 1 - x is given too, so
// that x near one keeps its digits. The upper tail is betaLower(b, a, y, x).
func betaLower(a, b, x, y float64) float64 {
	switch {
	case !(x > 0) || !(b > 0):
		return 0
	case !(y > 0) || !(a > 0):
		return 1
	case x <= 0.5 || x < a/(a+b):
		return mathext.RegIncBeta(a, b, x)
	}
	return 1 - mathext.RegIncBeta(b, a, y)
}

// betaQuantile returns x with I_x(a, b) = lower; lower + upper = 1. It searches
// on the logit of x, where neither end of the range is cramped.
func betaQuantile(a, b, lower, upper float64) float64 {
	switch {
	case !(a > 0) || !(lower > 0):
		return 0
	case !(b > 0) || !(upper > 0):
		return 1
	}
	const limit = 700
	f := func(logit float64) float64 {
		x, y := 1/(1+math.Exp(-logit)), 1/(1+math.Exp(logit))
		if lower <= upper {
			return math.Log(betaLower(a, b, x, y)) - math.Log(lower)
		}
		return math.Log(upper) - math.Log(betaLower(b, a, y, x))
	}
	switch {
	case f(-limit) >= 0:
		return 0
	case f(limit) <= 0:
		return 1
	}
	return 1 / (1 + math.Exp(-root(f, -limit, limit)))
}

// normalUpperQuantile returns z such that a standard normal variable exceeds z
// with chance q.
func normalUpperQuantile(q float64) float64 { return -mathext.NormalQuantile(q) }

// logNormalUpper is the logarithm of the chance that a standard normal variable
// exceeds z. Beyond 25 it follows the asymptotic series of Abramowitz and
// Stegun 26.2.12, since the chance itself soon underflows.
func logNormalUpper(z float64) float64 {
	if z < 25 {
		return math.Log(0.5 * math.Erfc(z/math.Sqrt2))
	}
	w := 1 / (z * z)
	series := w * (-1 + w*(3+w*(-15+w*(105-945*w))))
	return -z*z/2 - math.Log(z*math.Sqrt(2*math.Pi)) + math.Log1p(series)
}

// logSumExp returns the logarithm of the sum of the exponentials of terms, and
// -Inf when there is none or all are -Inf.
func logSumExp(terms []float64) float64 {
	top := math.Inf(-1)
	for _, x := range terms {
		top = math.Max(top, x)
	}
	if math.IsInf(top, 0) {
		return top
	}
	sum := 0.0
	for _, x := range terms {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

// softplus is ln(1 + exp(x)) without overflow.
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

// logAdd is ln(exp(x) + exp(y)).
func logAdd(x, y float64) float64 {
	if x < y {
		x, y = y, x
	}
	if math.IsInf(y, -1) || math.IsInf(x, 1) {
		return x
	}
	return x + math.Log1p(math.Exp(y-x))
}

// logGamma is the logarithm of the gamma function of a positive x.
func logGamma(x float64) float64 {
	value, _ := math.Lgamma(x)
	return value
}
