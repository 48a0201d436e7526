package quantity

import (
	"math"
	"strings"
	"unicode/utf8"
)

// codeLetter is a letter of the value code of IEC 60062.
type codeLetter struct {
	written  string // the letter as it is written
	exponent int
	others   string // further letters that are accepted
}

// The letters for resistors and for capacitors, smallest first (IEC 60062,
// Marking codes for resistors and capacitors, 2016). L for milliohms came with
// the last edition and is read but never written.
var (
	resistorLetters  = []codeLetter{{"R", 0, "r"}, {"K", 3, "k"}, {"M", 6, ""}, {"G", 9, ""}, {"T", 12, ""}}
	capacitorLetters = []codeLetter{{"p", -12, "P"}, {"n", -9, "N"}, {"µ", -6, "\u03bcuU"}, {"m", -3, ""}, {"F", 0, ""}}
	milliohmLetter   = codeLetter{"L", -3, "m"}
)

// lettersOf returns the code letters for a unit.
func lettersOf(unit Unit) []codeLetter {
	switch unit {
	case Ohm:
		return resistorLetters
	case Farad:
		return capacitorLetters
	}
	return nil
}

// ParseCode reads the value code of IEC 60062, in which a letter stands in place
// of the decimal point: 4K7, R47, 470R, 4n7, p33. The unit is Ohm or Farad.
//
// For resistors the letters are R, K, M, G and T, and L for milliohms; k and r
// are accepted too, and m is milli while M is mega. For capacitors they are p,
// n, µ, m and F; µ may be typed as u, and capitals P, N and U, which old parts
// bear, are accepted, but M is refused. A tolerance letter after the code is not
// part of it; LetterTolerance reads that. An error is an *Error.
func ParseCode(text string, unit Unit) (Quantity, error) {
	s, err := scanAs(text, unit, true)
	if err != nil {
		return Quantity{}, err
	}
	if lettersOf(unit) == nil {
		return Quantity{}, s.fail(0, "there is no letter code for "+unit.Name(), "the code is for resistors and capacitors; "+unit.wanted())
	}
	s.spaces()
	start := s.at
	n := number{whole: s.digits()}
	letterAt := s.at
	letter, size := utf8.DecodeRuneInString(s.text[s.at:])
	exponent, ok := codeExponent(letter, unit)
	if !ok {
		return Quantity{}, s.badCode(letterAt, n, unit)
	}
	s.at += size
	n.fraction = s.digits()
	switch {
	case n.whole == "" && n.fraction == "":
		return Quantity{}, s.fail(start, "the digits are missing", "write a code such as "+codeExample(unit))
	case !s.done():
		return Quantity{}, s.fail(s.at, "something follows the code", "write the code alone, such as "+codeExample(unit))
	}
	value, ok := n.value(meaning{unit: unit, exponent: exponent})
	if !ok {
		return Quantity{}, s.outOfRange(start)
	}
	return Quantity{Value: value, Unit: unit}, nil
}

// codeExponent finds the power of ten of a code letter.
func codeExponent(letter rune, unit Unit) (int, bool) {
	letters := lettersOf(unit)
	if unit == Ohm {
		letters = append([]codeLetter{milliohmLetter}, letters...)
	}
	for _, l := range letters {
		if string(letter) == l.written || strings.ContainsRune(l.others, letter) {
			return l.exponent, true
		}
	}
	return 0, false
}

// badCode says why a text is no value code.
func (s *scanner) badCode(offset int, n number, unit Unit) *Error {
	want := "write a letter in place of the decimal point, as in " + codeExample(unit)
	switch {
	case strings.TrimSpace(s.text) == "":
		return s.fail(0, "nothing is written", want)
	case offset == len(s.text):
		return s.fail(offset, "the code letter is missing", want)
	case unit == Farad && s.byteAt(0) == 'M':
		return s.fail(offset, "M on a capacitor can be an old sign for microfarads", "write µ or u, as in 47u")
	case s.byteAt(0) == '.' || s.byteAt(0) == ',':
		return s.fail(offset, "a letter code has no decimal point", want)
	}
	return s.fail(offset, "this is no code letter for "+unit.Name(), want)
}

// codeExample returns a value code as one would write it.
func codeExample(unit Unit) string {
	if unit == Farad {
		return "4n7"
	}
	return "4K7"
}

// FormatCode writes the value code of IEC 60062 for a resistance or a
// capacitance, exactly: "4K7", "470R", "R47", "4n7", "33p". A single digit is
// followed by a zero, as in 1R0, and a link is 0R. The result is empty where
// there is no code: for another unit, a negative or infinite value, or one that
// would need more than three zeros after its letter or four digits before it.
func FormatCode(q Quantity) string {
	letters := lettersOf(q.Unit)
	switch {
	case letters == nil, math.IsNaN(q.Value), math.IsInf(q.Value, 0), q.Value < 0:
		return ""
	case q.Value == 0 && q.Unit == Ohm:
		return "0R"
	case q.Value == 0:
		return ""
	}
	d := shortest(q.Value)
	chosen := letters[0]
	for _, l := range letters {
		if d.point > l.exponent {
			chosen = l
		}
	}
	switch point := d.point - chosen.exponent; {
	case point < -3 || point > 3:
		return ""
	case point <= 0:
		return chosen.written + strings.Repeat("0", -point) + d.digits
	case len(d.digits) > point:
		return d.digits[:point] + chosen.written + d.digits[point:]
	case point == 1:
		return d.digits + chosen.written + "0"
	default:
		return d.digits + strings.Repeat("0", point-len(d.digits)) + chosen.written
	}
}
