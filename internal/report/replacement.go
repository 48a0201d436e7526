package report

import (
	"fmt"
	"io"
	"math"

	"halfsplit/internal/prose"
	"halfsplit/part/replacement"
)

// Replacing is everything that is said of a replacement, for a program. Values are
// in SI units.
type Replacing struct {
	Original     string              `json:"original"`
	Bears        *replacement.Stress `json:"bears,omitempty"`
	Circuit      string              `json:"circuit,omitempty"`
	Serves       string              `json:"will_serve"`
	Pick         string              `json:"take"`
	Requirements []Required          `json:"requirements"`
	Never        []string            `json:"never,omitempty"`
	Warnings     []string            `json:"warnings,omitempty"`
	Notes        []string            `json:"notes,omitempty"`
	Assumed      []string            `json:"assumed,omitempty"`
	Candidates   []Candidate         `json:"candidates,omitempty"`
	AtHand       []AtHand            `json:"at_hand,omitempty"`
	Looked       int                 `json:"parts_looked_through,omitempty"`
	Refused      []Candidate         `json:"at_hand_refused,omitempty"`
}

// Required is one requirement. A limit that is nil is free.
type Required struct {
	Figure string   `json:"figure"`
	Limits string   `json:"limits"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Why    string   `json:"why"`
	Source string   `json:"source"`
	Wish   bool     `json:"only_if_stated,omitempty"`
}

// Candidate is a part that was held against the need.
type Candidate struct {
	Part    string   `json:"part"`
	Serves  bool     `json:"serves"`
	Refused []string `json:"refused,omitempty"`
	Unknown []string `json:"not_known,omitempty"`
	Notes   []string `json:"notes,omitempty"`
}

// AtHand is one or several parts of the drawer that serve.
type AtHand struct {
	Parts    string   `json:"parts"`
	Together string   `json:"together"`
	Off      float64  `json:"off"`
	Notes    []string `json:"notes,omitempty"`
	Unknown  []string `json:"not_known,omitempty"`
}

// NewReplacing takes in a need.
func NewReplacing(original string, n replacement.Need) *Replacing {
	r := &Replacing{Original: original, Serves: n.String(), Pick: n.Pick.String(), Never: n.Never, Warnings: n.Warnings, Notes: n.Notes, Requirements: []Required{}}
	if n.Stress != (replacement.Stress{}) {
		r.Bears = &n.Stress
	}
	for _, q := range n.Requirements {
		one := Required{Figure: string(q.Figure), Limits: q.String(), Why: q.Why, Source: q.Source, Wish: q.Wish}
		if q.Low != 0 && !math.IsInf(q.Low, 0) {
			one.Low = &q.Low
		}
		if !math.IsInf(q.High, 0) {
			one.High = &q.High
		}
		r.Requirements = append(r.Requirements, one)
	}
	return r
}

// NewCandidate takes in an answer; text is how the candidate was written.
func NewCandidate(a replacement.Answer) Candidate {
	name := a.Part.String()
	if a.Part.Name != "" {
		name = a.Part.Name + ": " + name
	}
	return Candidate{name, a.Serves, a.Refused, a.Unknown, a.Notes}
}

// NewAtHand takes in a combination.
func NewAtHand(c replacement.Combination) AtHand {
	return AtHand{c.String(), c.Together.String(), c.Off, c.Notes, c.Unknown}
}

// ReplacingText prints it for a person.
func ReplacingText(out io.Writer, r *Replacing) error {
	t := &text{prose.New(out)}
	t.Line("%s", r.Original)
	if r.Circuit != "" {
		t.Fold("  ", "  ", "What it bears was found by solving circuit "+r.Circuit+".")
	}
	t.Section("WHAT WILL SERVE")
	t.Fold("  ", "  ", "Take "+r.Pick+".")
	t.Line("")
	for _, q := range r.Requirements {
		wish := ""
		if q.Wish {
			wish = ", where it is stated"
		}
		t.Fold("  · ", "      ", fmt.Sprintf("%s%s: %s (%s)", q.Limits, wish, q.Why, q.Source))
	}
	for _, x := range r.Never {
		t.Fold("  ✗ ", "    ", "Never: "+x)
	}
	for _, x := range r.Warnings {
		t.Fold("  ! ", "    ", x)
	}
	for _, x := range r.Notes {
		t.Fold("    ", "    ", x)
	}
	for _, x := range r.Assumed {
		t.Fold("    ", "    ", "Assumed: "+x)
	}
	if len(r.Candidates) > 0 {
		t.Section("YOUR CANDIDATES")
		for _, c := range r.Candidates {
			word := "serves"
			if !c.Serves {
				word = "NO"
			}
			t.candidate(fmt.Sprintf("  %-7s ", word), c)
		}
	}
	if r.Looked == 0 {
		return t.Err()
	}
	t.Section("FROM THE PARTS AT HAND")
	if len(r.AtHand) == 0 {
		t.Line("  None of them serves, alone, in twos or in threes.")
	}
	for i, c := range r.AtHand {
		what := c.Parts
		if c.Off != 0 {
			what += fmt.Sprintf(" (%+.1f %%)", 100*c.Off)
		}
		t.Fold(fmt.Sprintf("  %d ", i+1), "    ", what)
		for _, n := range c.Notes {
			t.Fold("    ! ", "      ", n)
		}
		for _, n := range c.Unknown {
			t.Fold("    ? ", "      ", n)
		}
	}
	for _, c := range r.Refused {
		t.candidate("  NO ", c)
	}
	return t.Err()
}

// candidate prints a part with what speaks against it.
func (t *text) candidate(lead string, c Candidate) {
	t.Fold(lead, "          ", c.Part)
	for _, why := range c.Refused {
		t.Fold("      ✗ ", "        ", why)
	}
	for _, why := range c.Unknown {
		t.Fold("      ? ", "        ", why)
	}
	for _, why := range c.Notes {
		t.Fold("      ! ", "        ", why)
	}
}
