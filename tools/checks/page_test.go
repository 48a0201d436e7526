package main

import (
	"os"
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
