package logbook_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// tricky are texts that a reader may stumble over.
var tricky = []string{
	"", "case: 1", "case: 1\nsheet: a", "sheet: 1", "sheet: 1\ncase: 1", "\ufeffcase: 1\r\nsheet: a\r\n", "# case",
	"case: 1\nsheet: a\nlog: &a [*a]", "case: 1\nsheet: a\nlog:\n- &e {note: x}\n- *e", "case: 1\nsheet: a\nlog: [x, {}, [], ]",
	"case: 1\nsheet: a\nlog:\n- {measure: [\"\"], reads: [\"\"], at: \"\", with: \"\"}\n- {state: {on for: -1 s}}",
	"case: 1\nsheet: a\nlog:\n- {note: x, entry: a, corrects: a}\n- {note: x, entry: a}\n- {note: x, corrects: a}",
	"case: 1\nsheet: a\nmeters: [{meter: \"\"}, {meter: a, dc volts: + }]\nproof: {sure: 0}",
}

// FuzzParse reads anything at all as a case on the sheets of the examples.
// Nothing panics, the same text always gives the same result, and in a case
// without fault every name refers to something.
func FuzzParse(f *testing.F) {
	sheets := []*sheet.Sheet{bench(f)}
	for _, path := range good {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		_, s, err := logbook.Load(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text, uint8(len(sheets)))
		sheets = append(sheets, s)
	}
	paths, err := filepath.Glob("testdata/cases/*.txtar")
	if err != nil || len(paths) == 0 {
		f.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		cases, err := txtar.ParseFile(path)
		if err != nil {
			f.Fatal(err)
		}
		for _, c := range cases.Files {
			if strings.HasSuffix(c.Name, ".case.yaml") {
				f.Add(c.Data, uint8(0))
			}
		}
	}
	for _, text := range tricky {
		f.Add([]byte(text), uint8(0))
	}
	f.Fuzz(func(t *testing.T, text []byte, which uint8) {
		s := sheets[int(which)%len(sheets)]
		c, err := logbook.Parse("fuzz.yaml", text, s)
		again, errAgain := logbook.Parse("fuzz.yaml", text, s)
		if diff := cmp.Diff(err, errAgain) + cmp.Diff(c, again, cmp.AllowUnexported(logbook.Case{}, logbook.Entry{})); diff != "" {
			t.Fatalf("differs from one reading to the next:\n%s", diff)
		}
		if err != nil {
			wellReported(t, err)
			if c != nil {
				t.Error("a case beside problems")
			}
			return
		}
		for _, w := range dangling(c, s) {
			t.Errorf("%s %q at %v refers to nothing", w.field, w.Text, w.Place)
		}
		for i := range c.Log {
			if c.Log[i].Verb() == "" {
				t.Errorf("entry %d does not say what was done", i)
			}
		}
	})
}

// wellReported checks that an error is a list of problems, each one line about
// a place, and not too long.
func wellReported(t *testing.T, err error) {
	t.Helper()
	var problems form.Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("no list of problems: %v", err)
	}
	if len(problems) > 2200 {
		t.Errorf("%d problems", len(problems))
	}
	for _, p := range problems {
		if p.File == "" || p.Line < 1 || p.Column < 1 || p.Message == "" || strings.ContainsAny(p.Error(), "\r\n") || len(p.Error()) > 4000 {
			t.Errorf("not well reported: %+v", p)
		}
	}
}
