package store

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"halfsplit/internal/record"
)

func TestEveryStatementFitsTheFile(t *testing.T) {
	s := fresh(t)
	if len(statements) < 60 {
		t.Fatalf("only %d statements are known", len(statements))
	}
	for _, text := range statements {
		prepared, err := s.writer.session.conn.PrepareContext(context.Background(), text)
		if err != nil {
			t.Errorf("%s\n%v", text, err)
			continue
		}
		prepared.Close()
	}
}

func TestEveryListCanBeAskedFor(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	yes, no := true, false
	asked := 0
	some := func(bit, mask int) bool { return mask>>bit&1 == 1 }
	for mask := range 1 << 7 {
		f := record.UnitFilter{}
		if some(0, mask) {
			f.Text = "ostrel vt"
		}
		if some(1, mask) {
			f.Standing = record.Kept
		}
		if some(2, mask) {
			f.Maker = "Ostrel"
		}
		if some(3, mask) {
			f.Sheet = "vt9"
		}
		if some(4, mask) {
			f.OpenJobs = true
		}
		f.Order = []string{"code", "name", "year", "changed"}[mask>>5]
		got, err := s.Units(ctx, f)
		if err != nil || len(got.Items) == 0 || got.Items[len(got.Items)-1].Maker == "" || got.Total != len(got.Items) {
			t.Fatalf("%+v: %+v %v", f, got, err)
		}
		asked++
	}
	for mask := range 1 << 5 {
		f := record.JobFilter{Open: []*bool{nil, &yes}[mask&1]}
		if some(1, mask) {
			f.Unit = b.terminal.ID
		}
		if some(2, mask) {
			f.Stage = record.Measure
		}
		if some(3, mask) {
			f.Text = "dark"
		}
		if some(4, mask) {
			f.Order = "opened"
		}
		got, err := s.Jobs(ctx, f)
		if err != nil || len(got.Items) != 1 || got.Total != 1 {
			t.Fatalf("%+v: %+v %v", f, got, err)
		}
		if r := got.Items[0]; r.UnitCode != "SSA-0017" || r.UnitName != "Ostrel VT-9" || r.Entries != 2 || r.Seconds != 1020 || r.Cost != 250 || len(r.Instruments) != 1 {
			t.Fatalf("%+v", r)
		}
		asked++
	}
	if got := need(s.Jobs(ctx, record.JobFilter{Open: &no}))(t); got.Total != 0 {
		t.Errorf("%d closed jobs", got.Total)
	}
	for mask := range 1 << 8 {
		f := record.EntryFilter{Order: []string{"number", "newest"}[mask>>7]}
		if some(0, mask) {
			f.Job = b.job.ID
		}
		if some(1, mask) {
			f.Unit = b.terminal.ID
		}
		if some(2, mask) {
			f.Verb = "swap"
		}
		if some(3, mask) {
			f.Who = "Joost"
		}
		if some(4, mask) {
			f.Text = "hadley electr"
		}
		if some(5, mask) {
			f.From = monday
		}
		if some(6, mask) {
			f.To = monday.Add(2 * time.Hour)
		}
		got, err := s.Entries(ctx, f)
		if err != nil || got.Total != len(got.Items) || got.Total < 1 {
			t.Fatalf("%+v: %+v %v", f, got, err)
		}
		asked++
	}
	for mask := range 1 << 3 {
		f := record.StockFilter{Short: some(0, mask)}
		if some(1, mask) {
			f.Bin = b.bin.ID
		}
		if some(2, mask) {
			f.Text = "nessel"
		}
		if got, err := s.Stocks(ctx, f); err != nil || got.Total != 1 || got.Items[0].Count != 2 {
			t.Fatalf("%+v: %+v %v", f, got, err)
		}
		asked++
	}
	if asked != 128+32+256+8 {
		t.Errorf("asked for %d lists", asked)
	}
	for _, text := range []string{"nothing like it", `"`, "-", `" OR "`, "NEAR(", "a*b", "title:vt", "\x00"} {
		if got, err := s.Units(ctx, record.UnitFilter{Text: text}); err != nil || got.Total != 0 {
			t.Errorf("%q: %d, %v", text, got.Total, err)
		}
	}
	var invalid record.Invalid
	if _, err := s.Units(ctx, record.UnitFilter{Order: "weight"}); !errors.As(err, &invalid) {
		t.Errorf("order by weight: %v", err)
	}
	if _, err := s.Units(ctx, record.UnitFilter{Page: record.Page{After: "x'--"}}); err == nil {
		t.Error("a page that is none was listed")
	}
}

func TestPagesShowEverythingOnce(t *testing.T) {
	s := fresh(t)
	ctx := context.Background()
	for i := range 23 {
		u := record.Unit{Code: fmt.Sprintf("T-%02d", i), Maker: "Tarn", Model: "40", Year: 1970 + i%3, Standing: record.Kept}
		ok(t, s.SaveUnit(ctx, &u))
	}
	for _, order := range []string{"code", "name", "year", "changed"} {
		seen := map[record.ID]bool{}
		f := record.UnitFilter{Order: order, Page: record.Page{Limit: 5}}
		pages := 0
		for {
			got := need(s.Units(ctx, f))(t)
			for _, u := range got.Items {
				if seen[u.ID] {
					t.Fatalf("%s: %s twice", order, u.Code)
				}
				seen[u.ID] = true
			}
			pages++
			if f.After = got.Next; f.After == "" {
				break
			}
		}
		if len(seen) != 23 || pages != 5 {
			t.Errorf("%s: %d units on %d pages", order, len(seen), pages)
		}
	}
}
