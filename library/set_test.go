package library_test

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"halfsplit/library"
	"halfsplit/sheet"
)

// regulated is a sheet in both styles of writing, with comments, and a circuit at
// rest, which is solved at once.
const regulated = `# a rail by a zener
sheet: 1
model:
  name: rail          # beside the relay
  mains: 230 V

hazards:
  - {hazard: store, kind: stored energy, parts: C1, capacitance: 2200 uF, voltage: 24 V, at: in}

rails:
  - {rail: in, nominal: 24 V}
  - {rail: out, nominal: 12 V, limits: 11.4..12.6 V, from: in, through: R1, load: 20 mA}

parts:
  - part: R1 # the dropper
    kind: resistor
    value: 330R ±5 %
  - {part: C1, kind: electrolytic, value: "2200 uF 35 V", across: in}
  - {part: Q1, kind: power transistor, rated: [60 V, 4 A]}
  - {part: D1, kind: zener, value: 12 V, across: out} # warm

circuits:
  supply:
    ground: gnd
    parts:
      - {part: feed, kind: dc source, value: 24 V, nodes: [in, gnd]}
      - {part: C1, nodes: [in, gnd]}
      - {part: R1, nodes: [in, out]}
      - {part: D1, nodes: [gnd, out]}
      - {part: Q1, nodes: [in, follower base, follower]}
      - {part: R2, kind: resistor, value: 1k, nodes: [out, follower base]}
      - {part: R3, kind: resistor, value: 1k, nodes: [follower, gnd]}
      - part: load
        kind: load
        nodes: [out, gnd]
        settings: {current: 20 mA, voltage: 12 V}

testpoints:
  - {point: emitter, signal: follower, expect: 11.2 V}
`

// changed gives the lines that a change makes different.
func changed(t *testing.T, changes ...string) string {
	t.Helper()
	text, err := library.Set(context.Background(), "a.sheet.yaml", []byte(regulated), changes)
	if err != nil {
		t.Fatalf("%v: %v", changes, err)
	}
	if _, err := sheet.Parse("a.sheet.yaml", text); err != nil {
		t.Fatal(err)
	}
	before, after := strings.Split(regulated, "\n"), strings.Split(string(text), "\n")
	var list []string
	for len(after) > 0 {
		switch {
		case len(before) > 0 && before[0] == after[0]:
			before, after = before[1:], after[1:]
		case len(after) > len(before): // one more line
			list, after = append(list, strings.TrimSpace(after[0])), after[1:]
		default:
			list = append(list, strings.TrimSpace(after[0]))
			before, after = before[1:], after[1:]
		}
	}
	return strings.Join(list, "\n")
}

// TestSet: what is set, in all ways of writing it, and what follows from it; all
// other lines stay as they are.
func TestSet(t *testing.T) {
	for _, c := range []struct {
		name    string
		changes []string
		lines   string
	}{
		{"the tolerance behind a value stays", []string{"value of R1 = 390R"}, "value: 390R ±5 %"},
		{"a value with its tolerance", []string{"R1 = 390R ±1 %"}, "value: 390R ±1 %"},
		{"a rating behind a value", []string{"rated of C1 = 50 V"}, `- {part: C1, kind: electrolytic, value: 2200 uF 50 V, across: in}`},
		{"a value in quotes, and the charge that a hazard tells of", []string{"c1 value=4700 uF"},
			"- {hazard: store, kind: stored energy, parts: C1, capacitance: 4700 uF, voltage: 24 V, at: in}\n- {part: C1, kind: electrolytic, value: 4700 uF 35 V, across: in}"},
		{"one of several ratings", []string{"rated of Q1 = 10 A"}, "- {part: Q1, kind: power transistor, rated: [60 V, 10 A]}"},
		{"a rating more", []string{"rated of Q1 = 40 W"}, "- {part: Q1, kind: power transistor, rated: [60 V, 4 A, 40 W]}"},
		{"a setting that is not there yet", []string{"slope resistance of D1 = 8R"}, "- {part: D1, kind: zener, value: 12 V, across: out, settings: {slope resistance: 8R}} # warm"},
		{"a setting beside others", []string{"tolerance of load = ±20 %"}, "tolerance: ±20 %"},
		{"a key that is not there yet, in a block", []string{"power of R1 = 1 W"}, "power: 1 W"},
		{"a word that needs quotes", []string{"note of out = from: pin 3, hot"}, `- {rail: out, nominal: 12 V, limits: 11.4..12.6 V, from: in, through: R1, load: 20 mA, note: "from: pin 3, hot"}`},
		{"the model by its key alone", []string{"mains = 115 V"}, "mains: 115 V"},
		{"a load takes its rail along", []string{"load of out = 10 mA"}, "- {rail: out, nominal: 12 V, limits: 11.4..12.6 V, from: in, through: R1, load: 10 mA}\nsettings: {current: 10 mA, voltage: 12 V}"},
		{"what a zener makes, and what follows it", []string{"D1 = 6.2 V", "load = 10 mA"},
			"- {rail: out, nominal: 6.2 V, limits: 5.89..6.51 V, from: in, through: R1, load: 10 mA}\n" +
				"- {part: D1, kind: zener, value: 6.2 V, across: out} # warm\n" +
				"settings: {current: 10 mA, voltage: 6.2 V}\n- {point: emitter, signal: follower, expect: 5.6 V}"},
		{"what was set follows nothing", []string{"D1 = 12.4 V", "expect of emitter = 11.5 V", "limits of out = ±5 %"},
			"- {rail: out, nominal: 12.4 V, limits: ±5 %, from: in, through: R1, load: 20 mA}\n" +
				"- {part: D1, kind: zener, value: 12.4 V, across: out} # warm\n" +
				"settings: {current: 20 mA, voltage: 12.4 V}\n- {point: emitter, signal: follower, expect: 11.5 V}"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := changed(t, c.changes...); got != c.lines {
				t.Errorf("changed\n%s\nwant\n%s", got, c.lines)
			}
		})
	}
}

