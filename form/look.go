package form

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// This file looks at lines as a person does, without knowing what the parser
// makes of them.

// keyLine matches a line that begins a key, with or without a list dash.
var keyLine = regexp.MustCompile(`^\s*(- +)*["']?[^\s#"',:{}\[\]][^"',:{}\[\]]*["']?:(\s|$)`)

// glued matches a key whose colon is not followed by a space.
var glued = regexp.MustCompile(`^(\s*(?:- +)*)(["']?[A-Za-z][\w -]*["']?):([^\s:/].*)$`)

// tabOn reports a tab in the indentation of a line.
func (l lines) tabOn(n int) Problem {
	line := l.line(n)
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	if i := strings.IndexByte(indent, '\t'); i >= 0 && len(indent) < len(line) {
		return problem(Place{n, i + 1}, "a tab in the indentation", "indent with spaces")
	}
	return Problem{}
}

// gluedColon finds a key without a space after its colon on a line.
func (l lines) gluedColon(n int) Problem {
	m := glued.FindStringSubmatch(l.line(n))
	if m == nil {
		return Problem{}
	}
	return problem(Place{n, utf8.RuneCountInString(m[1]+m[2]) + 1},
		"a space is missing after the colon", "write "+quoted(m[2]+": "+strings.TrimSpace(m[3])))
}

// gluedDash finds a dash without a space after it at the beginning of a line.
func (l lines) gluedDash(n int) Problem {
	line := l.line(n)
	text := strings.TrimLeft(line, " ")
	if len(text) < 2 || text[0] != '-' || strings.IndexByte(" -.0123456789", text[1]) >= 0 {
		return Problem{}
	}
	return problem(Place{n, indentation(line) + 1}, "a space is missing after the dash", "write "+quoted("- "+text[1:]))
}

// open gives the brackets that open on some lines and that nothing on them
// closes, and likewise the last quote that is not closed on its line.
func (l lines) open(first, last int) (brackets []Place, quote Place) {
	for n := first; n <= last; n++ {
		line, _, _ := strings.Cut(l.line(n), " #")
		inside, before := rune(0), '-' // the open quote; the last sign that is no blank
		column := 0
		for _, c := range line {
			column++
			here := Place{n, column}
			begins := strings.ContainsRune("-:[{,", before)
			switch {
			case inside != 0:
				if c == inside {
					inside, quote = 0, Place{}
				}
			case (c == '"' || c == '\'') && begins:
				inside, quote = c, here
			case (c == '[' || c == '{') && begins:
				brackets = append(brackets, here)
			case (c == ']' || c == '}') && len(brackets) > 0:
				brackets = brackets[:len(brackets)-1]
			}
			if c != ' ' {
				before = c
			}
		}
	}
	return brackets, quote
}

// valueAt gives the value that begins at a place: to the end of the line, or,
// within brackets, to the comma or bracket that ends it.
func (l lines) valueAt(at Place) string {
	before := l.before(at)
	return plainValue(l.from(at), strings.Count(before, "{")+strings.Count(before, "[") > strings.Count(before, "}")+strings.Count(before, "]"))
}

// plainValue cuts a comment off a value, and within brackets what follows it.
func plainValue(rest string, inBrackets bool) string {
	if i := strings.Index(rest, " #"); i >= 0 {
		rest = rest[:i]
	}
	if inBrackets {
		if i := strings.IndexAny(rest, ",]}"); i >= 0 {
			rest = rest[:i]
		}
	}
	return strings.TrimSpace(rest)
}

// quoteIt gives the hint to quote a text, with the quoted text.
func quoteIt(value string) string {
	return "quote it: " + quoted(value)
}

// quoted puts a text in the quotes that need the fewest changes within.
func quoted(value string) string {
	value = shortened(value)
	if strings.ContainsAny(value, `"\`) {
		return "'" + strings.ReplaceAll(value, "'", "''") + "'"
	}
	return `"` + value + `"`
}

// keyEnd gives the offset in a line just after the colon of its key, or 0.
func keyEnd(line string) int {
	for i := range len(line) {
		if line[i] == ':' && (i+1 == len(line) || line[i+1] == ' ') {
			return i + 1
		}
	}
	return 0
}

// firstWord gives a text up to its first space.
func firstWord(s string) string {
	word, _, _ := strings.Cut(s, " ")
	return word
}
