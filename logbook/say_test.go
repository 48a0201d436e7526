package logbook_test

import (
	"testing"

	"halfsplit/logbook"
	"halfsplit/sheet"
)

// TestSay tells entries in words.
func TestSay(t *testing.T) {
	s, err := sheet.Parse("s.yaml", []byte("sheet: 1\nrails:\n  - {rail: +5, nominal: 5 V}\ntestpoints:\n  - {point: TP3, signal: +5}\nparts:\n  - {part: C1, kind: electrolytic, value: 470 uF}\n  - {part: U12, kind: ram}\n"))
	if err != nil {
		t.Fatal(err)
	}
	for line, want := range map[string]string{
		`{measure: TP3, reads: 4.62 V, state: {on for: 12 min, warm: yes}}`:          "measured TP3: 4.62 V (warm, on for 12 min)",
		`{measure: TP3, reads: [4.6 V, 4.7 V], expect: 5.1 V, doubtful: yes}`:        "measured TP3: 4.6 V, 4.7 V (should be 5.1 V) (doubtful)",
		`{test: C1, capacitance: 325 uF, esr: 3.2 ohm, how: out of circuit}`:         "tested C1: 325 µF, ESR 3.2 Ω (out of circuit)",
		`{swap: U12, new: "4164 dated 8309", old: dated 8112, why: it warmed first}`: "replaced U12; in went 4164 dated 8309; out came dated 8112. Because: it warmed first",
		`{symptom: no picture}`:                         "complaint: no picture",
		`{symptom: goes dark, at: TP3, reads: absent}`:  "complaint: goes dark, at TP3: absent",
		`{failed: 14 min, note: by itself}`:             "ran 14 min, then the fault came. by itself",
		`{cold starts: 5}`:                              "cold starts without the fault: 5",
		`{note: the lid was cracked}`:                   "the lid was cracked",
		`{chill: U12, at: TP3, reads: good, state: on}`: "chilled U12, at TP3: good",
	} {
		c, err := logbook.Parse("c.yaml", []byte("case: 1\nsheet: s.yaml\nlog:\n  - "+line+"\n"), s)
		if err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if got := c.Log[0].Say(); got != want {
			t.Errorf("%s\n says %q\n want %q", line, got, want)
		}
	}
}
