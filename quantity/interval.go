package quantity

import (
	"math"
	"strings"
)

// Interval is a range of values, both ends included. Low is not above High. An
// end is infinite where there is no limit on that side. The values are in the
// unit itself, as those of a Quantity.
type Interval struct {
	Low, High float64
	Unit      Unit
}

// Contains reports whether a value in the interval's unit lies within it. A
// value that is no number does not.
func (i Interval) Contains(value float64) bool { return i.Low <= value && value <= i.High }

// Width returns the distance between the ends. It is infinite where one end is.
func (i Interval) Width() float64 { return i.High - i.Low }

// String writes the interval as ParseInterval reads it: "4.75..5.25 V",
// "at most 50 mV", "at least 3 V", or "any V" where there is no limit at all.
func (i Interval) String() string {
	below, above := math.IsInf(i.Low, -1), math.IsInf(i.High, 1)
	switch {
	case below && above:
		return strings.TrimSpace("any " + string(i.Unit))
	case below:
		return "at most " + Quantity{i.High, i.Unit}.String()
	case above:
		return "at least " + Quantity{i.Low, i.Unit}.String()
	}
	return writeRange(i.Low, i.High, i.Unit, false)
}

// writeRange writes two values with one unit, or each with its own where one
// prefix does not suit both. A plus sign is put where signs are asked for.
func writeRange(low, high float64, unit Unit, signs bool) string {
	plus := func(value float64) string {
		if signs && value > 0 {
			return "+"
		}
		return ""
	}
	separate := plus(low) + Quantity{low, unit}.String() + ".." + plus(high) + Quantity{high, unit}.String()
	_, lowOdd := notFinite(low, unit)
	_, highOdd := notFinite(high, unit)
	if lowOdd || highOdd || unit == Second {
		return separate
	}
	a, b := shortest(low), shortest(high)
	chosen := formFor(unit, larger(a, b))
	const furthest = 3 // digits by which the smaller end may lie below the larger
	if a.digits != "" && b.digits != "" && max(a.point, b.point)-min(a.point, b.point) > furthest {
		return separate
	}
	return plus(low) + a.text(-chosen.exponent) + ".." + plus(high) + chosen.write(b)
}

// ParseInterval reads a range of values with their unit. It may be written as
//
//	4.75..5.25 V    4.75 V to 5.25 V    -20..+50 %    900 mV…1.1 V
//	at most 50 mV   <= 50 mV   at least 3 V   >= 3 V   any V
//	5 V ± 5 %       12 V ± 0.6 V        (12.01 ± 0.06) V
//
// A number without a unit takes the unit and the prefix of the other end. The
// signs < and > are read as ≤ and ≥. An error is an *Error.
func ParseInterval(text string) (Interval, error) { return parseInterval(text, None, false) }

// ParseIntervalAs reads an interval in the wanted unit. Bare numbers and
// shorthand such as "4k7..10k" take that unit, and another unit is an error. An
// error is an *Error.
func ParseIntervalAs(text string, unit Unit) (Interval, error) {
	return parseInterval(text, unit, true)
}

func parseInterval(text string, wanted Unit, fixed bool) (Interval, error) {
	s, err := scanAs(text, wanted, fixed)
	if err != nil {
		return Interval{}, err
	}
	interval, err := s.interval()
	if err != nil {
		return Interval{}, err
	}
	return interval, nil
}

