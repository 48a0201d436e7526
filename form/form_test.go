package form_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Everything on a page, read into Go values with its places.
func TestRead(t *testing.T) {
	page := "sheet: 1\n" +
		"rails:\n" +
		"  +5: {nominal: 5 V, tolerance: ±5 %, limits: 4.75..5.25 V, feeds: [cpu, memory]}\n" +
		"parts:\n" +
		"  - {part: R7, kind: resistor, share: 0.25, spot: B4, pin: U3/14}\n" +
		"  - part: Q1\n" +
		"    kind: 7805\n" +
		"    pin: {part: Q1, number: 3}\n" +
		"blocks: [{name: a, level: '5'}, {name: b, level: 5}]\n"
	var read sheet
	if err := form.Read("p", []byte(page), &read); err != nil {
		t.Fatal(err)
	}
	at := func(line, column int) form.Place { return form.Place{Line: line, Column: column} }
	five, _ := read.Rails.Get("+5")
	for _, c := range []struct {
		name      string
		got, want any
	}{
		{"page", read.Place, at(1, 1)},
		{"rail", five.Place, at(3, 7)},
		{"name of the rail", read.Rails[0].Key, form.Word{Text: "+5", Place: at(3, 3)}},
		{"nominal", five.Nominal.String(), "5 V"},
		{"tolerance", five.Tolerance.String(), "±5 %"},
		{"limits", five.Limits.Contains(5.25) && !five.Limits.Contains(5.26), true},
		{"ripple is not given", five.Ripple == nil, true},
		{"feeds", five.Feeds[1], form.Word{Text: "memory", Place: at(3, 74)}},
		{"part", read.Parts[0].Part, form.Word{Text: "R7", Place: at(5, 12)}},
		{"place of a part", read.Parts[0].Place, at(5, 5)},
		{"place of an inner struct", read.Parts[0].part_.Place, at(5, 5)},
		{"place of a part in lines", read.Parts[1].Place, at(6, 5)},
		{"kind", read.Parts[1].Kind, kind("7805")},
		{"share", read.Parts[0].Share, 0.25},
		{"spot", read.Parts[0].Spot, spot{'B', 4}},
		{"pin in short", *read.Parts[0].Pin, pin{Place: at(5, 60), Part: form.Word{Text: "U3", Place: at(5, 60)}, Number: 14}},
		{"pin in full", *read.Parts[1].Pin, pin{Place: at(8, 10), Part: form.Word{Text: "Q1", Place: at(8, 17)}, Number: 3}},
		{"level in quotes", read.Tree[0].Level, level{"5", true}},
		{"level without", read.Tree[1].Level, level{"5", false}},
	} {
		if diff := cmp.Diff(c.want, c.got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// What could be read is there in spite of mistakes elsewhere.
func TestReadInSpiteOfMistakes(t *testing.T) {
	page := "sheet: one\nrales: {+5: {nominal: 5 V, ripple: lots, feeds: [a, [b], c]}}\nmodel: {maker: a\nparts:\n  - {kind: diode}\nnotes: [d, {}, e]\n"
	var read sheet
	err := form.Read("p", []byte(page), &read)
	if err == nil {
		t.Fatal("no problems")
	}
	five, ok := read.Rails.Get("+5")
	if !ok || five.Nominal.Value != 5 || five.Feeds[0].Text != "a" || five.Feeds[1].Text != "" || five.Feeds[2].Text != "c" {
		t.Errorf("rails: %+v", read.Rails)
	}
	if five.Ripple != nil {
		t.Errorf("ripple is %v, and could not be read", five.Ripple)
	}
	if len(read.Parts) != 1 || read.Parts[0].Kind != "diode" {
		t.Errorf("parts: %+v", read.Parts)
	}
	if diff := cmp.Diff([]string{"d", "", "e"}, read.Notes); diff != "" {
		t.Error(diff)
	}
	if read.Model != nil {
		t.Errorf("the part with the syntax error was read: %+v", read.Model)
	}
}

// A unit reaches the quantities of a list or mapping, not those inside a
// struct; types of one's own may be made of Pairs.
func TestUnitsAndOwnTypes(t *testing.T) {
	type end struct {
		Volts quantity.Quantity `form:"volts" unit:"V"`
		Any   quantity.Quantity `form:"any"`
		Next  *end              `form:"next" unit:"A"`
	}
	type levels form.Pairs[[]quantity.Quantity]
	var read struct {
		First  end    `form:"first" unit:"Ω"`
		Second end    `form:"second" unit:"Ω"`
		Levels levels `form:"levels" unit:"A"`
	}
	page := "first: {volts: 5, any: 3 A, next: {volts: 6}}\nsecond: {volts: 7, any: 4k7 ohm}\nlevels: {low: [1, 20 mA], high: []}\n"
	if err := form.Read("p", []byte(page), &read); err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprint(read.First.Volts, read.First.Any, read.First.Next.Volts, read.Second.Volts, read.Second.Any, read.Levels[0].Value, read.Levels[1].Key)
	if want := "5 V 3 A 6 V 7 V 4.7 kΩ [1 A 20 mA] high"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// Pages are read by many at once.
func TestReadAtOnce(t *testing.T) {
	text := boardText(20, true)
	want := form.Read("p", text, &board{})
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if diff := cmp.Diff(want, form.Read("p", text, &board{})); diff != "" {
				t.Error(diff)
			}
		})
	}
	wait.Wait()
}

func TestProblems(t *testing.T) {
	var none form.Problems
	if err := none.Err(); err != nil {
		t.Errorf("no problems are an error: %v", err)
	}
	var problems form.Problems
	problems.Add(form.Place{Line: 3, Column: 2}, "second", "")
	problems.Add(form.Place{Line: 1, Column: 9}, "first", "do this")
	problems.Add(form.Place{Line: 3, Column: 2}, "third", "")
	problems.Add(form.Place{Line: 3, Column: 2}, "second", "")
	problems.Add(form.Place{}, "of the whole", "")
	problems.Add(form.Place{Line: 2}, "of a line", "")
	const want = "a.yaml: of the whole\na.yaml:1:9: first; do this\na.yaml:2: of a line\na.yaml:3:2: second\na.yaml:3:2: third"
	err := problems.In("a.yaml").Err()
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if problems[0].File != "" {
		t.Error("In changed the list it was called on")
	}
	var one form.Problem
	if !errors.As(err, &one) || one.Message != "of the whole" {
		t.Errorf("the first problem is %v", one)
	}
	if got := (form.Problem{Message: "alone"}).Error(); got != "alone" {
		t.Errorf("got %q", got)
	}
}

func TestManyProblems(t *testing.T) {
	var problems form.Problems
	for i := range 60 {
		problems.Add(form.Place{Line: 60 - i, Column: 1}, "wrong", "")
	}
	lines := strings.Split(problems.Error(), "\n")
	if len(lines) != 51 || lines[0] != "1:1: wrong" || lines[49] != "50:1: wrong" || lines[50] != "and 10 more" {
		t.Errorf("%d lines: %q", len(lines), lines)
	}
}

func TestWordAndPairs(t *testing.T) {
	word := form.Word{Text: `a "b"`, Place: form.Place{Line: 1, Column: 2}}
	text, err := json.Marshal(map[string]form.Word{"w": word})
	if err != nil || string(text) != `{"w":"a \"b\""}` {
		t.Errorf("%s, %v", text, err)
	}
	var back map[string]form.Word
	if err := json.Unmarshal(text, &back); err != nil || back["w"].Text != word.Text {
		t.Errorf("%v, %v", back, err)
	}
	if got := fmt.Sprint(word); got != word.Text {
		t.Error(got)
	}
	pairs := form.Pairs[int]{{Key: form.Word{Text: "b"}, Value: 1}, {Key: form.Word{Text: "a"}, Value: 2}}
	if v, ok := pairs.Get("a"); v != 2 || !ok {
		t.Errorf("a: %v, %v", v, ok)
	}
	if v, ok := pairs.Get("c"); v != 0 || ok {
		t.Errorf("c: %v, %v", v, ok)
	}
	var order []string
	for key, value := range pairs.All() {
		order = append(order, fmt.Sprint(key, value))
		if value == 2 {
			break
		}
	}
	if diff := cmp.Diff([]string{"b 1", "a 2"}, order); diff != "" {
		t.Error(diff)
	}
}

// The names of the trade and how they are mistyped; what is near is a matter of
// taste, so these cases are the taste. Common practice, no source.
func TestNearest(t *testing.T) {
	keys := []string{"tolerance", "value", "rated", "nodes", "near", "power", "age", "part", "kind", "max-age"}
	for _, c := range []struct {
		word  string
		known []string
		want  string
	}{
		{"tolerence", keys, "tolerance"},
		{"toleranec", keys, "tolerance"},
		{"tol", keys, "tolerance"},
		{"Value", keys, "value"},
		{"valeu", keys, "value"},
		{"node", keys, "nodes"},
		{"pwr", keys, ""},
		{"max_age", keys, "max-age"},
		{"max age", keys, "max-age"},
		{"colour", keys, ""},
		{"n", keys, ""},
		{"", keys, ""},
		{"value", nil, ""},
		{"Capacitor", []string{"capacitor", "resistor"}, "capacitor"},
		{"r7", []string{"R1", "R7"}, "R7"},
		{"R8", []string{"R1", "R7"}, ""},
		{"R12", []string{"R13", "R14"}, ""},
		{"R1O", []string{"R10", "R20"}, "R10"},
		{"R21", []string{"R10", "R12"}, "R12"},
		{"re", []string{"reservoir", "resistor"}, ""},
		{"res", []string{"reservoir", "resistor"}, ""},
		{"resi", []string{"reservoir", "resistor"}, "resistor"},
		{strings.Repeat("a", 1000), []string{strings.Repeat("a", 999)}, ""},
	} {
		if got := form.Nearest(c.word, c.known); got != c.want {
			t.Errorf("Nearest(%q, %q) = %q, want %q", c.word, c.known, got, c.want)
		}
	}
}

func TestSuggest(t *testing.T) {
	many := strings.Split("a b c d e f g h i j k l m n", " ")
	for _, c := range []struct {
		word  string
		known []string
		want  string
	}{
		{"vlaue", []string{"value"}, `did you mean "value"?`},
		{"zzzz", []string{"value", "rated"}, "known here: value, rated"},
		{"zzzz", many, "known here: a, b, c, d, e, f, g, h, i, j, k, l and 2 more"},
		{"zzzz", nil, ""},
	} {
		if got := form.Suggest(c.word, c.known); got != c.want {
			t.Errorf("Suggest(%q): %q, want %q", c.word, got, c.want)
		}
	}
}
