package soak

import (
	"fmt"
	"math"
)

// SPRT is the design of a sequential test of Wald for a fleet of like units
// with a constant failure rate: after each failure, and at each moment, the
// running of all units together is enough to accept, enough to reject, or not
// enough. On average it ends sooner than a test of fixed length with the same
// risks.
//
// Source: A. Wald, Sequential Analysis (1947); B. Epstein and M. Sobel,
// Sequential Life Tests in the Exponential Case, Annals of Mathematical
// Statistics 26 (1955), 82-93; MIL-HDBK-781A, section 5.9, for the correction.
type SPRT struct {
	Upper     float64 // mean time between failures of good units, above Lower
	Lower     float64 // mean time between failures of bad units, above zero
	Alpha     float64 // producer's risk: chance to reject good units
	Beta      float64 // consumer's risk: chance to accept bad units
	Corrected bool    // multiply the reject ratio by (d+1)/(2d), d = Upper/Lower, for the overshoot at a failure, as the handbook does
}

// SPRTLines are the boundaries of a sequential test: with r failures, accept
// when the total running time is at least AcceptIntercept + r·Slope, reject
// when it is at most r·Slope - RejectIntercept.
type SPRTLines struct {
	A, B            float64 // likelihood ratios, bad over good, at which to reject and to accept
	Slope           float64 // running time for each failure
	AcceptIntercept float64 // running time without failure that accepts
	RejectIntercept float64 // running time that a failure is short of rejecting
}

// Lines returns the boundaries. It fails when the design makes no test.
func (s SPRT) Lines() (SPRTLines, error) {
	if err := checkHypotheses(s.Upper, s.Lower, s.Alpha, s.Beta); err != nil {
		return SPRTLines{}, err
	}
	d := s.Upper / s.Lower
	lines := SPRTLines{A: (1 - s.Beta) / s.Alpha, B: s.Beta / (1 - s.Alpha)}
	if s.Corrected {
		lines.A *= (d + 1) / (2 * d)
	}
	if !(lines.A > 1) {
		return SPRTLines{}, fmt.Errorf("soak: with risks alpha %v and beta %v the corrected test rejects before it begins; choose smaller risks or no correction", s.Alpha, s.Beta)
	}
	difference := 1/s.Lower - 1/s.Upper
	lines.Slope = math.Log(d) / difference
	lines.AcceptIntercept = -math.Log(lines.B) / difference
	lines.RejectIntercept = math.Log(lines.A) / difference
	return lines, nil
}

// Truncation returns the fixed-length test at which the sequential one is cut
// short: it ends at Accept + 1 failures with rejection, or at Time with
// acceptance, whichever comes first. See NewFixedLengthTest.
func (s SPRT) Truncation() (FixedLengthTest, error) {
	return NewFixedLengthTest(s.Upper, s.Lower, s.Alpha, s.Beta)
}

// OperatingCharacteristic returns, for Wald's parameter h, a mean time between
// failures and the approximate chance that such units are accepted by the test
// without truncation. At h = 1 they are Upper and 1 - Alpha, at h = -1 Lower
// and Beta, for a test without the correction.
//
// Source: Epstein and Sobel (1955), section 3.
func (s SPRT) OperatingCharacteristic(h float64) (mtbf, accept float64, err error) {
	lines, err := s.Lines()
	if err != nil {
		return 0, 0, err
	}
	if !finite(h) {
		return 0, 0, fmt.Errorf("soak: parameter h is %v; it must be a finite number, such as 1 for good units and -1 for bad ones", h)
	}
	return s.mtbfAt(h), lines.acceptAt(h), nil
}

// mtbfAt returns ((Upper/Lower)^h - 1) / (h (1/Lower - 1/Upper)).
func (s SPRT) mtbfAt(h float64) float64 {
	logRatio := math.Log(s.Upper / s.Lower)
	difference := 1/s.Lower - 1/s.Upper
	if h == 0 {
		return logRatio / difference
	}
	return math.Expm1(h*logRatio) / (h * difference)
}

// acceptAt returns (A^h - 1) / (A^h - B^h), arranged so that no power
// overflows.
func (l SPRTLines) acceptAt(h float64) float64 {
	logA, logB := math.Log(l.A), math.Log(l.B)
	switch {
	case h > 0:
		return math.Expm1(-h*logA) / math.Expm1(-h*(logA-logB))
	case h < 0:
		return math.Exp(-h*logB) * math.Expm1(h*logA) / math.Expm1(h*(logA-logB))
	}
	return logA / (logA - logB)
}

// AcceptProbability returns the approximate chance that units with a given mean
// time between failures, above zero, are accepted by the test without
// truncation. SequentialPlan.Characteristic gives it exactly for a truncated
// test.
func (s SPRT) AcceptProbability(mtbf float64) (float64, error) {
	lines, err := s.Lines()
	if err != nil {
		return 0, err
	}
	if err := checkTime("mean time between failures", mtbf); err != nil {
		return 0, err
	}
	// The mean time between failures rises with h without bound, and falls
	// towards zero like 1/|h|; beyond these ends the chance is 0 or 1.
	const limit = 1e6
	f := func(h float64) float64 { return s.mtbfAt(h)/mtbf - 1 }
	switch {
	case f(-limit) >= 0:
		return 0, nil
	case f(limit) <= 0:
		return 1, nil
	}
	return lines.acceptAt(root(f, -limit, limit)), nil
}

// Plan returns the test as a truncated plan, whose times are in the unit of
// Upper and Lower.
func (s SPRT) Plan() (SequentialPlan, error) {
	lines, err := s.Lines()
	if err != nil {
		return SequentialPlan{}, err
	}
	end, err := s.Truncation()
	if err != nil {
		return SequentialPlan{}, err
	}
	rows := make([]SequentialRow, end.Accept+2)
	for r := range rows {
		rows[r] = SequentialRow{
			RejectUpTo: math.Min(end.Time, math.Max(0, float64(r)*lines.Slope-lines.RejectIntercept)),
			AcceptFrom: math.Min(end.Time, lines.AcceptIntercept+float64(r)*lines.Slope),
		}
	}
	rows[len(rows)-1] = SequentialRow{RejectUpTo: end.Time, AcceptFrom: math.Inf(1)}
	return SequentialPlan{Rows: rows}, nil
}
