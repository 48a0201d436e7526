package logbook

import (
	"fmt"

	"halfsplit/hazard"
	"halfsplit/sheet"
)

// Hazards lists the hazards of the unit: those of its sheet, and those that
// follow from its parts.
func (c *Case) Hazards(s *sheet.Sheet) []hazard.Item {
	mains := 0.0
	if c.Unit.Mains != nil {
		mains = c.Unit.Mains.Value
	}
	return hazard.Find(s.Safety(mains))
}

// Powers reports whether an entry says that the unit was on when it was made. A
// symptom does not: it is what the owner saw.
func (e *Entry) Powers() bool {
	switch e.Verb() {
	case "measure", "check", "memory", "chill", "heat", "press", "piggyback":
		return e.State.Power != PowerOff
	case "failed", "soak", "cold starts":
		return true
	}
	return false
}

// gates refuses a log in which the unit is marked as powered before the hazards
// that kill were answered: mains in any form, and picture tubes. What truly
// happened can be written all the same, by accepting the hazard.
// Of a log with other mistakes it is not said, since a safe may be among what
// could not be read.
func (c *checker) gates(s *sheet.Sheet) {
	if len(c.problems) > 0 {
		return
	}
	var open []hazard.Item
	for _, h := range c.Hazards(s) {
		if h.Kind.Kills() {
			open = append(open, h)
		}
	}
	for i := range c.Log {
		e := &c.Log[i]
		answer := e.Safe.Text
		if answer == "" {
			answer = e.Accept.Text
		}
		switch {
		case e.corrected:
		case answer != "":
			for j := range open {
				if open[j].Name == answer {
					open = append(open[:j:j], open[j+1:]...)
					break
				}
			}
		case e.Powers() && len(open) > 0:
			for _, h := range open {
				c.add(e.Place, fmt.Sprintf("answer it above, with \"safe: %s\"; if it was powered all the same, write \"accept: %s\" and the reason under why", h.Name, h.Name),
					"the unit is marked as powered here, but the hazard %q (%s) is not answered by then", h.Name, h.Kind)
			}
			return
		}
	}
}
