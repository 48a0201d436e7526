package soak

import (
	"fmt"
	"math"
)

// Sides says whether limits are wanted on both sides or on one.
type Sides string

// The sides on which limits can be asked for.
const (
	TwoSided  Sides = "two"   // the error is split between both ends
	LowerOnly Sides = "lower" // the whole error is at the lower end
	UpperOnly Sides = "upper" // the whole error is at the upper end
)

// tails returns the error allowed at each end; 0 where no limit is asked for.
func (s Sides) tails(confidence float64) (lower, upper float64, err error) {
	if err := checkLevel("confidence", confidence); err != nil {
		return 0, 0, err
	}
	switch s {
	case TwoSided:
		return (1 - confidence) / 2, (1 - confidence) / 2, nil
	case LowerOnly:
		return 1 - confidence, 0, nil
	case UpperOnly:
		return 0, 1 - confidence, nil
	}
	return 0, 0, fmt.Errorf("soak: sides %q; they are %q, %q or %q", s, TwoSided, LowerOnly, UpperOnly)
}

// ClopperPearson returns the exact confidence limits of a proportion from a
// number of events in a number of trials. The true confidence is never less
// than asked for. A side that is not asked for, and both when there are no
// trials, are 0 and 1.
//
// Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), 404-413;
// NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1.
func ClopperPearson(events, trials int, confidence float64, sides Sides) (Interval, error) {
	if err := checkTrials(events, trials); err != nil {
		return Interval{}, err
	}
	lower, upper, err := sides.tails(confidence)
	if err != nil {
		return Interval{}, err
	}
	x, n := float64(events), float64(trials)
	limits := Interval{Lower: 0, Upper: 1}
	if lower > 0 && events > 0 {
		limits.Lower = betaQuantile(x, n-x+1, lower, 1-lower)
	}
	if upper > 0 && events < trials {
		limits.Upper = betaQuantile(x+1, n-x, 1-upper, upper)
	}
	return limits, nil
}

// Wilson returns the score confidence limits of a proportion from a number of
// events in a number of trials. They are right on average rather than at
// worst, and narrower than the exact ones. A side that is not asked for, and
// both when there are no trials, are 0 and 1.
//
// Source: E. B. Wilson, Journal of the American Statistical Association 22
// (1927), 209-212; NIST/SEMATECH e-Handbook, section 7.2.4.1.
func Wilson(events, trials int, confidence float64, sides Sides) (Interval, error) {
	if err := checkTrials(events, trials); err != nil {
		return Interval{}, err
	}
	lower, upper, err := sides.tails(confidence)
	if err != nil {
		return Interval{}, err
	}
	limits := Interval{Lower: 0, Upper: 1}
	if trials == 0 {
		return limits, nil
	}
	n := float64(trials)
	p := float64(events) / n
	limit := func(z float64) float64 {
		centre := p + z*z/(2*n)
		spread := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
		return math.Max(0, math.Min(1, (centre+spread)/(1+z*z/n)))
	}
	if lower > 0 && events > 0 {
		limits.Lower = limit(-normalUpperQuantile(lower))
	}
	if upper > 0 && events < trials {
		limits.Upper = limit(normalUpperQuantile(upper))
	}
	return limits, nil
}
