package metrology

import (
	"errors"
	"fmt"
	"math"
)

// Limit is the interval in which a quantity is good, limits included. A
// one-sided limit has Low = −Inf or High = +Inf.
type Limit struct {
	Low, High float64
	// Source says where the limit comes from, in words a reader can follow
	// up.
	Source string
}

// Check returns an error when the limits are not numbers, are the wrong way
// round, or leave no finite or half-infinite interval.
func (l Limit) Check() error {
	switch {
	case math.IsNaN(l.Low) || math.IsNaN(l.High):
		return errors.New("metrology: a limit is not a number; give both, with an infinity for a side that is free")
	case l.Low > l.High:
		return fmt.Errorf("metrology: the low limit %g is above the high limit %g; on a negative rail the low limit is the more negative one", l.Low, l.High)
	case math.IsInf(l.Low, 1) || math.IsInf(l.High, -1):
		return fmt.Errorf("metrology: no value lies between the limits %g and %g", l.Low, l.High)
	}
	return nil
}

// Contains reports whether a value lies within the limits, limits included.
func (l Limit) Contains(value float64) bool { return l.Low <= value && value <= l.High }

// Tolerance returns the limits of a nominal value with relative tolerances
// below and above, as fractions: Tolerance(5, 0.05, 0.05, …) is 4.75 to 5.25
// and Tolerance(-5, 0.1, 0.1, …) is −5.5 to −4.5. A tolerance may be
// infinite for a side that is free. "Below" means smaller in magnitude.
func Tolerance(nominal, below, above float64, source string) (Limit, error) {
	if !finite(nominal) || nominal == 0 {
		return Limit{}, fmt.Errorf("metrology: a relative tolerance needs a finite nominal value other than zero, not %g", nominal)
	}
	if !(below >= 0 && above >= 0) {
		return Limit{}, fmt.Errorf("metrology: tolerances of %g below and %g above; both must be zero or more (0.05 is 5 %%)", below, above)
	}
	size := math.Abs(nominal)
	low, high := size-below*size, size+above*size
	if nominal < 0 {
		low, high = -high, -low
	}
	return Limit{Low: low, High: high, Source: source}, nil
}

// Deviation returns how far a reading is from its nominal value, relative to
// it: −0.052 for 4.74 V on a 5 V rail, and −0.102 for −4.49 V on a −5 V rail,
// so that a weak rail is negative whatever its sign.
func Deviation(reading, nominal float64) (float64, error) {
	if !finite(reading, nominal) || nominal == 0 {
		return 0, fmt.Errorf("metrology: deviation of %g from %g; both must be finite and the nominal value not zero", reading, nominal)
	}
	return reading/nominal - 1, nil
}

// The limits that apply when neither the order sheet nor the load says
// anything. Common practice, no source: 5 % is what the published limits of
// the common regulated loads and supplies agree on, and 10 % is what the
// mains itself may do to a rail that nothing regulates. The narrower figure
// is the default, because a needless second look costs less than a bad rail
// called good.
const (
	// RegulatedTolerance is the tolerance of a regulated rail, or of one of
	// which nothing is known.
	RegulatedTolerance = 0.05
	// RawTolerance is the tolerance of an unregulated rail at rated load.
	RawTolerance = 0.10
	// RippleFraction is the peak-to-peak ripple of a regulated rail as a
	// fraction of its voltage. Common practice, no source; ATX 0.9 allows the
	// same 1 % at +5 V and +12 V.
	RippleFraction = 0.01
)

// CommonPractice returns the limits of last resort for a rail of the given
// nominal voltage: ±5 %, or ±10 % when raw (unregulated) is true.
func CommonPractice(nominal float64, raw bool) (Limit, error) {
	if raw {
		return Tolerance(nominal, RawTolerance, RawTolerance, "±10 % for an unregulated rail: common practice, no source")
	}
	return Tolerance(nominal, RegulatedTolerance, RegulatedTolerance, "±5 % for a regulated rail: common practice, no source")
}

// CommonPracticeRipple returns the limit of last resort for the peak-to-peak
// ripple of a regulated rail, in volts: 1 % of the nominal voltage.
func CommonPracticeRipple(nominal float64) (Limit, error) {
	if !finite(nominal) || nominal == 0 {
		return Limit{}, fmt.Errorf("metrology: a ripple limit needs a finite nominal voltage other than zero, not %g", nominal)
	}
	return Limit{Low: math.Inf(-1), High: RippleFraction * math.Abs(nominal), Source: "ripple of 1 % peak to peak: common practice, no source"}, nil
}
