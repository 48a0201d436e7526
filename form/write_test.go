package form_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/internal/drawn"
)

// apart compares what was read with what was written: all but the places.
var apart = drawn.Same(cmp.AllowUnexported(part{}))

// Whatever can stand on a page comes back from it as it was; the same page is
// written again. A struct comes back from its line too.
func TestWriteAndRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var source, line sheet
		drawn.Page(t, &source)
		drawn.Returns(t, &source, apart)
		one := form.Line(&source)
		if strings.ContainsAny(one, "\r\n") {
			t.Fatalf("not one line: %q", one)
		}
		if err := form.Read("p", []byte(one), &line); err != nil {
			t.Fatalf("%v\n%s", err, one)
		}
		if diff := cmp.Diff(source, line, apart); diff != "" {
			t.Fatalf("%s\n(-source +read):\n%s", one, diff)
		}
	})
}

// What a person wrote, written by the program: the house style.
func TestHouseStyle(t *testing.T) {
	const typed = `sheet: 1
model: {maker: "Ostrel", name: 'VT-9', year: 1981, mains: true}
rails:
  '+5': {nominal: 5, tolerance: 5 %, feeds: [cpu]}
  -12: {nominal: -12 V, limits: -13.2 to -10.8 V, ripple: 0.05 V, steps: [], feeds: [processor board, memory board, video board]}
parts:
  - part: R7
    kind: resistor
    nodes: [raw, "gnd", "a, b"]
    pin: U3/14
blocks: [{name: a, inside: [{name: b}]}]
notes: "0417"
codes: {"1": 0x10, on: 2}
`
	const want = `sheet: 1
model: {maker: Ostrel, name: VT-9, year: 1981, mains: yes}

rails:
  "+5": {nominal: 5 V, tolerance: ±5 %, feeds: cpu}
  "-12":
    nominal: -12 V
    limits: -13.2..-10.8 V
    ripple: 50 mV
    feeds: [processor board, memory board, video board]

parts:
  - {part: R7, kind: resistor, nodes: [raw, gnd, "a, b"], pin: {part: U3, number: 14}}

blocks:
  - name: a
    inside:
      - {name: b}

notes: "0417"
codes: {"1": 16, on: 2}
`
	var read sheet
	if err := form.Read("p", []byte(typed), &read); err != nil {
		t.Fatal(err)
	}
	got, err := form.Write(&read)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// What cannot stand on a page is refused by name, and the page is given all the
// same.
func TestCannotBeWritten(t *testing.T) {
	good := func() sheet { return sheet{Sheet: 1} }
	for _, c := range []struct {
		name   string
		change func(*sheet)
		want   string
	}{
		{"not UTF-8", func(s *sheet) { s.Notes = []string{"a", "b\xff"} }, `"notes", item 2 cannot stand on a page as it is; text is UTF-8, and a number is finite`},
		{"no number", func(s *sheet) {
			s.Parts = []part{{part_: part_{Part: form.Word{Text: "R1"}}, Kind: "diode", Share: math.NaN()}}
		}, `4:36: "share": "NaN" is not a number; write a number such as 0.5`},
		{"a missing key", func(s *sheet) { s.Model = &model{Maker: "Ostrel"} }, `2:30: "name": value is empty; write it, such as VT-9`},
		{"an item of nothing", func(s *sheet) { s.Notes = []string{""} }, `2:8: "notes": value is empty`},
		{"the same key twice", func(s *sheet) {
			s.Codes = form.Pairs[int]{{Key: form.Word{Text: "a"}}, {Key: form.Word{Text: "a"}}}
		}, `2:15: the key "a" is given twice; the first is at line 2; keep one of the two`},
		{"another choice", func(s *sheet) { s.Parts = []part{{part_: part_{Part: form.Word{Text: "R1"}}, Kind: "valve"}} }, `4:22: "kind": unknown word "valve"`},
	} {
		s := good()
		c.change(&s)
		page, err := form.Write(&s)
		var problems form.Problems
		if !errors.As(err, &problems) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s\n%s", c.name, err, c.want, page)
		}
		if !strings.HasPrefix(string(page), "sheet: 1\n") {
			t.Errorf("%s: no page: %q", c.name, page)
		}
	}
}

// Targets that are no pages are a mistake in the program.
func TestWriteTargets(t *testing.T) {
	for _, target := range []any{nil, sheet{}, (*sheet)(nil), new(string)} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%T was written", target)
				}
			}()
			form.Line(target)
		}()
	}
}

// FuzzWrite reads a page, writes what was read and reads that: all is as it was,
// and written again it is the same page.
func FuzzWrite(f *testing.F) {
	for _, page := range pagesOf(f) {
		f.Add(page)
	}
	for _, text := range []string{"a\\nb", "\\u2028", "\\x00", "#", "a # b", "on", "~", "1:30", "<<", "\\ufeff", "\\U0001F525"} {
		f.Add([]byte("sheet: 1\nnotes: [\"" + text + "\"]\ncodes: {\"" + text + "\": 1}\n"))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var first, second sheet
		if form.Read("fuzz.yaml", text, &first) != nil {
			return
		}
		page, err := form.Write(&first)
		if err != nil {
			t.Fatalf("%v\n%s", err, page)
		}
		if err := form.Read("fuzz.yaml", page, &second); err != nil {
			t.Fatalf("%v\n%s", err, page)
		}
		if diff := cmp.Diff(first, second, apart, cmp.Comparer(func(a, b level) bool { return a.Text == b.Text })); diff != "" {
			t.Fatalf("%s(-read +written and read):\n%s", page, diff)
		}
		if again, err := form.Write(&second); err != nil || string(again) != string(page) {
			t.Fatalf("written again: %v\n%s", err, cmp.Diff(string(page), string(again)))
		}
	})
}
