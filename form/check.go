package form

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// mostUnreadable is the number of unreadable characters reported one by one.
const mostUnreadable = 10

// refuse reports what is not UTF-8 text. A byte-order mark, already cut off, is no reason.
func (l lines) refuse() (problems Problems) {
	text := l.text
	if wide(text) {
		problems.Add(Place{1, 1}, "the file is UTF-16 text", "save it as UTF-8")
		return problems
	}
	for i := 0; i < len(text) && len(problems) < mostUnreadable; {
		if plain := text[i]; plain >= ' ' && plain < 0x7f || plain == '\n' || plain == '\t' || plain == '\r' {
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			problems.Add(l.place(i), fmt.Sprintf("the byte 0x%02X is not UTF-8 text", text[i]), latin(text[i]))
		case r < ' ':
			problems.Add(l.place(i), fmt.Sprintf("the control character U+%04X cannot stand on a page", r), "delete it")
		case r == 0x85 || r == 0x2028 || r == 0x2029:
			problems.Add(l.place(i), fmt.Sprintf("the invisible line separator U+%04X cannot stand on a page", r), "delete it, or begin a new line")
		case r == 0xfffe || r == 0xffff:
			problems.Add(l.place(i), fmt.Sprintf("U+%04X is not a character", r), "delete it")
		}
		i += size
	}
	return problems
}

// wide tells whether a text is UTF-16: by its byte-order mark, or because
// every other byte of its beginning is zero.
func wide(text string) bool {
	if strings.HasPrefix(text, "\xff\xfe") || strings.HasPrefix(text, "\xfe\xff") {
		return true
	}
	const looked = 16
	if len(text) < 4 {
		return false
	}
	zero := [2]int{}
	begin := text[:min(len(text), looked)&^1]
	for i := range len(begin) {
		if begin[i] == 0 {
			zero[i%2]++
		}
	}
	return zero[0]+zero[1] == len(begin)/2 && (zero[0] == 0 || zero[1] == 0)
}

// latin gives a hint for a byte that is no UTF-8: in the older encodings it is
// often one of the signs of the trade.
func latin(b byte) string {
	const hint = "save the file as UTF-8"
	if b < 0xa1 {
		return hint
	}
	return fmt.Sprintf("in the older Latin-1 encoding it is %q: %s", rune(b), hint)
}
