package bench_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// evening is the time of the tests.
var evening = time.Date(2026, 3, 2, 19, 0, 0, 0, time.Local)

// workshop opens empty records.
func workshop(t *testing.T) (*store.Store, *bench.Bench) {
	t.Helper()
	now := func() time.Time { return evening }
	s, err := store.Open(t.TempDir(), store.Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s, bench.New(s, bench.Options{Now: now})
}

// imported imports an example.
func imported(t *testing.T, b *bench.Bench, name string) *record.Job {
	t.Helper()
	file, err := bench.ReadCase("../../examples/" + name + ".case.yaml")
	if err != nil {
		t.Fatal(err)
	}
	job, err := b.ImportCase(context.Background(), *file, 0)
	if err != nil {
		t.Fatal(err)
	}
	return job
}

// TestImportedCaseIsTheCase imports every example and finds of it what is found
// of the file.
func TestImportedCaseIsTheCase(t *testing.T) {
	files, err := filepath.Glob("../../examples/*.case.yaml")
	if err != nil || len(files) < 5 {
		t.Fatal(files, err)
	}
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".case.yaml")
		t.Run(name, func(t *testing.T) {
			_, b := workshop(t)
			job := imported(t, b, name)
			c, s, err := logbook.Load(path)
			if err != nil {
				t.Fatal(err)
			}
			want, err := findings.Judge(c, s)
			if err != nil {
				t.Fatal(err)
			}
			work, err := b.Casework(context.Background(), job.ID)
			if err != nil {
				t.Fatal(err)
			}
			if len(work.Unfit) > 0 {
				t.Errorf("entries do not fit: %v", work.Unfit)
			}
			got, err := findings.Judge(work.Case, work.Sheet)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got.Verdicts { // the lines differ: the page is written anew
				if work.Entry(got.Verdicts[i].Line) == 0 {
					t.Errorf("the verdict on %s stands on a line without an entry", got.Verdicts[i].At)
				}
				got.Verdicts[i].Line = want.Verdicts[i].Line
			}
			if d := cmp.Diff(want.Verdicts, got.Verdicts, cmp.AllowUnexported(findings.Verdict{})); d != "" {
				t.Errorf("verdicts differ from those of the file:\n%s", d)
			}
			if d := cmp.Diff(want.Hazards, got.Hazards); d != "" {
				t.Errorf("hazards differ from those of the file:\n%s", d)
			}
			if len(c.Log) != len(work.Log) {
				t.Errorf("%d entries of %d", len(work.Log), len(c.Log))
			}
		})
	}
}

// TestRoundTrip exports a job and imports it again: the same case comes out.
func TestRoundTrip(t *testing.T) {
	ctx := context.Background()
	_, b := workshop(t)
	first, err := b.ExportCase(ctx, imported(t, b, "vt9-shuts-down").ID)
	if err != nil {
		t.Fatal(err)
	}
	_, other := workshop(t)
	job, err := other.ImportCase(ctx, *first, 0)
	if err != nil {
		t.Fatal(err)
	}
	second, err := other.ExportCase(ctx, job.ID)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(first.Text), string(second.Text)); d != "" {
		t.Errorf("the second export differs from the first:\n%s", d)
	}
	folder := t.TempDir()
	for name, text := range map[string][]byte{first.Name: first.Text, first.SheetName: first.SheetText} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := logbook.Load(filepath.Join(folder, first.Name)); err != nil {
		t.Errorf("the exported file cannot be read: %v", err)
	}
}

