package bench_test

import (
	"context"
	"strings"
	"testing"

	"halfsplit/experience"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
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
