package soak

import "math"

// HotLimit is the temperature, in degrees Celsius, from which running counts: the
// coolest failure, less the margin in kelvin. It is -Inf where no failure has a
// known temperature, so that all running counts.
func HotLimit(history []Run, margin float64) float64 {
	coolest := math.Inf(1)
	for _, run := range history {
		if run.Failed && run.Temperature < coolest { // false for NaN
			coolest = run.Temperature
		}
	}
	if math.IsInf(coolest, 1) {
		return math.Inf(-1)
	}
	return coolest - margin
}

// HotTime is how long a temperature that was recorded over time, in degrees
// Celsius, was at or above a limit, in seconds, with the coolest of it. Between
// two readings the temperature is taken to run straight. A stretch whose
// temperature is not known counts only where the limit is -Inf; coolest is NaN
// where nothing counts or nothing is known.
//
// It is meant for the running after a repair. A run that failed is to be counted
// whole, from switching on: to count of it too only what was nearly as hot as its
// own failure would make every failure look quick, and the soak too short.
func HotTime(times, temperature []float64, limit float64) (seconds, coolest float64) {
	coolest = math.NaN()
	for i := 1; i < len(times) && i < len(temperature); i++ {
		step, a, b := times[i]-times[i-1], temperature[i-1], temperature[i]
		if !(step > 0) || math.IsInf(step, 0) {
			continue
		}
		if math.IsInf(limit, -1) {
			seconds += step
		} else {
			low, high := math.Min(a, b), math.Max(a, b)
			switch {
			case !(high >= limit) || math.IsInf(high, 0): // unknown, or too cool throughout
				continue
			case low >= limit:
				seconds += step
			default:
				seconds += step * (high - limit) / (high - low)
				low = limit
			}
			coolest = smaller(coolest, low)
			continue
		}
		coolest = smaller(smaller(coolest, a), b)
	}
	return seconds, coolest
}

// smaller is the smaller of two temperatures, either of which may be unknown.
func smaller(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}