// interval reads an interval of any form.
func (s *scanner) interval() (Interval, *Error) {
	s.spaces()
	infinity := math.Inf(1)
	switch {
	case s.words("any"):
		unit, err := s.anyUnit()
		return Interval{-infinity, infinity, unit}, err
	case s.words("at", "most"), s.take("<=", "≤", "<"):
		q, err := s.limit()
		return Interval{-infinity, q.Value, q.Unit}, err
	case s.words("at", "least"), s.take(">=", "≥", ">"):
		q, err := s.limit()
		return Interval{q.Value, infinity, q.Unit}, err
	case s.take("("):
		return s.bracketed()
	}
	start := s.at
	first, err := s.item()
	if err != nil {
		return Interval{}, err
	}
	s.spaces()
	switch {
	case s.take("..", "…") || s.words("to"):
		return s.between(start)
	case s.plusMinus():
		return s.around(first)
	case s.done():
		return Interval{}, s.fail(start, "a single value is no range", "write a range such as 4.75..5.25 V, or at most 50 mV")
	case s.byteAt(0) == '-' || strings.HasPrefix(s.text[s.at:], "–"):
		return Interval{}, s.fail(s.at, "a dash can be read as a minus sign", "write two points between the values, as in 4.75..5.25 V")
	}
	return Interval{}, s.fail(s.at, "this is no range", "write two points between the values, as in 4.75..5.25 V")
}

// words moves past the given words, in any case, with spaces between them, or
// past nothing.
func (s *scanner) words(expected ...string) bool {
	before := s.at
	for _, word := range expected {
		s.spaces()
		if !strings.EqualFold(s.word(), word) {
			s.at = before
			return false
		}
	}
	return true
}

// plusMinus moves past ± or a way to type it.
func (s *scanner) plusMinus() bool { return s.take("±", "+-", "+/-", "+\u2212", "+/\u2212") }

// anyUnit reads the unit after the word any.
func (s *scanner) anyUnit() (Unit, *Error) {
	s.spaces()
	offset := s.at
	word := s.word()
	unit, err := ParseUnit(word)
	switch {
	case err != nil:
		return None, s.unknownUnit(offset, word, "12")
	case !s.done():
		return None, s.fail(s.at, "something follows the range", "write any V alone")
	case s.fixed && word == "":
		return s.wanted, nil
	case s.fixed && unit != s.wanted:
		return None, s.fail(offset, "this is in "+unit.Name(), s.wanted.wanted())
	}
	return unit, nil
}

// limit reads the one value of a one-sided interval.
func (s *scanner) limit() (Quantity, *Error) {
	it, err := s.item()
	if err != nil {
		return Quantity{}, err
	}
	q, err := s.resolve(it, bareMeaning(s.wanted), s.fixed)
	switch {
	case err != nil:
		return Quantity{}, err
	case s.fixed && q.Unit != s.wanted:
		return Quantity{}, s.otherUnit(it, q.Unit, s.wanted)
	case !s.done():
		return Quantity{}, s.follows(it)
	}
	return q, nil
}

// between reads the second end of a range and then the first again, since the
// unit of each may tell the unit of the other.
func (s *scanner) between(start int) (Interval, *Error) {
	second, err := s.item()
	if err != nil {
		return Interval{}, err
	}
	end := s.at
	again := &scanner{text: s.text, at: start, wanted: s.wanted, fixed: s.fixed}
	if !s.fixed && second.written {
		again.wanted, again.fixed = second.meaning.unit, true
	}
	first, err := again.item()
	if err != nil {
		return Interval{}, err
	}
	low, high, err := s.pair(first, second, item{})
	if err != nil {
		return Interval{}, err
	}
	s.at = end
	switch {
	case !s.done():
		return Interval{}, s.follows(second)
	case low.Value > high.Value:
		return Interval{}, s.fail(start, "the first value is above the second", "write the lower value first, as in -12.6..-11.4 V")
	}
	return Interval{low.Value, high.Value, low.Unit}, nil
}

// pair resolves two values that share a unit. A bare one takes the unit and the
// prefix of the other or of an outer unit, or the wanted unit where there is
// none.
func (s *scanner) pair(first, second, outer item) (a, b Quantity, err *Error) {
	shared, settled, telling := bareMeaning(s.wanted), s.fixed, first
	for _, it := range []item{outer, second, first} {
		if it.written {
			shared, settled, telling = it.meaning, true, it
		}
	}
	if a, err = s.resolve(first, shared, settled); err != nil {
		return a, b, err
	}
	if b, err = s.resolve(second, shared, settled); err != nil {
		return a, b, err
	}
	switch {
	case s.fixed && a.Unit != s.wanted:
		return a, b, s.otherUnit(telling, a.Unit, s.wanted)
	case a.Unit != b.Unit:
		return a, b, s.fail(second.unitAt, "the two values differ in unit", "write both in "+a.Unit.Name())
	}
	return a, b, nil
}

