package logbook_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/internal/drawn"
	"halfsplit/logbook"
	"halfsplit/quantity"
)

// sameCase compares cases and entries without their places.
var sameCase = drawn.Same(cmpopts.IgnoreUnexported(logbook.Case{}), cmp.AllowUnexported(logbook.Entry{}))

// Entries as they are kept: with the keys in the order of the format, the
// remarks last.
func TestLine(t *testing.T) {
	yes := true
	for _, c := range []struct {
		name  string
		entry logbook.Entry
		want  string
	}{
		{"a reading", logbook.Entry{
			Measure: []form.Word{{Text: "TP3"}}, Reads: []form.Word{{Text: "4.62 V"}},
			State: logbook.State{Minutes: &quantity.Quantity{Value: 720, Unit: quantity.Second}},
		}, "{measure: TP3, reads: 4.62 V, state: {on for: 12 min}}"},
		{"several at once", logbook.Entry{
			Measure: []form.Word{{Text: "TP1"}, {Text: "+5"}}, Reads: []form.Word{{Text: "4.62 V"}, {Text: "4.63 V"}}, Doubtful: true,
		}, `{measure: [TP1, "+5"], reads: [4.62 V, 4.63 V], doubtful: yes}`},
		{"a capacitor", logbook.Entry{
			Test: []form.Word{{Text: "C3"}}, ESR: &quantity.Quantity{Value: 0.31, Unit: quantity.Ohm}, How: logbook.OutOfCircuit, Seen: []logbook.Look{"bulged"},
		}, "{test: C3, how: out of circuit, esr: 0.31 Ω, seen: bulged}"},
		{"words with a meaning elsewhere", logbook.Entry{Note: "~", Who: "on", When: "1:30", Why: "# 3: it's a \"joint\", or\nso", State: logbook.State{Warm: &yes}},
			`{state: {warm: yes}, when: 1:30, who: on, why: "# 3: it's a \"joint\", or\nso", note: "~"}`},
		{"nothing", logbook.Entry{}, "{}"},
	} {
		if got := c.entry.Line(); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
	}
}

// An entry by itself, good and bad.
func TestParseEntry(t *testing.T) {
	e, err := logbook.ParseEntry("measure: TP3\nreads: 4.62 V\nstate: 12 min\n")
	if err != nil || e.Line() != "{measure: TP3, reads: 4.62 V, state: {on for: 12 min}}" {
		t.Errorf("%v, %v", e, err)
	}
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "", "1:1: the file is empty"},
		{"empty", "{}", "1:1: the entry does not say what was done; begin it with symptom, measure, test, look, check, swap, mend, soak, failed or note"},
		{"a slip", "{mesure: TP3, reads: 4.62 V}", `1:2: unknown key "mesure"; did you mean "measure"?`},
		{"nothing read", "{measure: TP3}", `1:1: the entry does not say what "measure" showed; add what it read, as in "reads: good" or "reads: 4.62 V"`},
		{"two things", "{swap: U4, mend: J2}", "1:1: the entry says two things: swap and mend; make it two entries"},
		{"a bare time", "{soak: 45}", `1:8: "soak": the time 45 has no unit; write 45 min, 45 s or 45 h`},
		{"never closed", "{note: a", `1:1: the "{" that opens here is never closed`},
		{"a list", "[a]", "1:1: the page must be a mapping, not a list"},
	} {
		e, err := logbook.ParseEntry(c.text)
		if e != nil || err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, %v; want %s", c.name, e, err, c.want)
		}
	}
}

// Every entry comes back from its line as it was, whatever is written in it;
// so does a whole case from its page.
func TestLineAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c logbook.Case
		drawn.Page(t, &c)
		drawn.Returns(t, &c, sameCase)
		for i := range c.Log {
			line := c.Log[i].Line()
			if strings.ContainsAny(line, "\r\n") {
				t.Fatalf("not one line: %q", line)
			}
			var e logbook.Entry
			if err := form.Read("p", []byte(line), &e); err != nil {
				t.Fatalf("%v\n%s", err, line)
			}
			if diff := cmp.Diff(c.Log[i], e, sameCase); diff != "" || e.Line() != line {
				t.Fatalf("%s\n%s\n(-source +read):\n%s", line, e.Line(), diff)
			}
		}
	})
}

// cases gives every case of the examples and of the tests that is without fault.
func cases(t *testing.T) map[string]*logbook.Case {
	paths, err := filepath.Glob("../examples/*.case.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	all := map[string]*logbook.Case{}
	for _, path := range append(paths, "testdata/whole.case.yaml") {
		c, _, err := logbook.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		all[path] = c
	}
	return all
}

// A case that was read, written as a page and read again, is the same case; so
// is one that is put together from its parts, each kept as a line.
func TestAssembled(t *testing.T) {
	for path, c := range cases(t) {
		_, s, err := logbook.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		page, err := form.Write(c)
		if err != nil {
			t.Fatal(err)
		}
		written, err := logbook.Parse(path, page, s)
		if err != nil {
			t.Fatalf("%v\n%s", err, page)
		}
		if diff := cmp.Diff(c, written, sameCase); diff != "" {
			t.Errorf("%s, written (-read +again):\n%s", path, diff)
		}
		var log []logbook.Entry
		for i := range c.Log {
			e, err := logbook.ParseEntry(c.Log[i].Line())
			if err != nil {
				t.Fatal(err)
			}
			log = append(log, *e)
		}
		together, err := logbook.Assemble(s, c.Sheet.Text, c.Unit, c.Meters, c.Proof, log...)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c, together, sameCase); diff != "" {
			t.Errorf("%s, put together (-read +again):\n%s", path, diff)
		}
		for i := range together.Log {
			if e := &together.Log[i]; e.Place != (form.Place{Line: i + 1, Column: 1}) {
				t.Errorf("%s: entry %d stands at %v", path, i+1, e.Place)
			}
		}
	}
}

