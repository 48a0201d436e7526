package datecode

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Form is a way in which a date is written.
type Form string

// The forms. IEC is IEC 60062, "Marking codes for resistors and capacitors"; EIA
// source codes are three digits for the maker and a date after them.
const (
	YearWeek      Form = "year and week"                // 8312
	WeekYear      Form = "week and year"                // 1283
	YearMonth     Form = "year and month"               // 8312 as December
	DigitWeek     Form = "last digit of year, and week" // 312
	DigitMonthDay Form = "last digit of year, month, day"
	DigitDay      Form = "last digit of year, day of year"
	LetterWeek    Form = "works letter, last digit of year, week"
	IECTwo        Form = "IEC 60062, letter for the year and character for the month"
	IECFour       Form = "IEC 60062, one letter in a cycle of four years"
	DigitMonth    Form = "last digit of year, character for the month"
	DigitHalf     Form = "last digit of year, letter for two weeks"
	EIASource     Form = "EIA source code with year and week"
	PlainWeek     Form = "ISO week"
	PlainDate     Form = "plain date"
)

// Reading is one way to read a date code.
type Reading struct {
	Form Form
	// Year is always known. Week, Month and Day are zero where the code does not
	// say them.
	Year, Week, Month, Day int
	// First and Last are the days between which the part was made, both included.
	First, Last time.Time
	// Maker is the maker of an EIA source code, empty when not known; Source is
	// the code itself.
	Source, Maker string
	Published     string // where the form is published
	Notes         []string
	// Weight is how plausible the reading is among the others of the same text,
	// above zero and at most 1.
	Weight float64
}

// String gives the date as one would say it.
func (r Reading) String() string {
	switch {
	case r.Form == DigitHalf:
		return fmt.Sprintf("weeks %d and %d of %d", r.Week, r.Week+1, r.Year)
	case r.Week > 0:
		return fmt.Sprintf("week %d of %d", r.Week, r.Year)
	case r.Day > 0:
		return r.First.Format("2 January 2006")
	case r.Month > 0:
		return fmt.Sprintf("%v %d", time.Month(r.Month), r.Year)
	}
	return fmt.Sprint(r.Year)
}

// Against says how the date fits the year in which a unit was made: "newer than
// the unit by 6 years: probably replaced". Zero means that the year is not known,
// and nothing is said.
func (r Reading) Against(unitYear int) string {
	switch newer := r.Year - unitYear; {
	case unitYear == 0:
		return ""
	case newer > 1:
		return fmt.Sprintf("newer than the unit by %d years: probably replaced", newer)
	case newer == 1:
		return "a year newer than the unit: replaced, or the unit was finished later than its year says"
	case newer >= -2:
		return "fits the unit: probably original"
	case newer >= -6:
		return fmt.Sprintf("%d years older than the unit: from stock, or the code is read wrongly", -newer)
	default:
		return fmt.Sprintf("%d years older than the unit: read wrongly, or a part from elsewhere", -newer)
	}
}

// Window is what is known about when the part can have been made.
type Window struct {
	// Unit is the year in which the unit was made; zero when not known.
	Unit int
	// Now is the present year: nothing was made after it. Zero means 2029, the
	// end of the last cycle of IEC 60062.
	Now int
}

// The years in which codes are looked for. Date codes came into use with
// semiconductors; before 1950 a two-digit year is taken to be of this century.
const (
	earliest     = 1950
	lastOfCycles = 2029
)

// Validate reports a window that cannot be.
func (w Window) Validate() error {
	switch {
	case w.Now != 0 && (w.Now < 1970 || w.Now > 2200):
		return fmt.Errorf("the present year %d; it lies between 1970 and 2200", w.Now)
	case w.Unit != 0 && (w.Unit < 1900 || w.Unit > w.latest()):
		return fmt.Errorf("the unit's year %d; it lies between 1900 and %d", w.Unit, w.latest())
	}
	return nil
}

func (w Window) latest() int {
	if w.Now == 0 {
		return lastOfCycles
	}
	return w.Now
}

// years lists the years that end in so many digits, and lie within the window.
func (w Window) years(ending, modulus int) []int {
	var list []int
	for year := earliest; year <= w.latest(); year++ {
		if year%modulus == ending {
			list = append(list, year)
		}
	}
	return list
}

