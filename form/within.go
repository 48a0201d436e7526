package form

import (
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// within gives the place on the page of a byte of a node's value. It follows
// the value through the text: quotes, escapes and line folding make the two
// differ. Where it loses the trail it gives the place where the node begins.
func (l lines) within(n *yaml.Node, offset int) Place {
	begin := place(n)
	t := tracer{text: l.text, at: l.offset(begin), style: n.Style}
	t.skipProperties()
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		t.skipLine()
		t.skipBlank()
	} else if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		t.at++
	}
	value := n.Value
	offset = max(0, min(offset, len(value)))
	for i := 0; i < offset; {
		r, size := utf8.DecodeRuneInString(value[i:])
		if !t.step(r) {
			return begin
		}
		i += size
	}
	if t.at > len(l.text) {
		return begin
	}
	return l.place(t.at)
}

// A tracer follows the characters of a value through the text of a page.
type tracer struct {
	text   string
	at     int
	style  yaml.Style
	folded bool // the step before went over a line end and all blanks around it
	inLine int  // blanks before this byte of the text are followed by no line end
}

// skipProperties steps over an anchor or a tag before the value.
func (t *tracer) skipProperties() {
	for t.at < len(t.text) && (t.text[t.at] == '&' || t.text[t.at] == '!') {
		for t.at < len(t.text) && !blank(t.text[t.at]) {
			t.at++
		}
		t.skipBlank()
	}
}

// skipLine steps over the rest of a line.
func (t *tracer) skipLine() {
	for t.at < len(t.text) && t.text[t.at] != '\n' && t.text[t.at] != '\r' {
		t.at++
	}
}

// skipBlank steps over spaces and line ends.
func (t *tracer) skipBlank() {
	for t.at < len(t.text) && blank(t.text[t.at]) {
		t.at++
	}
}

// step steps over one character of the value; false when the text has another.
func (t *tracer) step(r rune) bool {
	if t.at >= len(t.text) {
		return false
	}
	if t.style&yaml.DoubleQuotedStyle != 0 && t.text[t.at] == '\\' && !(t.folded && r == '\n') {
		t.folded = false
		return t.escape()
	}
	if r == ' ' || r == '\n' || r == '\t' {
		return t.blank(r)
	}
	t.folded = false
	found, size := utf8.DecodeRuneInString(t.text[t.at:])
	if found != r {
		return false
	}
	t.at += size
	if t.style&yaml.SingleQuotedStyle != 0 && r == '\'' {
		t.at++
	}
	return true
}

// blank steps over a blank of the value: the same blank in the text or, where
// a line ends, all blanks up to the text of the next, which may stand for
// several blanks of the value.
func (t *tracer) blank(r rune) bool {
	if t.folded {
		return true
	}
	for i := max(t.at, t.inLine); i < len(t.text) && blank(t.text[i]); i++ {
		if t.text[i] == '\n' || t.text[i] == '\r' {
			t.skipBlank()
			t.folded = true
			return true
		}
		t.inLine = i + 1
	}
	if rune(t.text[t.at]) != r {
		return false
	}
	t.at++
	return true
}

// escape steps over a backslash and what belongs to it.
func (t *tracer) escape() bool {
	if t.at+1 >= len(t.text) {
		return false
	}
	switch t.text[t.at+1] {
	case 'x':
		t.at += 4
	case 'u':
		t.at += 6
	case 'U':
		t.at += 10
	case '\n', '\r':
		return false
	default:
		t.at += 2
	}
	return true
}

// blank tells whether a byte is a space, a tab or a line end.
func blank(b byte) bool { return b == ' ' || b == '\t' || b == '\n' || b == '\r' }
