package sheet

import (
	"errors"
	"math"
	"strings"

	"halfsplit/internal/form"
	"halfsplit/quantity"
)

// Limits are what is still right: a tolerance about a nominal value, or an
// interval.
type Limits struct {
	Tolerance *quantity.Tolerance
	Interval  *quantity.Interval
	Text      string
}

// ReadForm reads "±5 %", "±0.5 V", "-20..+50 %", "4.75..5.25 V", "at least 3 V".
func (l *Limits) ReadForm(s form.Scalar) error {
	l.Text = s.Text
	interval, asInterval := quantity.ParseInterval(s.Text)
	tolerance, asTolerance := quantity.ParseTolerance(s.Text)
	switch {
	case asTolerance == nil && (asInterval != nil || interval.Unit == quantity.Percent || strings.ContainsAny(s.Text, "±") || strings.HasPrefix(s.Text, "+")):
		l.Tolerance = &tolerance
	case asInterval == nil:
		l.Interval = &interval
	default:
		if strings.Contains(s.Text, "±") || strings.HasSuffix(s.Text, "%") {
			return asTolerance
		}
		return asInterval
	}
	return nil
}

// Written says how limits are written.
func (Limits) Written() string {
	return "a tolerance such as ±5 % or ±0.5 V, or an interval such as 4.75..5.25 V"
}

// String gives the limits as they were written.
func (l *Limits) String() string { return l.Text }

// MarshalText writes the limits as they were written.
func (l *Limits) MarshalText() ([]byte, error) { return []byte(l.Text), nil }

// Around gives the interval of the limits about a nominal value.
func (l *Limits) Around(nominal float64) quantity.Interval {
	if l.Tolerance != nil {
		return l.Tolerance.Around(nominal)
	}
	return *l.Interval
}

// Expect is what should be read at a point: a value or a word.
type Expect struct {
	Value *quantity.Quantity
	Word  string // when it is not a value
	Text  string
	Place form.Place
}

// ReadForm reads "5 V", "2 MHz", "high", "counting".
func (e *Expect) ReadForm(s form.Scalar) error {
	e.Text, e.Place = s.Text, s.Place
	text, _ := quantity.SplitMode(s.Text)
	q, err := quantity.Parse(text)
	switch {
	case err == nil && q.Unit != quantity.None:
		e.Value = &q
	case err == nil:
		return &form.Mistake{Message: "\"" + s.Text + "\" has no unit", Hint: "write the unit, as in " + s.Text + " V, or a word such as high"}
	case s.Text != "" && strings.ContainsRune("0123456789", rune(strings.TrimLeft(s.Text, "+-−.")[:1][0])):
		return err
	default:
		e.Word = strings.Join(strings.Fields(s.Text), " ")
	}
	return nil
}

// Written says how an expectation is written.
func (Expect) Written() string { return "a value with its unit, or a word" }

// MarshalText writes the expectation as it was written.
func (e *Expect) MarshalText() ([]byte, error) { return []byte(e.Text), nil }

// String gives the expectation as it was written.
func (e *Expect) String() string { return e.Text }

// valueUnits gives the unit of the value of each kind of part that has one.
var valueUnits = map[string]quantity.Unit{
	"resistor": quantity.Ohm, "carbon resistor": quantity.Ohm, "power resistor": quantity.Ohm, "potentiometer": quantity.Ohm,
	"electrolytic": quantity.Farad, "tantalum": quantity.Farad, "film capacitor": quantity.Farad,
	"ceramic capacitor": quantity.Farad, "paper capacitor": quantity.Farad,
	"inductor": quantity.Henry, "zener": quantity.Volt, "regulator": quantity.Volt, "battery": quantity.Volt,
	"lamp": quantity.Volt, "fuse": quantity.Ampere, "oscillator": quantity.Hertz,
	"dc source": quantity.Volt, "mains source": quantity.Volt, "current source": quantity.Ampere,
}

// usualTolerance gives the tolerance of a kind of part when the sheet gives
// none. Electrolytics: −20..+50 % as general-purpose types were specified
// (IEC 60062 tolerance letter T is −10..+50 %, S is −20..+50 %); the others
// are common practice, no source.
func usualTolerance(kind string) quantity.Tolerance {
	switch kind {
	case "electrolytic":
		return quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}
	case "tantalum", "ceramic capacitor", "paper capacitor", "potentiometer", "inductor":
		return quantity.Tolerance{Low: -0.2, High: 0.2, Unit: quantity.Percent}
	case "resistor":
		return quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}
	}
	return quantity.Tolerance{Low: -0.1, High: 0.1, Unit: quantity.Percent}
}

// Limits gives the part's nominal value and the interval its tolerance allows;
// false when it has no value.
func (p *Part) Limits() (nominal float64, limits quantity.Interval, ok bool) {
	if p.value == nil {
		return 0, quantity.Interval{}, false
	}
	tolerance := usualTolerance(kindOf(p.Kind.Text).Name)
	if p.Tolerance != nil {
		tolerance = *p.Tolerance
	}
	limits = tolerance.Around(p.value.Value)
	limits.Unit = p.value.Unit
	return p.value.Value, limits, true
}

// Rating gives the part's rating in the given unit; NaN when it has none.
func (p *Part) Rating(unit quantity.Unit) float64 {
	for _, r := range p.Rated {
		if r.Unit == unit {
			return r.Value
		}
	}
	return math.NaN()
}

// placed moves the place of a value to where a quantity error says it went
// wrong.
func placed(at form.Place, err error) form.Place {
	var q *quantity.Error
	if errors.As(err, &q) && q.Offset >= 0 && q.Offset <= len(q.Text) {
		at.Column += len([]rune(q.Text[:q.Offset]))
	}
	return at
}
