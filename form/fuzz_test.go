package form_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
)

// FuzzRead reads anything at all. Nothing panics, the same text always gives
// the same result, and every problem is one line about a place on the page.
func FuzzRead(f *testing.F) {
	for _, page := range pagesOf(f) {
		f.Add(page)
	}
	for _, garbage := range []string{
		"[[[[[", ": : :", "- - - -", "? ? ?", "\xff\xfe\x00", "a\x00b", "\ufeffsheet: 1", "sheet: 1\r\n", "sheet: \"\\u00", "&a [*a]", "%YAML 1.1\n---\n",
		"sheet: 1\nnotes: |2\n   a\n  b", "sheet: 1\nnotes: >-\n\n a\n\n\n b", "sheet: 1\nrails: {+5: {nominal: \"5\\x20X\"}}", "'''", "\"\\", "!!binary |\n x",
		"notes:\n warning: hot\n  - 'fine: hot'\n  -", "codes:\n  [a,}\n  :  b2\n  ? F:(",
	} {
		f.Add([]byte(garbage))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var first, second sheet
		err := form.Read("fuzz.yaml", text, &first)
		again := form.Read("fuzz.yaml", text, &second)
		if diff := cmp.Diff(err, again); diff != "" {
			t.Fatalf("problems differ from one reading to the next:\n%s", diff)
		}
		if err == nil {
			if diff := cmp.Diff(first, second, cmp.AllowUnexported(part{})); diff != "" {
				t.Fatalf("what was read differs from one reading to the next:\n%s", diff)
			}
			return
		}
		var problems form.Problems
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("no list of problems: %v", err)
		}
		if len(problems) > 1100 {
			t.Errorf("%d problems", len(problems))
		}
		lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(string(text), "\ufeff")), "\n")
		for _, p := range problems {
			if p.Message == "" || strings.ContainsAny(p.Error(), "\n\r") {
				t.Errorf("not one line: %q", p.Error())
			}
			if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > utf8.RuneCountInString(lines[p.Line-1])+2 {
				t.Errorf("off the page: %v", p)
			}
		}
	})
}

// pagesOf gives the pages of the files of cases.
func pagesOf(t testing.TB) (pages [][]byte) {
	paths, err := filepath.Glob("testdata/cases/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range split(string(text)) {
			if strings.HasSuffix(one.name, ".yaml") {
				pages = append(pages, []byte(one.text))
			}
		}
	}
	return pages
}
