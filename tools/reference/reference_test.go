package main

import (
	"os"
	"testing"
)

// TestUpToDate fails when the formats and their documentation disagree.
func TestUpToDate(t *testing.T) {
	for name, want := range pages("../../docs") {
		got, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != want {
			t.Errorf("%s is out of date: go run ./tools/reference", name)
		}
	}
}
