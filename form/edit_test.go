package form_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v4"

	"halfsplit/form"
)

// typedPage is a page as a person leaves it.
const typedPage = `# The unit from the loft.
sheet: 1   # the format
model:
  maker: Ostrel
  name: 'VT-9'     # on the plate

  year: 1981
rails:
  # measured cold
  "+5": {nominal: 5 V, feeds: [cpu, "a, b"], limits: 4.75..5.25 V}  # the logic
  +12: {nominal: 12 V}
parts:
  - {part: R7, kind: resistor}   # hot
  # the reservoir
  - part: C1
    kind: electrolytic
    nodes: [raw,
      gnd]  # minus to gnd
  - {part: C2, kind: diode, pin: {part: U3, number: 14}}
notes: |
  first line

  second line
codes:
`

// One change on the page, as lines that go and lines that come.
func TestEdit(t *testing.T) {
	set := func(value any, path ...string) func([]byte) ([]byte, error) {
		return func(page []byte) ([]byte, error) { return form.Set(page, value, path...) }
	}
	add := func(value any, path ...string) func([]byte) ([]byte, error) {
		return func(page []byte) ([]byte, error) { return form.Append(page, value, path...) }
	}
	remove := func(path ...string) func([]byte) ([]byte, error) {
		return func(page []byte) ([]byte, error) { return form.Remove(page, path...) }
	}
	r9 := &part{part_: part_{Part: form.Word{Text: "R9"}}, Kind: "resistor"}
	for _, c := range []struct {
		name string
		do   func([]byte) ([]byte, error)
		want string
	}{
		{"a value", set("2", "sheet"), "-sheet: 1   # the format\n+sheet: 2   # the format\n"},
		{"a value in quotes that needs none", set("VT-10", "model", "name"), "-  name: 'VT-9'     # on the plate\n+  name: VT-10     # on the plate\n"},
		{"a number in quotes stays in quotes", set("0417", "model", "name"), "-  name: 'VT-9'     # on the plate\n+  name: \"0417\"     # on the plate\n"},
		{"a value in braces", set("5.1 V", "rails", "+5", "nominal"),
			"-  \"+5\": {nominal: 5 V, feeds: [cpu, \"a, b\"], limits: 4.75..5.25 V}  # the logic\n+  \"+5\": {nominal: 5.1 V, feeds: [cpu, \"a, b\"], limits: 4.75..5.25 V}  # the logic\n"},
		{"a value that needs quotes", set("a: b # c", "model", "maker"), "-  maker: Ostrel\n+  maker: \"a: b # c\"\n"},
		{"an item by its name", set("diode", "parts", "C1", "kind"), "-    kind: electrolytic\n+    kind: diode\n"},
		{"an item by a key", set("resistor", "parts", "kind: diode", "kind"), "-  - {part: C2, kind: diode, pin: {part: U3, number: 14}}\n+  - {part: C2, kind: resistor, pin: {part: U3, number: 14}}\n"},
		{"an item by its number", set("X, 1", "rails", "+5", "feeds", "#1"),
			"-  \"+5\": {nominal: 5 V, feeds: [cpu, \"a, b\"], limits: 4.75..5.25 V}  # the logic\n+  \"+5\": {nominal: 5 V, feeds: [\"X, 1\", \"a, b\"], limits: 4.75..5.25 V}  # the logic\n"},
		{"a new key", set("yes", "model", "mains"), "+  mains: yes\n"},
		{"a new key in braces", set("50 mV", "rails", "+12", "ripple"), "-  +12: {nominal: 12 V}\n+  +12: {nominal: 12 V, ripple: 50 mV}\n"},
		{"a new key behind a list over two lines", set("0.25", "parts", "C1", "share"), "+    share: 0.25\n"},
		{"new keys within each other", set("3", "parts", "C1", "pin", "number"), "+    pin: {number: 3}\n"},
		{"below an empty key", set("16", "codes", "1"), "-codes:\n+codes: {\"1\": 16}\n"},
		{"a text of several lines", set("a\nb", "notes"), "-notes: |\n-  first line\n-\n-  second line\n+notes: \"a\\nb\"\n"},
		{"a list", set([]string{"raw", "out, 2"}, "parts", "C1", "nodes"), "-    nodes: [raw,\n-      gnd]  # minus to gnd\n+    nodes: [raw, \"out, 2\"]  # minus to gnd\n"},
		{"a struct", set(&pin{Part: form.Word{Text: "U3"}, Number: 2}, "parts", "C1", "pin"), "+    pin: {part: U3, number: 2}\n"},
		{"one more item", add(r9, "parts"), "+  - {part: R9, kind: resistor}\n"},
		{"one more in brackets", add("x#y", "rails", "+5", "feeds"),
			"-  \"+5\": {nominal: 5 V, feeds: [cpu, \"a, b\"], limits: 4.75..5.25 V}  # the logic\n+  \"+5\": {nominal: 5 V, feeds: [cpu, \"a, b\", x#y], limits: 4.75..5.25 V}  # the logic\n"},
		{"one more over two lines", add("sense", "parts", "C1", "nodes"), "-      gnd]  # minus to gnd\n+      gnd, sense]  # minus to gnd\n"},
		{"the first of a list", add("cpu", "rails", "+12", "feeds"), "-  +12: {nominal: 12 V}\n+  +12: {nominal: 12 V, feeds: [cpu]}\n"},
		{"the first of a list of mappings", add(&block{Name: form.Word{Text: "clock"}}, "blocks"), "+blocks:\n+  - {name: clock}\n"},
		{"a key goes", remove("model", "name"), "-  name: 'VT-9'     # on the plate\n"},
		{"a key in braces goes", remove("rails", "+5", "feeds"),
			"-  \"+5\": {nominal: 5 V, feeds: [cpu, \"a, b\"], limits: 4.75..5.25 V}  # the logic\n+  \"+5\": {nominal: 5 V, limits: 4.75..5.25 V}  # the logic\n"},
		{"the first in braces goes", remove("parts", "C2", "part"), "-  - {part: C2, kind: diode, pin: {part: U3, number: 14}}\n+  - {kind: diode, pin: {part: U3, number: 14}}\n"},
		{"the only one goes", remove("rails", "+12", "nominal"), "-  +12: {nominal: 12 V}\n+  +12: {}\n"},
		{"an item goes", remove("parts", "C1"), "-  - part: C1\n-    kind: electrolytic\n-    nodes: [raw,\n-      gnd]  # minus to gnd\n"},
		{"behind a dash", remove("parts", "C1", "part"), "-  - part: C1\n-    kind: electrolytic\n+  - kind: electrolytic\n"},
		{"a whole section goes", remove("notes"), "-notes: |\n-  first line\n-\n-  second line\n"},
	} {
		for _, ends := range []string{"\n", "\r\n"} {
			page := "\ufeff" + strings.ReplaceAll(typedPage, "\n", ends)
			got, err := c.do([]byte(page))
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			after := strings.ReplaceAll(string(got), ends, "\n")
			if ends == "\r\n" && strings.Contains(after, "\r") {
				t.Errorf("%s: line ends differ: %q", c.name, got)
			}
			if diff := difference("\ufeff"+typedPage, after); diff != c.want {
				t.Errorf("%s: changed\n%swant\n%s", c.name, diff, c.want)
			}
		}
	}
}

