package metrology

import (
	"errors"
	"fmt"
	"math"
)

// Word is the verdict in a word, from worst to best.
type Word int

// The words of a verdict.
const (
	// Outside: the quantity is surely enough beyond a limit.
	Outside Word = iota
	// TooClose: with this reading nobody can tell.
	TooClose
	// WithinNear: the quantity keeps its limits, but little is left.
	WithinNear
	// Within: the quantity keeps its limits with room to spare.
	Within
)

// String returns the words as they are shown.
func (w Word) String() string {
	switch w {
	case Outside:
		return "outside"
	case TooClose:
		return "too close to call"
	case WithinNear:
		return "within, near the limit"
	case Within:
		return "within"
	}
	return fmt.Sprintf("Word(%d)", int(w))
}

// Side says which limit a verdict is about.
type Side int

// The sides of an interval.
const (
	// BothLimits: the value lies midway, neither limit being nearer.
	BothLimits Side = iota
	// LowLimit: the low limit is nearer, or is the one exceeded.
	LowLimit
	// HighLimit: the high limit is nearer, or is the one exceeded.
	HighLimit
)

// String returns the side in words.
func (s Side) String() string {
	switch s {
	case BothLimits:
		return "both limits"
	case LowLimit:
		return "low limit"
	case HighLimit:
		return "high limit"
	}
	return fmt.Sprintf("Side(%d)", int(s))
}

// The thresholds of a verdict.
const (
	// WithinProbability is the chance of conforming from which a quantity
	// counts as within. With the accuracy of a meter as the only doubt, a
	// value that keeps its full bound from a limit conforms with 95.8 %
	// (Φ(√3)), so the rule agrees with what benches do: pass when the whole
	// band is inside. Common practice; JCGM 106 leaves the figure to the user.
	WithinProbability = 0.95
	// OutsideProbability is the chance of lying beyond one and the same limit
	// from which a quantity counts as outside. The chance of conforming is
	// then 5 % or less. It is not enough that this chance is small: with limits
	// much narrower than the uncertainty it is small for a value right in
	// their middle, and then the meter is at fault, not the unit.
	OutsideProbability = 0.95
	// NearFraction is the outer part of the half-width of the limits in which
	// a value that is within counts as near: the last fifth on either side.
	// For a one-sided limit it is half that fraction of the limit itself,
	// which is the same zone as if the other limit were zero. Common practice,
	// no source: parts age, and a rail that has used four fifths of its
	// tolerance is worth a look while the unit is open. A value closer to the
	// limit than its expanded uncertainty is near as well.
	NearFraction = 0.2
	// CoverageLevel is the level of the expanded uncertainty in a verdict: 2 u
	// when the degrees of freedom are many (JCGM 100:2008, Table G.2).
	CoverageLevel = 0.9545
)

// Verdict is the judgement of a measurement against limits, with every number
// that went into it.
type Verdict struct {
	// Word is the judgement.
	Word Word
	// Side is the limit that the judgement is about: the nearer one.
	Side Side
	// Margin is the distance from the value to that limit, negative when
	// beyond it.
	Margin float64

	// Measurement is what was judged, with its budget.
	Measurement Measurement
	// Estimate is its value, combined standard uncertainty and degrees of
	// freedom.
	Estimate Estimate
	// Coverage and Expanded are the factor k at [CoverageLevel] and U = k·u.
	Coverage, Expanded float64
	// Limit is the interval, with its source.
	Limit Limit
	// Conformity holds the chances p and 1 − p, and those beyond either limit.
	Conformity Conformity

	// Settlement is what would settle a reading that is too close to call; its
	// zero value for every other word.
	Settlement Settlement
}

// Judge weighs a measurement against limits. At least one limit must be
// finite. Invalid components or limits give an error.
//
// Source: JCGM 106:2012, 7 (conformance probability) and 8 (decision rules);
// the thresholds are the constants of this package.
func Judge(m Measurement, limit Limit) (Verdict, error) {
	if err := limit.Check(); err != nil {
		return Verdict{}, err
	}
	if math.IsInf(limit.Low, 0) && math.IsInf(limit.High, 0) {
		return Verdict{}, errors.New("metrology: no limit to judge by; at least one side must be finite")
	}
	e, err := m.Estimate()
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{Measurement: m, Estimate: e, Limit: limit, Conformity: conform(e, limit)}
	if v.Coverage, v.Expanded, err = Expand(e.U, e.DOF, CoverageLevel); err != nil {
		return Verdict{}, err
	}
	v.Side, v.Margin = nearest(e.Value, limit)
	v.Word = decide(e, limit)
	if v.Word == Within && (v.Margin < v.Expanded || v.Margin < nearZone(limit)) {
		v.Word = WithinNear
	}
	if v.Word == TooClose {
		v.Settlement = settle(v)
	}
	return v, nil
}

// decide returns Within, TooClose or Outside.
func decide(e Estimate, limit Limit) Word {
	c := conform(e, limit)
	switch {
	case c.Conforming >= WithinProbability:
		return Within
	case c.Below >= OutsideProbability || c.Above >= OutsideProbability:
		return Outside
	}
	return TooClose
}

// nearest returns the limit nearer to a value and the distance to it,
// negative beyond it.
func nearest(value float64, limit Limit) (Side, float64) {
	toLow, toHigh := value-limit.Low, limit.High-value
	switch {
	case toLow < toHigh:
		return LowLimit, toLow
	case toHigh < toLow:
		return HighLimit, toHigh
	}
	return BothLimits, toLow
}

// nearZone returns the width of the zone inside a limit that counts as near.
func nearZone(limit Limit) float64 {
	switch {
	case math.IsInf(limit.Low, 0):
		return NearFraction / 2 * math.Abs(limit.High)
	case math.IsInf(limit.High, 0):
		return NearFraction / 2 * math.Abs(limit.Low)
	}
	return NearFraction * (limit.High/2 - limit.Low/2)
}
