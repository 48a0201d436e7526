package bench_test

import (
	"context"
	"strings"
	"testing"

	"halfsplit/experience"
	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/sheet"
	"halfsplit/upkeep"
)

// TestLearned counts the swaps of a log once, takes a report of another bench in,
// and refuses its own.
func TestLearned(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	j := synthesizer(t, s, b)
	for _, e := range []record.Entry{
		{Line: `{swap: C1}`, Swaps: []record.Swap{{Part: "C1", Condition: record.ConditionSpent, OutBatch: "8314"}}},
		{Line: `{swap: C2}`, Swaps: []record.Swap{{Part: "C2", Condition: record.ConditionGood}}},
	} {
		e.Job = j.ID
		if _, _, err := b.Write(ctx, &e); err != nil {
			t.Fatal(err)
		}
	}
	book, err := bench.Learned(ctx, s, evening)
	if err != nil {
		t.Fatal(err)
	}
	tally := book.Tally()
	if failed, good := tally.Seen("electrolytic", "", ""); failed != 1 || good != 1 {
		t.Errorf("%d failed and %d good of electrolytics, want one each", failed, good)
	}
	records := book.Records()
	if len(records) != 2 || records[0].Years != 43 || records[0].Bench != s.Identity() {
		t.Errorf("the records are %+v", records)
	}

	own, err := bench.Own(ctx, s, evening)
	if err != nil {
		t.Fatal(err)
	}
	text, err := own.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	if err := bench.TakeReport(ctx, s, "own.json", text, evening); !bench.IsBadInput(err) {
		t.Errorf("its own report is taken: %v", err)
	}
	other := strings.ReplaceAll(string(text), s.Identity(), "another bench")
	for range 2 { // sent twice, counted once
		if err := bench.TakeReport(ctx, s, "other.json", []byte(other), evening); err != nil {
			t.Fatal(err)
		}
	}
	if book, err = bench.Learned(ctx, s, evening); err != nil {
		t.Fatal(err)
	}
	if failed, good := book.Tally().Seen("electrolytic", "", ""); failed != 2 || good != 2 {
		t.Errorf("with another bench %d failed and %d good, want two each", failed, good)
	}
	if err := bench.TakeReport(ctx, s, "bad.json", []byte("{"), evening); !bench.IsBadInput(err) {
		t.Errorf("a broken report gives %v", err)
	}

	// The parts of a unit that works again count as survivors.
	j.Outcome, j.Closed = record.Repaired, evening
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	if book, err = bench.Learned(ctx, s, evening); err != nil {
		t.Fatal(err)
	}
	est, err := book.Tally().Estimate(experience.Key{Kind: "electrolytic"})
	if err != nil || est.Count.Years < 80 {
		t.Errorf("survivors: %+v, %v", est.Count, err)
	}
}

// TestReasonFromLearned: what another bench has counted changes the odds in a job
// here at once, though nothing in the job has changed, and the report says so.
func TestReasonFromLearned(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	text := []byte(`sheet: 1
model: {name: two stages}
blocks:
  - {block: amplifier, kind: stage, in: input, out: output, parts: [Q1, Q2]}
parts:
  - {part: Q1, kind: transistor, type: grey cap}
  - {part: Q2, kind: transistor, type: metal can}
outside:
  - {signal: input}
`)
	parsed, err := sheet.Parse("two.sheet.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	u := &record.Unit{Model: "two stages", Standing: record.Kept}
	if err := s.SaveUnit(ctx, u); err != nil {
		t.Fatal(err)
	}
	j := &record.Job{Unit: u.ID, Title: "silent", Stage: record.Intake, Opened: evening}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	if err := b.GiveSheet(ctx, j, "two.sheet.yaml", text, parsed); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{`{safe: mains}`, `{measure: output, reads: absent}`} {
		if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: line}); err != nil {
			t.Fatal(err)
		}
	}
	first := func() (name string, odds []findings.OddsFactor) {
		r, err := b.Reason(ctx, j.ID)
		if err != nil || len(r.Report.Suspects) == 0 {
			t.Fatal(r, err)
		}
		for _, one := range r.Report.Suspects {
			if strings.HasPrefix(one.Name, "Q") {
				return one.Name, one.Odds
			}
		}
		return "", nil
	}
	if name, odds := first(); name == "" || len(odds) != 0 {
		t.Errorf("with nothing counted %q is first, because of %v", name, odds)
	}
	for _, kind := range []string{"grey cap", "metal can"} {
		book := &experience.Book{}
		if err := book.Add(experience.Record{Bench: "bench of the " + kind, ID: "1", Revision: 1,
			Key: experience.Key{Kind: "transistor", Family: kind}, Count: experience.Count{Failed: 300, Good: 20}}); err != nil {
			t.Fatal(err)
		}
		report, err := book.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		if err := bench.TakeReport(ctx, s, "other.json", report, evening); err != nil {
			t.Fatal(err)
		}
		want := map[string]string{"grey cap": "Q1"}[kind]
		if name, odds := first(); len(odds) == 0 || want != "" && name != want {
			t.Errorf("with 300 of 320 %s failed %q is first, because of %v", kind, name, odds)
		}
	}
}

// TestQueue puts a unit with a leaking battery before one that only stood, and
// lets it fall when the battery was replaced.
func TestQueue(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	j := synthesizer(t, s, b)
	quiet := &record.Unit{Maker: "Tarn", Model: "40", Year: 1977, Standing: record.Kept, LastOn: "2026-01"}
	if err := s.SaveUnit(ctx, quiet); err != nil {
		t.Fatal(err)
	}
	gone := &record.Unit{Model: "scrapped", Standing: record.Gone}
	if err := s.SaveUnit(ctx, gone); err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: `{look: green crust, at: B1, reads: leaked}`}); err != nil {
		t.Fatal(err)
	}
	places, terms, err := bench.Queue(ctx, s, evening)
	if err != nil {
		t.Fatal(err)
	}
	if len(places) != 2 {
		t.Fatalf("%d units in the queue, want the two that are kept", len(places))
	}
	if places[0].Unit.ID != "U-0001" || places[0].Danger != upkeep.Acute {
		t.Errorf("first in the queue: %s, %s", places[0].Unit.ID, places[0].Score)
	}
	whole, err := upkeep.Assess(places[0].Unit, terms)
	if err != nil || whole.Next().Do == "" {
		t.Errorf("no next action: %v", err)
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: `{swap: B1, new: lithium holder}`}); err != nil {
		t.Fatal(err)
	}
	if places, _, err = bench.Queue(ctx, s, evening); err != nil {
		t.Fatal(err)
	}
	for _, p := range places {
		if p.Danger == upkeep.Acute {
			t.Errorf("%s is still called acute after the swap", p.Unit.ID)
		}
	}
}
