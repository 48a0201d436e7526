package quantity

import "math"

// formFor chooses how to write the unit of a value in digits.
func formFor(unit Unit, d decimal) form {
	f, ok := units[unit]
	switch {
	case !ok:
		return form{symbol: string(unit)}
	case d.digits == "":
		return f.base()
	}
	chosen := f.forms[0]
	for _, candidate := range f.forms {
		if d.point > candidate.from {
			chosen = candidate
		}
	}
	return chosen
}

// write puts a decimal before a unit.
func (f form) write(d decimal) string { return withUnit(d.text(-f.exponent), f.symbol) }

// withUnit puts a number before a unit symbol.
func withUnit(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// notFinite writes the values that are no numbers. The text says what they are,
// but no parser reads it.
func notFinite(value float64, unit Unit) (text string, ok bool) {
	switch {
	case math.IsNaN(value):
		return withUnit("NaN", string(unit)), true
	case math.IsInf(value, 1):
		return withUnit("∞", string(unit)), true
	case math.IsInf(value, -1):
		return withUnit("-∞", string(unit)), true
	}
	return "", false
}

// String writes the value in engineering notation, with the prefix that the
// trade uses and as few digits as tell the value exactly: "4.7 kΩ", "0.22 Ω",
// "4700 µF", "45 min". Parse reads it back to the same value, within the limits
// that the package comment states.
func (q Quantity) String() string {
	if text, ok := notFinite(q.Value, q.Unit); ok {
		return text
	}
	if q.Unit == Second {
		if text, ok := exactDuration(q.Value); ok {
			return text
		}
	}
	d := shortest(q.Value)
	return formFor(q.Unit, d).write(d)
}

// FormatDigits writes a value with the given number of significant digits,
// rounded to nearest and with the zeros at the end kept: FormatDigits(4700,
// Ohm, 3) is "4.70 kΩ". Fewer than one are taken as one and more than 17 as 17.
func FormatDigits(value float64, unit Unit, significant int) string {
	if text, ok := notFinite(value, unit); ok {
		return text
	}
	d := inDigits(value, min(max(significant, 1), exactDigits))
	return formFor(unit, d).write(d)
}