// TestReason finds the capacitor of the hum, again at once, and anew after an
// entry.
func TestReason(t *testing.T) {
	ctx := context.Background()
	_, b := workshop(t)
	job := imported(t, b, "vt9-three-chips")
	first, err := b.Reason(ctx, job.ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(first.Report.Suspects) == 0 {
		t.Fatal("no suspects")
	}
	again, err := b.Reason(ctx, job.ID)
	if err != nil || again != first {
		t.Errorf("asked again, it is worked out anew (%v)", err)
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: job.ID, Line: "{note: the lid was warm}"}); err != nil {
		t.Fatal(err)
	}
	last, fresh, _, ended, err := b.Latest(ctx, job.ID)
	if err != nil {
		t.Fatal(err)
	}
	if !fresh {
		if last != first {
			t.Error("while it is worked out anew, the last findings are not given")
		}
		<-ended
	}
	after, err := b.Reason(ctx, job.ID)
	if err != nil {
		t.Fatal(err)
	}
	if after == first {
		t.Error("after an entry the findings are those of before it")
	}
	b.Cancel(job.ID)
}

// synthesizer is a job on a P6 with its sheet, opened by hand.
func synthesizer(t *testing.T, s *store.Store, b *bench.Bench) *record.Job {
	t.Helper()
	ctx := context.Background()
	text, err := os.ReadFile("../../examples/p6.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	parsed, err := sheet.Parse("p6.sheet.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	u := &record.Unit{Maker: "Corvane", Model: "P6", Year: 1983, Standing: record.Kept}
	if err := s.SaveUnit(ctx, u); err != nil {
		t.Fatal(err)
	}
	j := &record.Job{Unit: u.ID, Title: "hums", Stage: record.Intake, Opened: evening}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	if err := b.GiveSheet(ctx, j, "p6.sheet.yaml", text, parsed); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	return j
}

// TestWrite writes entries as a screen would: gates hold, bad lines are refused
// with words, and verdicts come back.
func TestWrite(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	j := synthesizer(t, s, b)
	reading := bench.Line(bench.Field{Key: "measure", Value: "TP+"}, bench.Field{Key: "reads", Value: "15.03 V"}, bench.Field{Key: "state", In: []bench.Field{{Key: "on for", Value: "2 min"}}})

	_, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: reading})
	var wrong bench.Wrong
	if !errors.As(err, &wrong) || !strings.Contains(err.Error(), "mains inlet") {
		t.Fatalf("a reading with power on, before the mains was made safe, gives %v", err)
	}
	if err := b.MoveTo(ctx, j, record.Measure); !errors.As(err, &wrong) {
		t.Errorf("the job is moved on past its hazards: %v", err)
	}
	if err := b.MoveTo(ctx, j, record.MakeSafe); err != nil {
		t.Errorf("the job is not moved to where hazards are answered: %v", err)
	}
	held, err := b.Held(ctx, j.ID)
	if err != nil || len(held) == 0 {
		t.Fatalf("held: %v, %v", held, err)
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: "{safe: mains inlet}", Who: "Ines"}); err != nil {
		t.Fatal(err)
	}
	if err := b.MoveTo(ctx, j, record.Measure); err != nil {
		t.Errorf("the job is held up though all is answered: %v", err)
	}

	e := &record.Entry{Job: j.ID, Line: reading, Key: "phone-1", Who: `Joost "the ear"`, Seconds: 90}
	report, line, err := b.Write(ctx, e)
	if err != nil {
		t.Fatal(err)
	}
	if e.ID == 0 || e.Verb != "measure" || !e.At.Equal(evening) {
		t.Errorf("written as %+v", e)
	}
	if len(report.Verdicts) != 1 || report.Verdicts[0].Line != line || report.Verdicts[0].Word != "within" {
		t.Errorf("judged as %+v", report.Verdicts)
	}
	before, _ := s.Log(ctx, j.ID)
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: reading, Key: "phone-1"}); err != nil {
		t.Fatal(err)
	}
	after, _ := s.Log(ctx, j.ID)
	if len(before) != len(after) {
		t.Error("sent twice with one key, it stands in the log twice")
	}

	for name, bad := range map[string]string{
		"no such place":   `{measure: TP99, reads: 15 V}`,
		"no such key":     `{measure: TP+, raeds: 15 V}`,
		"no such unit":    `{measure: TP+, reads: 15 parsecs}`,
		"two lines":       "{note: a}\n{note: b}",
		"nothing":         ``,
		"no mapping":      `TP+ 15 V`,
		"another entry":   `{note: a}, {swap: C1}`,
		"a broken quote":  `{note: "a}`,
		"a break-out":     `{note: a}}`,
		"nothing done":    `{who: Ines}`,
		"two things done": `{measure: TP+, swap: C1}`,
	} {
		_, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: bad})
		if !bench.IsBadInput(err) {
			t.Errorf("%s: %q gives %v", name, bad, err)
		}
	}
	if log, _ := s.Log(ctx, j.ID); len(log) != len(after) {
		t.Error("a refused entry stands in the log")
	}

	swap := &record.Entry{Job: j.ID, Line: `{swap: C1, new: "4700 uF 50 V"}`}
	if _, _, err := b.Write(ctx, swap); err != nil {
		t.Fatal(err)
	}
	if len(swap.Swaps) != 1 || swap.Swaps[0].Kind != "electrolytic" || swap.Swaps[0].InMarking != "4700 uF 50 V" {
		t.Errorf("the swap is kept as %+v", swap.Swaps)
	}
}

