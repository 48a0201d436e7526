package logbook

import (
	"strings"

	"halfsplit/banks"
	"halfsplit/memory"
	"halfsplit/sheet"
)

// memory checks what was said of a memory: that the sheet has it, and that
// statements, failing accesses and the name of the test can be read.
func (c *checker) memory(e *Entry, s *sheet.Sheet) {
	if e.Memory.Text == "" {
		return
	}
	m, err := banks.Find(s, e.Memory.Text)
	if err != nil {
		var known names
		for i := range s.Memories {
			known.add(s.Memories[i].Name.Text)
		}
		c.known(e.Memory, &known, "memory")
		return
	}
	array, err := banks.Array(m)
	if err != nil {
		c.add(e.Memory.Place, "see the sheet", "%s", err.Error())
		return
	}
	for _, says := range e.Says {
		said, err := memory.ParseStatement(says.Text)
		if err == nil {
			_, err = array.Named(said)
		}
		switch {
		case err != nil:
			c.add(says.Place, "", "%s", err.Error())
		case said.Passes && len(e.Says)+len(e.Failures) > 1:
			c.add(says.Place, "make it two entries, one for each run of the test", "a run of the test passes or says what fails, not both")
		}
	}
	for _, f := range e.Failures {
		_, err := memory.Read(strings.NewReader(f.Text), func(memory.Failure) error { return nil })
		if err != nil {
			c.add(f.Place, "write address, expected and read in hexadecimal, as in 4A37 55 54", "%s", strings.TrimPrefix(err.Error(), "line 1: "))
		}
	}
	if e.March.Text != "" {
		if _, err := memory.FindMarch(e.March.Text); err != nil {
			c.add(e.March.Place, "", "%s", err.Error())
		}
	}
}
