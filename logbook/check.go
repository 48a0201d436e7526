package logbook

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Load reads a case and the sheet it names, which is looked for beside the
// case, and checks them. Mistakes in either are form.Problems.
func Load(path string) (*Case, *sheet.Sheet, error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	c := read(path, text)
	if c.Sheet.Text != "" {
		c.sheet = c.load(path)
	}
	if c.sheet != nil {
		c.compare(c.sheet)
	}
	if err := c.problems.Err(); err != nil {
		return nil, nil, err
	}
	return c.Case, c.sheet, nil
}

// Parse reads a case to be reasoned over with the given sheet. The error is
// form.Problems with every mistake; file is the name used in them.
func Parse(file string, text []byte, s *sheet.Sheet) (*Case, error) {
	c := read(file, text)
	c.compare(s)
	if err := c.problems.Err(); err != nil {
		return nil, err
	}
	return c.Case, nil
}

const (
	mostKept     = 1000      // problems found by the checker, before it stops noting them
	mostCompared = 1_000_000 // names looked through for suggestions
)

// checker checks a case: what each entry needs, and names.
type checker struct {
	*Case
	text     []byte
	misread  form.Problems // found while the page was read
	problems form.Problems // all
	compared int           // names looked through for suggestions
	sheet    *sheet.Sheet

	assembled bool // from parts, whose lines are their numbers
}

// add notes a problem, unless there are too many.
func (c *checker) add(at form.Place, hint, format string, values ...any) {
	for i, v := range values {
		if text, ok := v.(string); ok {
			values[i] = shortened(text)
		}
	}
	p := form.Problem{File: c.file, Line: at.Line, Column: at.Column, Message: fmt.Sprintf(format, values...), Hint: shortened(hint)}
	switch kept := len(c.problems) - len(c.misread); {
	case kept == mostKept:
		p.Message, p.Hint = fmt.Sprintf("there are more than %d mistakes; the rest is not listed", mostKept), "correct these first"
	case kept > mostKept:
		return
	}
	c.problems = append(c.problems, p)
}

// shortened cuts a text that is too long for a message.
func shortened(text string) string {
	const most = 300
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + "…"
}

// lost tells whether a name that was not read stands on the page all the same:
// in a part of it that could not be read. The mistake there is reported
// already.
func (c *checker) lost(declared string) bool {
	return len(c.misread) > 0 && bytes.Contains(c.text, []byte(declared))
}

// read reads the page and checks what needs no sheet.
func read(file string, text []byte) *checker {
	c := &checker{Case: &Case{file: file}, text: text}
	errors.As(form.Read(file, text, c.Case), &c.misread)
	if c.Version == 0 && c.Sheet.Text == strconv.Itoa(sheet.Version) {
		c.misread = nil
		c.misread.Add(c.Sheet.Place, "this is a service sheet, not a case", c.Begins())
		c.misread = c.misread.In(file)
		*c.Case = Case{file: file}
	}
	c.problems = slices.Clone(c.misread)
	if c.Place.Line == 0 {
		return c
	}
	if c.Version != Version && !(c.Version == 0 && len(c.misread) > 0) {
		c.add(c.Place, fmt.Sprintf("this program reads version %d", Version), "the case is of version %d", c.Version)
	}
	c.alone()
	return c
}

// alone checks what needs no sheet.
func (c *checker) alone() {
	c.in(unitPart, c.unit)
	c.in(meterPart, c.meters)
	for i := range c.Log {
		c.entry(i)
	}
	c.corrections()
	c.in(proofPart, c.proof)
}

// unit checks what is said of the unit.
func (c *checker) unit() {
	if year := c.Unit.Year; year != 0 && (year < 1900 || year > 2100) {
		c.add(c.Unit.Place, "write the year in four digits, such as 1981", "%d is no year of make", year)
	}
}

// proof checks what counts as done.
func (c *checker) proof() {
	for _, share := range []amount{{"sure", c.Proof.Sure}, {"repair right", c.Proof.Right}} {
		if q := share.value; q != nil && !(q.Value > 0 && q.Value < 1) {
			c.add(c.Proof.Place, "write more than 0 % and less than 100 %: nothing is quite sure", "%q is %s", share.key, q)
		}
	}
}

