package logbook

import (
	"errors"
	"slices"
	"strings"

	"halfsplit/form"
	"halfsplit/sheet"
)

// Line gives the entry as a mapping in braces on a single line, such as
//
//	{measure: TP3, reads: 4.62 V, state: {on for: 12 min}}
//
// in which a log can keep it. [ParseEntry] reads it back. Line checks nothing.
func (e *Entry) Line() string { return form.Line(e) }

// ParseEntry reads one entry by itself: a mapping in braces as [Entry.Line]
// gives it, or its keys one a line. It checks what needs neither the sheet nor
// the rest of the log; for that see [Assemble]. The error is form.Problems with
// every mistake, with their places in the text and no file.
func ParseEntry(text string) (*Entry, error) {
	c := &checker{Case: &Case{Log: make([]Entry, 1)}}
	c.part("", 1, text, &c.Log[0])
	c.problems = slices.Clone(c.misread)
	c.entry(0)
	if err := c.problems.Err(); err != nil {
		return nil, err
	}
	return &c.Log[0], nil
}

// The files of the problems in a case that was put together.
const (
	unitPart  = "unit"
	meterPart = "meter"
	entryPart = "entry"
	proofPart = "proof"
)

// Assemble puts a case together from its parts and checks it against a sheet, as
// [Parse] checks one that was written as a page. SheetName is what the case calls
// the sheet; the parts may be made by a program or read by [ParseEntry].
//
// In the case, the place of entry n and of its words is line n, with the column
// counted in its [Entry.Line], so that whatever is said of line 3 of the case is
// said of its third entry. The error is form.Problems; each names the part as its
// file ("entry", "meter", "unit" or "proof"), as its line which one of them, and as
// its column where in its line:
//
//	entry:3:11: the sheet has no part or block "C33"; did you mean "C3"?
func Assemble(s *sheet.Sheet, sheetName string, unit Unit, meters []Meter, proof Proof, log ...Entry) (*Case, error) {
	c := &checker{assembled: true, Case: &Case{
		Version: Version, Place: form.Place{Line: 1, Column: 1}, file: entryPart, Sheet: form.Word{Text: sheetName},
		Meters: make([]Meter, len(meters)), Log: make([]Entry, len(log)),
	}}
	c.part(unitPart, 1, form.Line(&unit), &c.Unit)
	for i := range meters {
		c.part(meterPart, i+1, form.Line(&meters[i]), &c.Meters[i])
	}
	for i := range log {
		c.part(entryPart, i+1, log[i].Line(), &c.Log[i])
	}
	c.part(proofPart, 1, form.Line(&proof), &c.Proof)
	c.problems = slices.Clone(c.misread)
	c.alone()
	c.compare(s)
	if err := c.problems.Err(); err != nil {
		return nil, err
	}
	return c.Case, nil
}

// part reads one part of a case as line n of a page.
func (c *checker) part(file string, n int, line string, target any) {
	var problems form.Problems
	if errors.As(form.Read(file, []byte(strings.Repeat("\n", n-1)+line), target), &problems) {
		c.misread = append(c.misread, problems...)
	}
	c.text = append(append(c.text, line...), '\n')
}

// in makes a check whose problems are about a part of a case.
func (c *checker) in(part string, check func()) {
	if c.assembled {
		defer func(file string) { c.file = file }(c.file)
		c.file = part
	}
	check()
}
