package sheet_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"halfsplit/form"
	"halfsplit/sheet"
)

// tricky are texts that a reader may stumble over.
var tricky = []string{
	"", "sheet: 1", "sheet:", "sheet: 1\r\nrails:\r\n  - {rail: a}\r\n", "\ufeffsheet: 1", "case: 1", "# sheet",
	"sheet: 1\ncircuits: {a: }\nchecks: [{check: b, answers: [c, d], causes: [{if: R1, then: {c: 100 %}}]}]",
	"sheet: 1\ncircuits: &a {b: *a}", "sheet: 1\nparts: &a [*a]", "sheet: 1\nparts:\n- &p {part: R1, kind: resistor}\n- *p",
	"sheet: 1\ntestpoints: [{point: a, expect: \"-\"}, {point: b, expect: \"+\"}, {point: c, expect: .}]",
	"sheet: 1\nparts: [{part: C1, kind: film, value: &v \"1n ±5 %\"}, {part: C2, kind: film, value: *v}]",
	"sheet: 1\nparts: [{part: R1, kind: resistor, value: \"4k7\\x20V\"}]",
	"sheet: 1\nmemories: [{memory: a, banks: [{bank: 0, chips: []}]}, {memory: b, banks: []}]",
	"sheet: 1\nchecks: [{check: a, answers: [b, c], causes: [{if: \"  \", then: {b: 100 %}}, {if: [], then: {}}]}]",
	"sheet: 1\nrails: [{rail: \"\"}, {rail: a, from: \"\", through: [\"\"]}]\nblocks: [{block: \"\", kind: \"\", out: [\"\", \"\"]}]",
}

// FuzzParse reads anything at all. Nothing panics, the same text always gives
// the same result, and in a sheet without fault every name refers to something.
func FuzzParse(f *testing.F) {
	for _, path := range good(f) {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
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
			if strings.HasSuffix(c.Name, ".yaml") {
				f.Add(c.Data)
			}
		}
	}
	for _, text := range tricky {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := sheet.Parse("fuzz.yaml", text)
		again, errAgain := sheet.Parse("fuzz.yaml", text)
		if diff := cmp.Diff(err, errAgain) + cmp.Diff(s, again, cmp.AllowUnexported(sheet.Sheet{}, sheet.Part{})); diff != "" {
			t.Fatalf("differs from one reading to the next:\n%s", diff)
		}
		if err != nil {
			wellReported(t, err)
			if s != nil {
				t.Error("a sheet beside problems")
			}
			return
		}
		for _, w := range dangling(s) {
			t.Errorf("%s %q at %v refers to nothing", w.field, w.Text, w.Place)
		}
		usable(t, s)
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

// usable calls what others call on a sheet.
func usable(t *testing.T, s *sheet.Sheet) {
	for _, item := range s.Items() {
		if s.KindOf(item) == "" {
			t.Errorf("%q has no kind", item)
		}
		if _, err := s.Cause(item); err != nil {
			t.Errorf("%q is no cause", item)
		}
	}
	for _, name := range s.Signals() {
		if cause, err := s.Cause(name + " bad"); err != nil || cause.Item == "" && !cause.Bad {
			t.Errorf("%q bad is no cause", name)
		}
	}
	for i := range s.Parts {
		if nominal, limits, ok := s.Parts[i].Limits(); ok && !(limits.Contains(nominal) && limits.Low < limits.High) {
			t.Errorf("part %q: %v about %v", s.Parts[i].Name.Text, limits, nominal)
		}
	}
	for i := range s.Points {
		p := &s.Points[i]
		if p.Expect == nil || p.Expect.Value == nil || p.Limits == nil {
			continue
		}
		if around := p.Limits.Around(p.Expect.Value.Value); !(around.Contains(p.Expect.Value.Value) && around.Low < around.High) {
			t.Errorf("point %q: %v about %v", p.Name.Text, around, p.Expect)
		}
	}
}
