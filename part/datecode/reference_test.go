package datecode_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"

	"halfsplit/part/datecode"
	"halfsplit/part/internal/reference"
)

type referenceCase struct {
	ID     string
	Inputs struct {
		Code       string
		Year, Week int
		Date       string
		Start, End int
	}
	Expected struct {
		Years      yaml.Node
		Candidates []int `yaml:"candidate_years"`
		Year       int
		Month      int
		Week       int
		Weeks      string
		Day        int
		Date       string
		Valid      *bool
		ValidISO   *bool  `yaml:"valid_iso"`
		LastWeek   int    `yaml:"last_week"`
		Monday     string `yaml:"monday"`
		Sunday     string `yaml:"sunday"`
		ISOYear    int    `yaml:"iso_year"`
		ISOWeek    int    `yaml:"iso_week"`
		Source     string `yaml:"source_code"`
		Maker      string
		LastDigit  *int `yaml:"year_last_digit"`
	}
}

func referenceCases(t *testing.T) []referenceCase {
	found, _ := reference.Read(t, "values-and-codes.yaml", "val-date-", "val-iso", "val-eia-1", "val-eia-2", "val-eia-6")
	cases := make([]referenceCase, len(found))
	for i, one := range found {
		one.Decode(t, &cases[i])
	}
	return cases
}

// The worked cases of date codes and ISO weeks; each names its source.
//
// Outside: cases of ../testdata/values-and-codes.yaml only val-date-*, val-iso*,
// val-eia-1*, val-eia-2*, val-eia-6*. Within: exact.
func TestReferenceCases(t *testing.T) {
	counts := map[string]int{}
	for _, c := range referenceCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			switch {
			case c.Inputs.Code != "":
				counts["codes"]++
				checkCode(t, c)
			case c.Expected.Monday != "":
				counts["weeks"]++
				monday := datecode.Monday(c.Inputs.Year, c.Inputs.Week)
				if got := monday.Format(time.DateOnly); got != c.Expected.Monday {
					t.Error("Monday", got)
				}
				if got := monday.AddDate(0, 0, 6).Format(time.DateOnly); got != c.Expected.Sunday {
					t.Error("Sunday", got)
				}
			case c.Expected.ValidISO != nil:
				counts["weeks"]++
				if got := datecode.Weeks(c.Inputs.Year); got != c.Expected.LastWeek {
					t.Error("weeks", got)
				}
			case c.Inputs.Date != "":
				counts["dates"]++
				day, err := time.Parse(time.DateOnly, c.Inputs.Date)
				if err != nil {
					t.Fatal(err)
				}
				first := datecode.Monday(c.Expected.ISOYear, c.Expected.ISOWeek)
				if day.Before(first) || day.After(first.AddDate(0, 0, 6)) {
					t.Errorf("%v is not in the week from %v", day, first)
				}
			case c.Inputs.Start > 0:
				counts["long years"]++
				var long []int
				for year := c.Inputs.Start; year <= c.Inputs.End; year++ {
					if datecode.Weeks(year) == 53 {
						long = append(long, year)
					}
				}
				var want []int
				if err := c.Expected.Years.Decode(&want); err != nil || !slices.Equal(long, want) {
					t.Error(long, err)
				}
			default:
				t.Error("this case is checked by nothing")
			}
		})
	}
	if counts["codes"] < 40 || counts["weeks"] < 7 || counts["dates"] < 10 || counts["long years"] != 1 {
		t.Error("cases are missing:", counts)
	}
}

// formsOf names the forms that the cases are about.
var formsOf = map[string]datecode.Form{
	"iec": datecode.IECTwo, "4y": datecode.IECFour, "yyww": datecode.YearWeek,
}

func checkCode(t *testing.T, c referenceCase) {
	readings, refused, err := datecode.Read(c.Inputs.Code, datecode.Window{})
	if err != nil {
		t.Fatal(err)
	}
	form := formsOf[strings.Split(c.ID, "-")[2]]
	var years []int
	matched := false
	for _, r := range readings {
		if form != "" && r.Form != form || c.Expected.Source != "" && r.Source != c.Expected.Source {
			continue
		}
		years = append(years, r.Year)
		fits := c.Expected.Month == 0 || r.Month == c.Expected.Month
		fits = fits && (c.Expected.Week == 0 || r.Week == c.Expected.Week)
		fits = fits && (c.Expected.Weeks == "" || strings.HasPrefix(r.String(), "weeks "+strings.Replace(c.Expected.Weeks, "/", " and ", 1)))
		fits = fits && (c.Expected.Day == 0 || r.Day == c.Expected.Day)
		fits = fits && (c.Expected.Date == "" || r.First.Format(time.DateOnly) == c.Expected.Date)
		fits = fits && (c.Expected.Maker == "" || r.Maker == c.Expected.Maker)
		fits = fits && (c.Expected.LastDigit == nil || r.Year%10 == *c.Expected.LastDigit)
		fits = fits && (c.Expected.Year == 0 || r.Year == c.Expected.Year)
		matched = matched || fits
	}
	if c.Expected.Valid != nil {
		if len(years) > 0 || len(refused) == 0 {
			t.Errorf("read as %v; it is no date of this form", years)
		}
		return
	}
	if !matched {
		t.Fatalf("not among the readings: %v, refused %q", readings, refused)
	}
	for _, year := range c.Expected.Candidates {
		if !slices.Contains(years, year) {
			t.Errorf("%d is not offered, only %v", year, years)
		}
	}
	if text := c.Expected.Years.Value; text != "" { // "1997 + 4k"
		for _, year := range years {
			if (year-int(text[3]-'0')-1990)%4 != 0 && !strings.HasPrefix(text, "2000") {
				t.Errorf("%d is not of %s", year, text)
			}
		}
	}
}
