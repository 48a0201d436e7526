package soak

import (
	"fmt"
	"math"
)

// most is the largest number of trials or units that the package plans for.
const most = 1e15

// SuccessRun returns the smallest number of trials, all without failure, that
// shows a reliability of at least the given value with the given confidence,
// and the confidence that so many trials do reach. Both are strictly between 0
// and 1. For cold starts: 22 clean starts in a row show, with 90 % confidence,
// that nine starts in ten are good.
//
// Source: the success-run theorem, n = ln(1-C)/ln R, common to reliability
// texts.
func SuccessRun(reliability, confidence float64) (trials int, reached float64, err error) {
	if err := first(checkLevel("reliability", reliability), checkLevel("confidence", confidence)); err != nil {
		return 0, 0, err
	}
	n, err := wholeUp(math.Log1p(-confidence) / math.Log(reliability))
	if err != nil {
		return 0, 0, err
	}
	return n, -math.Expm1(float64(n) * math.Log(reliability)), nil
}

// wholeUp rounds a number of trials up, forgiving rounding errors of the last
// digits; there is always at least one trial.
func wholeUp(x float64) (int, error) {
	if !(x < most) {
		return 0, fmt.Errorf("soak: more than %.0g trials would be needed; ask for a lower reliability or confidence", most)
	}
	return int(math.Max(1, math.Ceil(x*(1-1e-12)))), nil
}

// Demonstration is what a test without failures is to show: that units whose
// lives are Weibull with the given shape survive a life with at least the
// reliability, with confidence.
//
// Source: Weibull zero-failure test planning, R. B. Abernethy, The New Weibull
// Handbook, 5th edition (2006), chapter 6.
type Demonstration struct {
	Reliability float64 // between 0 and 1
	Confidence  float64 // between 0 and 1
	Shape       float64 // Weibull shape, known or assumed
	Life        float64 // time that is to be survived, above zero
}

func (d Demonstration) check() error {
	return first(
		checkLevel("reliability", d.Reliability),
		checkLevel("confidence", d.Confidence),
		checkShape(d.Shape),
		checkTime("life", d.Life),
	)
}

// Units returns how many units must each run for a time without failure: the
// exact number, and the whole number of units to test.
func (d Demonstration) Units(time float64) (exact float64, units int, err error) {
	if err := first(d.check(), checkTime("test time", time)); err != nil {
		return 0, 0, err
	}
	exact = math.Log1p(-d.Confidence) / math.Log(d.Reliability) * math.Exp(d.Shape*(math.Log(d.Life)-math.Log(time)))
	if units, err = wholeUp(exact); err != nil {
		return 0, 0, err
	}
	return exact, units, nil
}

// TestTime returns how long each of a number of units must run without failure.
func (d Demonstration) TestTime(units int) (float64, error) {
	if err := d.check(); err != nil {
		return 0, err
	}
	if units < 1 {
		return 0, fmt.Errorf("soak: %d units under test; at least one is needed", units)
	}
	ratio := math.Log1p(-d.Confidence) / (float64(units) * math.Log(d.Reliability))
	return d.Life * math.Exp(math.Log(ratio)/d.Shape), nil
}
