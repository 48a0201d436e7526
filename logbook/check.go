package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"halfsplit/internal/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Load reads a case and the sheet it names, which is looked for beside the
// case, and checks them. Mistakes in either are form.Problems.
func Load(path string) (*Case, *sheet.Sheet, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	c, problems := read(path, text)
	if c.Sheet.Text == "" {
		return nil, nil, problems.Err()
	}
	where := c.Sheet.Text
	if !filepath.IsAbs(where) {
		where = filepath.Join(filepath.Dir(path), where)
	}
	s, err := sheet.Load(where)
	switch err := err.(type) {
	case nil:
		problems = append(problems, c.check(s).In(path)...)
	case form.Problems:
		problems = append(problems, err...)
	default:
		problems = append(problems, form.Problem{File: path, Line: c.Sheet.Place.Line, Column: c.Sheet.Place.Column,
			Message: fmt.Sprintf("the sheet cannot be read: %v", err), Hint: "name a file, counted from the folder of the case"})
	}
	if err := problems.Err(); err != nil {
		return nil, nil, err
	}
	return c, s, nil
}

// Parse reads a case to be reasoned over with the given sheet. The error is
// form.Problems with every mistake; file is the name used in them.
func Parse(file string, text []byte, s *sheet.Sheet) (*Case, error) {
	c, problems := read(file, text)
	if c.Place.Line > 0 {
		problems = append(problems, c.check(s).In(file)...)
	}
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return c, nil
}

// read reads the page and checks what needs no sheet.
func read(file string, text []byte) (*Case, form.Problems) {
	c := &Case{file: file}
	var problems form.Problems
	if err := form.Read(file, text, c); err != nil {
		problems = err.(form.Problems)
	}
	if c.Place.Line == 0 {
		return c, problems
	}
	var own form.Problems
	if c.Version != Version && c.Version != 0 {
		own.Add(c.Place, fmt.Sprintf("the case is of version %d", c.Version), fmt.Sprintf("this program reads version %d", Version))
	}
	c.entries(&own)
	c.corrections(&own)
	return c, append(problems, own.In(file)...)
}

