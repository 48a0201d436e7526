package quantity

import (
	"math"
	"strconv"
	"strings"
)

// decimal is a number in digits: 0.d₁d₂d₃… × 10^point. Without digits it is zero.
type decimal struct {
	negative bool
	digits   string
	point    int
}

// shortest returns the fewest digits that are read back as exactly this value,
// which must be finite.
func shortest(value float64) decimal {
	d := inDigits(value, 0)
	d.digits = strings.TrimRight(d.digits, "0")
	return d
}

// inDigits returns a finite value in so many significant digits, rounded to
// nearest, or in as few as tell it exactly where significant is 0. A zero has
// no digits.
func inDigits(value float64, significant int) decimal {
	if value == 0 {
		return decimal{}
	}
	var buffer [40]byte
	text := strconv.AppendFloat(buffer[:0], math.Abs(value), 'e', significant-1, 64)
	mantissa, exponentText, _ := strings.Cut(string(text), "e")
	exponent, _ := strconv.Atoi(exponentText)
	return decimal{negative: value < 0, digits: strings.Replace(mantissa, ".", "", 1), point: exponent + 1}
}

// exactDigits is the most significant digits that a floating-point number holds.
const exactDigits = 17

// roundedAt returns a finite value rounded to a multiple of ten to the given
// power, with its zeros at the end kept.
func roundedAt(value float64, power int) decimal {
	d := shortest(value)
	if d.digits == "" {
		return d
	}
	switch keep := d.point - power; {
	case keep > exactDigits:
		d.digits += strings.Repeat("0", max(keep-len(d.digits), 0))
	case keep > 0:
		d = inDigits(value, keep)
		d.digits += strings.Repeat("0", d.point-power-len(d.digits)) // where 9.96 became 10
	case keep == 0 && d.digits[0] >= '5':
		d.digits, d.point = "1", power+1
	default:
		d = decimal{}
	}
	return d
}

// mostZeros is the most zeros that are written out at either end of a number.
const mostZeros = 9

// text writes the decimal times ten to the given power. A power of ten is
// written only where a long row of zeros would stand otherwise.
func (d decimal) text(shift int) string {
	if d.digits == "" {
		return "0"
	}
	point := d.point + shift
	var b strings.Builder
	if d.negative {
		b.WriteByte('-')
	}
	switch {
	case point < -mostZeros || point > len(d.digits)+mostZeros:
		b.WriteString(d.digits[:1])
		if len(d.digits) > 1 {
			b.WriteByte('.')
			b.WriteString(d.digits[1:])
		}
		b.WriteByte('e')
		b.WriteString(strconv.Itoa(point - 1))
	case point <= 0:
		b.WriteString("0.")
		b.WriteString(strings.Repeat("0", -point))
		b.WriteString(d.digits)
	case point >= len(d.digits):
		b.WriteString(d.digits)
		b.WriteString(strings.Repeat("0", point-len(d.digits)))
	default:
		b.WriteString(d.digits[:point])
		b.WriteByte('.')
		b.WriteString(d.digits[point:])
	}
	return b.String()
}
