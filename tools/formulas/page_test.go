package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// docs/formulas.md is what the comments say now.
func TestUpToDate(t *testing.T) {
	want, err := page("../..")
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile("../../docs/formulas.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("docs/formulas.md is out of date: go run ./tools/formulas")
	}
}

// What counts as a source in a comment.
func TestEntries(t *testing.T) {
	folder := t.TempDir()
	const text = `// Package ohm is about resistance.
package ohm

// Law is Ohm's law:
//
//	v = r i
//
// See also [Power]. G. S. Ohm, "Die galvanische Kette" (1827).
func Law(r, i float64) float64 { return r * i }

// Power since 1970 is written plainly.
func Power(v, i float64) float64 { return v * i }

// usual resistance of a probe; common practice, no source.
const usual = 0.2

// Drop follows IEC 60115-1.
type Drop float64

// Of is any textbook's.
func (Drop) Of() {}
`
	if err := os.WriteFile(filepath.Join(folder, "ohm.go"), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	c, err := read(folder, folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range c.entries {
		kind := "trade"
		if e.sourced {
			kind = "source"
		}
		got = append(got, e.name+" "+kind)
	}
	if want := "Law source, usual trade, Drop source, Drop.Of source"; strings.Join(got, ", ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
	if want := "Law is Ohm's law:\n\n\tv = r i\n\nSee also Power."; !strings.HasPrefix(c.entries[0].text, want) {
		t.Errorf("%q", c.entries[0].text)
	}
}
