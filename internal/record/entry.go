package record

import (
	"fmt"
	"time"
)

// Entry is one entry of a logbook, in ink.
//
// What was done stands in Line: one entry of a case file (docs/case.md) in
// short form, {measure: TP3, reads: 4.62 V, with: bench meter}, without its
// name, time, person, minutes and correction, which have fields of their own.
type Entry struct {
	ID  ID `json:"id"`
	Job ID `json:"job"`
	// Number counts the entries of the job from 1; in a case file the entry is
	// named e1, e2, ...
	Number int `json:"number"`
	// Key is made by whoever sends the entry; an entry sent twice with one key is
	// kept once. Empty: the store makes one.
	Key string `json:"key"`

	At   time.Time `json:"at"`   // when it was done
	Kept time.Time `json:"kept"` // when it was written down; never before that of an earlier entry

	Verb string `json:"verb"` // the key that says what was done: measure, swap, note ...
	Line string `json:"line"`
	Who  string `json:"who,omitempty"`
	// Seconds is the time it took; 0 not noted. Cost is money spent, in hundredths
	// of the currency of the settings.
	Seconds float64 `json:"seconds,omitempty"`
	Cost    int64   `json:"cost,omitempty"`

	// Corrects is the entry of the same job that this one replaces; CorrectedBy
	// the one that replaces this one.
	Corrects    ID `json:"corrects,omitempty"`
	CorrectedBy ID `json:"corrected_by,omitempty"`

	// Instrument that was read; 0 none or not in the records.
	Instrument ID `json:"instrument,omitempty"`
	// Swaps tell of each part that was changed; only with the verb swap or mend.
	Swaps []Swap `json:"swaps,omitempty"`
	// Photos and Traces that belong to the entry.
	Photos []ID `json:"photos,omitempty"`
	Traces []ID `json:"traces,omitempty"`
}

// Name is what the entry is called in a case file.
func (e *Entry) Name() string { return fmt.Sprintf("e%d", e.Number) }

// Condition is what a part that was taken out turned out to be.
type Condition string

// The conditions.
const (
	ConditionUnknown Condition = "not measured"
	ConditionGood    Condition = "good" // taken out for nothing, or by precaution
	ConditionWorn    Condition = "worn"
	ConditionSpent   Condition = "spent"
	ConditionFailed  Condition = "failed"
)

// Conditions lists them.
func Conditions() []Condition {
	return []Condition{ConditionUnknown, ConditionGood, ConditionWorn, ConditionSpent, ConditionFailed}
}

// Swap is a part that was changed: what came out, with its marking and measured
// condition, and what went in, with its batch.
type Swap struct {
	Part string `json:"part"`           // designator, or block
	Kind string `json:"kind,omitempty"` // kind of part, as in sheets; from the sheet when it names the part

	OutMarking string    `json:"out_marking,omitempty"`
	OutFamily  string    `json:"out_family,omitempty"` // series or type: "4116", "2N3055"
	OutMaker   string    `json:"out_maker,omitempty"`
	OutBatch   string    `json:"out_batch,omitempty"` // date code
	OutYear    int       `json:"out_year,omitempty"`  // of make, as far as known
	Condition  Condition `json:"condition"`
	Mode       string    `json:"mode,omitempty"`     // how it failed: open, shorted, leaky ...
	Measured   string    `json:"measured,omitempty"` // "325 uF, 3.2 ohm at 120 Hz"

	InMarking string `json:"in_marking,omitempty"`
	InMaker   string `json:"in_maker,omitempty"`
	InBatch   string `json:"in_batch,omitempty"`
	Stock     ID     `json:"stock,omitempty"` // taken from the drawer; the store takes one off its count
}

// Check finds what cannot be right in an entry, as far as can be told without
// its sheet; the error is Invalid.
func (e *Entry) Check() error {
	var wrong Invalid
	if e.Job <= 0 {
		wrong.add("job", "an entry belongs to a job")
	}
	line("key", e.Key, false, &wrong)
	line("who", e.Who, false, &wrong)
	line("verb", e.Verb, true, &wrong)
	prose("line", e.Line, &wrong)
	if e.Line == "" {
		wrong.add("line", "must say what was done")
	}
	if e.At.IsZero() || e.At.Year() < 1900 || e.At.Year() > 2200 {
		wrong.add("at", "must say when it was done")
	}
	if !(e.Seconds >= 0 && e.Seconds < 1e9) {
		wrong.add("seconds", "%g s is no time that work takes", e.Seconds)
	}
	if e.Corrects < 0 || (e.Corrects != 0 && e.Corrects == e.ID) {
		wrong.add("corrects", "must be an earlier entry of this job")
	}
	if len(e.Swaps) > 0 && e.Verb != "swap" && e.Verb != "mend" {
		wrong.add("swaps", "stand only in an entry that swaps or mends, not in one that has %q", e.Verb)
	}
	for i, s := range e.Swaps {
		at := func(name string) string { return fmt.Sprintf("swaps[%d].%s", i, name) }
		line(at("part"), s.Part, true, &wrong)
		among(at("condition"), s.Condition, Conditions(), &wrong)
		for name, text := range map[string]string{"kind": s.Kind, "out_marking": s.OutMarking, "out_family": s.OutFamily, "out_maker": s.OutMaker,
			"out_batch": s.OutBatch, "mode": s.Mode, "measured": s.Measured, "in_marking": s.InMarking, "in_maker": s.InMaker, "in_batch": s.InBatch} {
			line(at(name), text, false, &wrong)
		}
		if s.OutYear != 0 && (s.OutYear < 1880 || s.OutYear > 2200) {
			wrong.add(at("out_year"), "%d is no year of make", s.OutYear)
		}
	}
	return wrong.err()
}
