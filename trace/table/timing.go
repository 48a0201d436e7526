package table

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/quantity"
)

// timeNames are names of a column that holds the time.
var timeNames = []string{"time", "timestamp", "t", "time stamp", "date", "datetime", "date time", "date/time", "date_time", "elapsed", "elapsed time", "x", "epoch", "unix", "zeit", "uhrzeit"}

// timing finds out how the time of the rows is given.
func (g *guesser) timing() error {
	t := TimeColumn{Form: Count, Field: -1, Date: -1, Unit: 1}
	why := ""
	switch {
	case g.options.Interval != 0:
		t.Interval = g.options.Interval
		g.counted(t, "")
		return nil
	case strings.EqualFold(g.options.Time, "none"):
	case g.options.Time != "":
		at, err := find(g.options.Time, g.heading.names, len(g.layout.kinds))
		if err != nil {
			return fmt.Errorf("time: %w", err)
		}
		t.Field = at
	default:
		t.Field, why = g.timeField()
	}
	if t.Field < 0 {
		return g.countedByHeading(t)
	}
	if err := g.form(&t); err != nil {
		return err
	}
	if t.Form == Count {
		return g.countedByHeading(t)
	}
	g.dialect.Time = t
	text := string(t.Form)
	if t.Form == Elapsed {
		text = "elapsed, in units of " + quantity.Quantity{Value: t.Unit, Unit: quantity.Second}.String()
	}
	name := g.name(t.Field)
	if t.Date >= 0 {
		name = g.name(t.Date) + " and " + name
	}
	g.note("time", fmt.Sprintf("field %s, %s", name, text), why)
	return nil
}

// name is how a field is called in a message.
func (g *guesser) name(at int) string {
	if at < len(g.heading.names) && g.heading.names[at] != "" {
		return fmt.Sprintf("%q", g.heading.names[at])
	}
	return fmt.Sprint(at + 1)
}

// timeField finds the field of the time, -1 for none.
func (g *guesser) timeField() (int, string) {
	for _, k := range []kind{isDate, isClock} {
		for i, have := range g.layout.kinds {
			if have == k {
				return i, "it holds dates or clock times"
			}
		}
	}
	if i := slices.IndexFunc(g.units(), func(u string) bool { return strings.EqualFold(u, "sequence") }); i >= 0 {
		g.left = append(g.left, i)
		return -1, ""
	}
	for i, k := range g.layout.kinds {
		if k != isNumber || i >= len(g.heading.names) {
			continue
		}
		name, unit, known := nameAndUnit(g.heading.names[i])
		if u := g.units(); i < len(u) {
			if q, ok := unitOf(u[i]); ok {
				unit, known = q, true
			}
		}
		lower := strings.ToLower(name)
		switch {
		case known && unit.Unit == quantity.Second && g.rising(i, 0):
			return i, "its unit is one of time, and it rises"
		case slices.Contains(timeNames, lower) && (!known || unit.Unit == quantity.Second) && g.rising(i, 0):
			return i, "its name, and it rises"
		case (lower == "index" || lower == "sample" || lower == "n" || lower == "no" || lower == "no." || lower == "number") && g.rising(i, 1):
			g.left = append(g.left, i)
			return -1, ""
		}
	}
	if len(g.layout.kinds) > 1 && g.layout.kinds[0] == isNumber && (len(g.heading.names) == 0 || g.heading.names[0] == "") && g.rising(0, math.SmallestNonzeroFloat64) {
		return 0, "the first of several, without a name, and it rises in every row"
	}
	return -1, ""
}

func (g *guesser) units() []string { return g.heading.units }

// rising tells whether the values of a field rise over the sample, by at least so
// much from row to row. Of many rows a few may be bad.
func (g *guesser) rising(at int, least float64) bool {
	before, first, falls := math.NaN(), math.NaN(), 0
	for _, row := range g.layout.texts {
		v, ok := field(row[at], g.layout.point, scale{0, 1})
		if !ok || math.IsNaN(v) {
			continue
		}
		switch {
		case math.IsNaN(first):
			first = v
		case v < before || v-before < least:
			falls++
			continue
		}
		before = v
	}
	return falls <= len(g.layout.texts)/5 && (before > first || len(g.layout.texts) == 1)
}

