package instrument

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Form is the way in which a number is written in an answer.
type Form string

// The forms of numbers of IEEE 488.2, section 8.7.
const (
	NR1        Form = "NR1"         // a whole number: +24
	NR2        Form = "NR2"         // with a point: 12.5
	NR3        Form = "NR3"         // with a point and a power of ten: 1.234E+00
	NR3Lenient Form = "NR3-lenient" // a power of ten without a point: 1E3
	NonDecimal Form = "non-decimal" // #HA2F, #Q62, #B01011
)

// Meaning is what a number in an answer stands for.
type Meaning string

// The meanings of numbers of SCPI-1999, volume 1, section 7.2.1.4 and 7.2.1.5.
const (
	Value            Meaning = "number"
	Overload         Meaning = "overload"          // more than the meter can show
	NegativeOverload Meaning = "negative overload" // the same, below zero
	NotANumber       Meaning = "not a number"      // there is no reading
)

// The numbers that stand for infinity and for no number.
const (
	infinity = 9.9e37
	noNumber = 9.91e37
)

// A Number is a number out of an answer.
type Number struct {
	// Value is what is written; ±Inf for an overload and NaN for no number.
	Value   float64
	Form    Form
	Meaning Meaning
}

// ParseNumber reads a number of an answer in any of the forms. Blanks around it
// do not count. An error says what stands there instead.
func ParseNumber(text string) (Number, error) {
	bare := strings.TrimSpace(text)
	if strings.HasPrefix(bare, "#") {
		return nonDecimal(bare)
	}
	form, ok := formOf(bare)
	if !ok {
		return Number{}, fmt.Errorf("%s is no number; a meter should answer with one such as +5.012E+00", quoted(text))
	}
	v, err := strconv.ParseFloat(bare, 64)
	if err != nil { // the form is right, so it is too large
		return Number{}, fmt.Errorf("%s is larger than any reading", quoted(text))
	}
	return meant(v, form), nil
}

// meant sets apart the numbers that stand for something else.
func meant(v float64, form Form) Number {
	n := Number{v, form, Value}
	switch v {
	case infinity:
		n.Value, n.Meaning = math.Inf(1), Overload
	case -infinity:
		n.Value, n.Meaning = math.Inf(-1), NegativeOverload
	case noNumber, -noNumber:
		n.Value, n.Meaning = math.NaN(), NotANumber
	}
	return n
}

// formOf tells the form of a decimal number; ok is false where it is none.
func formOf(s string) (form Form, ok bool) {
	s = unsigned(s)
	whole, s := digits(s)
	count, point := len(whole), strings.HasPrefix(s, ".")
	if point {
		var fraction string
		fraction, s = digits(s[1:])
		count += len(fraction)
	}
	switch {
	case count == 0:
		return "", false
	case s == "" && point:
		return NR2, true
	case s == "":
		return NR1, true
	case s[0] != 'E' && s[0] != 'e':
		return "", false
	}
	power, s := digits(unsigned(s[1:]))
	if power == "" || s != "" {
		return "", false
	}
	if point {
		return NR3, true
	}
	return NR3Lenient, true
}

// unsigned takes a sign off the beginning.
func unsigned(s string) string {
	if s != "" && (s[0] == '+' || s[0] == '-') {
		return s[1:]
	}
	return s
}

// digits parts the digits at the beginning from the rest.
func digits(s string) (found, rest string) {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return s[:n], s[n:]
}

// nonDecimal reads a number to the base of 16, 8 or 2.
func nonDecimal(s string) (Number, error) {
	bases := map[string]int{"#H": 16, "#Q": 8, "#B": 2}
	if len(s) > 2 {
		if base, known := bases[strings.ToUpper(s[:2])]; known {
			if v, err := strconv.ParseUint(s[2:], base, 64); err == nil && !strings.Contains(s, "_") {
				return Number{float64(v), NonDecimal, Value}, nil
			}
		}
	}
	return Number{}, fmt.Errorf("%s is no number; one that begins with # goes on with H, Q or B and digits of base 16, 8 or 2", quoted(s))
}

// quoted shows what came from a meter, cut where it is long, in printable
// characters.
func quoted(text string) string {
	const most = 60
	if len(text) > most {
		return strconv.QuoteToASCII(text[:most]) + fmt.Sprintf(" (and %d bytes more)", len(text)-most)
	}
	return strconv.QuoteToASCII(text)
}
