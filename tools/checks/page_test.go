package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// docs/checks.md is what the tests say now.
func TestUpToDate(t *testing.T) {
	want, err := page("../..")
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile("../../docs/checks.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("docs/checks.md is out of date: go run ./tools/checks")
	}
}

// How a comment says what a test is held against.
func TestMarks(t *testing.T) {
	for _, c := range []struct {
		name, comment string
		want          []mark
	}{
		{"nothing outside", "TestX looks at x.", nil},
		{"a fact of the trade", "What each word means (common practice, no source; 1981).", nil},
		{"a source in passing", "The digits of JCGM 100, G.4.1.", []mark{{says: "The digits of JCGM 100, G.4.1.", within: "see the test"}}},
		{"a source", "One coin.\n\nOutside: Shannon 1948, section 6. Within: 1e-15.\n",
			[]mark{{says: "One coin.", source: "Shannon 1948, section 6", within: "1e-15"}}},
		{"over two lines, and two of them", "X.\nOutside: a book,\nsection 2. Within:\n1 %.\nOutside: another. Within: exact.",
			[]mark{{says: "X.", source: "a book, section 2", within: "1 %"}, {says: "X.", source: "another", within: "exact"}}},
		{"a collection", "Outside: cases of testdata/a.yaml. Within: 1e-9.", []mark{{files: "testdata/a.yaml", within: "1e-9"}}},
		{"part of one", "Outside: cases of ../testdata/a.yaml only x-*, y-1 but x-3*: a book. Within: 1e-9.",
			[]mark{{files: "../testdata/a.yaml", only: []string{"x-*", "y-1"}, but: []string{"x-3*"}, source: "a book", within: "1e-9"}}},
	} {
		got, err := marksOf("TestX", c.comment)
		if err != nil || len(got) != len(c.want) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
			continue
		}
		for i, m := range got {
			c.want[i].test = "TestX"
			if a, b := show(m), show(c.want[i]); a != b {
				t.Errorf("%s: %s, want %s", c.name, a, b)
			}
		}
	}
	if _, err := marksOf("TestX", "Outside: a book."); err == nil || !strings.Contains(err.Error(), "does not say how close") {
		t.Error(err)
	}
}

func show(m mark) string {
	return strings.Join([]string{m.test, m.says, m.source, m.within, m.files, strings.Join(m.only, " "), strings.Join(m.but, " ")}, "|")
}

// Cases are picked by the beginning of their names.
func TestTakes(t *testing.T) {
	m := mark{only: []string{"x-*", "y-1"}, but: []string{"x-3*"}}
	for id, want := range map[string]bool{"x-1": true, "y-1": true, "y-12": false, "x-30": false, "z": false} {
		if m.takes(id) != want {
			t.Errorf("%s: %v", id, !want)
		}
	}
	if !(&mark{}).takes("x") {
		t.Error("a mark without names takes all")
	}
}

// A page of a small program: a test that says what it is held against, one that
// names a source in passing, and a collection that no comment names.
func TestPage(t *testing.T) {
	root := t.TempDir()
	for name, text := range map[string]string{
		"ohm/law_test.go": "package ohm\n\n// Ohm's law.\n//\n// Outside: cases of testdata/law.yaml but x-*: G. S. Ohm, 1827. Within: 1e-9.\nfunc TestLaw() {}\n\n// Powers as IEC 60115 has them.\nfunc TestPower() {}\n\n// Helps.\nfunc helps() {}\n\nconst more = \"more.yaml\"\n",
		"ohm/testdata/law.yaml": "sources:\n  book: {title: A book, year: 1900}\ncases:\n- {id: a-1, checks: 1 V over 2 Ω, expected: {i: {value: 0.5, unit: A, abs: 1.0e-6, rel: 0.01}}, source: [book], how: from-memory}\n" +
			"- {id: a-2, title: a|b, expect: [{value: 1}]}\n- {id: x-1, checks: magnets, expected: {}}\n",
		"ohm/testdata/more.yaml":  "cases:\n- {id: m-1, kind: sum, note: two, expected: {y: 1}, source: {author: B, title: C}, how: computed-with-scipy}\n",
		"ohm/testdata/other.yaml": "cases:\n- {id: o-1, expected: {y: 1}}\n",
		"ohm/testdata/page.yaml":  "sheet: 1\n",
	} {
		path := filepath.Join(root, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	got, err := page(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"| [ohm](#ohm) | 4 | 2 | 1 | 1 |  |\n",
		"| `a-1` 1 V over 2 Ω | A book, 1900 | from memory | ±1e-06 A, ±1 % |\n",
		"| `a-2` a\\|b | G. S. Ohm, 1827 | published | 1e-9 |\n",
		"| Powers as IEC 60115 has them | named in the comment | published | see the test |\n",
		"| `m-1` sum: two | B, C | worked out | see the test |\n",
		"- `x-1` of ohm/testdata/law.yaml: magnets\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no line %s", want)
		}
	}
	if strings.Contains(got, "o-1") {
		t.Error("a collection that nothing reads is listed")
	}
	if t.Failed() {
		t.Log(got)
	}
	if _, _, err := rows(root, []mark{{folder: "ohm", test: "TestX", files: "testdata/none.yaml"}}); err == nil || !strings.Contains(err.Error(), "there is no file") {
		t.Error(err)
	}
	if _, _, err := rows(root, []mark{{folder: "ohm", test: "TestX", files: "testdata/law.yaml", only: []string{"z*"}}}); err == nil || !strings.Contains(err.Error(), "no case") {
		t.Error(err)
	}
}
