package quantity

import (
	"fmt"
	"math"
)

// read puts into target what a parser makes of the text, and leaves it alone if
// the parser fails.
func read[T any](target *T, text []byte, parse func(string) (T, error)) error {
	value, err := parse(string(text))
	if err == nil {
		*target = value
	}
	return err
}

// unwritable is the error for a value that no text can hold.
func unwritable(text, problem string) error {
	return fmt.Errorf("%s cannot be written: %s", quote(text, 0), problem)
}

// checkWritable returns an error unless the numbers and the unit can be read
// back.
func checkWritable(text string, unit Unit, values ...float64) error {
	if !unit.Known() {
		return unwritable(text, "the unit is not known")
	}
	for _, value := range values {
		if math.IsNaN(value) || !inRange(value) {
			return unwritable(text, "a number from 1e-30 to 1e30 is wanted")
		}
	}
	return nil
}

// MarshalText writes the quantity as String does. A value that could not be
// read back, such as infinity, is an error.
func (q Quantity) MarshalText() ([]byte, error) {
	text := q.String()
	return []byte(text), checkWritable(text, q.Unit, q.Value)
}

// UnmarshalText reads what Parse reads.
func (q *Quantity) UnmarshalText(text []byte) error { return read(q, text, Parse) }

// MarshalText writes the interval as String does. An interval that could not be
// read back, such as one whose low end is above its high end, is an error.
func (i Interval) MarshalText() ([]byte, error) {
	text := i.String()
	var ends []float64
	if !math.IsInf(i.Low, -1) {
		ends = append(ends, i.Low)
	}
	if !math.IsInf(i.High, 1) {
		ends = append(ends, i.High)
	}
	if i.Low > i.High {
		return nil, unwritable(text, "the low end is above the high end")
	}
	return []byte(text), checkWritable(text, i.Unit, ends...)
}

// UnmarshalText reads what ParseInterval reads.
func (i *Interval) UnmarshalText(text []byte) error { return read(i, text, ParseInterval) }

// MarshalText writes the tolerance as String does. A tolerance that could not be
// read back, such as one without a unit, is an error.
func (t Tolerance) MarshalText() ([]byte, error) {
	text := t.String()
	switch {
	case t.Low > t.High:
		return nil, unwritable(text, "the low deviation is above the high one")
	case t.Unit == None:
		return nil, unwritable(text, "a tolerance needs a unit")
	}
	return []byte(text), checkWritable(text, t.Unit, t.Low, t.High)
}

// UnmarshalText reads what ParseTolerance reads.
func (t *Tolerance) UnmarshalText(text []byte) error { return read(t, text, ParseTolerance) }
