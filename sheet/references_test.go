package sheet_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/fault"
	"halfsplit/form"
	"halfsplit/metrology"
	"halfsplit/sheet"
)

// refers says what each word of the format refers to: the sort of name that it
// must be one of. Words of the sorts "" declare a name or are free.
var refers = map[string]string{
	"Rail.Name": "", "Rail.Family": "family", "Rail.From": "signal", "Rail.Through": "part",
	"Point.Name": "", "Point.Signal": "signal", "Point.Twin": "point",
	"Part.Name": "", "Part.Kind": "kind", "Part.Value": "", "Part.Across": "signal", "Part.Nodes": "", "Part.Near": "item", "Part.Settings": "",
	"Block.Name": "", "Block.Kind": "kind", "Block.Inputs": "signal", "Block.Outputs": "", "Block.Supply": "signal", "Block.Parts": "part", "Block.Twin": "item",
	"Outside.Signal": "", "Outside.Kind": "kind",
	"Sheet.Circuits": "", "Circuit.Ground": "node", "Circuit.Reach": "node",
	"Memory.Name": "", "Memory.Kind": "kind", "Memory.Inputs": "signal", "Memory.Supply": "signal",
	"Memory.Row": "", "Memory.Column": "", "Bank.Name": "", "Bank.From": "", "Bank.To": "", "Bank.Chips": "",
	"Check.Name": "", "Check.Answers": "", "Check.Otherwise": "answer", "CheckCause.If": "cause", "CheckCause.Then": "answer",
	"Hazard.Name": "", "Hazard.Parts": "item", "Hazard.At": "signal", "Photo.File": "", "Spot.Name": "mark",
}

// word is a word of a sheet with the field that it stands in.
type word struct {
	form.Word
	field string
}

// words gives every word of a sheet that is not empty, the names of mappings
// among them. What a circuit takes from elsewhere on the sheet stands there once.
func words(s *sheet.Sheet) []word {
	var all []word
	seen := map[form.Place]bool{}
	var walk func(v reflect.Value, field string)
	walk = func(v reflect.Value, field string) {
		switch {
		case v.Type() == reflect.TypeFor[form.Word]():
			if w := v.Interface().(form.Word); w.Text != "" && !seen[w.Place] {
				seen[w.Place] = true
				all = append(all, word{w, field})
			}
		case v.Kind() == reflect.Pointer && !v.IsNil():
			walk(v.Elem(), field)
		case v.Kind() == reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), field)
			}
		case v.Kind() == reflect.Struct:
			owner := strings.TrimPrefix(v.Type().Name(), "form.")
			for i := range v.NumField() {
				f := v.Type().Field(i)
				switch {
				case !f.IsExported():
				case strings.HasPrefix(owner, "Pair["):
					walk(v.Field(i), field)
				default:
					walk(v.Field(i), owner+"."+f.Name)
				}
			}
		}
	}
	walk(reflect.ValueOf(s), "")
	return all
}

// dangling gives the words that refer to nothing. It looks at names alone, not
// in the way the checker does.
func dangling(s *sheet.Sheet) []word {
	declared := map[string]map[string]bool{}
	for _, sort := range refers {
		declared[sort] = map[string]bool{}
	}
	declare := func(name string, sorts ...string) {
		for _, sort := range sorts {
			declared[sort][name] = true
		}
	}
	for _, w := range words(s) {
		switch w.field {
		case "Rail.Name", "Block.Outputs", "Outside.Signal":
			declare(w.Text, "signal")
		case "Point.Name":
			declare(w.Text, "point", "mark")
		case "Part.Name", "Block.Name", "Bank.Chips":
			declare(w.Text, "item", "mark")
		case "Part.Nodes":
			declare(w.Text, "node")
		case "Check.Answers":
			declare(w.Text, "answer")
		}
	}
	for _, p := range s.Parts {
		declare(p.Name.Text, "part")
	}
	for _, m := range s.Memories {
		for _, bank := range m.Banks {
			for bit := range bank.Chips {
				declare(fmt.Sprintf("%s bank %s bit %d", m.Name.Text, bank.Name.Text, bit), "signal")
			}
		}
	}
	for _, kind := range append(fault.Names(), "dc source", "mains source", "pulse source", "current source", "load") {
		declare(kind, "kind")
	}
	var lost []word
	for _, w := range words(s) {
		sort, known := refers[w.field]
		ok := declared[sort][w.Text]
		switch {
		case !known:
		case sort == "":
			ok = true
		case w.field == "Point.Signal": // a node of a circuit can be probed too
			ok = ok || declared["node"][w.Text]
		case sort == "kind":
			ok = declared["kind"][strings.ToLower(strings.TrimSpace(w.Text))]
		case sort == "family":
			_, err := metrology.FamilyLimits(w.Text)
			ok = err == nil
		case sort == "cause": // it begins with a name
			for i := range len(w.Text) + 1 {
				ok = ok || declared["item"][w.Text[:i]] || declared["signal"][w.Text[:i]]
			}
		}
		if !ok {
			lost = append(lost, w)
		}
	}
	return lost
}

