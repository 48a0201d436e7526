package quantity

import (
	"math"
	"strings"
)

// percent is the size of one percent. Constants are multiplied exactly.
const percent = 0.01

// toleranceLetters are the tolerance letters of IEC 60062, Marking codes for
// resistors and capacitors (2016). P has two meanings and is kept apart.
var toleranceLetters = []struct {
	letter    string
	low, high float64
}{
	{"E", -0.005 * percent, 0.005 * percent},
	{"L", -0.01 * percent, 0.01 * percent},
	{"W", -0.05 * percent, 0.05 * percent},
	{"B", -0.1 * percent, 0.1 * percent},
	{"C", -0.25 * percent, 0.25 * percent},
	{"D", -0.5 * percent, 0.5 * percent},
	{"F", -1 * percent, 1 * percent},
	{"G", -2 * percent, 2 * percent},
	{"H", -3 * percent, 3 * percent},
	{"J", -5 * percent, 5 * percent},
	{"K", -10 * percent, 10 * percent},
	{"M", -20 * percent, 20 * percent},
	{"N", -30 * percent, 30 * percent},
	{"Q", -10 * percent, 30 * percent},
	{"T", -10 * percent, 50 * percent},
	{"S", -20 * percent, 50 * percent},
	{"Z", -20 * percent, 80 * percent},
}

// The two meanings of P: on resistors, and on older capacitors.
var (
	resistorP  = Tolerance{-0.02 * percent, 0.02 * percent, Percent}
	capacitorP = Tolerance{0, 100 * percent, Percent}
)

// smallCapacitorLetters are the letters that on capacitors below 10 pF stand for
// so many farads either way (IEC 60062).
var smallCapacitorLetters = []struct {
	letter string
	spread float64
}{{"B", 0.1e-12}, {"C", 0.25e-12}, {"D", 0.5e-12}, {"F", 1e-12}, {"G", 2e-12}}

// smallCapacitor is the capacitance, in farads, below which the letters are
// picofarads.
const smallCapacitor = 10e-12

// LetterTolerance returns what a tolerance letter of IEC 60062 stands for on a
// part of the given nominal value. On a capacitor below 10 pF, the letters B, C,
// D, F and G are absolute. P is ±0.02 % on a resistor and -0..+100 % on a
// capacitor; for a part of another unit it is an error. Small letters are not
// accepted. An error is an *Error.
func LetterTolerance(letter string, part Quantity) (Tolerance, error) {
	text := letter
	letter = strings.TrimSpace(text)
	offset := strings.Index(text, letter)
	if part.Unit == Farad && part.Value != 0 && math.Abs(part.Value) < smallCapacitor {
		for _, small := range smallCapacitorLetters {
			if small.letter == letter {
				return Tolerance{-small.spread, small.spread, Farad}, nil
			}
		}
	}
	for _, t := range toleranceLetters {
		if t.letter == letter {
			return Tolerance{t.low, t.high, Percent}, nil
		}
	}
	switch {
	case letter == "P" && part.Unit == Ohm:
		return resistorP, nil
	case letter == "P" && part.Unit == Farad:
		return capacitorP, nil
	case letter == "P":
		return Tolerance{}, &Error{Text: text, Offset: offset, Problem: "P is ±0.02 % on resistors and -0..+100 % on capacitors",
			Want: "write the percentage"}
	}
	return Tolerance{}, &Error{Text: text, Offset: offset, Problem: "this is no tolerance letter",
		Want: "the common ones are F for ±1 %, G ±2 %, J ±5 %, K ±10 % and M ±20 %"}
}

// ToleranceLetter returns the letter of IEC 60062 for a tolerance and reports
// whether there is one. A tolerance in farads gets the letter that is used on
// capacitors below 10 pF.
func ToleranceLetter(t Tolerance) (letter string, ok bool) {
	switch {
	case t.Unit == Farad:
		for _, small := range smallCapacitorLetters {
			if same(t.Low, -small.spread) && same(t.High, small.spread) {
				return small.letter, true
			}
		}
	case t.Unit != Percent:
	case sameTolerance(t, resistorP), sameTolerance(t, capacitorP):
		return "P", true
	default:
		for _, listed := range toleranceLetters {
			if same(t.Low, listed.low) && same(t.High, listed.high) {
				return listed.letter, true
			}
		}
	}
	return "", false
}

func sameTolerance(a, b Tolerance) bool { return same(a.Low, b.Low) && same(a.High, b.High) }

// same reports whether two numbers differ by rounding only.
func same(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(b) }
