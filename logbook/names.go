package logbook

import (
	"fmt"

	"halfsplit/form"
	"halfsplit/sheet"
)

// names is a set of names that keeps their order, to look up and to suggest.
type names struct {
	list []string
	set  map[string]bool
}

func (n *names) add(all ...string) {
	if n.set == nil {
		n.set = make(map[string]bool, len(all))
	}
	for _, name := range all {
		if name != "" && !n.set[name] {
			n.set[name] = true
			n.list = append(n.list, name)
		}
	}
}

// vocabulary is every name that a case may use.
type vocabulary struct {
	signals, places, items, boards, hazards, checks, meters names
}

// vocabulary gathers the names of the sheet and of the case's meters.
func (c *checker) vocabulary(s *sheet.Sheet) *vocabulary {
	var v vocabulary
	v.signals.add(s.Signals()...)
	for i := range s.Points {
		v.places.add(s.Points[i].Name.Text)
	}
	v.places.add(v.signals.list...)
	v.items.add(s.Items()...)
	for _, o := range s.Outside {
		v.items.add(o.Signal.Text)
	}
	for i := range s.Rails {
		v.items.add(sheet.SourceOf(s.Rails[i].Name.Text))
	}
	for i := range s.Blocks {
		v.boards.add(s.Blocks[i].Board)
	}
	v.boards.add(v.items.list...)
	for _, h := range c.Hazards(s) {
		v.hazards.add(h.Name)
	}
	for i := range s.Checks {
		v.checks.add(s.Checks[i].Name.Text)
	}
	for i := range c.Meters {
		v.meters.add(c.Meters[i].Name.Text)
	}
	return &v
}

// compare checks every name in the log against the sheet.
func (c *checker) compare(s *sheet.Sheet) {
	if len(c.Log) == 0 {
		return
	}
	v := c.vocabulary(s)
	for i := range c.Log {
		e := &c.Log[i]
		for _, name := range e.Measure {
			c.place(name, v, "use test for the part by itself, or name a signal or test point at it")
		}
		for _, list := range [][]form.Word{e.Test, e.Chill, e.Heat, e.Press, e.Piggyback, e.Swap, e.Mend, e.State.Lifted} {
			for _, name := range list {
				c.item(name, v)
			}
		}
		if e.Verb() == "look" {
			c.item(e.At, v)
		} else {
			c.place(e.At, v, "name a signal or test point at it")
		}
		for _, name := range e.State.Without {
			c.known(name, &v.boards, "board or block")
		}
		for _, name := range e.State.Injected {
			c.known(name, &v.signals, "signal or rail")
		}
		c.known(e.Safe, &v.hazards, "hazard")
		c.known(e.Accept, &v.hazards, "hazard")
		c.meter(e.With, v)
		c.answers(e, v, s)
		c.memory(e, s)
	}
	c.gates(s)
}

// known reports a name that is none of those in the sheet.
func (c *checker) known(name form.Word, among *names, what string) {
	if name.Text != "" && !among.set[name.Text] {
		c.add(name.Place, c.suggest(name.Text, among.list), "the sheet has no %s %q", what, name.Text)
	}
}

// place checks where something was read; hint is for the name of a part.
func (c *checker) place(name form.Word, v *vocabulary, hint string) {
	if v.items.set[name.Text] && !v.places.set[name.Text] {
		c.add(name.Place, hint, "%q is a part or block, not a place to measure", name.Text)
		return
	}
	c.known(name, &v.places, "test point, signal or rail")
}

// item checks what something was done to.
func (c *checker) item(name form.Word, v *vocabulary) {
	if v.places.set[name.Text] && !v.items.set[name.Text] {
		c.add(name.Place, "name the part or block that makes or carries it", "%q is a test point, signal or rail, not a part or block", name.Text)
		return
	}
	c.known(name, &v.items, "part or block")
}

// meter checks a meter's name against the list of meters.
func (c *checker) meter(name form.Word, v *vocabulary) {
	switch {
	case name.Text == "" || v.meters.set[name.Text]:
	case c.lost("meter: " + name.Text):
	case form.Nearest(name.Text, v.meters.list) != "":
		c.add(name.Place, c.suggest(name.Text, v.meters.list), "there is no meter %q", name.Text)
	default:
		c.add(name.Place, fmt.Sprintf(`list it under meters, as in "meter: %s"`, name.Text), "there is no meter %q", name.Text)
	}
}

// answers checks the check of an entry and what it came out as.
func (c *checker) answers(e *Entry, v *vocabulary, s *sheet.Sheet) {
	if e.Check.Text == "" {
		return
	}
	check := s.Check(e.Check.Text)
	if check == nil {
		c.known(e.Check, &v.checks, "check")
		return
	}
	var answers names
	for _, a := range check.Answers {
		answers.add(a.Text)
	}
	for _, read := range e.Reads {
		if read.Text != "" && !answers.set[read.Text] {
			c.add(read.Place, c.suggest(read.Text, answers.list), "%q is no answer of check %q", read.Text, check.Name.Text)
		}
	}
}
