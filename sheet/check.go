package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// Load reads and checks the sheet in a file. The error is form.Problems when
// the page is at fault, else that of the file system.
func Load(path string) (*Sheet, error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, text)
}

// Parse reads and checks a sheet. The error is form.Problems with every
// mistake; file is the name used in them.
func Parse(file string, text []byte) (*Sheet, error) {
	s := &Sheet{file: file}
	var problems form.Problems
	if errors.As(form.Read(file, text, s), &problems) {
		if at := casePage.FindIndex(text); at != nil {
			problems = nil
			problems.Add(form.Place{Line: 1 + bytes.Count(text[:at[0]], []byte("\n")), Column: 1}, "this is a case, not a service sheet", s.Begins())
			return nil, problems.In(file).Err()
		}
	}
	if s.Place.Line > 0 {
		c := checker{Sheet: s, text: text, misread: problems}
		c.all()
		problems = append(problems, c.problems.In(file)...)
	}
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// casePage matches the first key of a case, which somebody may take for a sheet.
var casePage = regexp.MustCompile(`(?m)^case:[ \t]`)

const (
	mostKept     = 1000      // problems found by the checker, before it stops noting them
	mostCompared = 1_000_000 // names looked through for suggestions
)

// checker checks what one value alone cannot show: names and their uses.
type checker struct {
	*Sheet
	text     []byte
	misread  form.Problems // found while the page was read
	problems form.Problems
	compared int             // names looked through for suggestions
	starts   []int           // lines on which the items of the page begin, sorted
	lines    [][]byte        // of the text, when asked for
	named    map[string]bool // names that the text declares, true if not only as a test point

	declared map[string]declaration // parts, blocks and memory chips
	signals  names
	items    names
	points   names
	parts    names // those in the list of parts
	nodes    names // of all circuits
	users    map[string][]use
	causes   *causes
}

// add notes a problem, unless there are too many.
func (c *checker) add(at form.Place, hint, format string, values ...any) {
	switch {
	case len(c.problems) < mostKept:
		for i, v := range values {
			if text, ok := v.(string); ok {
				values[i] = shortened(text)
			}
		}
		c.problems.Add(at, fmt.Sprintf(format, values...), shortened(hint))
	case len(c.problems) == mostKept:
		c.problems.Add(at, fmt.Sprintf("there are more than %d mistakes; the rest is not listed", mostKept), "correct these first")
	}
}

// shortened cuts a text that is too long for a message.
func shortened(text string) string {
	const most = 300
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + "…"
}

func (c *checker) all() {
	if c.Version != Version && !(c.Version == 0 && len(c.misread) > 0) {
		c.add(c.Place, fmt.Sprintf("this program reads version %d", Version), "the sheet is of version %d", c.Version)
	}
	if year := c.Model.Year; year != 0 && (year < 1900 || year > 2100) {
		c.add(c.Model.Place, "write the year in four digits, such as 1981", "%d is no year of make", year)
	}
	c.notNegative(c.Model.Place, amount{"warm after", c.Model.Warm})
	c.collect()
	c.rails()
	c.outside()
	c.testPoints()
	for i := range c.Parts {
		c.part(&c.Parts[i], nil)
	}
	c.blocks()
	for name, circuit := range c.Circuits.All() {
		if circuit != nil {
			c.circuit(name, circuit)
		}
	}
	c.memories()
	c.checks()
	c.hazards()
	c.photos()
}

// kind looks up a kind of part or block, and tells whether there is one.
func (c *checker) kind(kind form.Word, inCircuit bool) (fault.Kind, bool) {
	if kind.Text == "" { // reported as missing
		return fault.Kind{}, false
	}
	k, ok := fault.Find(kind.Text)
	if ok {
		return k, true
	}
	if !inCircuit && wiring.OnlyInCircuits(kind.Text) {
		c.add(kind.Place, "describe it under circuits", "a %s can stand only in a circuit", kind.Text)
		return k, false
	}
	if len(c.problems) > mostKept {
		return k, false
	}
	var known []string // the kinds before their other names: the first of two that are equally near is suggested
	for _, one := range fault.Kinds() {
		known = append(known, one.Name)
	}
	known = append(known, fault.Names()...)
	if inCircuit {
		known = append(known, wiring.Names()...)
	}
	hint := "common kinds are resistor, electrolytic, transistor, chip, connector, stage and board; docs/sheet.md lists all"
	if near := c.nearest(kind.Text, known); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	c.add(kind.Place, hint, "unknown kind %q", kind.Text)
	return k, false
}

// odds checks a number that says how much likelier than usual a fault is.
func (c *checker) odds(at form.Place, odds *float64) {
	if odds != nil && !(*odds > 0 && *odds <= 1000) {
		c.add(at, "write a number above 0, at most 1000; 1 means as usual", "odds of %v", *odds)
	}
}

// amount is a quantity under its key.
type amount struct {
	key   string
	value *quantity.Quantity
}

// notNegative checks what cannot be below zero: times, ripple, resistance.
func (c *checker) notNegative(at form.Place, amounts ...amount) {
	for _, a := range amounts {
		if a.value != nil && a.value.Value < 0 {
			c.add(at, "it cannot be below zero", "%q is %s", a.key, a.value)
		}
	}
}

// whole tells whether the item that begins at a place was read without
// mistakes. Of one that was not it would be wrong to say that something is
// missing.
func (c *checker) whole(at form.Place) bool {
	return at.Line > 0 && c.read(at.Line, c.after(at.Line))
}

// after gives the line on which the item after the one on a line begins.
func (c *checker) after(line int) int {
	i, _ := slices.BinarySearch(c.starts, line+1)
	if i == len(c.starts) {
		return math.MaxInt
	}
	return c.starts[i]
}

// read tells whether there were no mistakes in the lines from first up to, not
// including, end.
func (c *checker) read(first, end int) bool {
	return !slices.ContainsFunc(c.misread, func(p form.Problem) bool { return p.Line >= first && p.Line < end })
}
