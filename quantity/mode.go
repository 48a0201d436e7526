package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// modes lists the words that say how a voltage or a current was taken, in small
// letters, the longer ones before those that they end with.
var modes = []struct{ word, mode string }{
	{"peak-to-peak", "p-p"}, {"pk-pk", "p-p"}, {"p-p", "p-p"}, {"pp", "p-p"},
	{"rms", "RMS"}, {"ac", "AC"}, {"~", "AC"}, {"dc", "DC"},
}

// SplitMode takes the words off the end of a value that say how it was taken. It
// returns the value without them and one of "", "DC", "AC", "p-p" or "RMS":
// "230 VAC" is "230 V" and "AC". RMS is told where both AC and RMS are written.
// The rest is a beginning of the text, so offsets in it are offsets in the text.
func SplitMode(text string) (rest, mode string) {
	rest = text
	for {
		cut, found := cutMode(strings.TrimRightFunc(rest, unicode.IsSpace))
		if found == "" || mode != "" && found != "AC" && found != "RMS" {
			return rest, mode
		}
		rest = strings.TrimRightFunc(cut, unicode.IsSpace)
		if mode != "RMS" {
			mode = found
		}
	}
}

// cutMode takes one word off. The word stands alone or is joined to a unit.
func cutMode(text string) (rest, mode string) {
	for _, m := range modes {
		cut := len(text) - len(m.word)
		if cut < 0 || !strings.EqualFold(text[cut:], m.word) {
			continue
		}
		before, _ := utf8.DecodeLastRuneInString(text[:cut])
		if cut == 0 || unicode.IsSpace(before) || strings.ContainsRune("VvAW", before) {
			return text[:cut], m.mode
		}
	}
	return text, ""
}

// inModeWord reports whether a character belongs in a unit with its mode.
func inModeWord(r rune) bool { return unicode.IsLetter(r) || r == '-' || r == '~' }

// passMode moves past DC after volts or amperes, and refuses the other modes.
func (s *scanner) passMode(unit Unit) *Error {
	before := s.at
	s.spaces()
	start := s.at
	word := s.run(inModeWord)
	rest, mode := SplitMode(word)
	switch {
	case mode == "" || rest != "":
		s.at = before
		return nil
	case mode == "DC" && (unit == Volt || unit == Ampere):
		return nil
	}
	return s.fail(start, quote(word, 0)+" says how the value was taken", "write the value alone, such as "+unit.Example())
}
