package look

import (
	"fmt"

	"halfsplit/quantity"
)

// Suspect is a row of the ranked list.
type Suspect struct {
	Name   string  // what it is, such as "C3"
	What   string  // what would be wrong with it
	Chance float64 // 0 to 1
	Path   string  // to its details; left out when empty
}

// chance writes how likely it is.
func (s Suspect) chance() string { return quantity.FormatChance(s.Chance) }

// share is the width of its bar.
func (s Suspect) share() string { return fmt.Sprintf("%.1f%%", 100*min(1, max(0, s.Chance))) }

// Step is a station of the flow of a job.
type Step struct {
	Name string
	Path string // to its part of the screen; left out when empty
	Done bool
	Here bool
}

// state says in a word how far a step is.
func (s Step) state() string {
	switch {
	case s.Here:
		return "now"
	case s.Done:
		return "done"
	}
	return "to come"
}
