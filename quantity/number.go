package quantity

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// number is a decimal number as it was written: digits before and after the
// point, and a power of ten. The digits are kept until the unit is known, so
// that the value is rounded once only.
type number struct {
	negative bool
	whole    string
	fraction string
	exponent int
	capitalE bool // whether the power of ten was written with a capital E and no sign
}

// The magnitudes that are read and written, beside zero.
const (
	smallest = 1e-30
	largest  = 1e30
)

// inRange reports whether a value can be read and written.
func inRange(value float64) bool {
	magnitude := math.Abs(value)
	return value == 0 || magnitude >= smallest && magnitude <= largest
}

// value returns the number in the unit that it is kept in, as the nearest
// floating-point number for decimal units. It reports false where the magnitude
// is out of range.
func (n number) value(m meaning) (float64, bool) {
	buffer := make([]byte, 0, 64)
	if n.negative {
		buffer = append(buffer, '-')
	}
	buffer = append(buffer, '0')
	buffer = append(buffer, n.whole...)
	buffer = append(buffer, '.')
	buffer = append(buffer, n.fraction...)
	buffer = append(buffer, 'e')
	buffer = strconv.AppendInt(buffer, int64(n.exponent+m.exponent), 10)
	value, err := strconv.ParseFloat(string(buffer), 64)
	if err != nil {
		return 0, false
	}
	if m.scale != 0 {
		value *= m.scale
	}
	if value == 0 {
		return 0, n.isZero() // and never a negative zero
	}
	return value, inRange(value)
}

// outOfRange says that a value is too large or too small to be read.
func (s *scanner) outOfRange(offset int) *Error {
	return s.fail(offset, "the value is out of range", "a value from 1e-30 to 1e30 is wanted")
}

// isZero reports whether every digit is a zero.
func (n number) isZero() bool {
	return strings.Trim(n.whole, "0") == "" && strings.Trim(n.fraction, "0") == ""
}

// mark is the letter that stands in place of the decimal point: a prefix, as in
// 4k7, or a unit, as in 5V6. The zero value is no letter.
type mark struct {
	prefix prefix // the prefix, or the zero prefix
	unit   Unit   // the unit, or None
}

func (m mark) isNone() bool   { return !m.isPrefix() && !m.isUnit() }
func (m mark) isPrefix() bool { return m.prefix.letter != 0 }
func (m mark) isUnit() bool   { return m.unit != None }

// markOf finds what a letter in place of the decimal point stands for.
func markOf(letter rune) (mark, bool) {
	switch letter {
	case 'R', 'r', 'Ω', '\u2126':
		return mark{unit: Ohm}, true
	case 'V', 'v':
		return mark{unit: Volt}, true
	case 'A':
		return mark{unit: Ampere}, true
	case 'F':
		return mark{unit: Farad}, true
	case 'H':
		return mark{unit: Henry}, true
	}
	p, ok := typedPrefix(string(letter))
	return mark{prefix: p}, ok
}

// sign moves past a sign and reports whether it was a minus.
func (s *scanner) sign() (negative bool) {
	if s.take("-", "\u2212") {
		return true
	}
	s.take("+")
	return false
}

// number reads digits with a point, a letter in its place, or a power of ten.
func (s *scanner) number() (number, mark, *Error) {
	var n number
	start := s.at
	n.negative = s.sign()
	n.whole = s.digits()
	point := s.byteAt(0) == '.' && s.byteAt(1) != '.'
	if point {
		s.at++
		n.fraction = s.digits()
	}
	letter, size := utf8.DecodeRuneInString(s.text[s.at:])
	found, isMark := markOf(letter)
	isMark = isMark && isDigit(s.byteAt(size))
	switch {
	case n.whole == "" && n.fraction == "" && (point || !isMark || !s.fixed || found.isUnit() && found.unit != Ohm):
		return n, mark{}, s.noNumber(start, isMark)
	case s.byteAt(0) == ',' && isDigit(s.byteAt(1)):
		return n, mark{}, s.fail(s.at, "a comma in a number can be read in two ways",
			"write a point before decimals, as in 4.7, and thousands without separators, as in 4700")
	case letter == '\'' || letter == '’' || letter == '_':
		return n, mark{}, s.fail(s.at, "a number has no separators between thousands", "write 4700")
	case point && s.byteAt(0) == '.' && s.byteAt(1) != '.':
		return n, mark{}, s.fail(s.at, "a number has one decimal point only", "write 4.7, and thousands without separators, as in 4700")
	case isMark && point:
		return n, mark{}, s.fail(s.at, "a number has either a decimal point or a letter in its place", "write 4.7k or 4k7")
	case isMark:
		s.at += size
		n.fraction = s.digits()
		return n, found, nil
	}
	return n, mark{}, s.powerOfTen(&n)
}

// powerOfTen reads a power of ten such as e-6, if one follows.
func (s *scanner) powerOfTen(n *number) *Error {
	e, sign := s.byteAt(0), s.byteAt(1)
	if e != 'e' && e != 'E' {
		return nil
	}
	ahead := 1
	if sign == '+' || sign == '-' {
		ahead = 2
	}
	if !isDigit(s.byteAt(ahead)) {
		return nil
	}
	start := s.at
	s.at += ahead
	digits := strings.TrimLeft(s.digits(), "0")
	if len(digits) > 3 {
		return s.outOfRange(start)
	}
	n.exponent, _ = strconv.Atoi("0" + digits)
	if sign == '-' {
		n.exponent = -n.exponent
	}
	n.capitalE = e == 'E' && ahead == 1
	return nil
}

// noNumber says that a number was expected. Where a letter and digits stand
// instead, as in R47, the text may be the name of a part.
func (s *scanner) noNumber(start int, lettered bool) *Error {
	switch {
	case strings.TrimSpace(s.text) == "":
		return s.fail(0, "nothing is written", "a number with its unit is wanted, such as 12 V")
	case start == len(s.text):
		return s.fail(start, "a value is missing at the end", "write a number with its unit, such as 12 V")
	case lettered:
		return s.fail(start, "this may be the name of a part", "write a value with its leading zero, such as 0R47")
	}
	return s.fail(start, "a number was expected", "write the number first and then its unit, as in 12 V")
}
