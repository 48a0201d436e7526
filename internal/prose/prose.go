// Package prose writes plain text, fit for a terminal or a print: sections,
// lines, and paragraphs broken at a width.
package prose

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/quantity"
)

// Width is the number of characters in a line.
const Width = 88

// Writer writes lines and keeps the first error.
type Writer struct {
	out io.Writer
	err error
}

// New makes a writer.
func New(out io.Writer) *Writer { return &Writer{out: out} }

// Err is the first error of the writer below.
func (t *Writer) Err() error { return t.err }

// Line writes a line.
func (t *Writer) Line(format string, values ...any) {
	if t.err == nil {
		_, t.err = fmt.Fprintf(t.out, format+"\n", values...)
	}
}

// Section begins a section with its title.
func (t *Writer) Section(title string) {
	t.Line("")
	t.Line("%s", title)
	t.Line("%s", strings.Repeat("─", len([]rune(title))))
}

// Fold writes a paragraph, broken at the width, each line after a margin; the
// first line after its own lead.
func (t *Writer) Fold(lead, margin, paragraph string) {
	line := lead
	empty := true
	for _, word := range strings.Fields(paragraph) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > Width {
			t.Line("%s", line)
			line, empty = margin, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	t.Line("%s", line)
}

// Bar draws a probability as a bar of ten.
func Bar(p float64) string {
	full := int(math.Round(10 * min(max(p, 0), 1)))
	return strings.Repeat("█", full) + strings.Repeat("░", 10-full)
}

// Percent writes a probability with as many digits as it deserves.
func Percent(p float64) string { return quantity.FormatChance(p) }