// TestWithoutASheet keeps a log where no sheet is known yet; when one is given,
// what does not fit it is kept, and told.
func TestWithoutASheet(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	u := &record.Unit{Model: "P6", Standing: record.Kept}
	if err := s.SaveUnit(ctx, u); err != nil {
		t.Fatal(err)
	}
	j := &record.Job{Unit: u.ID, Title: "hums", Stage: record.Intake, Opened: evening}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{`{symptom: hums}`, `{measure: the thick red wire, reads: 15.2 V}`, `{safe: mains inlet}`} {
		if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: line}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.Reason(ctx, j.ID); !errors.Is(err, bench.ErrNoSheet) {
		t.Errorf("reasoning without a sheet gives %v", err)
	}
	text, err := os.ReadFile("../../examples/p6.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	parsed, err := sheet.Parse("p6.sheet.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.GiveSheet(ctx, j, "p6.sheet.yaml", text, parsed); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveJob(ctx, j); err != nil {
		t.Fatal(err)
	}
	work, err := b.Casework(ctx, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(work.Unfit) != 1 || !strings.Contains(work.Unfit[0].Why, "the thick red wire") {
		t.Errorf("what does not fit: %v", work.Unfit)
	}
	if len(work.Case.Log) != 2 {
		t.Errorf("%d entries are reasoned with, want 2", len(work.Case.Log))
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: `{measure: TP+, reads: 15.2 V}`}); err != nil {
		t.Errorf("an old entry that does not fit keeps new ones out: %v", err)
	}
}

// TestCorrection corrects an entry in ink.
func TestCorrection(t *testing.T) {
	ctx := context.Background()
	s, b := workshop(t)
	j := synthesizer(t, s, b)
	for _, line := range []string{`{safe: mains inlet}`, `{measure: TP+, reads: 1.503 V}`} {
		if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: line}); err != nil {
			t.Fatal(err)
		}
	}
	log, err := s.Log(ctx, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.Write(ctx, &record.Entry{Job: j.ID, Line: `{measure: TP+, reads: 15.03 V, why: a slip of the pen}`, Corrects: log[1].ID}); err != nil {
		t.Fatal(err)
	}
	work, err := b.Casework(ctx, j.ID)
	if err != nil {
		t.Fatal(err)
	}
	report, err := findings.Judge(work.Case, work.Sheet)
	if err != nil {
		t.Fatal(err)
	}
	if len(report.Verdicts) != 1 || report.Verdicts[0].Word != "within" {
		t.Errorf("after the correction: %+v", report.Verdicts)
	}
	if work.Log[1].CorrectedBy == 0 {
		t.Error("the corrected entry does not say so")
	}
}
