package quantity

import "strings"

// prefix is a decimal prefix of the SI (BIPM, The International System of
// Units, 9th edition, table 7), as far as a bench needs them.
type prefix struct {
	letter   rune
	exponent int
	name     string
	typings  []string // the ways to type it, the preferred one first
}

// unprefixed stands for no prefix at all.
const unprefixed = '1'

var prefixes = []prefix{
	{'f', -15, "femto", []string{"f"}},
	{'p', -12, "pico", []string{"p"}},
	{'n', -9, "nano", []string{"n"}},
	{'µ', -6, "micro", []string{"µ", "\u03bc", "u"}},
	{'m', -3, "milli", []string{"m"}},
	{'c', -2, "centi", []string{"c"}},
	{unprefixed, 0, "", []string{""}},
	{'k', 3, "kilo", []string{"k", "K"}},
	{'M', 6, "mega", []string{"M"}},
	{'G', 9, "giga", []string{"G"}},
	{'T', 12, "tera", []string{"T"}},
}

// prefixOf finds a prefix by its preferred letter.
func prefixOf(letter rune) prefix {
	for _, p := range prefixes {
		if p.letter == letter {
			return p
		}
	}
	return prefix{letter: unprefixed}
}

// before puts the name of the prefix before the name of a unit. Kilo and mega
// lose their last letter before ohms.
func (p prefix) before(name string) string {
	if strings.HasPrefix(name, "ohm") && p.exponent > 0 && p.exponent <= 6 {
		return p.name[:len(p.name)-1] + name
	}
	return p.name + name
}

// typedPrefix finds the prefix that a word stands for when it is written alone,
// as in 47u or 4k7. Centi is not used so, and a capital U is taken for micro.
func typedPrefix(word string) (prefix, bool) {
	if word == "U" {
		word = "u"
	}
	for _, p := range prefixes {
		if p.letter == 'c' || p.letter == unprefixed {
			continue
		}
		for _, typing := range p.typings {
			if typing == word {
				return p, true
			}
		}
	}
	return prefix{}, false
}

// takes reports whether the unit is used with a prefix.
func (f *unitFacts) takes(p prefix) bool { return strings.ContainsRune(f.prefixes, p.letter) }

// shorthand returns what a prefix means that stands without a unit where a
// value in the wanted unit is read. A plain number takes any prefix. For times
// a lone m or M is refused, since it may stand for minutes, months or
// milliseconds.
func shorthand(p prefix, wanted Unit) (meaning, bool) {
	switch f, known := units[wanted]; {
	case wanted == None:
		return meaning{exponent: p.exponent}, true
	case !known, !f.takes(p), wanted == Second && p.letter == 'm':
		return meaning{}, false
	}
	return meaning{unit: wanted, exponent: p.exponent}, true
}
