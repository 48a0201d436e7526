package quantity

import (
	"strings"
	"unicode/utf8"
)

// otherUnit says that a value is in another unit than the wanted one.
func (s *scanner) otherUnit(it item, is, wanted Unit) *Error {
	return s.fail(it.unitAt, "this is in "+is.Name(), wanted.wanted())
}

// missingUnit says that a prefix stands without a unit.
func (s *scanner) missingUnit(it item) *Error {
	return s.fail(it.unitAt, "the unit is missing", "write it after the number, as in 4k7 Ω, 47 uF or 10 mA")
}

// noShorthand says that a lone prefix does not tell the value.
func (s *scanner) noShorthand(it item, wanted Unit) *Error {
	if wanted == Second {
		return s.fail(it.unitAt, "m and M can mean minutes, months or a prefix", "write 5 min or 5 ms")
	}
	if problem, want, ok := refusedPrefix(it.prefix, wanted); ok {
		return s.fail(it.unitAt, problem, want)
	}
	return s.fail(it.unitAt, wanted.Measures()+" takes no prefix", wanted.wanted())
}

// refusedPrefix explains why a unit is not read with a prefix.
func refusedPrefix(p prefix, unit Unit) (problem, want string, ok bool) {
	f, known := units[unit]
	switch {
	case !known || f.prefixes == "" || f.takes(p):
		return "", "", false
	case unit == Farad:
		want = "MF, MFD and mfd on old parts are microfarads: write 47 uF"
	case p.letter == 'M' && f.takes(prefixOf('m')):
		want = "M is mega and m is milli: write 10 m" + f.symbols[0]
	default:
		want = unit.wanted()
	}
	return p.before(f.plural) + " do not occur on a bench", want, true
}

// unknownUnit says that a word is no unit and suggests the nearest one. The
// digits are repeated in the suggestion.
func (s *scanner) unknownUnit(offset int, word, digits string) *Error {
	if word == "mf" {
		return s.fail(offset, `"mf" can be read as microfarads or millifarads`, "write uF or mF")
	}
	for _, p := range prefixes {
		for _, typing := range p.typings {
			rest, ok := strings.CutPrefix(word, typing)
			base, known := lookUp(rest)
			if !ok || !known || base.exponent != 0 || base.scale != 0 {
				continue
			}
			if problem, want, refused := refusedPrefix(p, base.unit); refused {
				return s.fail(offset, problem, want)
			}
		}
	}
	problem := "unknown unit " + quote(word, 0)
	if word == "E" && (!s.fixed || s.wanted == Ohm) {
		return s.fail(offset, problem, "an E for ohms is written R, as in 47R")
	}
	near, ok := nearestUnit(word)
	if !ok {
		if s.fixed {
			return s.fail(offset, problem, s.wanted.wanted())
		}
		return s.fail(offset, problem, "write a unit such as V, mA, kΩ, uF or ms")
	}
	digits = strings.TrimSpace(digits)
	if digits == "" || len(digits) > 12 {
		digits = "12"
	}
	name, symbol := near.written()
	return s.fail(offset, problem, name+" are written "+symbol+", as in "+digits+" "+symbol)
}

// written returns the name of a meaning in the plural and the way to write it.
func (m meaning) written() (name, symbol string) {
	for _, t := range longTimes {
		if t.seconds == m.scale {
			return t.words[len(t.words)-1], t.words[0]
		}
	}
	f := units[m.unit]
	name, symbol = f.plural, string(m.unit)
	for _, candidate := range f.forms {
		if candidate.exponent == m.exponent {
			symbol = candidate.symbol
		}
	}
	if len(f.symbols) > 0 {
		for _, p := range prefixes {
			if p.exponent == m.exponent {
				name = p.before(f.plural)
			}
		}
	}
	return name, symbol
}

// nearestUnit finds the unit word that differs least from a mistyped one. A
// difference of case counts for less than a wrong letter; among equals, the one
// with the same first letter and then the shortest is taken.
func nearestUnit(word string) (meaning, bool) {
	length := utf8.RuneCountInString(word)
	if length > 20 {
		return meaning{}, false
	}
	var best meaning
	bestWord, bestCost := "", 10*max(1, length/3)+1
	consider := func(candidate string, m meaning) {
		if longer := utf8.RuneCountInString(candidate) - length; 8*max(longer, -longer) > bestCost {
			return
		}
		cost := 8 * distance(strings.ToLower(word), strings.ToLower(candidate))
		if cost >= bestCost+8 {
			return
		}
		cost += min(distance(word, candidate), 2)
		if first, _ := utf8.DecodeRuneInString(candidate); !strings.HasPrefix(strings.ToLower(word), strings.ToLower(string(first))) {
			cost += 3
		}
		shorter := len(candidate) < len(bestWord) || len(candidate) == len(bestWord) && candidate < bestWord
		if cost < bestCost || cost == bestCost && shorter {
			best, bestWord, bestCost = m, candidate, cost
		}
	}
	for candidate, m := range symbols {
		consider(candidate, m)
	}
	for candidate, m := range names {
		consider(candidate, m)
	}
	return best, bestWord != ""
}

// distance counts the letters to insert, delete, replace or swap with a
// neighbour that take one word to another (optimal string alignment).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	before, last, row := make([]int, len(to)+1), make([]int, len(to)+1), make([]int, len(to)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(from); i++ {
		row[0] = i
		for j := 1; j <= len(to); j++ {
			change := 1
			if from[i-1] == to[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && from[i-1] == to[j-2] && from[i-2] == to[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(to)]
}