// verbs gives the keys that say what was done in an entry, in order.
func (e *Entry) verbs() []string {
	var said []string
	for _, v := range []struct {
		key  string
		here bool
	}{
		{"symptom", e.Symptom != ""}, {"measure", len(e.Measure) > 0}, {"test", len(e.Test) > 0}, {"look", e.Look != ""},
		{"check", e.Check.Text != ""}, {"chill", len(e.Chill) > 0}, {"heat", len(e.Heat) > 0}, {"press", len(e.Press) > 0},
		{"piggyback", len(e.Piggyback) > 0}, {"swap", len(e.Swap) > 0}, {"mend", len(e.Mend) > 0}, {"failed", e.Failed != nil},
		{"soak", e.Soak != nil}, {"cold starts", e.Cycles != nil}, {"safe", e.Safe.Text != ""}, {"decide", e.Decide != ""},
		{"note", e.Note != ""}, {"photo", e.Photo != ""},
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

// entries checks each entry by itself.
func (c *Case) entries(problems *form.Problems) {
	for i := range c.Log {
		e := &c.Log[i]
		said := e.verbs()
		if len(said) > 1 && said[len(said)-1] == "note" { // a remark beside what was done
			said = said[:len(said)-1]
		}
		switch {
		case len(said) == 0:
			problems.Add(e.Place, "the entry does not say what was done", "begin it with symptom, measure, test, look, check, swap, mend, soak, failed or note")
			continue
		case len(said) > 1:
			problems.Add(e.Place, fmt.Sprintf("the entry says two things: %s and %s", said[0], said[1]), "make it two entries")
			continue
		}
		capacitor := e.Capacity != nil || e.ESR != nil || e.Loss != nil || e.Leakage != nil || len(e.Seen) > 0
		needs := slices.Contains([]string{"measure", "check", "chill", "heat", "press", "piggyback"}, said[0])
		if len(e.Reads) == 0 && (needs || said[0] == "test" && !capacitor) {
			problems.Add(e.Place, fmt.Sprintf("the entry does not say what %q showed", said[0]), `add what it read, as in "reads: good" or "reads: 4.62 V"`)
		}
		if capacitor && said[0] != "test" {
			problems.Add(e.Place, "capacitance, esr, loss and leakage belong to the test of a capacitor", `begin the entry with "test: C3"`)
		}
		for _, run := range []*quantity.Quantity{e.Failed, e.Soak, e.Took, e.State.Minutes} {
			if run != nil && run.Value < 0 {
				problems.Add(e.Place, fmt.Sprintf("a time of %s", run), "a time is not negative")
			}
		}
		if e.Cycles != nil && *e.Cycles < 0 {
			problems.Add(e.Place, fmt.Sprintf("%d cold starts", *e.Cycles), "a count is not negative")
		}
	}
	for _, share := range []*quantity.Quantity{c.Proof.Sure, c.Proof.Right} {
		if share != nil && !(share.Value > 0 && share.Value < 1) {
			problems.Add(c.Place, fmt.Sprintf("proof: %s", share), "more than 0 % and less than 100 %")
		}
	}
}

// corrections finds the entries that later ones replace.
func (c *Case) corrections(problems *form.Problems) {
	named := map[string]int{}
	var names []string
	for i := range c.Log {
		e := &c.Log[i]
		if e.Corrects.Text != "" {
			earlier, ok := named[e.Corrects.Text]
			if !ok {
				problems.Add(e.Corrects.Place, fmt.Sprintf("no earlier entry is named %q", e.Corrects.Text), form.Suggest(e.Corrects.Text, names))
			} else {
				c.Log[earlier].corrected = true
			}
		}
		if e.Name.Text != "" {
			if first, twice := named[e.Name.Text]; twice {
				problems.Add(e.Name.Place, fmt.Sprintf("entry %q is already on line %d", e.Name.Text, c.Log[first].Place.Line), "give each its own name")
			}
			named[e.Name.Text] = i
			names = append(names, e.Name.Text)
		}
	}
}

// check checks every name in the case against the sheet.
func (c *Case) check(s *sheet.Sheet) form.Problems {
	k := namesCheck{signals: s.Signals(), items: s.Items()}
	k.places = slices.Clone(k.signals)
	for i := range s.Points {
		k.places = append(k.places, s.Points[i].Name.Text)
	}
	for _, o := range s.Outside {
		k.items = append(k.items, o.Signal.Text)
	}
	for _, r := range s.Rails {
		k.items = append(k.items, sheet.SourceOf(r.Name.Text))
	}
	for i := range s.Blocks {
		if b := s.Blocks[i].Board; b != "" {
			k.boards = append(k.boards, b)
		}
	}
	for _, h := range s.Hazards {
		k.hazards = append(k.hazards, h.Name.Text)
	}
	for i := range c.Meters {
		k.meters = append(k.meters, c.Meters[i].Name.Text)
	}
	for i := range c.Log {
		k.entry(&c.Log[i], s)
	}
	return k.problems
}

// namesCheck checks names against lists of known ones.
type namesCheck struct {
	problems                                        form.Problems
	signals, places, items, boards, hazards, meters []string
}

func (k *namesCheck) known(name form.Word, among []string, what string) {
	if name.Text != "" && !slices.Contains(among, name.Text) {
		k.problems.Add(name.Place, fmt.Sprintf("the sheet has no %s %q", what, name.Text), form.Suggest(name.Text, among))
	}
}

func (k *namesCheck) entry(e *Entry, s *sheet.Sheet) {
	for _, name := range e.Measure {
		if slices.Contains(k.items, name.Text) && !slices.Contains(k.places, name.Text) {
			k.problems.Add(name.Place, fmt.Sprintf("%q is a part or block, not a place to measure", name.Text), "use test for the part by itself, or name a signal or test point at it")
			continue
		}
		k.known(name, k.places, "test point, signal or rail")
	}
	for _, list := range [][]form.Word{e.Test, e.Chill, e.Heat, e.Press, e.Piggyback, e.Swap, e.Mend, e.State.Lifted} {
		for _, name := range list {
			k.known(name, k.items, "part or block")
		}
	}
	if e.Verb() == "look" {
		k.known(e.At, k.items, "part or block")
	} else {
		k.known(e.At, k.places, "test point, signal or rail")
	}
	for _, name := range e.State.Without {
		k.known(name, slices.Concat(k.boards, k.items), "board or block")
	}
	for _, name := range e.State.Injected {
		k.known(name, k.signals, "signal or rail")
	}
	k.known(e.Safe, k.hazards, "hazard")
	if e.With.Text != "" && !slices.Contains(k.meters, e.With.Text) {
		k.problems.Add(e.With.Place, fmt.Sprintf("there is no meter %q", e.With.Text), `list it under "meters"; `+form.Suggest(e.With.Text, k.meters))
	}
	if e.Check.Text == "" {
		return
	}
	check := s.Check(e.Check.Text)
	if check == nil {
		var names []string
		for i := range s.Checks {
			names = append(names, s.Checks[i].Name.Text)
		}
		k.known(e.Check, names, "check")
		return
	}
	var answers []string
	for _, a := range check.Answers {
		answers = append(answers, a.Text)
	}
	for _, read := range e.Reads {
		k.known(read, answers, "answer of check "+check.Name.Text)
	}
}