// difference gives the lines between the common beginning and end of two texts.
func difference(before, after string) string {
	a, b := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	var s strings.Builder
	for _, line := range a {
		s.WriteString("-" + line)
	}
	for _, line := range b {
		s.WriteString("+" + line)
	}
	return s.String()
}

// What cannot be changed is said with its place, and a suggestion.
func TestEditRefused(t *testing.T) {
	for _, c := range []struct {
		name, page string
		path       []string
		want       string
	}{
		{"no such part", typedPage, []string{"parts", "C3", "kind"}, `13:3: there is no "C3" here; known here: R7, C1, C2`},
		{"a slip", typedPage, []string{"parts", "r7", "kind"}, `13:3: there is no "r7" here; did you mean "R7"?`},
		{"no such item", typedPage, []string{"parts", "#9", "kind"}, `13:3: there is no "#9" here`},
		{"below a value", typedPage, []string{"sheet", "x"}, `2:8: there is no "x" here`},
		{"no path", typedPage, nil, `1:1: the path is empty; name a key`},
		{"twice", "parts: [{part: A}, {part: A}]", []string{"parts", "A", "kind"}, `1:20: there are two of the name "A"; the first is at line 1; name it by its number in the list, as in "#2"`},
		{"an alias", "a: &x {b: 1}\nc: *x\n", []string{"c", "b"}, `2:4: this is used in several places of the page, by an anchor and aliases; change it by hand`},
		{"an anchor", "a: &x {b: 1}\nc: *x\n", []string{"a", "b"}, `1:4: this is used in several places of the page, by an anchor and aliases; change it by hand`},
		{"a syntax error", "a: [b\nc: 1\n", []string{"c"}, `1:4: the "[" that opens here is never closed`},
		{"no mapping", "- a\n", []string{"c"}, `1:1: the page has no keys`},
		{"nothing", "", []string{"c"}, `1:1: the page has no keys`},
		{"not text", "a: \x00", []string{"a"}, `1:4: the control character U+0000 cannot stand on a page; delete it`},
	} {
		page, err := form.Set([]byte(c.page), "x", c.path...)
		var problems form.Problems
		if page != nil || !errors.As(err, &problems) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %q, %v, want %s", c.name, page, err, c.want)
		}
	}
	if _, err := form.Remove([]byte(typedPage), "model", "nmae"); err == nil || err.Error() != `4:3: there is no "nmae" here; did you mean "name"?` {
		t.Error(err)
	}
	if _, err := form.Append([]byte(typedPage), "x", "model"); err == nil || !strings.HasPrefix(err.Error(), "4:3: this is no list") {
		t.Error(err)
	}
}

