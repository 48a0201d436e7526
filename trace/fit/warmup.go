package fit

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// A Warming is the course of something that warms up, or cools, towards an end
// value: value = End + (Begin - End) · exp(-(t - From) / TimeConstant).
type Warming struct {
	From         float64 // time at which the course begins, seconds
	Begin        float64 // value then, on the curve
	End          float64 // value at which it will end
	TimeConstant float64 // seconds in which the distance to the end falls to 37 %

	EndInterval      Interval // 95 %
	ConstantInterval Interval // 95 %, seconds
	ResidualRMS      float64  // of all readings about the curve
	Noise            float64  // of single readings, from how neighbours differ
	Span             float64  // seconds of the readings

	// OneConstant tells whether one exponential describes the course: the
	// residuals are not much more than noise. Where it does not, the case has
	// more than one time constant, and the numbers are a summary.
	OneConstant bool
	// Bounded tells whether the readings show the end: they run for at least a
	// time constant, and the interval of the end is bounded.
	Bounded bool
}

// WarmUp fits a course to readings from a switching-on. Readings without a value
// are left out. It needs ten readings, over which the value moves. It is an
// error when no exponential course can be told from a straight line.
//
// The linear parameters are eliminated (G. H. Golub, V. Pereyra, "The
// differentiation of pseudo-inverses and nonlinear least squares problems whose
// variables separate", 1973), so that only the time constant is searched for,
// and all three are then refined together.
func WarmUp(times, values []float64) (Warming, error) {
	t, v := Thin(times, values, mostPoints)
	if len(t) < 10 {
		return Warming{}, fmt.Errorf("fit: a warm-up needs ten readings or more; there are %d", len(t))
	}
	var all, allValues []float64
	all, allValues = Thin(times, values, len(values))
	from := all[0]
	span := all[len(all)-1] - from
	if !(span > 0) {
		return Warming{}, errors.New("fit: the readings are all of one time")
	}
	if low, high := slices.Min(v), slices.Max(v); low == high {
		return Warming{}, fmt.Errorf("fit: the value stays at %v, so there is no warm-up to fit", low)
	}
	tau, err := project(t, v, from, span)
	if err != nil {
		return Warming{}, err
	}
	end, rise, _ := linear(t, v, from, tau)
	curve := func(x float64, p, slope []float64) float64 {
		e := math.Exp(-(x - from) / p[2])
		slope[0], slope[1], slope[2] = 1, e, p[1]*e*(x-from)/(p[2]*p[2])
		return p[0] + p[1]*e
	}
	// All readings decide on the values, the thinned ones on how far to trust
	// them: neighbours a second apart tell nothing more of the interval.
	r, err := LeastSquares(curve, all, allValues, []float64{end, rise, tau})
	if err != nil || !(r.Parameters[2] > 0) {
		return Warming{}, errors.New("fit: the course is no exponential one; choose the stretch from switching on until it is steady")
	}
	w := Warming{From: from, End: r.Parameters[0], Begin: r.Parameters[0] + r.Parameters[1], TimeConstant: r.Parameters[2], Span: span}
	w.ResidualRMS = math.Sqrt(r.SumOfSquares / float64(len(all)))
	w.Noise = Noise(allValues)
	w.OneConstant = w.ResidualRMS <= 2*w.Noise || w.ResidualRMS <= 1e-9*math.Abs(w.End-w.Begin)
	thin, err := LeastSquares(curve, t, v, r.Parameters)
	if err != nil {
		return w, err
	}
	half := spread(thin, curve, t, v)
	w.EndInterval = Interval{w.End - half[0], w.End + half[0]}
	w.ConstantInterval = constantInterval(w.TimeConstant, half[2])
	w.Bounded = span >= w.TimeConstant && half[0] < math.Abs(w.End-w.Begin)
	return w, nil
}

// constantInterval is taken in the logarithm, since a time constant is above
// zero.
func constantInterval(tau, half float64) Interval {
	factor := math.Exp(half / tau)
	return Interval{tau / factor, tau * factor}
}

// project finds the time constant with the least sum of squares: on a grid of
// logarithms, then by golden section.
func project(t, v []float64, from, span float64) (float64, error) {
	sumAt := func(logTau float64) float64 {
		_, _, sum := linear(t, v, from, math.Exp(logTau))
		return sum
	}
	const steps = 80
	low, high := math.Log(span/1000), math.Log(20*span)
	best, least := -1, math.Inf(1)
	for i := 0; i <= steps; i++ {
		if s := sumAt(low + (high-low)*float64(i)/steps); s < least {
			best, least = i, s
		}
	}
	switch best {
	case -1, steps:
		return 0, errors.New("fit: the course is a straight line or bends the other way, so no end can be told; record for longer")
	case 0:
		return 0, errors.New("fit: the value settles faster than the readings can follow; choose a shorter stretch")
	}
	at := func(i int) float64 { return low + (high-low)*float64(i)/steps }
	a, b := at(best-1), at(best+1)
	ratio := (math.Sqrt(5) - 1) / 2
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	atC, atD := sumAt(c), sumAt(d)
	for range 60 {
		if atC < atD {
			b, d, atD = d, c, atC
			c = b - ratio*(b-a)
			atC = sumAt(c)
		} else {
			a, c, atC = c, d, atD
			d = a + ratio*(b-a)
			atD = sumAt(d)
		}
	}
	return math.Exp((a + b) / 2), nil
}

// linear gives the best end and rise for a time constant, and the sum of squares
// they leave.
func linear(t, v []float64, from, tau float64) (end, rise, sum float64) {
	e := make([]float64, len(t))
	for i := range t {
		e[i] = math.Exp(-(t[i] - from) / tau)
	}
	l, err := StraightLine(e, v)
	if err != nil {
		return 0, 0, math.Inf(1)
	}
	return l.Intercept, l.Slope, l.ResidualSD * l.ResidualSD * float64(len(t)-2)
}

// At is the value of the course at a time.
func (w Warming) At(t float64) float64 {
	return w.End + (w.Begin-w.End)*math.Exp(-(t-w.From)/w.TimeConstant)
}

// Within is how long after From the course comes within a distance of its end,
// in seconds; 0 where it begins there.
func (w Warming) Within(distance float64) float64 {
	return max(0, w.TimeConstant*math.Log(math.Abs(w.Begin-w.End)/distance))
}

// Noise is the standard deviation of single readings about their local mean,
// from how they differ from their neighbours, so that neither a drift nor a few
// outliers count: 1.4826 times the median of |second differences|, over √6.
func Noise(values []float64) float64 {
	var steps []float64
	for i := 2; i < len(values); i++ {
		if d := values[i] - 2*values[i-1] + values[i-2]; finite(d) {
			steps = append(steps, math.Abs(d))
		}
	}
	if len(steps) == 0 {
		return 0
	}
	slices.Sort(steps)
	if m := steps[len(steps)/2]; m > 0 {
		return 1.4826 * m / math.Sqrt(6)
	}
	// More than half of the differences are nothing: a coarse display, or a
	// channel that seldom moves. The mean of squares then tells more, with the
	// largest twentieth left out.
	sum := 0.0
	kept := steps[:len(steps)-len(steps)/20]
	for _, s := range kept {
		sum += s * s
	}
	return math.Sqrt(sum/float64(len(kept))) / math.Sqrt(6)
}
