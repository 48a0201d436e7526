package main

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// The words of the trade are explained once each, in order, and in a sentence.
func TestWords(t *testing.T) {
	text, err := os.ReadFile("../../docs/words.md")
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for line := range strings.Lines(string(text)) {
		columns := strings.Split(strings.Trim(line, "| \n"), " | ")
		if !strings.HasPrefix(line, "| ") || columns[0] == "word" {
			continue
		}
		if len(columns) != 2 || !strings.HasSuffix(columns[1], ".") {
			t.Errorf("no word with its meaning: %s", line)
		}
		words = append(words, strings.ToLower(columns[0]))
	}
	if !slices.IsSorted(words) {
		t.Error("the words are out of order")
	}
	if len(slices.Compact(slices.Clone(words))) != len(words) || len(words) < 100 {
		t.Errorf("%d words, some twice", len(words))
	}
}