// Wherever something stands on the pages of the examples, it can be changed, and
// taken away, and a list be made longer, with all other lines left as they were.
func TestEditEverywhere(t *testing.T) {
	for _, file := range []string{"p6.sheet.yaml", "drawer.yaml"} {
		page, err := os.ReadFile("../examples/" + file)
		if err != nil {
			t.Fatal(err)
		}
		var document yaml.Node
		if err := yaml.Unmarshal(page, &document); err != nil {
			t.Fatal(err)
		}
		lines := strings.Count(string(page), "\n")
		each(document.Content[0], nil, func(n *yaml.Node, path []string) {
			if len(path) == 0 {
				return
			}
			for _, text := range []string{"x, y: # z", "plain"} {
				changed, err := form.Set(page, text, path...)
				if err != nil {
					t.Errorf("%s: %q: %v", file, path, err)
				} else if n.Kind == yaml.ScalarNode && strings.Count(difference(string(page), string(changed)), "\n") != 2 {
					t.Errorf("%s: %q:\n%s", file, path, difference(string(page), string(changed)))
				}
			}
			if removed, err := form.Remove(page, path...); err != nil || strings.Count(string(removed), "\n") > lines {
				t.Errorf("%s: %q: %v", file, path, err)
			}
			if n.Kind == yaml.SequenceNode {
				if longer, err := form.Append(page, "x, y: # z", path...); err != nil || strings.Count(difference(string(page), string(longer)), "\n") > 2 {
					t.Errorf("%s: %q: %v", file, path, err)
				}
			}
		})
	}
}

// each visits the nodes of a page, every fifth of a long list, with their paths.
func each(n *yaml.Node, path []string, visit func(*yaml.Node, []string)) {
	visit(n, path)
	for i, child := range n.Content {
		switch {
		case n.Kind == yaml.SequenceNode && (i < 2 || i%5 == 0):
			each(child, append(path[:len(path):len(path)], fmt.Sprintf("#%d", i+1)), visit)
		case n.Kind == yaml.MappingNode && i%2 == 1:
			each(child, append(path[:len(path):len(path)], n.Content[i-1].Value), visit)
		}
	}
}

// FuzzEdit changes any page anywhere. Nothing panics, and a page that was changed
// says what it said before but for the one value.
func FuzzEdit(f *testing.F) {
	f.Add([]byte(typedPage), "a: b", uint16(7))
	for _, page := range pagesOf(f) {
		f.Add(page, "x", uint16(11))
	}
	for _, page := range []string{"a: [[b], {c: d}]", "? a\n: b\n", "a:\n- - b\n  - c\n-\n  d: 1\n", "a: 'it''s'\nb: \"\\\"\"\n", "a: >-\n\n  b\n\nc: |+\n d\n\n", "a: b\n  c\n   d\n", "{a: , b}", "a: &x b\nc: *x", "a: [ # c\n b, # d ]\n ]"} {
		f.Add([]byte(page), "~", uint16(3))
	}
	f.Add([]byte("heet: 1\nrails:\n  +5:\n    nominal: 5 V\n?"), "x", uint16(11))
	f.Add([]byte("?"), "1\xdfA\xff\x00\x00\x00\xd2~\xd2\x10", uint16(1))
	f.Add([]byte("et: 1\nparts:\n  - {part:R7, kind: resistor}\n  - {part R resistor}"), " ", uint16(58))
	f.Fuzz(func(t *testing.T, page []byte, value string, which uint16) {
		var document yaml.Node
		if len(page) > 1<<12 || yaml.Unmarshal(page, &document) != nil || len(document.Content) == 0 {
			return
		}
		var paths [][]string
		each(document.Content[0], nil, func(_ *yaml.Node, path []string) { paths = append(paths, path) })
		path := paths[int(which)%len(paths)]
		if changed, err := form.Set(page, value, path...); err == nil {
			twice, err := form.Set(changed, value, path...)
			if err != nil || !bytes.Equal(changed, twice) {
				t.Errorf("%q: set twice: %v\n%s", path, err, cmp.Diff(string(changed), string(twice)))
			}
		}
		for _, edit := range []func() ([]byte, error){
			func() ([]byte, error) { return form.Remove(page, path...) },
			func() ([]byte, error) { return form.Append(page, value, path...) },
		} {
			if changed, err := edit(); err == nil {
				if err := yaml.Unmarshal(changed, &document); err != nil {
					t.Errorf("%q: %v\n%s", path, err, changed)
				}
			}
		}
	})
}
