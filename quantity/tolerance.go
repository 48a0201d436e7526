package quantity

import (
	"strconv"
	"strings"
)

// Tolerance is how far a value may lie from its nominal: Low is the lowest
// deviation, negative as a rule, and High the highest. With the unit Percent
// both are fractions of the nominal, so ±5 % is {-0.05, 0.05, Percent}; with
// another unit they are deviations in that unit.
type Tolerance struct {
	Low, High float64
	Unit      Unit
}

// Around returns the interval that the tolerance allows around a nominal value.
// A relative tolerance goes with the size of the nominal, so -12 V ±10 % is
// -13.2..-10.8 V, and the Unit of its interval is None, since the tolerance
// does not know it; Limits fills it in. The ends are rounded to 15 significant
// digits, so that 13.2 is the limit as one would write it.
func (t Tolerance) Around(nominal float64) Interval {
	if t.Unit != Percent {
		return Interval{tidy(nominal + t.Low), tidy(nominal + t.High), t.Unit}
	}
	a, b := tidy(nominal*(1+t.Low)), tidy(nominal*(1+t.High))
	return Interval{min(a, b), max(a, b), None}
}

// Limits returns the interval that the tolerance allows around a quantity. An
// absolute tolerance in another unit than the quantity's is an error.
func (t Tolerance) Limits(nominal Quantity) (Interval, error) {
	if t.Unit != Percent && t.Unit != nominal.Unit {
		return Interval{}, &Error{Text: t.String(), Problem: "this tolerance does not go with " + nominal.String(),
			Want: "a tolerance in percent or in " + nominal.Unit.Name() + " is wanted"}
	}
	limits := t.Around(nominal.Value)
	limits.Unit = nominal.Unit
	return limits, nil
}

// tidy rounds to the digits that decimal arithmetic on paper would give.
func tidy(value float64) float64 {
	value, _ = strconv.ParseFloat(strconv.FormatFloat(value, 'g', 15, 64), 64)
	return value
}

// String writes the tolerance as ParseTolerance reads it: "±5 %", "-20..+50 %"
// or "±0.5 V".
func (t Tolerance) String() string {
	if t.Low == -t.High && t.High >= 0 {
		return "±" + Quantity{t.High, t.Unit}.String()
	}
	return writeRange(t.Low, t.High, t.Unit, true)
}

// ParseTolerance reads a tolerance. It may be written as
//
//	±5 %    +-5 %    +/-5 %    5 %    ±50 ppm    ±0.5 V    J
//	-20..+50 %    -20/+50 %    +80 -20 %    -20 % +80 %
//
// A value without a sign means ±. A single capital letter is a tolerance letter
// of IEC 60062, read as LetterTolerance reads it for a part whose kind is not
// known. An error is an *Error.
func ParseTolerance(text string) (Tolerance, error) {
	if letter := strings.TrimSpace(text); len(letter) == 1 && 'A' <= letter[0] && letter[0] <= 'Z' {
		return LetterTolerance(text, Quantity{})
	}
	s, err := scan(text)
	if err != nil {
		return Tolerance{}, err
	}
	t, err := s.tolerance()
	switch {
	case err != nil:
		return Tolerance{}, err
	case t.Unit == None:
		return Tolerance{}, s.fail(len(strings.TrimRight(text, " ")), "the unit is missing", "write it, as in ±5 % or ±0.5 V")
	}
	return t, nil
}

// tolerance reads a tolerance of one or two values.
func (s *scanner) tolerance() (Tolerance, *Error) {
	s.spaces()
	if s.plusMinus() {
		s.spaces()
		start := s.at
		spread, err := s.limit()
		if err == nil && spread.Value < 0 {
			err = s.negativeSpread(start)
		}
		return Tolerance{0 - spread.Value, spread.Value, spread.Unit}, err
	}
	firstSigned := s.signed()
	first, err := s.item()
	if err != nil {
		return Tolerance{}, err
	}
	if s.done() {
		return s.oneSpread(first, firstSigned)
	}
	if !s.take("..", "…", "/", ",") {
		s.words("to")
	}
	s.spaces()
	secondSigned, secondAt := s.signed(), s.at
	second, err := s.item()
	if err != nil {
		return Tolerance{}, err
	}
	a, b, err := s.pair(first, second, item{})
	switch {
	case err != nil:
		return Tolerance{}, err
	case !s.done():
		return Tolerance{}, s.follows(second)
	case !firstSigned && a.Value != 0:
		return Tolerance{}, s.fail(first.start, "a sign is missing", "write both signs, as in -20..+50 %")
	case !secondSigned && b.Value != 0:
		return Tolerance{}, s.fail(secondAt, "a sign is missing", "write both signs, as in -20..+50 %")
	}
	return Tolerance{min(a.Value, b.Value), max(a.Value, b.Value), a.Unit}, nil
}

// signed reports whether a plus or a minus sign comes next.
func (s *scanner) signed() bool {
	before := s.at
	found := s.take("+", "-", "\u2212")
	s.at = before
	return found
}

// oneSpread makes a tolerance of a single value.
func (s *scanner) oneSpread(it item, signed bool) (Tolerance, *Error) {
	spread, err := s.resolve(it, meaning{}, false)
	if err == nil && signed {
		err = s.fail(it.start, "one side of the tolerance is missing", "write ±5 %, or both sides, as in -20..+50 %")
	}
	return Tolerance{0 - spread.Value, spread.Value, spread.Unit}, err
}