// load reads the sheet that the case names, and notes its problems.
func (c *checker) load(path string) *sheet.Sheet {
	where := c.Sheet.Text
	if !filepath.IsAbs(where) {
		where = filepath.Join(filepath.Dir(path), where)
	}
	s, err := sheet.Load(where)
	problems := form.Problems(nil)
	switch {
	case err == nil:
	case errors.As(err, &problems):
		c.misread = append(c.misread, problems...)
		c.problems = append(c.problems, problems...)
	case errors.Is(err, fs.ErrNotExist):
		c.add(c.Sheet.Place, "name a file, counted from the folder of the case", "the sheet cannot be read: there is no file %q", c.Sheet.Text)
	default:
		if failed := (*fs.PathError)(nil); errors.As(err, &failed) {
			err = failed.Err
		}
		c.add(c.Sheet.Place, "name a file, counted from the folder of the case", "the sheet cannot be read: %q: %v", c.Sheet.Text, err)
	}
	return s
}

// verbs gives the keys that say what was done in an entry, in order; a note
// last.
func (e *Entry) verbs() []string {
	var said []string
	for _, v := range []struct {
		key  string
		here bool
	}{
		{"symptom", e.Symptom != ""}, {"measure", len(e.Measure) > 0}, {"test", len(e.Test) > 0}, {"look", e.Look != ""},
		{"check", e.Check.Text != ""}, {"memory", e.Memory.Text != ""}, {"chill", len(e.Chill) > 0}, {"heat", len(e.Heat) > 0}, {"press", len(e.Press) > 0},
		{"piggyback", len(e.Piggyback) > 0}, {"swap", len(e.Swap) > 0}, {"mend", len(e.Mend) > 0}, {"failed", e.Failed != nil},
		{"soak", e.Soak != nil}, {"cold starts", e.Cycles != nil}, {"safe", e.Safe.Text != ""}, {"accept", e.Accept.Text != ""}, {"decide", e.Decide != ""},
		{"photo", e.Photo != ""}, {"note", e.Note != ""},
	} {
		if v.here {
			said = append(said, v.key)
		}
	}
	return said
}

// Verb is the key that says what was done in the entry.
func (e *Entry) Verb() string {
	if said := e.verbs(); len(said) > 0 {
		return said[0]
	}
	return ""
}

// needReading are the verbs that say nothing without what was read.
var needReading = []string{"measure", "check", "chill", "heat", "press", "piggyback"}

// entry checks an entry by itself.
func (c *checker) entry(i int) {
	e := &c.Log[i]
	said := e.verbs()
	if len(said) > 1 && said[len(said)-1] == "note" { // a remark beside what was done
		said = said[:len(said)-1]
	}
	if len(said) == 0 {
		if c.whole(i) {
			c.add(e.Place, "begin it with symptom, measure, test, look, check, swap, mend, soak, failed or note", "the entry does not say what was done")
		}
		return
	}
	if len(said) > 1 {
		c.add(e.Place, "make it two entries", "the entry says two things: %s and %s", said[0], said[1])
		return
	}
	verb := said[0]
	capacitor := e.Capacity != nil || e.ESR != nil || e.Loss != nil || e.Leakage != nil || len(e.Seen) > 0
	needs := slices.Contains(needReading, verb) || verb == "test" && !capacitor
	if needs && len(e.Reads) == 0 && c.whole(i) {
		c.add(e.Place, `add what it read, as in "reads: good" or "reads: 4.62 V"`, "the entry does not say what %q showed", verb)
	}
	if verb == "memory" && len(e.Says)+len(e.Failures) == 0 && c.whole(i) {
		c.add(e.Place, `add what the self-test said, as in "says: bit 3 at 4000-7FFF", or the failing accesses, as in "failures: 4A37 55 54"`, "the entry does not say what failed in memory %q", e.Memory.Text)
	}
	if len(e.Says)+len(e.Failures) > 0 && verb != "memory" {
		c.add(e.Place, `begin the entry with "memory: main"`, "says and failures belong to a memory")
	}
	if len(e.Says) > 0 && len(e.Failures) > 0 {
		c.add(e.Place, "make it two entries", "the entry gives both a statement and failing accesses")
	}
	if (capacitor || e.Frequency != nil || e.Volts != nil) && verb != "test" {
		c.add(e.Place, `begin the entry with "test: C3", or write the value under reads`, "capacitance, esr, loss, frequency, leakage, volts and seen belong to the test of a capacitor")
	}
	if verb == "accept" && e.Why == "" && c.whole(i) {
		c.add(e.Place, "say under why it was left unanswered", "hazard %q is accepted without a reason", e.Accept.Text)
	}
	c.notNegative(e.Place, amount{"failed", e.Failed}, amount{"soak", e.Soak}, amount{"took", e.Took}, amount{"capacitance", e.Capacity},
		amount{"esr", e.ESR}, amount{"loss", e.Loss}, amount{"frequency", e.Frequency}, amount{"leakage", e.Leakage})
	c.notNegative(e.State.Place, amount{"on for", e.State.Minutes})
	if t := e.State.Temperature; t != nil && !(t.Value >= -80 && t.Value <= 500) {
		c.add(e.Place, "write degrees Celsius, at the unit", `"temperature" is %s`, t)
	}
	if e.Failed != nil && e.Failed.Value == 0 {
		c.add(e.Place, "write the shortest time the clock can tell, such as 1 s, or count cold starts", `"failed" is no time at all`)
	}
	if e.Cycles != nil && *e.Cycles < 0 {
		c.add(e.Place, "it cannot be below zero", `"cold starts" is %d`, *e.Cycles)
	}
}

