// Package dataset gives tests the recordings in trace/testdata.
package dataset

import (
	"context"
	"math"
	"os"
	"testing"

	"halfsplit/trace"
	"halfsplit/trace/table"
)

// Folder is where the recordings are, seen from a package below trace.
const Folder = "../testdata/datasets/"

// Load reads a recording, and fails the test where it cannot.
func Load(t testing.TB, name string, o table.Options) (*trace.Trace, table.Summary) {
	t.Helper()
	f, err := os.Open(Folder + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := table.Open(f, o)
	if err != nil {
		t.Fatal(err)
	}
	tr, s, err := r.All(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return tr, s
}

// Near fails the test where a number is not within a tolerance of what it should
// be.
func Near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g ± %.2g", what, got, want, tolerance)
	}
}
