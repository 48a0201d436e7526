package form_test

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/form"
)

// anyText draws text that may stand on a page.
var anyText = rapid.StringOfN(rapid.Rune().Filter(func(r rune) bool {
	return r >= ' ' && r != 0x85 && r != 0x2028 && r != 0x2029 && r != 0xfffe && r != 0xffff && r != utf8.RuneError && r != 0xfeff
}), 0, 20, -1)

// Text in quotes is read as it is, whatever is in it, and stands where it stands.
func TestQuotedText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		notes := rapid.SliceOfN(anyText.Filter(func(s string) bool { return s != "" }), 1, 5).Draw(t, "notes")
		page := "sheet: 1\nnotes:\n"
		for i, note := range notes {
			quoted := "'" + strings.ReplaceAll(note, "'", "''") + "'"
			if i%2 == 0 {
				encoded, err := json.Marshal(note)
				if err != nil {
					t.Fatal(err)
				}
				quoted = string(encoded)
			}
			page += "  - " + quoted + "\n"
		}
		var read sheet
		if err := form.Read("p", []byte(page), &read); err != nil {
			t.Fatalf("%q: %v", page, err)
		}
		if diff := cmp.Diff(notes, read.Notes); diff != "" {
			t.Fatalf("%q (-typed +read):\n%s", page, diff)
		}
	})
}

// A value without quotes is read as it was typed when it has none of the signs
// that YAML gives a meaning; numbers and words with a meaning elsewhere are no
// exception. Names stand where they were typed.
func TestTypedText(t *testing.T) {
	word := rapid.OneOf(
		rapid.StringMatching(`[A-Za-z0-9+./_][A-Za-z0-9+./_-]{0,8}`),
		rapid.SampledFrom([]string{"~", "null", "yes", "on", "1:30", "+5", "-12", "010", "0x10", "4e3", "2024-01-31", ".inf", "1_000", "±5", "4k7"}),
	)
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfNDistinct(word, 1, 6, rapid.ID).Draw(t, "words")
		page := "sheet: 1\nrails:\n  +5:\n    nominal: 5 V\n    feeds: [" + strings.Join(words, ", ") + "]\ncodes:\n"
		for _, w := range words {
			page += "  " + w + ": 1\n"
		}
		var read sheet
		if err := form.Read("p", []byte(page), &read); err != nil {
			t.Fatalf("%q: %v", page, err)
		}
		feeds := read.Rails[0].Value.Feeds
		column := len("    feeds: [") + 1
		for i, w := range words {
			want := form.Word{Text: w, Place: form.Place{Line: 5, Column: column}}
			key := form.Word{Text: w, Place: form.Place{Line: 7 + i, Column: 3}}
			if feeds[i] != want || read.Codes[i].Key != key {
				t.Fatalf("%q: read %v and %v, want %v and %v", page, feeds[i], read.Codes[i].Key, want, key)
			}
			column += utf8.RuneCountInString(w) + 2
		}
		if diff := cmp.Diff(words, read.Codes.Keys()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Every one of several mistakes, put at known places of a page, is reported
// there, and nothing else is.
func TestMistakesAtKnownPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		page, want := "sheet: 1\nparts:\n", form.Problems(nil)
		line := 3
		for range rapid.IntRange(1, 8).Draw(t, "parts") {
			name := rapid.StringMatching(`[A-ZµΩ][0-9]{1,3}`).Draw(t, "designator")
			before := "  - {part: " + name + ", kind: "
			column := utf8.RuneCountInString(before) + 1
			switch rapid.IntRange(0, 3).Draw(t, "mistake") {
			case 0:
				page += before + "resistor}\n"
			case 1:
				page += before + "resistro}\n"
				want.Add(form.Place{Line: line, Column: column}, `"kind": unknown word "resistro"`, `did you mean "resistor"?`)
			case 2:
				page += before + "resistor, zzz: 1}\n"
				want.Add(form.Place{Line: line, Column: column + len("resistor, ")}, `unknown key "zzz"`, "known here: part, kind, nodes, share, spot, pin")
			case 3:
				page += before + "resistor,\n     share: lots}\n"
				line++
				want.Add(form.Place{Line: line, Column: 13}, `"share": "lots" is not a number`, "write a number such as 0.5")
			}
			line++
		}
		err := form.Read("p", []byte(page), &sheet{})
		if diff := cmp.Diff(want.In("p").Err(), err); diff != "" {
			t.Fatalf("%s\n(-want +got):\n%s", page, diff)
		}
	})
}

// The nearest of the known names to one of them is itself, in whatever letter
// case; a name with one slip leads back to one that is no further off.
func TestNearestKnown(t *testing.T) {
	name := rapid.StringMatching(`[a-z][a-z-]{3,9}`)
	rapid.Check(t, func(t *rapid.T) {
		known := rapid.SliceOfNDistinct(name, 1, 8, rapid.ID).Draw(t, "known")
		one := rapid.SampledFrom(known).Draw(t, "one")
		for _, typed := range []string{one, strings.ToUpper(one), strings.ReplaceAll(one, "-", "_"), " " + one} {
			if got := form.Nearest(typed, known); got != one {
				t.Fatalf("Nearest(%q, %q) = %q", typed, known, got)
			}
		}
		at := rapid.IntRange(0, len(one)-2).Draw(t, "at")
		for _, slip := range []string{one[:at] + one[at+1:], one[:at] + "x" + one[at:], one[:at] + string(one[at+1]) + string(one[at]) + one[at+2:], one[:at] + "x" + one[at+1:]} {
			if got := form.Nearest(slip, known); got == "" {
				t.Fatalf("Nearest(%q, %q) finds nothing", slip, known)
			}
		}
	})
}
