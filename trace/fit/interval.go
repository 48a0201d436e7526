package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// An Interval holds a value with 95 % confidence. An end is infinite where the
// readings do not bound the value on that side.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Contains tells whether a value lies within the interval.
func (i Interval) Contains(v float64) bool { return v >= i.Low && v <= i.High }

// student is the quantile of Student's t that leaves 2.5 % above.
func student(freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(0.975)
}

// bandwidth is the share of the series over which residuals are taken to hang
// together, and reach the number of standard errors that then makes 95 %: the
// polynomial for the Bartlett kernel in N. M. Kiefer, T. J. Vogelsang, "A new
// asymptotic theory for heteroskedasticity-autocorrelation robust tests",
// Econometric Theory 21 (2005), table 1 (coefficients from memory; the coverage
// is checked by simulation).
const bandwidth = 0.1

func reach() float64 {
	const b = bandwidth
	return 1.9600 + 2.9694*b + 0.4160*b*b - 0.5324*b*b*b
}

// fewPoints is the number of points below which how they hang together cannot
// be judged.
const fewPoints = 30

// spread gives half the width of the 95 % interval of each parameter: the
// ordinary one, or the one that allows for residuals that hang together,
// whichever is wider.
func spread(r Result, curve Curve, x, y []float64) []float64 {
	n := len(r.Parameters)
	half := make([]float64, n)
	for j := range half {
		half[j] = student(float64(r.Freedom)) * r.StandardErrors[j]
	}
	if len(x) < fewPoints {
		return half
	}
	// Influence of each point on each parameter: (JᵀJ)⁻¹ times slope times
	// residual. Their sum is zero, and their long-run variance that of the
	// parameter.
	influence := make([][]float64, n)
	slope := make([]float64, n)
	for i := range x {
		residual := y[i] - curve(x[i], r.Parameters, slope)
		for j := range influence {
			v := 0.0
			for k := range slope {
				v += r.inverse[j][k] * slope[k]
			}
			influence[j] = append(influence[j], v*residual)
		}
	}
	for j := range half {
		if long, alone := longRun(influence[j]); long > 0 {
			half[j] = max(half[j], reach()/1.96*student(max(alone-float64(n), 1))*math.Sqrt(long))
		}
	}
	return half
}

// longRun is the variance of the sum of a series whose members hang together, and
// how many members that stand alone it is worth: what each takes over from the one before is set aside first, and the rest is
// weighed as Bartlett does.
//
// Source: D. W. K. Andrews, J. C. Monahan, "An improved heteroskedasticity and
// autocorrelation consistent covariance matrix estimator", Econometrica 60
// (1992), section 3.
func longRun(series []float64) (variance, alone float64) {
	n := len(series)
	square, product := 0.0, 0.0
	for i, v := range series {
		square += v * v
		if i > 0 {
			product += v * series[i-1]
		}
	}
	if square == 0 {
		return 0, 0
	}
	share := product / square
	share += (1 + 3*share) / float64(n) // a short series shows less than there is (M. G. Kendall, 1954)
	share = min(max(share, 0), 0.97)
	rest := make([]float64, n-1)
	for i := range rest {
		rest[i] = series[i+1] - share*series[i]
	}
	lags := int(bandwidth * float64(n))
	sum := 0.0
	for lag := 0; lag <= lags; lag++ {
		weight := 1 - float64(lag)/float64(lags+1)
		if lag > 0 {
			weight *= 2
		}
		product := 0.0
		for i := lag; i < len(rest); i++ {
			product += rest[i] * rest[i-lag]
		}
		sum += weight * product
	}
	return max(sum, 0) / ((1 - share) * (1 - share)), float64(n) * (1 - share) / (1 + share)
}

// mostPoints is the number of points to which a long series is thinned, by means
// of neighbours, before a fit. What lies between is noise to a thermal course.
const mostPoints = 2048

// Thin gives a series of at most so many points: each the mean of neighbours, in
// time and value. Readings without a value are left out.
func Thin(times, values []float64, most int) (t, v []float64) {
	good := 0
	for _, y := range values {
		if finite(y) {
			good++
		}
	}
	each := (good + most - 1) / max(most, 1)
	sumT, sumV, count := 0.0, 0.0, 0
	for i, y := range values {
		if !finite(y) {
			continue
		}
		sumT, sumV, count = sumT+times[i], sumV+y, count+1
		if count == each {
			t, v = append(t, sumT/float64(count)), append(v, sumV/float64(count))
			sumT, sumV, count = 0, 0, 0
		}
	}
	if count > each/2 {
		t, v = append(t, sumT/float64(count)), append(v, sumV/float64(count))
	}
	return t, v
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