// whole tells whether an entry was read without mistakes. Of one that was not
// it would be wrong to say that something is missing.
func (c *checker) whole(i int) bool {
	first := c.Log[i].Place.Line
	return first > 0 && !slices.ContainsFunc(c.misread, func(p form.Problem) bool {
		return p.File == c.file && p.Line >= first && (i+1 == len(c.Log) || p.Line < c.Log[i+1].Place.Line)
	})
}

// amount is a quantity under its key.
type amount struct {
	key   string
	value *quantity.Quantity
}

// notNegative checks what cannot be below zero.
func (c *checker) notNegative(at form.Place, amounts ...amount) {
	for _, a := range amounts {
		if a.value != nil && a.value.Value < 0 {
			c.add(at, "it cannot be below zero", "%q is %s", a.key, a.value)
		}
	}
}

// meters checks the list of meters.
func (c *checker) meters() {
	named := map[string]int{}
	for i := range c.Meters {
		m := &c.Meters[i]
		if first, twice := named[m.Name.Text]; twice && m.Name.Text != "" {
			c.add(m.Name.Place, "give each its own name", "meter %q is already %s", m.Name.Text, c.where(meterPart, first))
		}
		named[m.Name.Text] = m.Name.Place.Line
		if m.Resistance != nil && m.Resistance.Value <= 0 {
			c.add(m.Place, "write what the manual says, such as 10 Mohm", "an input resistance of %s", m.Resistance)
		}
		if m.Like == "" {
			continue
		}
		if _, err := metrology.InstrumentByName(m.Like); err != nil {
			var known []string
			for _, usual := range metrology.Instruments() {
				known = append(known, usual.Name)
			}
			c.add(m.Place, c.suggest(m.Like, known), "no usual instrument is called %q", m.Like)
		}
	}
}

// corrections finds the entries that later ones replace.
func (c *checker) corrections() {
	later := map[string]int{} // the line of each name not yet reached
	for i := len(c.Log) - 1; i >= 0; i-- {
		later[c.Log[i].Name.Text] = c.Log[i].Place.Line
	}
	named := map[string]int{}
	var names []string
	for i := range c.Log {
		e := &c.Log[i]
		name := e.Corrects.Text
		earlier, known := named[name]
		switch {
		case name == "":
		case known:
			c.Log[earlier].corrected = true
		case name == e.Name.Text:
			c.add(e.Corrects.Place, "name the one that it replaces", "entry %q corrects itself", name)
		case later[name] > 0:
			c.add(e.Corrects.Place, "an entry corrects one above it", "entry %q comes later, %s", name, c.where(entryPart, later[name]))
		case c.lost("entry: " + name):
		case len(names) == 0:
			c.add(e.Corrects.Place, fmt.Sprintf(`write "entry: %s" into the one that is meant`, name), "no earlier entry is named %q", name)
		default:
			c.add(e.Corrects.Place, c.suggest(name, names), "no earlier entry is named %q", name)
		}
		if e.Name.Text == "" {
			continue
		}
		if first, twice := named[e.Name.Text]; twice {
			c.add(e.Name.Place, "give each its own name", "entry %q is already %s", e.Name.Text, c.where(entryPart, c.Log[first].Place.Line))
			continue
		}
		named[e.Name.Text] = i
		names = append(names, e.Name.Text)
	}
}

// where says where a part of the case stands: on which line, or, where it was put
// together, as which of them.
func (c *checker) where(part string, line int) string {
	if c.assembled {
		return fmt.Sprintf("%s %d", part, line)
	}
	return fmt.Sprintf("on line %d", line)
}

// suggest gives a hint for an unknown name, as long as not too many names were
// looked through.
func (c *checker) suggest(name string, known []string) string {
	if c.compared += len(known); c.compared > mostCompared {
		return ""
	}
	return form.Suggest(name, known)
}
