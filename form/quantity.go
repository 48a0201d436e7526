package form

import (
	"errors"
	"fmt"
	"reflect"

	"halfsplit/quantity"
)

// quantities holds the parser of each type of package quantity.
var quantities = map[reflect.Type]func(Scalar, reflect.Value) error{
	reflect.TypeFor[quantity.Quantity]():  quantityParse,
	reflect.TypeFor[quantity.Interval]():  intervalParse,
	reflect.TypeFor[quantity.Tolerance](): toleranceParse,
}

// quantityParse reads a quantity, in the unit of its field if that has one.
func quantityParse(s Scalar, v reflect.Value) error {
	q, err := quantity.ParseAs(s.Text, quantity.Unit(s.Unit))
	if s.Unit == "" {
		q, err = quantity.Parse(s.Text)
	}
	if err == nil && s.Unit == string(quantity.Second) {
		err = timeUnit(s.Text)
	}
	if err != nil {
		return err
	}
	v.Set(reflect.ValueOf(q))
	return nil
}

// timeUnit refuses a time without a unit: to read it as seconds, as any other
// bare number is read in the unit of its field, is hardly ever what was meant.
func timeUnit(text string) error {
	if q, err := quantity.Parse(text); err == nil && q.Unit == quantity.None {
		return &Mistake{Message: fmt.Sprintf("the time %s has no unit", text), Hint: fmt.Sprintf("write %s min, %s s or %s h", text, text, text)}
	}
	return nil
}

// intervalParse reads an interval. Numbers alone take the unit of the field.
func intervalParse(s Scalar, v reflect.Value) error {
	unit := quantity.Unit(s.Unit)
	i, err := quantity.ParseInterval(s.Text)
	if unit != quantity.None && (err != nil || i.Unit == quantity.None) {
		if in, again := quantity.ParseInterval(s.Text + " " + s.Unit); again == nil {
			i, err = in, nil
		}
	}
	if err == nil && unit != quantity.None && i.Unit != unit {
		err = otherUnit(s.Text, i.Unit, unit)
	}
	if err != nil {
		return err
	}
	v.Set(reflect.ValueOf(i))
	return nil
}

// toleranceParse reads a tolerance: a percentage, or, where the field has a
// unit, a value in that unit.
func toleranceParse(s Scalar, v reflect.Value) error {
	t, err := quantity.ParseTolerance(s.Text)
	if unit := quantity.Unit(s.Unit); err == nil && unit != quantity.None && t.Unit != unit && t.Unit != quantity.Percent {
		err = otherUnit(s.Text, t.Unit, unit)
	}
	if err != nil {
		return err
	}
	v.Set(reflect.ValueOf(t))
	return nil
}

// otherUnit is the error for a value in another unit than its field's.
func otherUnit(text string, found, wanted quantity.Unit) error {
	return &quantity.Error{Text: text, Problem: "this is in " + found.Name(), Want: "write it in " + wanted.Name()}
}

// quantityMistake gives the Mistake for an error of package quantity, else nil.
func quantityMistake(err error) *Mistake {
	var e *quantity.Error
	if !errors.As(err, &e) {
		return nil
	}
	return &Mistake{Offset: e.Offset, Message: fmt.Sprintf("cannot read %q: %s", shortened(e.Text), e.Problem), Hint: e.Want}
}

// unitKnown tells whether a unit tag names a unit of package quantity.
func unitKnown(unit string) bool { return quantity.Unit(unit).Known() }

// quantityWritten says how a type of package quantity is written; "" for
// another type.
func quantityWritten(t reflect.Type, unit string) string {
	name := quantity.Unit(unit).Name()
	switch t {
	case reflect.TypeFor[quantity.Quantity]():
		if unit == "" {
			return "value with its unit"
		}
		return "value in " + name
	case reflect.TypeFor[quantity.Interval]():
		if unit == "" {
			return "range with its unit"
		}
		return "range in " + name
	case reflect.TypeFor[quantity.Tolerance]():
		if unit == "" || quantity.Unit(unit) == quantity.Percent {
			return "tolerance"
		}
		return "tolerance, as a percentage or in " + name
	}
	return ""
}
