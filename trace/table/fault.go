package table

import (
	"fmt"
	"strings"
)

// FaultKind says what is wrong with a row or a field.
type FaultKind string

// The faults.
const (
	NoNumber   FaultKind = "no number"       // the field is kept as missing
	WrongCount FaultKind = "count of fields" // the row is left out
	NoTime     FaultKind = "no time"         // the row is left out
	RunsBack   FaultKind = "time runs back"  // the row is left out
)

// LeavesOut tells whether the whole row is left out, and not only a field.
func (k FaultKind) LeavesOut() bool { return k != NoNumber }

// A Fault is one thing in the file that could not be used.
type Fault struct {
	Kind  FaultKind `json:"kind"`
	Line  int       `json:"line"`            // counted from 1
	Field string    `json:"field,omitempty"` // the name of the field
	Text  string    `json:"text"`            // what stands there
	Want  string    `json:"want"`            // what would be right
}

// String writes the fault as one line.
func (f Fault) String() string {
	at := fmt.Sprintf("line %d", f.Line)
	if f.Field != "" {
		at += fmt.Sprintf(", %s", f.Field)
	}
	return fmt.Sprintf("%s: %s: %q; %s", at, f.Kind, f.Text, f.Want)
}

// mostFaults is how many faults are kept with their places; all are counted.
const mostFaults = 100

// A Gap is a stretch without readings, longer than the ordinary interval.
type Gap struct {
	From   float64 `json:"from_seconds"`
	Length float64 `json:"seconds"`
}

// A Summary tells what became of the lines of a file.
type Summary struct {
	Lines     int               `json:"lines"`     // all, the heading included
	Rows      int               `json:"rows"`      // kept
	Comments  int               `json:"comments"`  // lines after the heading that are blank or comments
	Refused   int               `json:"refused"`   // rows left out
	Missing   int               `json:"missing"`   // fields that are blank or say that there is no reading
	Overloads int               `json:"overloads"` // fields that say that the reading was too large
	Repeated  int               `json:"repeated"`  // rows with the time of the row before
	Midnights int               `json:"midnights"` // times that the clock began again
	Counts    map[FaultKind]int `json:"faults,omitempty"`
	Faults    []Fault           `json:"first_faults,omitempty"` // the first hundred
	First     float64           `json:"first_seconds"`
	Last      float64           `json:"last_seconds"`
	Typical   float64           `json:"typical_interval_seconds"` // median of the first intervals; 0 where there is none
	Gaps      int               `json:"gaps"`                     // intervals of more than gapFactor times that
	Longest   []Gap             `json:"longest_gaps,omitempty"`   // the longest ten, in order of time
}

// gapFactor is how many times the ordinary interval counts as a gap. Common
// practice, no source.
const gapFactor = 5

// refuse takes in a row that is left out; the fault is worked out only where it
// is still to be kept.
func (s *Summary) refuse(kind FaultKind, fault func() Fault) {
	s.Counts[kind]++
	s.Refused++
	if s.Counts[kind] <= mostFaults {
		s.Faults = append(s.Faults, fault())
	}
}

// clip shortens what is shown of a line.
func clip(text string) string {
	const most = 60
	text = strings.TrimSpace(text)
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
