package store

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"halfsplit/internal/record"
)

// clock is a clock that stands until it is moved.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

var monday = time.Date(2026, 3, 2, 9, 30, 0, 123456789, time.UTC)

// fresh opens new records.
func fresh(t testing.TB) *Store {
	t.Helper()
	return freshIn(t, filepath.Join(t.TempDir(), "records"), Options{})
}

func freshIn(t testing.TB, dir string, options Options) *Store {
	t.Helper()
	s, err := Open(dir, options)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// need is the value of a call that must not fail.
func need[T any](value T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func ok(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// bench is a small workshop: the Saltmarsh Sound Archive on a Monday.
type bench struct {
	terminal, synthesizer record.Unit
	job                   record.Job
	meter                 record.Instrument
	sheet                 record.Sheet
	bin                   record.Bin
	stock                 record.Stock
	photo                 record.Photo
	trace                 record.Trace
	entries               []record.Entry
}

func furnish(t testing.TB, s *Store) *bench {
	t.Helper()
	ctx := context.Background()
	b := &bench{}
	c := record.DefaultSettings()
	c.Workshop, c.Prefix, c.People = "Saltmarsh Sound Archive", "SSA-", []string{"Ines", "Joost", "Maren"}
	ok(t, s.SaveSettings(ctx, &c))
	warm := 23.5
	b.terminal = record.Unit{Code: "SSA-0017", Maker: "Ostrel", Model: "VT-9", Year: 1981, Standing: record.Kept, Temperature: &warm, LastOn: "2019-05", Sheet: "vt9",
		Fitted: []record.Fitted{{Name: "video board", What: "board", Original: record.Original, DateCode: "8123"}}, History: "from a harbour office; <dark> & warm"}
	ok(t, s.SaveUnit(ctx, &b.terminal))
	b.synthesizer = record.Unit{Maker: "Corvane", Model: "P6", Year: 1983, Standing: record.Kept}
	ok(t, s.SaveUnit(ctx, &b.synthesizer))
	b.sheet = record.Sheet{Name: "vt9", Title: "Ostrel VT-9", Text: "sheet: 1\nmodel: Ostrel VT-9\n"}
	ok(t, s.SaveSheet(ctx, &b.sheet))
	b.meter = record.Instrument{Name: "bench meter", Line: "{like: bench multimeter}", Calibrated: "2025-11"}
	ok(t, s.SaveInstrument(ctx, &b.meter))
	b.job = record.Job{Unit: b.terminal.ID, Title: "shuts down when warm", Complaint: "goes dark after ten minutes", Stage: record.Measure, Sheet: b.sheet.ID, Instruments: []record.ID{b.meter.ID}}
	ok(t, s.SaveJob(ctx, &b.job))
	b.bin = record.Bin{Code: "box 7", Place: "left shelf"}
	ok(t, s.SaveBin(ctx, &b.bin))
	b.stock = record.Stock{Bin: b.bin.ID, Part: "2200 uF 35 V electrolytic", Count: 3, Least: 4, Maker: "Nessel", Batch: "2513"}
	ok(t, s.SaveStock(ctx, &b.stock))
	file := need(s.PutFile(ctx, strings.NewReader("a picture of the supply"), "image/jpeg", 1000))(t)
	b.photo = record.Photo{Unit: b.terminal.ID, Job: b.job.ID, File: file.Hash, Width: 1600, Height: 1200, Caption: "supply, lid off", Taken: monday, Cover: true,
		Spots: []record.Spot{{Name: "C12", X: 0.25, Y: 0.5}}}
	ok(t, s.SavePhoto(ctx, &b.photo))
	recording := need(s.PutFile(ctx, strings.NewReader("time,TP3\n0,5.02\n"), "text/csv", 1000))(t)
	b.trace = record.Trace{Job: b.job.ID, Name: "warm-up of +5 V", File: recording.Hash, Channels: []string{"TP3"}, Rows: 1, Taken: monday}
	ok(t, s.SaveTrace(ctx, &b.trace))
	b.entries = []record.Entry{
		{Job: b.job.ID, At: monday, Verb: "measure", Line: "{measure: TP3, reads: 4.62 V, with: bench meter}", Who: "Ines", Seconds: 120, Instrument: b.meter.ID},
		{Job: b.job.ID, At: monday.Add(time.Hour), Verb: "swap", Line: "{swap: C12}", Who: "Joost", Seconds: 900, Cost: 250, Photos: []record.ID{b.photo.ID}, Traces: []record.ID{b.trace.ID},
			Swaps: []record.Swap{{Part: "C12", Kind: "electrolytic", OutMarking: "2200uF 35V", OutFamily: "blue can", OutMaker: "Hadley", OutBatch: "8119", OutYear: 1981, Condition: record.ConditionSpent, Measured: "325 uF, 3.2 ohm at 120 Hz", Stock: b.stock.ID}}},
	}
	for i := range b.entries {
		ok(t, s.AddEntry(ctx, &b.entries[i]))
	}
	k := record.Soak{Job: b.job.ID, Started: monday, Ended: monday.Add(2 * time.Hour), Entry: b.entries[1].ID}
	ok(t, s.SaveSoak(ctx, &k))
	o := record.Order{Supplier: "Harbour Components", Placed: "2026-03-02", Lines: []record.OrderLine{{Part: "2N3055", Count: 2, Price: 180, Job: b.job.ID}}}
	ok(t, s.SaveOrder(ctx, &o))
	n := record.Need{Job: b.job.ID, Part: "2N3055", For: "Q1", Count: 1, Progress: record.OnOrder, Order: o.ID}
	ok(t, s.SaveNeed(ctx, &n))
	d := record.Device{Name: "phone of Ines", Token: record.Hash(strings.Repeat("ab", 32))}
	ok(t, s.SaveDevice(ctx, &d))
	r := record.Report{Bench: strings.Repeat("0", 32), Text: "counts: {}\n"}
	ok(t, s.SaveReport(ctx, &r))
	return b
}

func TestWhatWasSavedIsRead(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	// Furnishing changed the job (its last entry), and the stock (a swap).
	job := need(s.Job(ctx, b.job.ID))(t)
	if !job.Changed.After(b.job.Changed.Add(-time.Nanosecond)) || job.Revision != b.job.Revision {
		t.Errorf("job %+v", job)
	}
	b.job.Changed = job.Changed
	stock := need(s.Stock(ctx, b.stock.ID))(t)
	b.stock.Count, b.stock.Revision = 2, 2
	for _, c := range []struct {
		name      string
		got, want any
	}{
		{"unit", need(s.Unit(ctx, b.terminal.ID))(t), b.terminal},
		{"unit by code", need(s.UnitByCode(ctx, "ssa-0017"))(t), b.terminal},
		{"job", job, b.job},
		{"sheet", need(s.SheetNamed(ctx, "vt9"))(t), b.sheet},
		{"instrument", need(s.Instrument(ctx, b.meter.ID))(t), b.meter},
		{"bin", need(s.Bin(ctx, b.bin.ID))(t), b.bin},
		{"stock", stock, b.stock},
		{"photo", need(s.Photo(ctx, b.photo.ID))(t), b.photo},
		{"trace", need(s.Trace(ctx, b.trace.ID))(t), b.trace},
		{"log", need(s.Log(ctx, b.job.ID))(t), b.entries},
		{"entry", need(s.Entry(ctx, b.entries[1].ID))(t), b.entries[1]},
	} {
		if d := cmp.Diff(c.want, c.got); d != "" {
			t.Errorf("%s (saved -, read +):\n%s", c.name, d)
		}
	}
	if b.synthesizer.Code != "SSA-0018" {
		t.Errorf("the next free code is %q", b.synthesizer.Code)
	}
	if got := need(s.Units(ctx, record.UnitFilter{}))(t); got.Items[0].Cover != b.photo.File || got.Items[0].OpenJobs != 1 {
		t.Errorf("row %+v", got.Items[0])
	}
	var swaps []record.SwapRow
	for r, err := range s.Swaps(ctx) {
		ok(t, err)
		swaps = append(swaps, r)
	}
	want := []record.SwapRow{{Swap: b.entries[1].Swaps[0], Entry: b.entries[1].ID, Job: b.job.ID, Unit: b.terminal.ID, Year: 1981, At: b.entries[1].At}}
	if d := cmp.Diff(want, swaps); d != "" {
		t.Error(d)
	}
	for name, err := range map[string]error{
		"unit":  second(s.Unit(ctx, 99)),
		"code":  second(s.UnitByCode(ctx, "SSA-9999")),
		"job":   second(s.Job(ctx, 99)),
		"entry": second(s.Entry(ctx, 99)),
		"sheet": second(s.SheetNamed(ctx, "none")),
	} {
		if !errors.Is(err, record.ErrNotFound) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestTwoScreensCannotOverwriteEachOther(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	mine, yours := b.terminal, b.terminal
	mine.Place = "bench"
	ok(t, s.SaveUnit(ctx, &mine))
	yours.Place = "shelf"
	before := yours
	err := s.SaveUnit(ctx, &yours)
	var stale *record.Stale
	if !errors.As(err, &stale) || stale.Seen != 1 || stale.Now != 2 {
		t.Fatalf("saved over: %v", err)
	}
	if d := cmp.Diff(before, yours); d != "" {
		t.Error("changed although it was not saved:", d)
	}
	if got := need(s.Unit(ctx, mine.ID))(t); got.Place != "bench" || got.Revision != 2 {
		t.Errorf("%+v", got)
	}
	c := record.DefaultSettings()
	if err := s.SaveSettings(ctx, &c); !errors.As(err, &stale) {
		t.Errorf("settings saved over: %v", err)
	}
}

func TestInk(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	for _, text := range []string{
		"UPDATE entries SET line = 'x'", "DELETE FROM entries", "INSERT OR REPLACE INTO entries SELECT * FROM entries",
		"UPDATE swaps SET part = 'x'", "DELETE FROM swaps", "UPDATE attachments SET photo = 1", "DELETE FROM attachments",
		"UPDATE sheets SET text = 'x'", "DELETE FROM sheets",
	} {
		if _, err := s.writer.session.conn.ExecContext(context.Background(), text); err == nil {
			t.Errorf("%s was done", text)
		}
	}
	if got := need(s.Log(context.Background(), b.job.ID))(t); len(got) != 2 {
		t.Errorf("%d entries are left", len(got))
	}
}

func TestEntriesAreCorrectedByEntries(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	better := b.entries[1]
	better.ID, better.Key, better.Corrects = 0, "", b.entries[1].ID
	better.Swaps = append([]record.Swap(nil), better.Swaps...)
	better.Swaps[0].Measured = "330 uF"
	ok(t, s.AddEntry(ctx, &better))
	if better.Number != 3 {
		t.Errorf("number %d", better.Number)
	}
	if old := need(s.Entry(ctx, b.entries[1].ID))(t); old.CorrectedBy != better.ID {
		t.Errorf("corrected by %d", old.CorrectedBy)
	}
	// What the corrected entry took from stock was put back.
	if k := need(s.Stock(ctx, b.stock.ID))(t); k.Count != 2 {
		t.Errorf("%d in stock", k.Count)
	}
	rows := 0
	for r, err := range s.Swaps(ctx) {
		ok(t, err)
		if r.Measured != "330 uF" {
			t.Errorf("%+v", r)
		}
		rows++
	}
	if rows != 1 {
		t.Errorf("%d swaps", rows)
	}
	if got := need(s.Jobs(ctx, record.JobFilter{}))(t).Items[0]; got.Seconds != 1020 || got.Cost != 250 {
		t.Errorf("work is counted twice: %+v", got)
	}
	var invalid record.Invalid
	for _, c := range []struct {
		name   string
		change func(*record.Entry)
		field  string
	}{
		{"corrected already", func(e *record.Entry) { e.Corrects = b.entries[1].ID }, "corrects"},
		{"no such entry", func(e *record.Entry) { e.Corrects = 99 }, "corrects"},
		{"no such job", func(e *record.Entry) { e.Job = 99 }, "job"},
		{"no such photo", func(e *record.Entry) { e.Photos = []record.ID{7} }, "photos[0]"},
		{"no such trace", func(e *record.Entry) { e.Traces = []record.ID{7} }, "traces[0]"},
		{"no such instrument", func(e *record.Entry) { e.Instrument = 7 }, "instrument"},
		{"key of another", func(e *record.Entry) { e.Key = better.Key }, "key"},
		{"more than is in stock", func(e *record.Entry) {
			w := record.Swap{Part: "C13", Condition: record.ConditionGood, Stock: b.stock.ID}
			e.Verb, e.Swaps = "swap", []record.Swap{w, w, w}
		}, "swaps[2].stock"},
	} {
		e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: x}"}
		c.change(&e)
		if err := s.AddEntry(ctx, &e); !errors.As(err, &invalid) || invalid[0].Field != c.field {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if k := need(s.Stock(ctx, b.stock.ID))(t); k.Count != 2 || len(need(s.Log(ctx, b.job.ID))(t)) != 3 {
		t.Error("something was left half done")
	}
}

func TestAnEntrySentTwiceIsKeptOnce(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	e := record.Entry{Job: b.job.ID, Key: "phone-17", At: monday, Verb: "note", Line: "{note: hums}"}
	again := e
	ok(t, s.AddEntry(ctx, &e))
	ok(t, s.AddEntry(ctx, &again))
	if d := cmp.Diff(e, again); d != "" {
		t.Error(d)
	}
	if n := len(need(s.Log(ctx, b.job.ID))(t)); n != 3 {
		t.Errorf("%d entries", n)
	}
}

func TestClockGoesBackwards(t *testing.T) {
	c := &clock{monday}
	s := freshIn(t, t.TempDir(), Options{Now: c.now})
	b := furnish(t, s)
	c.at = monday.Add(-48 * time.Hour)
	e := record.Entry{Job: b.job.ID, At: c.at, Verb: "note", Line: "{note: the clock is wrong}"}
	ok(t, s.AddEntry(context.Background(), &e))
	if e.Kept.Before(b.entries[1].Kept) {
		t.Errorf("kept at %v, after an entry kept at %v", e.Kept, b.entries[1].Kept)
	}
}

func TestSheetsKeepTheirVersions(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	next := record.Sheet{Name: "vt9", Title: "Ostrel VT-9", Text: "sheet: 1\nmodel: Ostrel VT-9\nrails: []\n"}
	ok(t, s.SaveSheet(ctx, &next))
	same := record.Sheet{Name: "vt9", Text: next.Text}
	ok(t, s.SaveSheet(ctx, &same))
	if next.Version != 2 || same.ID != next.ID {
		t.Errorf("%+v %+v", next, same)
	}
	if got := need(s.Sheet(ctx, b.job.Sheet))(t); got.Text != b.sheet.Text {
		t.Errorf("the job's version became %q", got.Text)
	}
	if list := need(s.Sheets(ctx))(t); len(list) != 1 || list[0].Version != 2 || list[0].Text != "" {
		t.Errorf("%+v", list)
	}
	if list := need(s.SheetVersions(ctx, "vt9"))(t); len(list) != 2 || list[0].Version != 2 {
		t.Errorf("%+v", list)
	}
}

func TestWhatIsUsedStays(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	var invalid record.Invalid
	for name, err := range map[string]error{
		"instrument": s.RemoveInstrument(ctx, b.meter.ID), "bin": s.RemoveBin(ctx, b.bin.ID), "stock": s.RemoveStock(ctx, b.stock.ID),
	} {
		if !errors.As(err, &invalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
	spare := record.Bin{Code: "box 8"}
	ok(t, s.SaveBin(ctx, &spare))
	ok(t, s.RemoveBin(ctx, spare.ID))
	if err := s.RemoveBin(ctx, spare.ID); !errors.Is(err, record.ErrNotFound) {
		t.Error(err)
	}
	next := record.Bin{Code: "box 9"}
	ok(t, s.SaveBin(ctx, &next))
	if next.ID == spare.ID {
		t.Error("the number of a bin that was taken out was given again")
	}
	ok(t, s.RemovePhoto(ctx, b.photo.ID))
	if list := need(s.Photos(ctx, b.terminal.ID, 0))(t); len(list) != 0 {
		t.Errorf("%+v", list)
	}
	if p := need(s.Photo(ctx, b.photo.ID))(t); !p.Hidden {
		t.Errorf("%+v", p)
	}
}

func TestOneCover(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	ctx := context.Background()
	p := record.Photo{Unit: b.terminal.ID, File: b.photo.File, Width: 4, Height: 3, Cover: true}
	ok(t, s.SavePhoto(ctx, &p))
	list := need(s.Photos(ctx, b.terminal.ID, 0))(t)
	if len(list) != 2 || list[0].ID != p.ID || list[1].Cover || list[1].Revision != 2 || p.Media != "image/jpeg" {
		t.Errorf("%+v", list)
	}
}

func TestClosedRecordsAreNotChanged(t *testing.T) {
	s := fresh(t)
	ok(t, s.Close())
	ok(t, s.Close())
	if err := s.SaveBin(context.Background(), &record.Bin{Code: "box 7"}); !errors.Is(err, errClosed) {
		t.Error(err)
	}
	if _, err := s.Bins(context.Background()); err == nil {
		t.Error("closed records were read")
	}
	for range s.Watch(context.Background()) {
		t.Error("closed records changed")
	}
}
