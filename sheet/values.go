package sheet

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// Limits are what is still right: a tolerance about a nominal value, or an
// interval. Exactly one of the two is set.
type Limits struct {
	Tolerance *quantity.Tolerance
	Interval  *quantity.Interval
	Text      string
	Place     form.Place
}

// ReadForm reads "±5 %", "±0.5 V", "-20..+50 %", "4.75..5.25 V", "at least 3 V".
// Where the field has a unit, an interval may leave it out.
func (l *Limits) ReadForm(s form.Scalar) error {
	*l = Limits{Text: s.Text, Place: s.Place}
	unit := quantity.Unit(s.Unit)
	tolerance, notTolerance := quantity.ParseTolerance(s.Text)
	interval, notInterval := quantity.ParseIntervalAs(s.Text, unit)
	if unit == quantity.None {
		interval, notInterval = quantity.ParseInterval(s.Text)
	}
	begin, _ := utf8.DecodeRuneInString(strings.TrimSpace(s.Text))
	signed := strings.ContainsRune("±+-−", begin)
	switch {
	case notTolerance == nil && tolerance.Unit == quantity.Percent:
		l.Tolerance = &tolerance
	case notInterval == nil:
		l.Interval = &interval
	case notTolerance == nil && signed:
		l.Tolerance = &tolerance
	case notTolerance == nil: // a bare value may be meant as the nominal one
		return &form.Mistake{Message: fmt.Sprintf("%.40q says no limits", s.Text), Hint: "write how far it may lie, as in ±5 % or ±0.5 V, or an interval such as 4.75..5.25 V"}
	case signed || strings.HasSuffix(s.Text, "%"):
		return notTolerance
	default:
		return notInterval
	}
	return l.problem(unit)
}

// problem tells what is wrong with limits that could be read; nil if nothing.
func (l *Limits) problem(wanted quantity.Unit) error {
	switch unit := l.unit(); {
	case unit == quantity.None:
		return &form.Mistake{Message: fmt.Sprintf("%.40q has no unit", l.Text), Hint: "write it, as in 4.75..5.25 V"}
	case wanted != quantity.None && unit != wanted && unit != quantity.Percent:
		return &form.Mistake{Message: fmt.Sprintf("%.40q is in %s", l.Text, unit.Name()), Hint: "write it in " + wanted.Name()}
	case l.Tolerance != nil && l.Tolerance.Low == l.Tolerance.High, l.Interval != nil && l.Interval.Low == l.Interval.High:
		return &form.Mistake{Message: fmt.Sprintf("%.40q leaves no room", l.Text), Hint: "no reading is exact: write how far it may lie, as in ±5 %"}
	}
	return nil
}

// unit is the unit that the limits are written in.
func (l *Limits) unit() quantity.Unit {
	switch {
	case l.Tolerance != nil:
		return l.Tolerance.Unit
	case l.Interval != nil:
		return l.Interval.Unit
	}
	return quantity.None
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
	*e = Expect{Text: s.Text, Place: s.Place}
	text, _ := quantity.SplitMode(s.Text)
	q, err := quantity.Parse(text)
	number := strings.TrimLeft(s.Text, " \t+-−±.")
	switch {
	case err == nil && q.Unit != quantity.None:
		e.Value = &q
	case err == nil:
		return &form.Mistake{Message: fmt.Sprintf("%.40q has no unit", s.Text), Hint: "write it, as in 5 V or 2 MHz; or write a word, such as high"}
	case number != "" && number[0] >= '0' && number[0] <= '9':
		return err
	case strings.IndexFunc(s.Text, unicode.IsLetter) < 0:
		return &form.Mistake{Message: fmt.Sprintf("%.40q is neither a value nor a word", s.Text), Hint: "write a value with its unit, as in 5 V, or a word such as high"}
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
}

// valueUnit gives the unit of the value of a kind of part, or of what can stand
// only in a circuit.
func valueUnit(kind string) (quantity.Unit, bool) {
	if unit, ok := valueUnits[kind]; ok {
		return unit, true
	}
	if k, ok := wiring.Find(kind); ok && k.FailsAs == "" {
		return k.Value, k.HasValue
	}
	return quantity.None, false
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
