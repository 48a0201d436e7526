package quantity

import (
	"math"
	"strconv"
	"strings"
)

// FormatUncertain writes a measured value with its standard or expanded
// uncertainty, both in the same unit: "(12.01 ± 0.06) V".
//
// The uncertainty gets two significant digits and the value is rounded to
// match (JCGM 100:2008, Guide to the expression of uncertainty in measurement,
// 7.2.6). A second digit that is zero is dropped where the first is 3 or more.
// The uncertainty is rounded to nearest, but up where that would understate it
// by more than 4 %, as the same clause suggests.
//
// An uncertainty of zero is written as 0 after the exact value. One that is
// negative or no number is written as a question mark.
func FormatUncertain(value, uncertainty float64, unit Unit) string {
	if text, ok := notFinite(value, unit); ok {
		return text
	}
	v, u := shortest(value), decimal{}
	unknown := math.IsNaN(uncertainty) || math.IsInf(uncertainty, 0) || uncertainty < 0
	if !unknown && uncertainty > 0 {
		u = roundedUncertainty(uncertainty)
		v = roundedAt(value, u.lastPower())
	}
	chosen := formFor(unit, larger(v, u))
	spread := u.text(-chosen.exponent)
	if unknown {
		spread = "?"
	}
	middle := v.text(-chosen.exponent)
	if places := chosen.exponent - u.lastPower(); v.digits == "" && u.digits != "" && places > 0 {
		middle = "0." + strings.Repeat("0", places)
	}
	return withUnit("("+middle+" ± "+spread+")", chosen.symbol)
}

// lastPower is the power of ten of the last digit.
func (d decimal) lastPower() int { return d.point - len(d.digits) }

// larger returns the one whose first digit stands higher, without its sign.
func larger(a, b decimal) decimal {
	if a.digits == "" || b.digits != "" && b.point > a.point {
		return b
	}
	return a
}

// roundedUncertainty rounds an uncertainty to the digits that are shown.
func roundedUncertainty(uncertainty float64) decimal {
	u := inDigits(uncertainty, 2)
	shown, _ := strconv.ParseFloat(u.digits+"e"+strconv.Itoa(u.lastPower()), 64)
	if shown < 0.96*uncertainty { // only below 12, so two digits stay two
		tens, _ := strconv.Atoi(u.digits)
		u.digits = strconv.Itoa(tens + 1)
	}
	if u.digits[0] >= '3' && u.digits[1] == '0' {
		u.digits = u.digits[:1]
	}
	return u
}
