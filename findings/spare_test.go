package findings_test

import (
	"strings"
	"testing"
)

// A suspect says what will serve in its place, from its marking, and when it was
// made by the date on it.
func TestSuspectSaysWhatWillServe(t *testing.T) {
	r := reason(t, `
sheet: 1
model: {year: 1981}
rails:
  - {rail: raw, nominal: 18 V, limits: ±15 %, ripple: 1 V}
parts:
  - {part: C9, kind: electrolytic, value: 2200 uF 25 V, across: raw, near: R1, date: 8712}
  - {part: R1, kind: resistor, value: 10R, power: 5 W}
blocks:
  - {block: T1, kind: transformer, out: raw}
`, `  - {measure: raw, reads: 12.1 V}
  - {measure: raw, reads: 6.5 V p-p}
`)
	found := false
	for _, s := range r.Suspects {
		if s.Name != "C9" {
			if s.Name == "T1" && s.Serves != "" {
				t.Error("no value tells what serves for a transformer:", s.Serves)
			}
			continue
		}
		found = true
		for _, want := range []string{"aluminium electrolytic: 2200 µF (1980 µF to 3300 µF)", "voltage at least 25 V", "temperature at least 105 °C"} {
			if !strings.Contains(s.Serves, want) {
				t.Errorf("%q does not say %q", s.Serves, want)
			}
		}
		if s.Dated != "week 12 of 1987: newer than the unit by 6 years: probably replaced" {
			t.Error(s.Dated)
		}
	}
	if !found {
		t.Error("C9 is no suspect", r.Suspects)
	}
}
