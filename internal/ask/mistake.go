package ask

import (
	"errors"
	"fmt"

	"halfsplit/quantity"
)

// Mistake is what is wrong with one field of a question.
type Mistake struct {
	Field string // as the option is called, without its dashes
	Err   error
}

// Error says what is wrong, with the field as an option.
func (m Mistake) Error() string { return "--" + m.Field + ": " + m.Err.Error() }

// Unwrap gives what is wrong without its field.
func (m Mistake) Unwrap() error { return m.Err }

// wrong makes a mistake.
func wrong(field, format string, values ...any) error {
	return Mistake{field, fmt.Errorf(format, values...)}
}

// figure is a field that holds a figure; an empty one is left alone.
type figure struct {
	field, text string
	unit        quantity.Unit
	to          *float64
}

// figures reads fields that hold figures.
func figures(list []figure) error {
	for _, f := range list {
		if f.text == "" {
			continue
		}
		q, err := quantity.ParseAs(f.text, f.unit)
		if err == nil && f.unit == quantity.Second {
			if bare, again := quantity.Parse(f.text); again == nil && bare.Unit == quantity.None {
				err = fmt.Errorf("the time %s has no unit; write it, as in 20h or 42y", f.text)
			}
		}
		if err == nil && q.Value <= 0 && f.unit != quantity.Celsius {
			err = fmt.Errorf("%s is not above zero", q)
		}
		if err != nil {
			return Mistake{f.field, err}
		}
		*f.to = q.Value
		if f.unit == quantity.Celsius {
			*f.to += 273.15
		}
	}
	return nil
}

// IsMistake tells whether an error is one of the question, not of the program.
func IsMistake(err error) bool {
	var bad badInput
	var m Mistake
	return errors.As(err, &bad) || errors.As(err, &m)
}

// badInput marks an error as one of the question as a whole.
type badInput struct{ error }

func (b badInput) Unwrap() error { return b.error }
