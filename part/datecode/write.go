package datecode

import (
	"fmt"
	"time"
)

// Marking is a date as it would be marked.
type Marking struct {
	Form Form
	Text string
}

// Write gives the ways in which a day would be marked on a part: by year and
// week, week and year, the last digit of the year and the week, and the codes of
// IEC 60062, which exist from 1970 on. Only the date of the day counts.
func Write(day time.Time) []Marking {
	year, week := day.ISOWeek()
	list := []Marking{
		{YearWeek, fmt.Sprintf("%02d%02d", year%100, week)},
		{WeekYear, fmt.Sprintf("%02d%02d", week, year%100)},
		{DigitWeek, fmt.Sprintf("%d%02d", year%10, week)},
	}
	calendar, month := day.Year(), int(day.Month())
	if calendar >= 1970 && calendar < 2200 {
		list = append(list,
			Marking{IECTwo, string(iecYears[(calendar-1970)%20]) + string("123456789OND"[month-1])},
			Marking{IECFour, string(fourYears[(calendar-1969)%4*12+month-1])})
	}
	return list
}
