package datecode

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// published says where each form is published, for the reader of a result.
var published = map[Form]string{
	YearWeek:      "Panasonic, \"How to read the date code\" (2007); Bourns, \"Date code summary\"",
	WeekYear:      "common practice, no source",
	YearMonth:     "common practice, no source",
	DigitWeek:     "Panasonic, \"How to read the date code\" (2007)",
	DigitMonthDay: "Panasonic, \"How to read the date code\" (2007)",
	DigitDay:      "Bourns, \"Date code summary\"",
	LetterWeek:    "Bourns, \"Date code summary\"",
	IECTwo:        "IEC 60062, date code with a cycle of 20 years",
	IECFour:       "IEC 60062 (2004), date code with a cycle of four years; Matsuo",
	DigitMonth:    "N. C. Braga, \"Codigo de datas de componentes\"",
	DigitHalf:     "Bourns, \"Date code summary\"",
	EIASource:     "B. Scupp, \"Unraveling the mystery of source date codes\" (2005)",
	PlainWeek:     "ISO 8601, week date",
	PlainDate:     "as written",
}

// A shape is how the text of a form looks, and what is read from it.
type shape struct {
	shape *regexp.Regexp
	read  func(c *collector, found []string)
}

// number reads digits that a pattern has matched.
func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

// iecYears are the letters for the years of IEC 60062, from the first year of a
// cycle of twenty: 1970, 1990, 2010. G, I, O, Q, Y and Z are not used.
const iecYears = "ABCDEFHJKLMNPRSTUVWX"

// begun is the first year of the codes of IEC 60062.
const begun = 1970

// sinceBegun leaves out the years before.
func sinceBegun(years []int) []int {
	return slices.DeleteFunc(years, func(year int) bool { return year < begun })
}

// fourYears are the letters of the cycle of four years, one for each month: A
// without I to M for 1993, 1997 and so on, N without O to Z for the year after,
// and small letters likewise for the two years after that.
const fourYears = "ABCDEFGHJKLMNPQRSTUVWXYZabcdefghjklmnpqrstuvwxyz"

