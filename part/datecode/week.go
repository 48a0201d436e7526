package datecode

import "time"

// Weeks gives how many weeks an ISO year has: 52 or 53 (ISO 8601).
func Weeks(year int) int {
	_, week := time.Date(year, time.December, 28, 0, 0, 0, 0, time.UTC).ISOWeek() // always in the last week
	return week
}

// Monday gives the day on which a week of an ISO year begins, at midnight UTC.
// Week 1 holds 4 January (ISO 8601); a week beyond the last runs on into the next
// year.
func Monday(year, week int) time.Time {
	fourth := time.Date(year, time.January, 4, 0, 0, 0, 0, time.UTC)
	sinceMonday := (int(fourth.Weekday()) + 6) % 7
	return fourth.AddDate(0, 0, 7*(week-1)-sinceMonday)
}
