package demo_test

import (
	"context"
	"testing"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/demo"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// TestFill fills records and looks whether everything the demo shows is there
// and whole.
func TestFill(t *testing.T) {
	ctx := context.Background()
	s, err := store.Open(t.TempDir(), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	now := time.Date(2026, 3, 2, 20, 0, 0, 0, time.Local)
	b := bench.New(s, bench.Options{Now: func() time.Time { return now }})
	if err := demo.Fill(ctx, s, b, now); err != nil {
		t.Fatal(err)
	}
	units, err := s.Units(ctx, record.UnitFilter{})
	if err != nil || units.Total < 10 {
		t.Fatalf("%d units, %v", units.Total, err)
	}
	jobs, err := s.Jobs(ctx, record.JobFilter{})
	if err != nil || jobs.Total < 5 {
		t.Fatalf("%d jobs, %v", jobs.Total, err)
	}
	boards, recordings := 0, 0
	for _, j := range jobs.Items {
		work, err := b.Casework(ctx, j.ID)
		if err != nil {
			t.Errorf("%s: %v", j.Title, err)
			continue
		}
		if len(work.Unfit) > 0 {
			t.Errorf("%s: %v", j.Title, work.Unfit)
		}
		traces, err := s.Traces(ctx, j.ID)
		if err != nil {
			t.Errorf("%s: %v", j.Title, err)
		}
		recordings += len(traces)
		photos, err := s.Photos(ctx, 0, j.ID)
		if err != nil {
			t.Errorf("%s: %v", j.Title, err)
		}
		boards += len(photos)
	}
	if boards != 6 || recordings != 5 {
		t.Errorf("%d boards and %d recordings on the jobs, want 6 and 5", boards, recordings)
	}
	places, _, err := bench.Queue(ctx, s, now)
	if err != nil || len(places) != units.Total {
		t.Errorf("%d places in the queue of %d units, %v", len(places), units.Total, err)
	}
	found, err := s.Verify(ctx)
	if err != nil || len(found) > 0 {
		t.Errorf("not whole: %v %v", found, err)
	}
	if err := demo.Fill(ctx, s, b, now); err == nil {
		t.Error("records that hold something already are filled again")
	}
}
