package form

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// lines is a text with the beginnings of its lines. Lines end with LF, CR LF
// or CR, as in YAML.
type lines struct {
	text   string
	starts []int   // offset of each line
	near   *cursor // where the last place was found
}

// A cursor is a character of the text that was found before. The places of a
// page are asked for mostly in their order, so that a very long line, which
// only a machine writes, is not counted through from its beginning each time.
type cursor struct {
	Place
	offset int
}

// newLines finds the lines of a text.
func newLines(text string) lines {
	starts := make([]int, 1, strings.Count(text, "\n")+2)
	for i := range len(text) {
		if text[i] == '\n' || text[i] == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			starts = append(starts, i+1)
		}
	}
	return lines{text, starts, new(cursor)}
}

// line gives line n, counted from 1, without its end; "" when there is none.
func (l lines) line(n int) string {
	if n < 1 || n > len(l.starts) {
		return ""
	}
	end := len(l.text)
	if n < len(l.starts) {
		end = l.starts[n]
	}
	return strings.TrimRight(l.text[l.starts[n-1]:end], "\r\n")
}

// split gives the parts of a line before and after a place.
func (l lines) split(at Place) (before, after string) {
	line := l.line(at.Line)
	if line == "" {
		return "", ""
	}
	start := l.starts[at.Line-1]
	c := cursor{Place{at.Line, 1}, start}
	if l.near.Line == at.Line && l.near.Column <= at.Column && l.near.offset-start <= len(line) {
		c = *l.near
	}
	for ; c.Column < at.Column && c.offset-start < len(line); c.Column++ {
		_, size := utf8.DecodeRuneInString(line[c.offset-start:])
		c.offset += size
	}
	*l.near = c
	return line[:c.offset-start], line[c.offset-start:]
}

// from gives the rest of the line at a place.
func (l lines) from(at Place) string {
	_, after := l.split(at)
	return after
}

// before gives the part of a line before a place.
func (l lines) before(at Place) string {
	before, _ := l.split(at)
	return before
}

// offset gives the byte of the text at a place.
func (l lines) offset(at Place) int {
	if at.Line < 1 || at.Line > len(l.starts) {
		return len(l.text)
	}
	return l.starts[at.Line-1] + len(l.before(at))
}

// place gives the position of a byte of the text.
func (l lines) place(offset int) Place {
	line, exact := slices.BinarySearch(l.starts, offset)
	if exact {
		line++
	}
	c := cursor{Place{line, 1}, l.starts[line-1]}
	if l.near.Line == line && l.near.offset <= offset {
		c = *l.near
	}
	c.Column += utf8.RuneCountInString(l.text[c.offset:offset])
	c.offset = offset
	*l.near = c
	return c.Place
}

// last gives a place itself, or, when it lies on an empty line after the last
// that is written on, the end of that one.
func (l lines) last(at Place) Place {
	if at.Line == 0 || at.Line < len(l.starts) || l.line(at.Line) != "" {
		return at
	}
	n := l.written(at.Line)
	return Place{n, utf8.RuneCountInString(l.line(n)) + 1}
}

// written gives the last line at or above n with something on it besides a
// comment, or 0.
func (l lines) written(n int) int {
	for n = min(n, len(l.starts)); n > 0; n-- {
		if line := strings.TrimSpace(l.line(n)); line != "" && line[0] != '#' {
			break
		}
	}
	return n
}

// indentation counts the spaces before the text of a line.
func indentation(line string) int {
	return len(line) - len(strings.TrimLeft(line, " "))
}
