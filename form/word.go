package form

import (
	"encoding/json"
	"iter"
)

// A Word is a piece of text together with the place where it stands, for names
// that are checked later against other names.
type Word struct {
	Text  string
	Place Place
}

// String gives the text.
func (w Word) String() string { return w.Text }

// MarshalJSON writes the word as a JSON string; the place is left out.
func (w Word) MarshalJSON() ([]byte, error) { return json.Marshal(w.Text) }

// UnmarshalJSON reads the word from a JSON string; the place is not known.
func (w *Word) UnmarshalJSON(text []byte) error {
	w.Place = Place{}
	return json.Unmarshal(text, &w.Text)
}

// A Pair is one key of a mapping and its value.
type Pair[T any] struct {
	Key   Word
	Value T
}

// Pairs is a mapping whose keys are free names, in the order of the page.
type Pairs[T any] []Pair[T]

// Get gives the value of a key and whether there is one.
func (p Pairs[T]) Get(key string) (T, bool) {
	for _, pair := range p {
		if pair.Key.Text == key {
			return pair.Value, true
		}
	}
	var none T
	return none, false
}

// Keys gives the keys in the order of the page.
func (p Pairs[T]) Keys() []string {
	keys := make([]string, len(p))
	for i, pair := range p {
		keys[i] = pair.Key.Text
	}
	return keys
}

// All ranges over keys and values in the order of the page.
func (p Pairs[T]) All() iter.Seq2[Word, T] {
	return func(yield func(Word, T) bool) {
		for _, pair := range p {
			if !yield(pair.Key, pair.Value) {
				return
			}
		}
	}
}

// isPair marks the type, whatever its T; a slice of such is a mapping.
func (p Pair[T]) isPair() {}

type pair interface{ isPair() }
