package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"halfsplit/internal/record"
)

func TestSearch(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	cafe := record.Unit{Code: "X-1", Maker: "Tarn", Model: "40", Standing: record.Kept, Source: "Café Zürich", Note: "says \"ready\""}
	ok(t, s.SaveUnit(ctx, &cafe))
	for _, c := range []struct {
		text string
		want []string
	}{
		{"ostrel", []string{"unit SSA-0017 Ostrel VT-9", "sheet vt9 Ostrel VT-9"}},
		{"OSTR", []string{"unit SSA-0017 Ostrel VT-9", "sheet vt9 Ostrel VT-9"}},
		{"ssa-0017", []string{"unit SSA-0017 Ostrel VT-9"}},
		{"dark harbour", []string{"unit SSA-0017 Ostrel VT-9"}},
		{"goes dark", []string{"job SSA-0017 shuts down when warm"}},
		{"4.62", []string{"entry SSA-0017 shuts down when warm, e1, measure"}},
		{"hadley", []string{"entry SSA-0017 shuts down when warm, e2, swap"}},
		{"nessel", []string{"stock 2200 uF 35 V electrolytic"}},
		{`"35 v"`, []string{"stock 2200 uF 35 V electrolytic", "entry SSA-0017 shuts down when warm, e2, swap"}[:1]},
		{"zurich cafe", []string{"unit X-1 Tarn 40"}},
		{"lid", []string{"photo SSA-0017 supply, lid off"}},
		{"harbour comp", []string{"order Harbour Components"}},
		{"no such thing", nil},
		{`"`, nil}, {"", nil}, {"*", nil}, {"x AND", nil}, {"title : x", nil}, {"(", nil},
	} {
		var got []string
		for _, h := range need(s.Search(ctx, c.text, nil, 0))(t) {
			got = append(got, fmt.Sprintf("%s %s", h.Kind, h.Title))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, not %q", c.text, got, c.want)
		}
	}
	hit := need(s.Search(ctx, "harbour", []record.Kind{record.KindUnit}, 0))(t)[0]
	if hit.ID != b.terminal.ID || hit.Unit != b.terminal.ID || !slices.ContainsFunc(hit.Snippet, func(p record.Snippet) bool { return p.Found && p.Text == "harbour" }) {
		t.Errorf("%+v", hit)
	}
	// A changed text is found by its new words only.
	b.terminal.History = "from a lighthouse"
	ok(t, s.SaveUnit(ctx, &b.terminal))
	if hits := need(s.Search(ctx, "office", nil, 0))(t); len(hits) != 0 {
		t.Errorf("%+v", hits)
	}
	if hits := need(s.Search(ctx, "lighthouse", nil, 0))(t); len(hits) != 1 {
		t.Errorf("%+v", hits)
	}
}

func TestEachKindHasItsShareOfTheHits(t *testing.T) {
	list := [][]record.Hit{make([]record.Hit, 90), make([]record.Hit, 3), nil, make([]record.Hit, 90)}
	if got := shares(list, 50); !slices.Equal(got, []int{24, 3, 0, 23}) && !slices.Equal(got, []int{23, 3, 0, 24}) {
		t.Error(got)
	}
}

func FuzzSearch(f *testing.F) {
	for _, seed := range []string{"ostrel vt", `"warm up`, `a" OR "b`, "NEAR(a b)", "-x ^y col:z *", "\x00", "ä\xff", "4k7 µF ±5"} {
		f.Add(seed)
	}
	s := fresh(f)
	furnish(f, s)
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1000 {
			return
		}
		ctx := context.Background()
		if _, err := s.Search(ctx, text, nil, 5); err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if _, err := s.Entries(ctx, record.EntryFilter{Text: text, Page: record.Page{Limit: 3}}); err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if _, err := s.Units(ctx, record.UnitFilter{Page: record.Page{After: text}}); err != nil && !strings.Contains(err.Error(), "no page of this list") {
			t.Errorf("%q: %v", text, err)
		}
	})
}

func TestChangesAreWatchedAcrossPrograms(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	changes := s.Watch(ctx)
	next := func() record.Change {
		select {
		case c := <-changes:
			return c
		case <-time.After(20 * time.Second):
			t.Fatal("no change was seen")
			return record.Change{}
		}
	}
	e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: x}"}
	// Watching begins when Watch returns.
	ok(t, s.AddEntry(ctx, &e))
	if c := next(); c.Kind != record.KindEntry || c.ID != e.ID || c.Unit != b.terminal.ID || c.Job != b.job.ID {
		t.Errorf("%+v", c)
	}
	if c := next(); c.Kind != record.KindJob || c.ID != b.job.ID {
		t.Errorf("%+v", c)
	}
	other := freshIn(t, s.dir, Options{})
	b.terminal.Place = "bench"
	ok(t, other.SaveUnit(ctx, &b.terminal))
	if c := next(); c.Kind != record.KindUnit || c.ID != b.terminal.ID {
		t.Errorf("%+v", c)
	}
	last := need(s.LastChange(ctx))(t)
	if list := need(s.Changes(ctx, last-2, 0))(t); len(list) != 2 || list[1].Number != last {
		t.Errorf("%+v", list)
	}
	stop()
	for range changes {
	}
}
