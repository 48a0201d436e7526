// Package plain prints lines and tables as plain text.
package plain

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// A Printer prints lines until one fails, so that errors need looking at only
// once.
type Printer struct {
	to  io.Writer
	err error
}

// To makes a printer.
func To(w io.Writer) *Printer { return &Printer{to: w} }

// Err is the first error of the writer.
func (p *Printer) Err() error { return p.err }

// Line prints a line, without blanks at its end.
func (p *Printer) Line(format string, values ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.to, strings.TrimRight(fmt.Sprintf(format, values...), " "))
	}
}

// List prints a heading and lines under it, if there are any.
func (p *Printer) List(heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	p.Line("%s", heading)
	for _, l := range lines {
		p.Line("  %s", l)
	}
}

// Table prints rows in columns, the first to the left and the others to the
// right. The first row is the heading, and gives the number of columns.
func (p *Printer) Table(rows [][]string) {
	width := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			width[i] = max(width[i], len([]rune(cell)))
		}
	}
	for _, row := range rows {
		var b strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", width[i]-len([]rune(cell)))
			if i == 0 {
				b.WriteString("  " + cell + pad)
			} else {
				b.WriteString("  " + pad + cell)
			}
		}
		p.Line("%s", b.String())
	}
}

// Columns prints rows in columns, all to the left. The first row is the heading,
// and gives the number of columns.
func (p *Printer) Columns(rows [][]string) {
	if len(rows) == 0 {
		return
	}
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i := range widths {
			widths[i] = max(widths[i], utf8.RuneCountInString(row[i]))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i := range widths {
			line.WriteString(row[i])
			line.WriteString(strings.Repeat(" ", widths[i]-utf8.RuneCountInString(row[i])+2))
		}
		p.Line("%s", line.String())
	}
}
