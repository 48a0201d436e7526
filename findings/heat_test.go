package findings_test

import (
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/findings"
)

// TestKindsTooHot: every kind with a limit is a kind of part.
func TestKindsTooHot(t *testing.T) {
	for name := range findings.TooHot {
		if kind, known := fault.Find(name); !known || kind.Name != name {
			t.Errorf("%q is no kind of part", name)
		}
	}
}

// TestHotPart: the temperature of a part's case speaks like the word hot where no
// sound part of its kind gets as hot, and says why it says little elsewhere.
func TestHotPart(t *testing.T) {
	text := `sheet: 1
model: {name: logic}
rails:
  - {rail: "+5", nominal: 5 V}
blocks:
  - {block: U1, kind: chip, in: input, out: middle, supply: "+5"}
  - {block: U2, kind: chip, in: middle, out: output, supply: "+5"}
  - {block: end, kind: stage, in: output, out: sound, supply: "+5", parts: [R1]}
parts:
  - {part: R1, kind: power resistor, value: 10R}
outside:
  - {signal: input}
`
	const wrong = "  - {measure: output, reads: absent}\n"
	usual := reason(t, text, wrong)
	word := reason(t, text, wrong+"  - {test: U2, reads: too hot, how: in operation}\n")
	number := reason(t, text, wrong+"  - {test: U2, reads: 105 °C}\n")
	if a, b := suspicion(usual, "U2"), suspicion(number, "U2"); b < 1.1*a {
		t.Errorf("at 105 °C U2 is suspect with %v, %v without", b, a)
	}
	if a, b := suspicion(word, "U2"), suspicion(number, "U2"); a != b {
		t.Errorf("U2 is suspect with %v when too hot and with %v at 105 °C", a, b)
	}
	for read, why := range map[string]string{
		"{test: U2, reads: 41 °C}":                       "says little",
		"{test: R1, reads: 140 °C}":                      "not known",
		"{test: U2, reads: 105 °C, state: {power: off}}": "power off",
	} {
		r := reason(t, text, wrong+"  - "+read+"\n")
		if len(r.Unused) != 1 || !strings.Contains(r.Unused[0].Why, why) {
			t.Errorf("%s: unused is %+v", read, r.Unused)
		}
		if a, b := suspicion(usual, "U2"), suspicion(r, "U2"); a != b {
			t.Errorf("%s moves U2 from %v to %v", read, a, b)
		}
	}
}