// TestSetTransformer: windings one by one; the mains of the unit takes primary and
// inlet along, and leaves the rails where they are.
func TestSetTransformer(t *testing.T) {
	text, err := library.Copy(context.Background(), "three-terminal", []string{"T1 secondary = 12 V", "mains = 115 V", "out = 8 V", "value of C1 = 6800 uF"})
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"voltages: 115 V / 12 V", "mains: 115 V\n", "kind: mains source, value: 115 V", "rail: out, nominal: 8 V", "part: U1, kind: regulator, value: 8 V", "current: 1 A, voltage: 8 V", "value: 6800 uF 25 V", "point: T1 primary, signal: primary, expect: 115 VAC"} {
		if !bytes.Contains(text, []byte(line)) {
			t.Errorf("no %q in\n%s", line, text)
		}
	}
	again, err := library.Set(context.Background(), "again.sheet.yaml", text, []string{"T1 secondary = 9 V", "mains of model = 230 V", "U1 = 5 V", "C1 = 4700 uF"})
	if err != nil {
		t.Fatal(err)
	}
	original, _, _ := library.Open("three-terminal")
	if diff := different(original, again); len(diff) > 4 { // rounding to three digits
		t.Errorf("there and back again differs:\n%s", strings.Join(diff, "\n"))
	}
}

// different lists the lines of b that are not those of a.
func different(a, b []byte) (list []string) {
	before := strings.Split(string(a), "\n")
	for i, line := range strings.Split(string(b), "\n") {
		if i >= len(before) || before[i] != line {
			list = append(list, line)
		}
	}
	return list
}

// TestSetRefused: what cannot be set is refused with the reason and what would be
// right.
func TestSetRefused(t *testing.T) {
	for _, c := range []struct{ change, want string }{
		{"C7 = 3 uF", `nothing on the sheet is called "C7"`},
		{"value of C11 = 3 uF", `nothing on the sheet is called "C11"; did you mean "C1"?`},
		{"vale of C1 = 3 uF", `C1 has no value "vale" that can be set; did you mean "value"?`},
		{"nodes of C1 = a", `C1 has no value "nodes" that can be set`},
		{"across of C1 = out", `C1 has no value "across" that can be set`},
		{"C1", "it sets nothing"},
		{"= 3 uF", "does not say what to set"},
		{"C1 =", "it has no value"},
		{"C1 = 1 uF\n  odds: 3", "goes over several lines"},
		{"C1 = 22 V", "this is in volts; a capacitance is wanted"},
		{"C1 = -3 uF", "write a value above zero"},
		{"Q1 = 3", `it does not say which value of Q1 to set`},
		{"gain of Q1 = much", `"gain"`},
		{"store = 3", "it does not say which value of store to set"},
		{"out = 20 V", "with these values the circuit gives"},
		{"load = 60 mA", "with these values the circuit gives"},
	} {
		_, err := library.Set(context.Background(), "a.sheet.yaml", []byte(regulated), []string{c.change})
		var wrong *library.Wrong
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.change, err)
		}
	}
	if _, err := library.Set(context.Background(), "a.sheet.yaml", []byte("sheet: 1\nrails: 3\n"), []string{"C1 = 3 uF"}); err == nil || !strings.Contains(err.Error(), "a.sheet.yaml:2") {
		t.Errorf("a sheet with a mistake: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := library.Copy(ctx, "series-pass", []string{"C1 = 2200 uF"}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// TestValues: every value that a sheet of the library shows can be set to what it is
// already, which changes nothing.
func TestValues(t *testing.T) {
	for _, name := range []string{"three-terminal-dual", "zener-shunt"} {
		text, s, err := library.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		values, err := library.Values(s.File(), text)
		if err != nil || len(values) < 10 {
			t.Fatalf("%d values, %v", len(values), err)
		}
		var changes []string
		for _, v := range values {
			changes = append(changes, v.Name()+" = "+v.Text)
		}
		same, err := library.Copy(context.Background(), name, changes)
		if err != nil {
			t.Fatal(err)
		}
		if diff := different(text, same); len(diff) > 0 {
			t.Errorf("%s: set to what they are, they differ:\n%s", name, strings.Join(diff, "\n"))
		}
	}
}

// FuzzSet: whatever is typed, there is a sheet without mistakes or an error.
func FuzzSet(f *testing.F) {
	for _, change := range []string{"value of C1 = 2200 uF", "C1 = 1 uF 16 V", "rated of Q1 = 3 W", "T1 secondary = 18 V", "limits of out = ±2 %", "note of out = \"a: b", "mains=", " of = ", "R1 = 330R ±5 %\t#", "type of Q1 = ' }] , {", "load = 1 mA"} {
		f.Add(change)
	}
	f.Fuzz(func(t *testing.T, change string) {
		text, err := library.Set(context.Background(), "a.sheet.yaml", []byte(regulated), []string{change})
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a word")
			}
			return
		}
		if _, err := sheet.Parse("a.sheet.yaml", text); err != nil {
			t.Errorf("%q: %v\n%s", change, err, text)
		}
	})
}
