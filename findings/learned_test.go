package findings_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfsplit/experience"
	"halfsplit/findings"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// TestLearnedOdds: of two transistors in one stage either may be bad. Where a bench
// has seen many of the type of one fail, that one goes first, and the report says
// why; with nothing learned nothing changes.
func TestLearnedOdds(t *testing.T) {
	s, err := sheet.Parse("sheet.yaml", []byte(`sheet: 1
model: {name: two stages}
blocks:
  - {block: amplifier, kind: stage, in: input, out: output, parts: [Q1, Q2]}
parts:
  - {part: Q1, kind: transistor, type: grey cap}
  - {part: Q2, kind: transistor, type: metal can}
outside:
  - {signal: input}
`))
	if err != nil {
		t.Fatal(err)
	}
	c, err := logbook.Parse("case.yaml", []byte("case: 1\nsheet: sheet.yaml\nlog:\n  - {measure: output, reads: absent}\n"), s)
	if err != nil {
		t.Fatal(err)
	}
	with := func(book *experience.Book) *findings.Report {
		options := findings.Options{}
		if book != nil {
			options.Experience = book.Tally()
		}
		r, err := findings.Reason(context.Background(), c, s, options)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	usual := with(nil)
	if a, b := suspicion(usual, "Q1"), suspicion(usual, "Q2"); a == 0 || math.Abs(a-b) > 0.05*b {
		t.Errorf("with nothing learned Q1 %v and Q2 %v, want much the same", a, b)
	}
	empty := with(&experience.Book{})
	if a, b := suspicion(usual, "Q1"), suspicion(empty, "Q1"); math.Abs(a-b) > 1e-9 {
		t.Errorf("an empty book moves Q1 from %v to %v", a, b)
	}
	book := &experience.Book{}
	key := experience.Key{Kind: "transistor", Family: "grey cap"}
	if err := book.Add(experience.Record{Bench: "b", ID: "1", Revision: 1, Key: key, Count: experience.Count{Failed: 30, Good: 20}}); err != nil {
		t.Fatal(err)
	}
	learned := with(book)
	if a, b := suspicion(learned, "Q1"), suspicion(learned, "Q2"); a < 1.2*b {
		t.Errorf("with 30 of 50 grey caps seen failed Q1 %v and Q2 %v", a, b)
	}
	// The odds of the two are as the factors that the tally gives.
	tally := book.Tally()
	want := tally.Factor(key) / tally.Factor(experience.Key{Kind: "transistor", Family: "metal can"})
	if got := suspicion(learned, "Q1") / suspicion(learned, "Q2"); math.Abs(got-want) > 0.15*want {
		t.Errorf("Q1 is %v times as suspect as Q2, the tally says %v", got, want)
	}
	var said []findings.OddsFactor
	for _, one := range learned.Suspects {
		if one.Name == "Q1" {
			said = one.Odds
		}
	}
	if len(said) != 1 || !strings.HasPrefix(said[0].Text, "30 failed of 50 seen") || math.Abs(said[0].Factor-tally.Factor(key)) > 1e-9 {
		t.Errorf("the reasons for the odds of Q1 are %+v", said)
	}
}
