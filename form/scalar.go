package form

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// A Mistake is an error in a single value. Offset is the number of bytes of
// the value before the place where it went wrong; Hint, which may be empty,
// says what would be right. Types with a parser of their own return it from
// ReadForm, Short or UnmarshalText so that the problem gets the right column.
type Mistake struct {
	Offset  int
	Message string
	Hint    string
}

// Error gives the message and the hint.
func (m *Mistake) Error() string {
	if m.Hint == "" {
		return m.Message
	}
	return m.Message + "; " + m.Hint
}

// mistake turns any error about a single value into a Mistake.
func mistake(err error) *Mistake {
	var m *Mistake
	if errors.As(err, &m) {
		return m
	}
	if m := quantityMistake(err); m != nil {
		return m
	}
	return &Mistake{Message: err.Error()}
}

// readerParse reads a type that has a ReadForm method.
func readerParse(s Scalar, v reflect.Value) error {
	return v.Addr().Interface().(Reader).ReadForm(s)
}

// textParse reads a type that has an UnmarshalText method.
func textParse(s Scalar, v reflect.Value) error {
	return v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(s.Text))
}

// set puts a single value into a Go value of a scalar shape.
func (s *shape) set(typed Scalar, v reflect.Value) error {
	switch s.kind {
	case text:
		v.SetString(typed.Text)
	case word:
		*v.Addr().Interface().(*Word) = Word{typed.Text, typed.Place}
	case choice:
		for _, one := range s.words {
			if typed.Text == one {
				v.SetString(one)
				return nil
			}
		}
		return &Mistake{Message: fmt.Sprintf("unknown word %q", shortened(typed.Text)), Hint: Suggest(typed.Text, s.words)}
	case yesNo:
		switch typed.Text {
		case "yes", "true":
			v.SetBool(true)
		case "no", "false":
			v.SetBool(false)
		default:
			return &Mistake{Message: fmt.Sprintf("%q is neither yes nor no", shortened(typed.Text)), Hint: "write yes or no, in small letters"}
		}
	case integer:
		n, err := wholeNumber(typed.Text)
		if err != nil {
			return err
		}
		v.SetInt(int64(n))
	case number:
		x, err := decimalNumber(typed.Text)
		if err != nil {
			return err
		}
		v.SetFloat(x)
	case special:
		typed.Unit = s.unit
		return s.parse(typed, v)
	}
	return nil
}

// wholeNumber reads a whole number as people write it: 010 is ten. Addresses
// may be in hexadecimal, as 0x4000.
func wholeNumber(typed string) (int, error) {
	digits, base := typed, 10
	if hex, ok := cutHex(typed); ok {
		digits, base = hex, 16
	}
	n, err := strconv.ParseInt(digits, base, strconv.IntSize)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return 0, &Mistake{Message: fmt.Sprintf("%s is too large", shortened(typed))}
	case err != nil:
		return 0, &Mistake{Message: fmt.Sprintf("%q is not a whole number", shortened(typed)), Hint: "write digits only, such as 16"}
	}
	return int(n), nil
}

// cutHex removes the mark of a hexadecimal number, and refuses a sign after it.
func cutHex(typed string) (string, bool) {
	hex, ok := strings.CutPrefix(typed, "0x")
	if !ok {
		hex, ok = strings.CutPrefix(typed, "0X")
	}
	return hex, ok && !strings.ContainsAny(hex, "+-")
}

// decimalNumber reads a plain decimal number, with an exponent if need be.
func decimalNumber(typed string) (float64, error) {
	if strings.Trim(typed, "0123456789+-.eE") == "" {
		x, err := strconv.ParseFloat(typed, 64)
		if err == nil {
			return x, nil
		}
		if errors.Is(err, strconv.ErrRange) {
			return 0, &Mistake{Message: fmt.Sprintf("%s is too large", shortened(typed))}
		}
	}
	hint := "write a number such as 0.5"
	if strings.Count(typed, ",") == 1 {
		if point := strings.Replace(typed, ",", ".", 1); strings.Trim(point, "0123456789+-.") == "" {
			hint = "write a decimal point: " + point
		}
	}
	return 0, &Mistake{Message: fmt.Sprintf("%q is not a number", shortened(typed)), Hint: hint}
}

// shortened cuts a long text for use in a message.
func shortened(s string) string {
	const most = 40
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return s
}
