package quantity

import (
	"math"
	"strconv"
	"strings"
)

// FormatDuration writes a time in seconds in the words of the bench, rounded to
// what one would say: "200 ms", "90 s", "45 min", "3 h 11 min", "5 d 4 h",
// "40 d", "1.5 y", "42 y". A year is 365.25 days. The exact time is what String
// writes.
func FormatDuration(seconds float64) string {
	if text, ok := notFinite(seconds, Second); ok {
		return text
	}
	size := math.Abs(seconds)
	var text string
	switch {
	case size < 59.95:
		d := shortest(rounded(inDigits(size, 3)))
		text = formFor(Second, d).write(d)
	case size < 10*minute-0.5:
		text = inParts(math.Round(size))
	case size < day-minute/2:
		text = inParts(minute * math.Round(size/minute))
	case size < 10*day-hour/2:
		text = inParts(hour * math.Round(size/hour))
	case size < year-day/2:
		text = inParts(day * math.Round(size/day))
	case size < 9.95*year:
		text = shortest(math.Round(10*size/year)/10).text(0) + " y"
	default:
		text = shortest(math.Round(size/year)).text(0) + " y"
	}
	if seconds < 0 && text != "0 s" {
		return "-" + text
	}
	return text
}

// rounded returns the value of a decimal.
func rounded(d decimal) float64 {
	value, _ := strconv.ParseFloat("0."+d.digits+"e"+strconv.Itoa(d.point), 64)
	return value
}

// inParts writes a whole number of seconds below a year in days, hours, minutes
// and seconds. From one to two minutes it is seconds alone, as in 90 s.
func inParts(seconds float64) string {
	if seconds > minute && seconds < 2*minute {
		return strconv.Itoa(int(seconds)) + " s"
	}
	var parts []string
	for _, part := range []struct {
		size float64
		word string
	}{{day, "d"}, {hour, "h"}, {minute, "min"}, {1, "s"}} {
		if count := math.Floor(seconds / part.size); count > 0 {
			parts = append(parts, strconv.Itoa(int(count))+" "+part.word)
			seconds -= count * part.size
		}
	}
	return strings.Join(parts, " ")
}

// exactDuration writes a time in the words of the bench where that tells it
// exactly: whole seconds from a minute to a year, and tenths of years.
func exactDuration(seconds float64) (string, bool) {
	size := math.Abs(seconds)
	if size < minute || size > 1e6*year || size != math.Floor(size) {
		return "", false
	}
	sign := ""
	if seconds < 0 {
		sign = "-"
	}
	switch years := math.Round(10*size/year) / 10; {
	case size < year:
		return sign + inParts(size), true
	case years*year == size:
		return sign + shortest(years).text(0) + " y", true
	}
	return "", false
}
