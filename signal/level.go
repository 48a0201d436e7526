package signal

import "math"

// Expectation is what a point should read in numbers.
type Expectation struct {
	Nominal   float64 // V (or A, Hz: one unit throughout)
	Low, High float64 // the limits, Low < High; ±Inf for one-sided
}

// scale is the size against which "nothing there" and "far too large" are
// judged: the nominal value, or for a point that should sit near zero ten
// times the half width of its limits.
func (e Expectation) scale() float64 {
	half := e.half()
	return math.Max(math.Max(math.Abs(e.Nominal), 10*half), smallest)
}

// half is half the width of the limits; for a one-sided limit the distance
// from the nominal value, or a tenth of it.
func (e Expectation) half() float64 {
	switch low, high := !math.IsInf(e.Low, 0), !math.IsInf(e.High, 0); {
	case low && high:
		return (e.High - e.Low) / 2
	case low && e.Nominal > e.Low:
		return e.Nominal - e.Low
	case high && e.High > e.Nominal:
		return e.High - e.Nominal
	}
	return math.Max(math.Abs(e.Nominal)/10, smallest)
}

// smallest is the finest difference told apart, so that an exact expectation
// (limits that coincide) still has a width.
const smallest = 1e-9

// FromNumber gives the likelihood density of a steady (DC) reading with
// standard uncertainty u, per unit of the reading.
//
// In the state Good the true value is spread normally about the middle of the
// limits, two standard deviations to each limit, and the reading about it with
// u. Low and High are spread evenly between the limit and nothing or twice the
// value; Absent is near zero, or so little
// that nothing works on it; Floating and Wrong are anywhere; Noisy reads as
// its average, usually good or a little low. A slip can read anything. The
// shapes are common practice, no source; the comparison is not sensitive to
// them, since readings that matter lie far from the limits or are judged too
// close to call.
func FromNumber(reading, u float64, e Expectation) Likelihood {
	scale, half := e.scale(), e.half()
	u = math.Max(u, 1e-4*scale)
	direction := 1.0
	if e.Nominal < 0 {
		direction = -1
	}
	y, nominal := reading*direction, e.Nominal*direction
	low, high := e.Low*direction, e.High*direction
	if direction < 0 {
		low, high = high, low
	}
	if math.IsInf(low, 0) {
		low = nominal - half
	}
	if math.IsInf(high, 0) {
		high = nominal + half
	}
	middle := (low + high) / 2
	broad := uniform(y, -2*scale, 3*scale, u+0.05*scale)
	good := normal(y-middle, math.Hypot(half/2, u))
	var l Likelihood
	l[Good] = good
	l[Low] = uniform(y, math.Min(0, low-scale), low, u)
	if nominal >= half { // a point with a direction: low means less of it
		l[Low] = uniform(y, 0.03*scale, low, u)
	}
	l[High] = 0.7*uniform(y, high, high+scale, u) + 0.3*uniform(y, high, high+4*scale, u)
	l[Absent] = 0.75*normal(y, math.Hypot(0.04*scale, u)) + 0.25*uniform(y, 0, 0.35*scale, u)
	if nominal < half { // zero is where it should be: absence cannot be told from good
		l[Absent] = good
	}
	l[StuckLow] = 0.8*l[Absent] + 0.2*l[Low]
	l[StuckHigh] = 0.7*l[High] + 0.3*broad
	l[Floating] = 0.5*broad + 0.3*l[Absent] + 0.2*l[Low]
	l[Clamped] = 0.7*l[Low] + 0.2*l[High] + 0.1*broad
	l[Wrong] = 0.5*broad + 0.2*good + 0.2*l[Low] + 0.1*l[High]
	l[Noisy] = 0.6*good + 0.4*l[Low]
	slip := uniform(y, -5*scale, 5*scale, scale)
	for s := range l {
		l[s] = (1-Slip)*l[s] + Slip*slip
	}
	return l
}

// FromRipple gives the likelihood of an AC reading on a rail that should carry
// none above limit: it speaks of noise only. over is the probability that the
// true ripple is over its limit.
func FromRipple(over float64) Likelihood {
	noisy := said(Spread{Noisy: 1, Wrong: 0.5}, Slip)
	clean := said(Spread{Good: 1, Absent: 1, Low: 0.9, High: 0.9, StuckLow: 1, StuckHigh: 0.9, Floating: 0.5, Clamped: 0.9, Wrong: 0.3}, Slip)
	var l Likelihood
	for s := range l {
		l[s] = over*noisy[s] + (1-over)*clean[s]
	}
	return l
}

// Unloaded tells how a reading speaks when it was taken without the load: a
// weak or rippling rail often looks right until it has to deliver.
func (l Likelihood) Unloaded() Likelihood {
	const hides = 0.6 // common practice, no source
	l[Low] = hides*l[Good] + (1-hides)*l[Low]
	l[Noisy] = hides*l[Good] + (1-hides)*l[Noisy]
	return l
}

// Averaged tells how a DC meter's word for a signal speaks: it cannot see
// noise, and a moving signal shows as its average.
func (l Likelihood) Averaged() Likelihood {
	l[Noisy] = 0.8*math.Max(l[Good], l[Low]) + 0.2*l[Noisy]
	return l
}

// normal is the normal density at x with standard deviation sigma.
func normal(x, sigma float64) float64 {
	sigma = math.Max(sigma, smallest)
	z := x / sigma
	return math.Exp(-z*z/2) / (sigma * math.Sqrt(2*math.Pi))
}

// uniform is the density of an even spread over low..high, blurred by sigma.
func uniform(x, low, high, sigma float64) float64 {
	if high <= low {
		return normal(x-(low+high)/2, math.Max(sigma, smallest))
	}
	if sigma <= 0 {
		if x < low || x > high {
			return 0
		}
		return 1 / (high - low)
	}
	inside := (math.Erf((high-x)/(sigma*math.Sqrt2)) + math.Erf((x-low)/(sigma*math.Sqrt2))) / 2
	return math.Max(inside, 0) / (high - low)
}
