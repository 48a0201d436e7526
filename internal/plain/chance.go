package plain

import (
	"math"

	"halfsplit/quantity"
)

// longestWait is the running, in seconds, beyond which a figure is of no use on a
// bench.
const longestWait = 30 * 24 * 3600

// Wait writes a time in seconds to the minute, rounded up, as a bench would count
// it; "never" for one that is infinite or not a number.
func Wait(seconds float64) string {
	switch {
	case math.IsInf(seconds, 0) || math.IsNaN(seconds):
		return "never"
	case seconds > longestWait:
		return "over 30 d"
	case seconds <= 0:
		return "0 min"
	}
	return quantity.FormatDuration(60 * math.Ceil(seconds/60-1e-9))
}

// Chance writes a probability, from 0 to 1, in percent.
func Chance(p float64) string {
	return quantity.FormatDigits(p, quantity.Percent, 3)
}
