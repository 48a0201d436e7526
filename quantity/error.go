package quantity

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Error is the error of every parser in this package. It says what was read,
// where the trouble starts, what it is, and what would be right.
type Error struct {
	Text    string // Text is what was to be read, whole.
	Offset  int    // Offset is where in Text the trouble starts, in bytes.
	Problem string // Problem says what is wrong.
	Want    string // Want says what would be right.
}

// longestQuote is the most characters of the input that an error message
// repeats. The field Text always holds all of it.
const longestQuote = 60

// Error returns one sentence: the text, what is wrong with it, and what would
// be right. A long text is cut to the neighbourhood of the trouble.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(quote(e.Text, e.Offset))
	b.WriteString(": ")
	b.WriteString(e.Problem)
	if e.Want != "" {
		b.WriteString("; ")
		b.WriteString(e.Want)
	}
	return b.String()
}

// quote returns text in quotation marks, cut to longestQuote characters around
// the byte offset.
func quote(text string, offset int) string {
	if utf8.RuneCountInString(text) <= longestQuote {
		return strconv.Quote(text)
	}
	runes := []rune(text)
	at := utf8.RuneCountInString(text[:min(max(offset, 0), len(text))])
	first := min(max(at-longestQuote/2, 0), len(runes)-longestQuote)
	last := first + longestQuote
	piece := string(runes[first:last])
	if first > 0 {
		piece = "…" + piece
	}
	if last < len(runes) {
		piece += "…"
	}
	return strconv.Quote(piece)
}
