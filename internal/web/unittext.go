package web

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/a-h/templ"

	"halfsplit/internal/record"
)

// jobStanding is where a job stands, or how it ended.
func jobStanding(j record.Job) string {
	if j.IsOpen() {
		return string(j.Stage)
	}
	return string(j.Outcome)
}

// photoName says what a picture shows.
func photoName(p record.Photo) string {
	if p.Caption != "" {
		return p.Caption
	}
	return "picture taken " + p.Taken.Format("2006-01-02")
}

func unitFormTitle(u record.Unit) string {
	if u.ID == 0 {
		return "Take in a unit"
	}
	return "Change " + u.Code
}

func unitFormAction(u record.Unit) templ.SafeURL {
	if u.ID == 0 {
		return "/units"
	}
	return templ.SafeURL(fmt.Sprintf("/units/%d", u.ID))
}

func fittedLegend(i int, f record.Fitted) string {
	if f.Name == "" {
		return fmt.Sprintf("Line %d", i+1)
	}
	return f.Name
}

// volts is a voltage as it stands in a field, "" for none.
func volts(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64) + " V"
}

// plainFigure is a number as it stands in a field, "" for none.
func plainFigure(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// celsius is a temperature as it stands in a field, "" for none.
func celsius(t *float64) string {
	if t == nil {
		return ""
	}
	return strconv.FormatFloat(*t, 'g', -1, 64)
}

// ofJobs are the pictures that were taken in a job, where they are shown.
func ofJobs(photos []record.Photo) []record.Photo {
	return slices.DeleteFunc(slices.Clone(photos), func(p record.Photo) bool { return p.Job == 0 || p.Hidden })
}

// photoPath is where a picture of a job is shown.
func photoPath(p record.Photo) string { return fmt.Sprintf("/jobs/%d/photos/%d", p.Job, p.ID) }
