package soak

import (
	"errors"
	"fmt"
	"math"
)

// Termination says what ended a test.
type Termination string

// The ways in which a test ends.
const (
	TimeTerminated    Termination = "time"    // it ended at a time set beforehand
	FailureTerminated Termination = "failure" // it ended at a failure
)

// Limits is an estimate with its confidence limits.
type Limits struct {
	Estimate     float64
	Lower, Upper float64
}

// MTBFLimits returns the classical estimate of the mean time between failures
// and its chi-square confidence limits, from a number of failures in a total
// running time above zero. The units run may be one or many; their times are
// added. The rate is taken to be constant.
//
// A test that ended at a set time uses chi-square with 2r + 2 degrees of
// freedom for the lower limit and 2r for the upper one; a test that ended at
// its last failure uses 2r for both. Without a failure the estimate and the
// upper limit are +Inf. A side that is not asked for is 0 or +Inf.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.5.1.
func MTBFLimits(time float64, failures int, confidence float64, end Termination, sides Sides) (Limits, error) {
	err := first(checkPositive("total running time", time), checkCount("number of failures", failures))
	if err != nil {
		return Limits{}, err
	}
	lower, upper, err := sides.tails(confidence)
	if err != nil {
		return Limits{}, err
	}
	r := float64(failures)
	lowerShape := r + 1
	switch end {
	case TimeTerminated:
	case FailureTerminated:
		if failures == 0 {
			return Limits{}, errors.New("soak: a test that ended at a failure has had at least one failure; with none it ended at a set time")
		}
		lowerShape = r
	default:
		return Limits{}, fmt.Errorf("soak: termination %q; it is %q or %q", end, TimeTerminated, FailureTerminated)
	}
	limits := Limits{Estimate: math.Inf(1), Lower: 0, Upper: math.Inf(1)}
	if failures > 0 {
		limits.Estimate = time / r
	}
	if lower > 0 {
		limits.Lower = time / gammaQuantile(lowerShape, 1-lower, lower)
	}
	if upper > 0 && failures > 0 {
		limits.Upper = time / gammaQuantile(r, upper, 1-upper)
	}
	return limits, nil
}

// TestLength returns the total running time that shows a mean time between
// failures of at least the objective, with the given confidence, when no more
// than the allowed number of failures happens in it. With no failure allowed
// and 90 % it is 2.303 times the objective.
//
// Source: NIST/SEMATECH e-Handbook, section 8.3.1.1.
func TestLength(objective float64, allowed int, confidence float64) (float64, error) {
	err := first(
		checkPositive("objective for the mean time between failures", objective),
		checkCount("number of failures allowed", allowed),
		checkLevel("confidence", confidence),
	)
	if err != nil {
		return 0, err
	}
	return objective * gammaQuantile(float64(allowed)+1, confidence, 1-confidence), nil
}

// BayesTestLength returns the running time after which, with no more than the
// allowed number of failures, the mean time between failures exceeds the
// objective with the chance confidence, given a prior for the failure rate. It
// is 0 when the prior alone says so.
//
// Source: NIST/SEMATECH e-Handbook, section 8.3.1.5.
func BayesTestLength(objective float64, allowed int, confidence float64, prior Gamma) (float64, error) {
	err := first(
		checkPositive("objective for the mean time between failures", objective),
		checkCount("number of failures allowed", allowed),
		checkLevel("confidence", confidence),
	)
	if err != nil {
		return 0, err
	}
	shape := prior.shape + float64(allowed)
	if shape == 0 {
		return 0, errors.New("soak: with no failure allowed the prior needs a shape above 0; use a prior such as JeffreysRate")
	}
	return math.Max(0, objective*gammaQuantile(shape, confidence, 1-confidence)-prior.rate), nil
}
