package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"halfsplit/internal/prose"
	"halfsplit/part/marking"
)

// Marking is what one piece of a marking may mean, for a program.
type Marking struct {
	Text     string    `json:"text"`
	Readings []Meaning `json:"readings"`
	Refused  []string  `json:"refused,omitempty"`
}

// Meaning is one reading of a marking. Values are in SI units.
type Meaning struct {
	Says         string   `json:"says"`
	Kind         string   `json:"kind"`
	Code         string   `json:"code"`
	Plausibility string   `json:"plausibility"`
	Weight       float64  `json:"weight"`
	Value        *float64 `json:"value,omitempty"`
	Unit         string   `json:"unit,omitempty"`
	Tolerance    string   `json:"tolerance,omitempty"`
	Ratings      []string `json:"ratings,omitempty"`
	Year         int      `json:"year,omitempty"`
	First        string   `json:"first_day,omitempty"`
	Last         string   `json:"last_day,omitempty"`
	Maker        string   `json:"maker,omitempty"`
	Against      string   `json:"beside_the_unit,omitempty"`
	Notes        []string `json:"notes,omitempty"`
	Published    string   `json:"published_in"`
}

// Markings turns readings into what is printed. UnitYear is the year of the unit,
// zero when not known.
func Markings(pieces []marking.Piece, unitYear int) []Marking {
	var list []Marking
	for _, p := range pieces {
		m := Marking{Text: p.Text, Readings: []Meaning{}, Refused: p.Refused}
		for _, r := range p.Readings {
			one := Meaning{Says: r.String(), Kind: string(r.Kind), Code: string(r.Scheme), Plausibility: r.Plausibility(), Weight: r.Weight, Notes: r.Notes, Published: r.Published}
			if r.Value != nil {
				one.Value, one.Unit = &r.Value.Value, string(r.Value.Unit)
			}
			if r.Tolerance != nil {
				one.Tolerance = r.Tolerance.String()
			}
			for _, q := range r.Ratings {
				one.Ratings = append(one.Ratings, q.String())
			}
			if d := r.Date; d != nil {
				const day = "2006-01-02"
				one.Code, one.Says, one.Year, one.First, one.Last = string(d.Form), d.String(), d.Year, d.First.Format(day), d.Last.Format(day)
				one.Maker, one.Against = d.Maker, d.Against(unitYear)
			}
			m.Readings = append(m.Readings, one)
		}
		list = append(list, m)
	}
	return list
}

// MarkingText prints markings for a person.
func MarkingText(out io.Writer, list []Marking) error {
	t := &text{prose.New(out)}
	for i, m := range list {
		if i > 0 {
			t.Line("")
		}
		t.Line("%s", m.Text)
		if len(m.Readings) == 0 {
			t.Line("  no value and no date is read from it; it may be a type number, or the maker")
		}
		var dates []string // the forms of dates that are shown already
		for j, r := range m.Readings {
			if r.Year == 0 {
				t.meaning(r, nil)
				continue
			}
			if slices.Contains(dates, r.Code) {
				continue
			}
			dates = append(dates, r.Code)
			var others []string
			for _, other := range m.Readings[j+1:] {
				if other.Code == r.Code {
					others = append(others, fmt.Sprint(other.Year))
				}
			}
			t.meaning(r, others)
		}
		for _, why := range m.Refused {
			t.Fold("  not       ", "            ", why)
		}
	}
	return t.Err()
}

// meaning prints one reading; others are further years of the same form.
func (t *text) meaning(r Meaning, others []string) {
	says := r.Says
	if r.Maker != "" {
		says += ", maker " + r.Maker
	}
	if len(others) > 0 {
		says += "; by the same form also " + strings.Join(others, ", ")
	}
	const margin = "            "
	t.Fold(fmt.Sprintf("  %-10s", r.Plausibility), margin, says)
	what := r.Kind + ": " + r.Code
	if r.Kind == "date" {
		what = "date, as " + r.Code
	}
	t.Fold(margin, margin, what+" ("+r.Published+")")
	if r.Against != "" {
		t.Fold(margin, margin, "→ "+r.Against)
	}
	for _, n := range r.Notes {
		t.Fold(margin+"! ", margin+"  ", n)
	}
}