// around reads what follows ± after a first value.
func (s *scanner) around(first item) (Interval, *Error) {
	second, err := s.item()
	if err != nil {
		return Interval{}, err
	}
	if !second.written || second.meaning.unit != Percent || first.written && first.meaning.unit == Percent {
		return s.plusAndMinus(first, second, item{})
	}
	nominal, err := s.resolve(first, bareMeaning(s.wanted), s.fixed)
	switch {
	case err != nil:
		return Interval{}, err
	case !first.written && !s.fixed:
		return Interval{}, s.fail(first.unitAt, "the unit is missing", "write it, as in 5 V ± 5 %")
	case s.fixed && nominal.Unit != s.wanted:
		return Interval{}, s.otherUnit(first, nominal.Unit, s.wanted)
	}
	part, err := s.resolve(second, bareMeaning(Percent), true)
	switch {
	case err != nil:
		return Interval{}, err
	case part.Value < 0:
		return Interval{}, s.negativeSpread(second.start)
	case !s.done():
		return Interval{}, s.follows(second)
	}
	interval := Tolerance{0 - part.Value, part.Value, Percent}.Around(nominal.Value)
	interval.Unit = nominal.Unit
	return interval, s.checkEnds(interval, first)
}

// plusAndMinus makes an interval of a value and the spread after ±. The unit may
// also stand outside of a bracket around them.
func (s *scanner) plusAndMinus(first, second, outer item) (Interval, *Error) {
	middle, spread, err := s.pair(first, second, outer)
	switch {
	case err != nil:
		return Interval{}, err
	case spread.Value < 0:
		return Interval{}, s.negativeSpread(second.start)
	case !s.done():
		return Interval{}, s.follows(second)
	}
	interval := Interval{tidy(middle.Value - spread.Value), tidy(middle.Value + spread.Value), middle.Unit}
	return interval, s.checkEnds(interval, first)
}

// checkEnds refuses an interval whose calculated ends are out of range.
func (s *scanner) checkEnds(interval Interval, first item) *Error {
	if inRange(interval.Low) && inRange(interval.High) {
		return nil
	}
	return s.outOfRange(first.start)
}

func (s *scanner) negativeSpread(offset int) *Error {
	return s.fail(offset, "a minus sign follows ±", "write it without a sign, as in ±5 %")
}

// bracketed reads the rest of (12.01 ± 0.06) V.
func (s *scanner) bracketed() (Interval, *Error) {
	first, err := s.item()
	if err != nil {
		return Interval{}, err
	}
	s.spaces()
	if !s.plusMinus() {
		return Interval{}, s.fail(s.at, "± was expected", "write (12.01 ± 0.06) V")
	}
	second, err := s.item()
	if err != nil {
		return Interval{}, err
	}
	s.spaces()
	if !s.take(")") {
		return Interval{}, s.fail(s.at, "the bracket is not closed", "write (12.01 ± 0.06) V")
	}
	outer := item{start: s.at}
	if err := s.unit(&outer, mark{}); err != nil {
		return Interval{}, err
	}
	if outer.prefix.letter != 0 {
		return Interval{}, s.missingUnit(outer)
	}
	if outer.written && (first.written || second.written) {
		return Interval{}, s.fail(outer.unitAt, "the unit is written twice", "write (12.01 ± 0.06) V")
	}
	if outer.written {
		if err := s.passMode(outer.meaning.unit); err != nil {
			return Interval{}, err
		}
	}
	return s.plusAndMinus(first, second, outer)
}