// Mistakes in a case that was put together name the part that they are in.
func TestAssembledWithMistakes(t *testing.T) {
	note := func(text string) logbook.Entry { return logbook.Entry{Note: text} }
	entry := func(line string) logbook.Entry {
		var e logbook.Entry
		if err := form.Read("", []byte(line), &e); err != nil {
			t.Fatal(err)
		}
		return e
	}
	s := bench(t)
	for _, c := range []struct {
		name   string
		unit   logbook.Unit
		meters []logbook.Meter
		proof  logbook.Proof
		log    []logbook.Entry
		want   string
	}{
		{name: "an unknown name", log: []logbook.Entry{note("a"), note("b"), entry("{swap: C33, with: bench meter}")}, meters: []logbook.Meter{{Name: form.Word{Text: "DMM"}}},
			want: "entry:3:8: the sheet has no part or block \"C33\"; did you mean \"C3\"?\nentry:3:19: there is no meter \"bench meter\"; list it under meters, as in \"meter: bench meter\""},
		{name: "the tenth after the second", log: []logbook.Entry{note("a"), entry("{swap: X1}"), note("c"), note("d"), note("e"), note("f"), note("g"), note("h"), note("i"), entry("{mend: X2}")},
			want: "entry:2:8: the sheet has no part or block \"X1\""},
		{name: "says nothing", log: []logbook.Entry{note("a"), {}}, want: "entry:2:1: the entry does not say what was done"},
		{name: "not UTF-8", log: []logbook.Entry{note("a"), note("b"), {Swap: []form.Word{{Text: "C3\xff"}}}}, want: "entry:3:8: the sheet has no part or block \"C3\ufffd\"; did you mean \"C3\"?"},
		{name: "no number", log: []logbook.Entry{note("a"), {Soak: &quantity.Quantity{Value: -60, Unit: quantity.Second}}}, want: `entry:2:1: "soak" is -1 min; it cannot be below zero`},
		{name: "another unit", log: []logbook.Entry{{Soak: &quantity.Quantity{Value: 5, Unit: quantity.Volt}}}, want: `entry:1:10: "soak": cannot read "5 V": this is in volts; a time is wanted, such as 45 min`},
		{name: "a name twice", log: []logbook.Entry{entry("{note: a, entry: a1}"), entry("{note: b, entry: a1}")}, want: `entry:2:9: entry "a1" is already entry 1; give each its own name`},
		{name: "corrects a later one", log: []logbook.Entry{entry("{note: a, corrects: a1}"), entry("{note: b, entry: a1}")}, want: `entry:1:12: entry "a1" comes later, entry 2; an entry corrects one above it`},
		{name: "a year", unit: logbook.Unit{Year: 81}, want: "unit:1:1: 81 is no year of make"},
		{name: "meters", meters: []logbook.Meter{{Name: form.Word{Text: "DMM"}}, {Name: form.Word{Text: "DMM"}}, {}}, want: "meter:2:9: meter \"DMM\" is already meter 1; give each its own name\nmeter:3:9: \"meter\": value is empty; write it, such as bench meter"},
		{name: "proof", proof: logbook.Proof{Sure: &quantity.Quantity{Value: 1, Unit: quantity.Percent}}, want: `proof:1:1: "sure" is 100 %`},
	} {
		got, err := logbook.Assemble(s, "bench.sheet.yaml", c.unit, c.meters, c.proof, c.log...)
		if got != nil || err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

// FuzzParseEntry reads anything at all as an entry: nothing panics, and an entry
// without fault comes back from its line as it was.
func FuzzParseEntry(f *testing.F) {
	text, err := os.ReadFile("testdata/whole.case.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if entry, ok := strings.CutPrefix(line, "  - "); ok {
			f.Add(entry)
		}
	}
	for _, text := range []string{"", "{}", "{note: \"a\\nb\"}", "note: |\n  a\n  b", "{note: 'on', who: ~}", "{measure: [\"#\", ': '], reads: \"-\"}", "{note: \"\\u2028\"}", "{note: &a b}"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e, err := logbook.ParseEntry(text)
		if err != nil {
			if e != nil {
				t.Error("an entry beside problems")
			}
			return
		}
		line := e.Line()
		again, err := logbook.ParseEntry(line)
		if err != nil {
			t.Fatalf("%v\n%s", err, line)
		}
		if diff := cmp.Diff(e, again, sameCase); diff != "" || again.Line() != line {
			t.Fatalf("%s\n%s\n(-read +again):\n%s", line, again.Line(), diff)
		}
	})
}

// An assembled case is checked as fast as one on a page.
func BenchmarkAssemble(b *testing.B) {
	c, s, err := logbook.Load("../examples/p6-hum-and-voice-four.case.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := logbook.Assemble(s, c.Sheet.Text, c.Unit, c.Meters, c.Proof, c.Log...); err != nil {
			b.Fatal(err)
		}
	}
}