var forms = []shape{
	{regexp.MustCompile(`^(\d\d)(\d\d)$`), func(c *collector, f []string) {
		first, second := number(f[1]), number(f[2])
		c.week(YearWeek, c.window.years(first, 100), second, nil)
		c.week(WeekYear, c.window.years(second, 100), first, nil)
		if second >= 1 && second <= 12 {
			c.month(YearMonth, c.window.years(first, 100), second, 0)
		}
	}},
	{regexp.MustCompile(`^([A-Za-z]{0,2})(\d\d)(\d\d)([A-Za-z]{0,3})$`), func(c *collector, f []string) {
		if f[1] == "" && f[4] == "" {
			return
		}
		first, second := number(f[2]), number(f[3])
		if len(f[1]) > 1 { // a type number that is no date needs no reason
			before := c.refused
			defer func() { c.refused = before }()
		}
		beside := func(r *Reading) {
			r.Notes = append(r.Notes, "the letters beside it are taken for works or lot")
			if len(f[1]) > 1 {
				r.Notes = append(r.Notes, "it may as well be a type number")
			}
		}
		c.week(YearWeek, c.window.years(first, 100), second, beside)
		c.week(WeekYear, c.window.years(second, 100), first, beside)
	}},
	{regexp.MustCompile(`^(\d)(\d\d)$`), func(c *collector, f []string) {
		c.week(DigitWeek, c.window.years(number(f[1]), 10), number(f[2]), nil)
	}},
	{regexp.MustCompile(`^(\d)(\d\d)(\d\d)$`), func(c *collector, f []string) {
		if day := number(f[3]); day == 0 {
			c.refuse(DigitMonthDay, "there is no day 0")
		} else {
			c.month(DigitMonthDay, c.window.years(number(f[1]), 10), number(f[2]), day)
		}
	}},
	{regexp.MustCompile(`^(\d)(\d\d\d)$`), func(c *collector, f []string) {
		day := number(f[2])
		if day < 1 || day > 366 {
			c.refuse(DigitDay, "there is no day %d of a year", day)
			return
		}
		for _, year := range c.window.years(number(f[1]), 10) {
			date := time.Date(year, 1, day, 0, 0, 0, 0, time.UTC)
			if date.Year() == year {
				c.add(Reading{Form: DigitDay, Year: year, Month: int(date.Month()), Day: date.Day()})
			}
		}
	}},
	{regexp.MustCompile(`^[A-Za-z](\d)(\d\d)$`), func(c *collector, f []string) {
		c.week(LetterWeek, c.window.years(number(f[1]), 10), number(f[2]), nil)
	}},
	{regexp.MustCompile(`^([A-Z])([1-9OND])$`), func(c *collector, f []string) {
		i := strings.Index(iecYears, f[1])
		if i < 0 {
			c.refuse(IECTwo, "%s is not used for a year: G, I, O, Q, Y and Z are left out", f[1])
			return
		}
		c.month(IECTwo, sinceBegun(c.window.years((begun+i)%20, 20)), monthOf(f[2], "OND"), 0)
	}},
	{regexp.MustCompile(`^([A-Z])([0A-CE-MP-Z])$`), func(c *collector, f []string) {
		c.refuse(IECTwo, "%s is no month: 1 to 9, then O, N and D for October to December", f[2])
	}},
	{regexp.MustCompile(`^([A-Za-z])$`), func(c *collector, f []string) {
		i := strings.Index(fourYears, f[1])
		if i < 0 {
			c.refuse(IECFour, "I and O are left out")
			return
		}
		c.month(IECFour, sinceBegun(c.window.years((1997+i/12)%4, 4)), i%12+1, 0)
	}},
	{regexp.MustCompile(`^(\d)([1-9A-C])$`), func(c *collector, f []string) {
		c.month(DigitMonth, c.window.years(number(f[1]), 10), monthOf(f[2], "ABC"), 0)
	}},
	{regexp.MustCompile(`^(\d)([A-Z])$`), func(c *collector, f []string) {
		c.week(DigitHalf, c.window.years(number(f[1]), 10), 2*int(f[2][0]-'A')+1, nil)
	}},
	{regexp.MustCompile(`^(\d{3})[- ]?(\d)[- ]?(\d\d)$`), func(c *collector, f []string) {
		c.week(EIASource, c.window.years(number(f[2]), 10), number(f[3]), sourced(f[1]))
	}},
	{regexp.MustCompile(`^(\d{3})[- ]?(\d\d)[- ]?(\d\d)$`), func(c *collector, f []string) {
		c.week(EIASource, c.window.years(number(f[2]), 100), number(f[3]), sourced(f[1]))
	}},
	{regexp.MustCompile(`^(\d{4})-?[Ww](\d\d)$`), func(c *collector, f []string) {
		c.week(PlainWeek, c.plain(number(f[1])), number(f[2]), nil)
	}},
	{regexp.MustCompile(`^(\d{4})-(\d\d)(?:-(\d\d))?$`), func(c *collector, f []string) {
		if f[3] == "00" {
			c.refuse(PlainDate, "there is no day 0")
			return
		}
		c.month(PlainDate, c.plain(number(f[1])), number(f[2]), number(f[3]))
	}},
	{regexp.MustCompile(`^(\d{1,2})[/.](\d\d|\d{4})$`), func(c *collector, f []string) {
		years := c.window.years(number(f[2]), 100)
		if len(f[2]) == 4 {
			years = c.plain(number(f[2]))
		}
		if n := number(f[1]); n >= 1 && n <= 12 {
			c.month(PlainDate, years, n, 0)
		}
		c.week(WeekYear, years, number(f[1]), nil)
	}},
	{regexp.MustCompile(`^([A-Za-z]{3,9})\.?[ -]?'?(\d\d|\d{4})$`), func(c *collector, f []string) {
		month := monthNamed(f[1])
		if month == 0 {
			return
		}
		years := c.window.years(number(f[2]), 100)
		if len(f[2]) == 4 {
			years = c.plain(number(f[2]))
		}
		c.month(PlainDate, years, month, 0)
	}},
}

// plain gives a year that is written in full, if it lies within the window.
func (c *collector) plain(year int) []int {
	if year < earliest || year > c.window.latest() {
		return nil
	}
	return []int{year}
}

// monthOf reads a character for a month: 1 to 9, then one of three letters.
func monthOf(character, letters string) int {
	if i := strings.Index(letters, character); i >= 0 {
		return 10 + i
	}
	return number(character)
}

// monthNamed reads the name of a month or its first letters; 0 for none.
func monthNamed(name string) int {
	for m := time.January; m <= time.December; m++ {
		if full := strings.ToLower(m.String()); len(name) >= 3 && strings.HasPrefix(full, strings.ToLower(name)) {
			return int(m)
		}
	}
	return 0
}

// sourced adds the maker of an EIA source code.
func sourced(code string) func(*Reading) {
	return func(r *Reading) {
		r.Source, r.Maker = code, Maker(code)
		if r.Maker == "" {
			r.Notes = append(r.Notes, "the maker of source code "+code+" is not in the table")
		}
	}
}

// makers are the EIA source codes with a printed source: J. Phelan, "Listening"
// sidebar "Dating Decrepit Drivers" (Stereophile), and lists that quote the EIA.
var makers = map[string]string{
	"137": "CTS", "220": "Jensen", "285": "Rola", "328": "Utah", "391": "Altec", "188": "General Electric",
	"649": "Electro-Voice", "575": "Heppner", "190": "General Instrument",
}

// Maker gives the maker of potentiometers, transformers, loudspeakers and the
// like that an EIA source code of three digits stands for; empty when it is not
// known here.
func Maker(code string) string { return makers[code] }
