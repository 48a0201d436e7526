package recording

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/quantity"
)

// value writes a value with four digits, or as many as tell its distance from
// others of that spread.
func value(v float64, unit quantity.Unit, spread float64) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case math.IsInf(v, 1):
		return "overload"
	case math.IsInf(v, -1):
		return "−overload"
	case v == 0:
		return strings.TrimRight("0 "+string(unit), " ")
	}
	digits := 4
	if spread > 0 {
		digits = min(max(digits, int(math.Ceil(math.Log10(math.Abs(v)/spread)))+2), 12)
	}
	return quantity.FormatDigits(v, unit, digits)
}

// short writes a value with three digits.
func short(v float64, unit quantity.Unit) string {
	if math.IsNaN(v) || math.IsInf(v, 0) || v == 0 {
		return value(v, unit, 0)
	}
	return quantity.FormatDigits(v, unit, 3)
}

// apart is the unit of a difference of values in a unit.
func apart(u quantity.Unit) quantity.Unit {
	if u == quantity.Celsius {
		return quantity.Kelvin
	}
	return u
}

// stamps writes times within a trace alike: as a clock where the trace runs for
// minutes, else in the unit that suits.
func stamps(begin, end float64) func(float64) string {
	longest := max(math.Abs(begin), math.Abs(end))
	if longest < 120 {
		return func(t float64) string { return short(t, quantity.Second) }
	}
	return func(t float64) string {
		sign := ""
		if t < 0 {
			sign, t = "−", -t
		}
		tenths := int64(math.Round(10 * t))
		s := tenths / 10
		clock := fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
		switch {
		case longest < 7200:
			clock += fmt.Sprintf(".%d", tenths%10)
		case longest >= 2*86400:
			clock = fmt.Sprintf("%d d %02d:%02d:%02d", s/86400, s/3600%24, s/60%60, s%60)
		}
		return sign + clock
	}
}

// duration writes a length of time.
func duration(seconds float64) string {
	if math.IsInf(seconds, 0) || math.IsNaN(seconds) {
		return "–"
	}
	return quantity.FormatDuration(seconds)
}

// precise writes a length of time that was measured, with three digits or more.
func precise(seconds float64) string {
	switch {
	case seconds < 120:
		return short(seconds, quantity.Second)
	case seconds < 3*3600:
		return fmt.Sprintf("%.1f min", seconds/60)
	case seconds < 100*3600:
		return fmt.Sprintf("%.2f h", seconds/3600)
	}
	return fmt.Sprintf("%.1f d", seconds/86400)
}

// percent writes a confidence.
func percent(p float64) string {
	switch {
	case p >= 0.9995:
		return ">99.9 %"
	case p < 0.005:
		return "<1 %"
	case p >= 0.99:
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// degrees writes a temperature.
func degrees(t float64) string {
	if math.IsNaN(t) || math.IsInf(t, 0) {
		return "–"
	}
	return fmt.Sprintf("%.1f °C", t)
}
