package signal

import "math"

// Expectation is what a point should read in numbers.
type Expectation struct {
	Nominal   float64 // V (or A, Hz: one unit throughout)
	Low, High float64 // the limits, Low ≤ High; ±Inf for one-sided
}

// limits are the two limits. The side that has none gets one as far from the
// nominal value as the other, or a tenth of it.
func (e Expectation) limits() (low, high float64) {
	low, high = e.Low, e.High
	tenth := math.Max(math.Abs(bounded(e.Nominal))/10, smallest)
	switch {
	case math.IsInf(low, 0) && math.IsInf(high, 0):
		low, high = e.Nominal-tenth, e.Nominal+tenth
	case math.IsInf(low, 0):
		if low = 2*e.Nominal - high; low >= high {
			low = high - tenth
		}
	case math.IsInf(high, 0):
		if high = 2*e.Nominal - low; high <= low {
			high = low + tenth
		}
	}
	return bounded(low), bounded(high)
}

// smallest is the finest difference told apart, so that a point that should
// read exactly zero still has a size; largest keeps the arithmetic finite
// whatever is typed.
const (
	smallest = 1e-9
	largest  = 1e100
)

func bounded(x float64) float64 { return math.Max(-largest, math.Min(x, largest)) }

// FromNumber gives the likelihood density of a steady (DC) reading with
// standard uncertainty u, per unit of the reading.
//
// In the state Good the true value is spread normally about the middle of the
// limits, mostly with two standard deviations to each limit, in one unit of
// seven three times as wide, and the reading about it with u. Low and High are spread between the limit and nothing or twice the
// value, and High thinly beyond; Absent is near zero, or so little that nothing
// works on it; Floating and Wrong are anywhere; Noisy reads as its average,
// usually good or a little low. Where zero lies within the limits, absence
// cannot be told from good, and Low means less than the limit by as much as
// High means more. A slip can read anything. The shapes are common practice,
// no source; the comparison is not sensitive to them, since readings that
// matter lie far from the limits or are judged too close to call.
func FromNumber(reading, u float64, e Expectation) Likelihood {
	// Everything is counted in scales: the middle of the limits, or for a point
	// that should sit near zero ten times their half width. That also turns a
	// negative rail over.
	low, high := e.limits()
	scale := (low + high) / 2
	if scale < 0 {
		low, high = high, low
	}
	nearZero := low*high <= 0
	if nearZero {
		scale = math.Copysign(math.Max(5*math.Abs(high-low), smallest), scale)
	}
	low, high = low/scale, high/scale
	const farthest = 1e6
	y := math.Max(-farthest, math.Min(reading/scale, farthest))
	u = math.Max(1e-4, math.Min(u/math.Abs(scale), farthest))

	middle, half := (low+high)/2, (high-low)/2
	broad := uniform(y, -2, 3, u+0.05)
	good := 0.85*normal(y-middle, math.Hypot(half/2, u)) + 0.15*normal(y-middle, math.Hypot(1.5*half, u))
	var l Likelihood
	l[Good] = good
	l[High] = above(y-high, u)
	if nearZero {
		l[Low] = above(low-y, u)
		l[Absent] = good
	} else {
		// a sagging value lies nearer its limit than nothing, in proportion
		// (as far as the reading is fine enough to tell)
		fine := math.Max(0, 1-5*u/low)
		l[Low] = (fine*2*math.Min(1, math.Max(0, y/low)) + (1 - fine)) * uniform(y, 0, low, u)
		l[Absent] = 0.75*normal(y, math.Hypot(0.04, u)) + 0.25*uniform(y, 0, 0.35, u)
	}
	l[StuckLow] = 0.8*l[Absent] + 0.2*l[Low]
	l[StuckHigh] = 0.7*l[High] + 0.3*broad
	l[Floating] = 0.5*broad + 0.3*l[Absent] + 0.2*l[Low]
	l[Clamped] = 0.7*l[Low] + 0.2*l[High] + 0.1*broad
	l[Wrong] = 0.5*broad + 0.2*good + 0.2*l[Low] + 0.1*l[High]
	l[Noisy] = 0.6*good + 0.4*l[Low]
	slip := thin(y, 3)
	for s := range l {
		l[s] = ((1-Slip)*l[s] + Slip*slip) / math.Abs(scale)
	}
	return l
}

// above is the density, at a distance beyond a limit, of something that is
// beyond it: mostly by up to one scale, the rest thinly without end.
func above(distance, u float64) float64 {
	beyond := math.Erfc(-distance/(u*math.Sqrt2)) / 2
	return 0.7*uniform(distance, 0, 1, u) + 0.3*2*thin(distance, 2+u)*beyond
}

// thin is a density that never vanishes however far out (Cauchy), so that no
// reading is impossible.
func thin(x, width float64) float64 {
	return 1 / (math.Pi * width * (1 + x/width*x/width))
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

// FromAlternating gives the likelihood density of a reading of ripple or noise
// with standard uncertainty u on a rail that should carry none above limit, per
// unit of the reading. A clean signal carries anything up to the limit, a noisy
// one from about the limit to thirty times it, each factor alike; one that is
// wrong may carry either. The shapes are common practice, no source.
func FromAlternating(reading, u, limit float64) Likelihood {
	limit = math.Max(limit, smallest)
	y := math.Max(reading/limit, 0)
	u = math.Max(1e-4, u/limit)
	clean := uniform(y, 0, 1, u+0.1)
	noisy := 0.0
	if y > 0 {
		const most = 30
		// ln y lies between 0 and ln most; the density of y is that of ln y over y
		noisy = uniform(math.Log(y), 0, math.Log(most), math.Min(u/y, 1)+0.2) / y
	}
	slip := thin(y, 10)
	var l Likelihood
	for s := range l {
		share := 0.1 // of those that are noisy too
		switch State(s) {
		case Noisy:
			share = 1
		case Wrong, Clamped:
			share = 0.5
		}
		l[s] = ((1-Slip)*(share*noisy+(1-share)*clean) + Slip*slip) / limit
	}
	l[Good] = ((1-Slip)*clean + Slip*slip) / limit
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

// Again tells how the same reading speaks when the signal was read before and
// nothing changed: it bears out that the first was not misread, but says no more
// of whether the limits or the words fit.
func (l Likelihood) Again() Likelihood {
	const again = 0.3 // common practice, no source
	best := l.Best()
	if best == 0 {
		return l
	}
	for s := range l {
		l[s] = best * math.Pow(l[s]/best, again) // in the unit of the first
	}
	return l
}

// Doubted tells how a reading speaks that its reader doubts: half of it.
func (l Likelihood) Doubted() Likelihood {
	mean := 0.0
	for _, x := range l {
		mean += x / States
	}
	for s := range l {
		l[s] = (l[s] + mean) / 2
	}
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
	z := x / sigma
	return math.Exp(-z*z/2) / (sigma * math.Sqrt(2*math.Pi))
}

// uniform is the density of an even spread over low..high, blurred by sigma.
func uniform(x, low, high, sigma float64) float64 {
	inside := (math.Erf((high-x)/(sigma*math.Sqrt2)) + math.Erf((x-low)/(sigma*math.Sqrt2))) / 2
	return math.Max(inside, 0) / (high - low)
}
