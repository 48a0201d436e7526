package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is the most bytes of text that a parser reads.
const longest = 256

// scanner walks along a text. It never changes the text, so every offset in an
// error is an offset in what was typed.
type scanner struct {
	text   string
	at     int
	wanted Unit // the unit that a bare number takes
	fixed  bool // whether the wanted unit is known, so that shorthand may be used
}

// scan starts at the beginning of a text that holds values with their units.
func scan(text string) (*scanner, *Error) { return scanAs(text, None, false) }

// scanAs starts at the beginning of a text that holds values in a wanted unit.
func scanAs(text string, wanted Unit, fixed bool) (*scanner, *Error) {
	s := &scanner{text: text, wanted: wanted, fixed: fixed}
	switch {
	case len(text) > longest:
		return nil, s.fail(longest, "the text is too long for a value", "write the value alone, such as 12 V")
	case !wanted.Known():
		return nil, s.fail(0, "a value in "+wanted.Name()+" was asked for, and that unit is not known", "a unit such as V, Ω or F is wanted")
	}
	return s, nil
}

// fail returns an error at a byte offset.
func (s *scanner) fail(offset int, problem, want string) *Error {
	return &Error{Text: s.text, Offset: offset, Problem: problem, Want: want}
}

// byteAt returns the byte that stands so many bytes ahead, or 0 past the end.
func (s *scanner) byteAt(ahead int) byte {
	if s.at+ahead >= len(s.text) {
		return 0
	}
	return s.text[s.at+ahead]
}

// take moves past the first of the given strings that comes next.
func (s *scanner) take(options ...string) bool {
	for _, option := range options {
		if strings.HasPrefix(s.text[s.at:], option) {
			s.at += len(option)
			return true
		}
	}
	return false
}

// run moves past the characters that belong and returns them.
func (s *scanner) run(belongs func(rune) bool) string {
	start := s.at
	for s.at < len(s.text) {
		r, size := utf8.DecodeRuneInString(s.text[s.at:])
		if !belongs(r) {
			break
		}
		s.at += size
	}
	return s.text[start:s.at]
}

// spaces moves past spaces of any kind.
func (s *scanner) spaces() { s.run(unicode.IsSpace) }

// done moves past spaces and reports whether nothing is left.
func (s *scanner) done() bool {
	s.spaces()
	return s.at >= len(s.text)
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// digits moves past digits and returns them.
func (s *scanner) digits() string {
	start := s.at
	for isDigit(s.byteAt(0)) {
		s.at++
	}
	return s.text[start:s.at]
}

// inWord reports whether a character belongs in a unit word.
func inWord(r rune) bool {
	return unicode.IsLetter(r) || r == '°' || r == '%' || r == '²' || r == '℃'
}

// word moves past a unit word. A stroke belongs to it where another word
// follows at once, as in V/µs; the square in A²s may be typed as A2s or A^2s.
func (s *scanner) word() string {
	start := s.at
	for {
		s.run(inWord)
		if s.text[start:s.at] == "A" && s.take("2s", "^2s") {
			break
		}
		next, _ := utf8.DecodeRuneInString(s.text[min(s.at+1, len(s.text)):])
		if s.at == start || s.byteAt(0) != '/' || !inWord(next) {
			break
		}
		s.at++
	}
	return s.text[start:s.at]
}
