package table

import (
	"strings"
)

// Form is how a time is written.
type Form string

// The forms of time.
const (
	Count    Form = "count"     // none: readings at equal intervals, by their number
	Elapsed  Form = "elapsed"   // a number: seconds, or another unit of time
	Unix     Form = "unix"      // seconds since 1970-01-01 00:00 UTC
	UnixMs   Form = "unix ms"   // the same in milliseconds
	Date     Form = "date"      // year, month, day and clock: 2026-03-02T10:40:05.25Z
	DayFirst Form = "day first" // day, month, year and clock: 02.03.2026 10:40:05
	MonthDay Form = "month first"
	Clock    Form = "clock" // hours, minutes and seconds, which begin again at midnight
)

// Forms lists the forms of time, for a message.
func Forms() []string {
	return []string{string(Count), string(Elapsed), string(Unix), string(UnixMs), string(Date), string(DayFirst), string(MonthDay), string(Clock)}
}

// calendar tells whether the form has a date in it.
func (f Form) calendar() bool { return f == Date || f == DayFirst || f == MonthDay }

// A moment is whole seconds, since 1970 or midnight, and a fraction of one.
type moment struct {
	whole    int64
	fraction float64
}

func (m moment) since(base int64) float64 { return float64(m.whole-base) + m.fraction }

// digits reads a number of so many digits at least and at most.
func digits(s string, least, most int) (n int, rest string, ok bool) {
	i := 0
	for i < len(s) && i < most && s[i] >= '0' && s[i] <= '9' {
		n = n*10 + int(s[i]-'0')
		i++
	}
	return n, s[i:], i >= least
}

// readMoment reads a time of a form that has a date or a clock; point is the
// decimal sign, beside which the other is accepted before a fraction of seconds.
func readMoment(text string, form Form) (moment, bool) {
	text = strings.TrimSpace(text)
	if form == Clock {
		m, rest, ok := readClock(text)
		return m, ok && rest == ""
	}
	days, rest, ok := readDate(text, form)
	if !ok {
		return moment{}, false
	}
	m := moment{whole: days * 86400}
	if rest == "" {
		return m, true
	}
	switch rest[0] {
	case 'T', 't', ' ', '_', '-', ',':
		rest = strings.TrimLeft(rest[1:], " ")
	default:
		return moment{}, false
	}
	clock, rest, ok := readClock(rest)
	if !ok {
		return moment{}, false
	}
	m.whole += clock.whole
	m.fraction = clock.fraction
	offset, ok := readZone(strings.TrimSpace(rest))
	m.whole -= offset
	return m, ok
}

// readDate reads a date as days since 1970-01-01.
func readDate(s string, form Form) (days int64, rest string, ok bool) {
	widths := [3]int{2, 2, 4}
	if form == Date {
		widths = [3]int{4, 2, 2}
	}
	var part [3]int
	sign := byte(0)
	for i := range part {
		if i > 0 {
			if s == "" || !strings.ContainsRune("-/.", rune(s[0])) || sign != 0 && s[0] != sign {
				return 0, "", false
			}
			sign, s = s[0], s[1:]
		}
		least := 1
		if widths[i] == 4 {
			least = 2
			if form == Date {
				least = 4
			}
		}
		if part[i], s, ok = digits(s, least, widths[i]); !ok {
			return 0, "", false
		}
	}
	year, month, day := part[0], part[1], part[2]
	switch form {
	case DayFirst:
		day, month, year = part[0], part[1], part[2]
	case MonthDay:
		month, day, year = part[0], part[1], part[2]
	}
	if year < 100 { // two digits: 1970 to 2069
		year += 1900
		if year < 1970 {
			year += 100
		}
	}
	if month < 1 || month > 12 || day < 1 || day > daysIn(year, month) {
		return 0, "", false
	}
	return civil(year, month, day), s, true
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// civil gives the days from 1970-01-01 to a date of the Gregorian calendar.
func civil(year, month, day int) int64 {
	y, m := int64(year), int64(month)
	if m <= 2 { // count the year from March, so that the leap day is its last
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + int64(day) - 1 - 719468
}

// readClock reads hours, minutes and seconds: 10:40:05.25, 10:40, 9:05:00 PM,
// or minutes and seconds where there is a fraction: 40:05.2.
func readClock(s string) (m moment, rest string, ok bool) {
	var part [3]int
	count := 0
	for ; count < 3; count++ {
		if count > 0 {
			if s == "" || s[0] != ':' {
				break
			}
			s = s[1:]
		}
		most := 2
		if count == 0 {
			most = 4 // elapsed hours may be many
		}
		if part[count], s, ok = digits(s, 1, most); !ok || count > 0 && part[count] > 60 {
			return m, s, false
		}
	}
	if count < 2 {
		return m, s, false
	}
	fraction := false
	if s != "" && (s[0] == '.' || s[0] == ',' || s[0] == ':' && count == 3) {
		i, unit := 1, 1.0
		value := 0.0
		for ; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
			if unit < 1e15 {
				value, unit = value*10+float64(s[i]-'0'), unit*10
			}
		}
		m.fraction, fraction = value/unit, i > 1
		s = s[i:]
	}
	hours, minutes, seconds := part[0], part[1], part[2]
	if count == 2 && fraction {
		hours, minutes, seconds = 0, part[0], part[1]
	}
	if half := strings.ToLower(strings.TrimSpace(s)); strings.HasPrefix(half, "am") || strings.HasPrefix(half, "pm") {
		if hours < 1 || hours > 12 {
			return m, s, false
		}
		hours %= 12
		if half[0] == 'p' {
			hours += 12
		}
		s = strings.TrimSpace(s)[2:]
	}
	m.whole = int64(hours)*3600 + int64(minutes)*60 + int64(seconds)
	return m, s, true
}

// readZone reads what follows a clock: nothing, Z, or hours and minutes ahead
// of UTC. It gives them in seconds.
func readZone(s string) (int64, bool) {
	switch {
	case s == "" || s == "Z" || s == "z" || s == "UTC" || s == "GMT":
		return 0, true
	case s[0] != '+' && s[0] != '-':
		return 0, false
	}
	sign := int64(1)
	if s[0] == '-' {
		sign = -1
	}
	hours, rest, ok := digits(s[1:], 2, 2)
	rest = strings.TrimPrefix(rest, ":")
	minutes := 0
	if ok && rest != "" {
		minutes, rest, ok = digits(rest, 2, 2)
	}
	return sign * int64(hours*3600+minutes*60), ok && rest == "" && hours <= 14 && minutes < 60
}