// weight is how plausible a year is.
func (w Window) weight(year int) float64 {
	if w.Unit == 0 { // equipment of the period this program is for
		switch {
		case year >= 1968 && year <= 1995:
			return 1
		case year > 1995:
			return 0.3
		}
		return 0.1
	}
	switch newer := year - w.Unit; {
	case newer > 1:
		return 0.1 / (1 + 0.01*float64(newer)) // replaced: any year since
	case newer == 1:
		return 0.5
	case newer >= -2:
		return 1
	case newer >= -6:
		return 0.15
	}
	return 0.02
}

// formWeights are how usual each form is on parts of the period, between forms
// that the same text could be.
var formWeights = map[Form]float64{
	YearWeek: 1, WeekYear: 0.4, YearMonth: 0.15, DigitWeek: 0.15, DigitMonthDay: 0.05, DigitDay: 0.05,
	LetterWeek: 0.3, IECTwo: 0.8, IECFour: 0.05, DigitMonth: 0.3, DigitHalf: 0.1, EIASource: 0.5, PlainWeek: 1, PlainDate: 1,
}

// Read lists the readings of a date code, the most plausible first, and says for
// each form that the text has the shape of why it is none of that form. Text
// that has the shape of no form gives neither.
func Read(text string, w Window) (readings []Reading, refused []string, err error) {
	if err := w.Validate(); err != nil {
		return nil, nil, err
	}
	text = strings.TrimSpace(text)
	if len(text) > 24 {
		return nil, nil, nil
	}
	c := collector{window: w}
	for _, form := range forms {
		if found := form.shape.FindStringSubmatch(text); found != nil {
			form.read(&c, found)
		}
	}
	slices.SortStableFunc(c.readings, func(a, b Reading) int {
		switch {
		case a.Weight > b.Weight:
			return -1
		case a.Weight < b.Weight:
			return 1
		}
		return 0
	})
	return c.readings, c.refused, nil
}

// collector gathers readings and refusals.
type collector struct {
	window   Window
	readings []Reading
	refused  []string
}

func (c *collector) refuse(form Form, format string, values ...any) {
	c.refused = append(c.refused, fmt.Sprintf("as %s: ", form)+fmt.Sprintf(format, values...))
}

// add adds a reading, with the days and the weight that follow from it.
func (c *collector) add(r Reading) {
	r.Published = published[r.Form]
	switch {
	case r.Week > 0:
		r.First = Monday(r.Year, r.Week)
		r.Last = r.First.AddDate(0, 0, 6)
		if r.Form == DigitHalf {
			r.Last = r.First.AddDate(0, 0, 13)
		}
		if r.Week > Weeks(r.Year) {
			r.Notes = append(r.Notes, fmt.Sprintf("ISO %d has 52 weeks only; a works calendar may still count a week 53", r.Year))
		}
	case r.Day > 0:
		r.First = time.Date(r.Year, time.Month(r.Month), r.Day, 0, 0, 0, 0, time.UTC)
		r.Last = r.First
	case r.Month > 0:
		r.First = time.Date(r.Year, time.Month(r.Month), 1, 0, 0, 0, 0, time.UTC)
		r.Last = r.First.AddDate(0, 1, -1)
	default:
		r.First, r.Last = time.Date(r.Year, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(r.Year, 12, 31, 0, 0, 0, 0, time.UTC)
	}
	r.Weight = math.Min(1, formWeights[r.Form]*c.window.weight(r.Year))
	if len(r.Notes) > 1 { // letters before it, as a type number has
		r.Weight *= 0.2
	}
	c.readings = append(c.readings, r)
}

// week checks a week and adds a reading for each year.
func (c *collector) week(form Form, years []int, week int, more func(*Reading)) {
	switch {
	case week < 1 || week > 53:
		c.refuse(form, "there is no week %d; a year has 52 or 53", week)
		return
	case len(years) == 0:
		c.refuse(form, "its year lies before %d or after %d", earliest, c.window.latest())
		return
	}
	for _, year := range years {
		r := Reading{Form: form, Year: year, Week: week}
		if more != nil {
			more(&r)
		}
		c.add(r)
	}
}

// month checks a month and adds a reading for each year.
func (c *collector) month(form Form, years []int, month, day int) {
	switch {
	case month < 1 || month > 12:
		c.refuse(form, "there is no month %d", month)
		return
	case len(years) == 0:
		c.refuse(form, "its year lies before %d or after %d", earliest, c.window.latest())
		return
	}
	for _, year := range years {
		last := time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
		if day > last {
			c.refuse(form, "%v %d has %d days, not %d", time.Month(month), year, last, day)
			continue
		}
		c.add(Reading{Form: form, Year: year, Month: month, Day: day})
	}
}
