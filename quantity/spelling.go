package quantity

import "strings"

// meaning is what a unit word stands for: a unit and the power of ten of its
// prefix, or for the long times the number of seconds.
type meaning struct {
	unit     Unit
	exponent int
	scale    float64 // seconds in a minute, an hour and so on; 0 for everything else
}

// Seconds in the longer units of time. Minute, hour and day are those of BIPM,
// The International System of Units, 9th edition, table 8. A year is the Julian
// year of 365.25 days (G. A. Wilkins, IAU Style Manual, 1989; from memory), and a
// month is a twelfth of it.
const (
	minute = 60.0
	hour   = 60 * minute
	day    = 24 * hour
	week   = 7 * day
	year   = 365.25 * day
	month  = year / 12
)

// longTimes lists the words for times that are no decimal multiple of a second,
// the preferred word first.
var longTimes = []struct {
	seconds float64
	words   []string
}{
	{minute, []string{"min", "mins", "minute", "minutes"}},
	{hour, []string{"h", "hr", "hrs", "hour", "hours"}},
	{day, []string{"d", "day", "days"}},
	{week, []string{"weeks", "week", "wk"}},
	{month, []string{"months", "month"}},
	{year, []string{"y", "yr", "yrs", "year", "years"}},
}

// symbols holds every accepted symbol, letter for letter; names holds the names
// of the units in small letters, so that Volts and VOLTS are read as well.
var symbols, names = indexSpellings()

func indexSpellings() (symbols, names map[string]meaning) {
	symbols, names = map[string]meaning{}, map[string]meaning{}
	for unit, f := range units {
		for _, list := range [][]form{f.forms, f.others} {
			for _, form := range list {
				symbols[form.symbol] = meaning{unit: unit, exponent: form.exponent}
			}
		}
		for _, letter := range f.prefixes {
			p := prefixOf(letter)
			m := meaning{unit: unit, exponent: p.exponent}
			for _, typing := range p.typings {
				for _, symbol := range f.symbols {
					symbols[typing+symbol] = m
				}
			}
			for _, name := range []string{f.plural, f.singularName()} {
				names[p.name+name], names[p.before(name)] = m, m
			}
		}
		if f.prefixes == "" {
			m := meaning{unit: unit, exponent: f.base().exponent}
			names[strings.ToLower(f.plural)], names[strings.ToLower(f.singularName())] = m, m
		}
	}
	for _, t := range longTimes {
		for _, word := range t.words {
			symbols[word] = meaning{unit: Second, scale: t.seconds}
		}
	}
	delete(symbols, "")
	return symbols, names
}

// lookUp finds what a unit word stands for.
func lookUp(word string) (meaning, bool) {
	if m, ok := symbols[word]; ok {
		return m, true
	}
	m, ok := names[strings.ToLower(word)]
	return m, ok
}

// lookUpAs finds what a unit word stands for where a value in the wanted unit is
// read. There C is a temperature if a temperature is wanted, degrees Celsius are
// kelvins if a difference of temperature is wanted, and a lone prefix belongs to
// the wanted unit.
func lookUpAs(word string, wanted Unit) (meaning, bool) {
	m, ok := lookUp(word)
	switch {
	case wanted == Second && word == "m":
		return meaning{}, false // not metres, nor anything else that is certain
	case ok && m.unit == wanted:
		return m, true
	case wanted == Celsius && (word == "C" || word == "c"):
		return meaning{unit: Celsius}, true
	case wanted == Kelvin && ok && m.unit == Celsius:
		return meaning{unit: Kelvin}, true
	}
	if p, isPrefix := typedPrefix(word); isPrefix {
		if short, can := shorthand(p, wanted); can {
			return short, true
		}
	}
	return m, ok
}