// form finds out how the time in a field is written.
func (g *guesser) form(t *TimeColumn) error {
	k := g.layout.kinds[t.Field]
	given := g.options.TimeForm
	if k == isDate || k == isClock {
		return g.dateForm(t, k)
	}
	if given != "" && given != Elapsed && given != Unix && given != UnixMs && given != Count {
		return fmt.Errorf("time: field %s holds numbers, not %s", g.name(t.Field), given)
	}
	value := math.NaN()
	for _, row := range g.layout.texts {
		if v, ok := field(row[t.Field], g.layout.point, scale{0, 1}); ok && !math.IsNaN(v) {
			value = v
			break
		}
	}
	t.Form = Elapsed
	switch {
	case given != "":
		t.Form = given
	case value > 3e8 && value < 5e9 && g.options.TimeUnit == 0: // 1979 to 2128
		t.Form = Unix
	case value > 3e11 && value < 5e12 && g.options.TimeUnit == 0:
		t.Form = UnixMs
	}
	if t.Form != Elapsed {
		return nil
	}
	t.Unit = 1
	if g.options.TimeUnit != 0 {
		t.Unit = g.options.TimeUnit
		return nil
	}
	for _, list := range [][]string{g.heading.units, g.heading.names} {
		if t.Field >= len(list) {
			continue
		}
		if _, q, ok := nameAndUnit(list[t.Field]); ok && q.Unit == quantity.Second {
			t.Unit = q.Value
			return nil
		}
	}
	return nil
}

// dateForm finds out in which order day, month and year stand, and joins a date
// with the clock beside it.
func (g *guesser) dateForm(t *TimeColumn, k kind) error {
	given := g.options.TimeForm
	if k == isClock {
		t.Form = Clock
		for i, have := range g.layout.kinds {
			if have == isDate && i != t.Field {
				t.Date = i
			}
		}
		if t.Date < 0 {
			return nil
		}
	} else {
		alone := true
		for _, row := range g.layout.texts {
			alone = alone && !strings.Contains(row[t.Field], ":")
		}
		for i, have := range g.layout.kinds {
			if have == isClock && alone {
				t.Date, t.Field = t.Field, i
			}
		}
	}
	at := t.Field
	if t.Date >= 0 {
		at = t.Date
	}
	fits := func(form Form) bool {
		for _, row := range g.layout.texts {
			if _, ok := readMoment(row[at], form); !ok && kindOf(row[at], g.layout.point) == isDate {
				return false
			}
		}
		return true
	}
	if given != "" {
		t.Form = given
		if !given.calendar() || !fits(given) {
			return fmt.Errorf("time: %q in field %s is not written as %s", g.layout.texts[0][at], g.name(at), given)
		}
		return nil
	}
	for _, form := range []Form{Date, DayFirst, MonthDay} {
		if fits(form) {
			t.Form = form
			if form == DayFirst && fits(MonthDay) {
				g.note("order of the date", "day before month", "either would fit; say month first if it is not so")
			}
			return nil
		}
	}
	return fmt.Errorf("time: the dates in field %s are not all written alike", g.name(at))
}

// countedByHeading sets the interval that the heading gives, else a guess.
func (g *guesser) countedByHeading(t TimeColumn) error {
	number := func(text string) (float64, bool) {
		v, ok := field(text, g.layout.point, scale{0, 1})
		return v, ok && text != "" && !math.IsNaN(v) && !math.IsInf(v, 0)
	}
	t.Form, t.Field = Count, -1
	if v, ok := number(g.heading.interval); ok && v > 0 {
		t.Interval = v
		if s, ok := number(g.heading.start); ok {
			t.Start = s
		}
		g.counted(t, "the heading gives start and increment")
		return nil
	}
	t.Interval = 1
	g.counted(t, "nothing in the file tells; say the interval or the rate if it is not so")
	return nil
}

func (g *guesser) counted(t TimeColumn, why string) {
	g.dialect.Time = t
	g.note("time", "by count, a reading every "+quantity.Quantity{Value: t.Interval, Unit: quantity.Second}.String(), why)
}