// good gives the paths of sheets without fault.
func good(t testing.TB) []string {
	paths, err := filepath.Glob("../examples/*.sheet.yaml")
	if err != nil || len(paths) < 2 {
		t.Fatalf("examples: %v, %v", paths, err)
	}
	return append(paths, "testdata/whole.yaml")
}

// The table of references is complete, and the sheet with every section has a
// word in each of its fields.
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
			t.Errorf("no %s in testdata/whole.yaml", field)
		}
	}
}

// change is a word of a sheet with another in its place.
type change struct {
	word
	to string
}

// changed gives a text with words replaced, quotes kept, and the places where
// they then stand. The changes are in the order of the page.
func changed(text string, changes []change) (string, []form.Place) {
	lines := strings.Split(text, "\n")
	var places []form.Place
	line, shift := 0, 0
	for _, c := range changes {
		if c.Place.Line != line {
			line, shift = c.Place.Line, 0
		}
		runes := []rune(lines[line-1])
		at := c.Place.Column - 1 + shift
		places = append(places, form.Place{Line: line, Column: at + 1})
		if runes[at] == '"' {
			at++
		}
		n := len([]rune(c.Text))
		lines[line-1] = string(runes[:at]) + c.to + string(runes[at+n:])
		shift += len([]rune(c.to)) - n
	}
	return strings.Join(lines, "\n"), places
}

// references gives the words of a sheet that refer to others, in the order of
// the page.
func references(s *sheet.Sheet) []word {
	var all []word
	for _, w := range words(s) {
		if refers[w.field] != "" {
			all = append(all, w)
		}
	}
	slices.SortFunc(all, func(a, b word) int {
		if a.Place.Line != b.Place.Line {
			return a.Place.Line - b.Place.Line
		}
		return a.Place.Column - b.Place.Column
	})
	return all
}

// checkChanges checks that each change of a reference brings one problem, at its
// place, that names it.
func checkChanges(t interface{ Errorf(string, ...any) }, path, text string, changes []change) {
	wrong, places := changed(text, changes)
	_, err := sheet.Parse(path, []byte(wrong))
	found, _ := err.(form.Problems)
	if len(found) != len(changes) {
		t.Errorf("%d changes, but %d problems:\n%v", len(changes), len(found), found)
		return
	}
	for i, p := range found {
		if p.Place() != places[i] || !strings.Contains(p.Message, fmt.Sprintf("%q", changes[i].to)) {
			t.Errorf("%s %q is now %q at %v, but the problem is: %v", changes[i].field, changes[i].Text, changes[i].to, places[i], p)
		}
	}
}

// An unknown name, wherever it stands, brings one problem at its place.
func TestOneUnknownName(t *testing.T) {
	for _, path := range good(t) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, err := sheet.Parse(path, text)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range references(s) {
			checkChanges(t, path, string(text), []change{{w, "zzqq"}})
		}
	}
}

// Several unknown names bring as many problems, each at its place.
func TestSeveralUnknownNames(t *testing.T) {
	for _, path := range good(t) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, err := sheet.Parse(path, text)
		if err != nil {
			t.Fatal(err)
		}
		all := references(s)
		rapid.Check(t, func(t *rapid.T) {
			name := rapid.StringMatching(`zz[a-z0-9]{1,9}( [a-z]{1,5})?`)
			var changes []change
			for _, i := range slices.Sorted(slices.Values(rapid.SliceOfNDistinct(rapid.IntRange(0, len(all)-1), 1, 12, rapid.ID).Draw(t, "which"))) {
				changes = append(changes, change{all[i], name.Draw(t, "name")})
			}
			checkChanges(t, path, string(text), changes)
		})
	}
}
