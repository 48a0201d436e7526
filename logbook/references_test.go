package logbook_test

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// refers tells of each word of the format whether it refers to a name of the
// sheet, of the meters or of another entry.
var refers = map[string]bool{
	"Case.Sheet": false, "Meter.Name": false,
	"Entry.Measure": true, "Entry.Test": true, "Entry.Check": true,
	"Entry.Chill": true, "Entry.Heat": true, "Entry.Press": true, "Entry.Piggyback": true, "Entry.Swap": true, "Entry.Mend": true,
	"Entry.Safe": true, "Entry.Accept": true, "Entry.Memory": true, "Entry.At": true, "Entry.With": true, "Entry.Corrects": true,
	"Entry.Reads": false, "Entry.Expect": false, "Entry.Limits": false, "Entry.Name": false,
	"Entry.Says": false, "Entry.Failures": false, "Entry.March": false,
	"State.Without": true, "State.Lifted": true, "State.Injected": true,
}

// word is a word of a case with the field that it stands in.
type word struct {
	form.Word
	field string
}

// words gives every word of a case that is not empty.
func words(c *logbook.Case) []word {
	var all []word
	var walk func(v reflect.Value, field string)
	walk = func(v reflect.Value, field string) {
		switch {
		case v.Type() == reflect.TypeFor[form.Word]():
			if w := v.Interface().(form.Word); w.Text != "" {
				all = append(all, word{w, field})
			}
		case v.Kind() == reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), field)
			}
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				if f := v.Type().Field(i); f.IsExported() {
					walk(v.Field(i), v.Type().Name()+"."+f.Name)
				}
			}
		}
	}
	walk(reflect.ValueOf(c).Elem(), "")
	return all
}

// dangling gives the words of a case that refer to nothing in it or the sheet.
// It looks at names alone, not in the way the checker does.
func dangling(c *logbook.Case, s *sheet.Sheet) []word {
	known := map[string]bool{}
	add := func(names ...string) {
		for _, name := range names {
			known[name] = true
		}
	}
	add(s.Items()...)
	add(s.Signals()...)
	for _, p := range s.Points {
		add(p.Name.Text)
	}
	for _, b := range s.Blocks {
		add(b.Board)
	}
	for _, r := range s.Rails {
		add(sheet.SourceOf(r.Name.Text))
	}
	for _, h := range c.Hazards(s) {
		add(h.Name)
	}
	for _, m := range s.Memories {
		add(m.Name.Text)
	}
	for _, check := range s.Checks {
		add(check.Name.Text)
	}
	for _, w := range words(c) {
		if w.field == "Meter.Name" || w.field == "Entry.Name" {
			add(w.Text)
		}
	}
	var lost []word
	for _, w := range words(c) {
		if refers[w.field] && !known[w.Text] {
			lost = append(lost, w)
		}
	}
	return lost
}

// good gives the paths of cases without fault.
var good = []string{"../examples/vt9-shuts-down.case.yaml", "../examples/p6-hum-and-voice-four.case.yaml", "testdata/whole.case.yaml"}

// The table of references is complete, and the case with every key has a word
// in each of its fields.
func TestReferencesAreComplete(t *testing.T) {
	used := map[string]bool{}
	for _, w := range words(whole(t)) {
		if _, known := refers[w.field]; !known {
			t.Errorf("%s is not in the table", w.field)
		}
		used[w.field] = true
	}
	for field := range refers {
		if !used[field] {
			t.Errorf("no %s in testdata/whole.case.yaml", field)
		}
	}
}

// changed gives a text with words replaced, quotes kept, and the places where
// they then stand. The words are in the order of the page.
func changed(text string, words []word, to []string) (string, []form.Place) {
	lines := strings.Split(text, "\n")
	var places []form.Place
	line, shift := 0, 0
	for i, w := range words {
		if w.Place.Line != line {
			line, shift = w.Place.Line, 0
		}
		runes := []rune(lines[line-1])
		at := w.Place.Column - 1 + shift
		places = append(places, form.Place{Line: line, Column: at + 1})
		if runes[at] == '"' {
			at++
		}
		n := len([]rune(w.Text))
		lines[line-1] = string(runes[:at]) + to[i] + string(runes[at+n:])
		shift += len([]rune(to[i])) - n
	}
	return strings.Join(lines, "\n"), places
}

// Unknown names, wherever they stand, bring one problem each, at its place.
func TestUnknownNames(t *testing.T) {
	for _, path := range good {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		c, s, err := logbook.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		var all []word
		for _, w := range words(c) {
			if refers[w.field] {
				all = append(all, w)
			}
		}
		slices.SortFunc(all, func(a, b word) int {
			if a.Place.Line != b.Place.Line {
				return a.Place.Line - b.Place.Line
			}
			return a.Place.Column - b.Place.Column
		})
		check := func(t interface{ Errorf(string, ...any) }, words []word, to []string) {
			wrong, places := changed(string(text), words, to)
			_, err := logbook.Parse(path, []byte(wrong), s)
			found, _ := err.(form.Problems)
			if len(found) != len(words) {
				t.Errorf("%d names changed, but %d problems:\n%v", len(words), len(found), found)
				return
			}
			for i, p := range found {
				if p.Place() != places[i] || !strings.Contains(p.Message, fmt.Sprintf("%q", to[i])) {
					t.Errorf("%s %q is now %q at %v, but the problem is: %v", words[i].field, words[i].Text, to[i], places[i], p)
				}
			}
		}
		for _, w := range all {
			check(t, []word{w}, []string{"zzqq"})
		}
		rapid.Check(t, func(t *rapid.T) {
			name := rapid.StringMatching(`zz[a-z0-9]{1,9}( [a-z]{1,5})?`)
			var words []word
			var to []string
			for _, i := range slices.Sorted(slices.Values(rapid.SliceOfNDistinct(rapid.IntRange(0, len(all)-1), 1, 12, rapid.ID).Draw(t, "which"))) {
				words = append(words, all[i])
				to = append(to, name.Draw(t, "name"))
			}
			check(t, words, to)
		})
	}
}
