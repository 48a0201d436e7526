package findings_test

import (
	"slices"
	"strings"
	"testing"
)

// TestCareOnTheMainsSide: what is chilled, pressed or read at mains potential or
// at stored charge carries the word to make it dead and measure first, also when
// the hazard is answered; the rest of the unit does not.
func TestCareOnTheMainsSide(t *testing.T) {
	const fades = `
  - {symptom: fades, at: audio, reads: absent, state: warm}
  - {measure: s3, reads: good, state: warm}
`
	hazards := func(one string) string { return chain + "hazards:\n  - " + one + "\n" }
	for _, c := range []struct {
		name, sheet, log string
		covered          []string // where what is proposed is live
	}{
		{"nothing of the kind", chain, fades, nil},
		{"stored energy in a part", hazards("{hazard: store, kind: stored energy, before: probing, parts: [stage 4]}"), "  - {safe: store}\n" + fades + "  - {measure: s4, reads: absent, state: warm}\n", []string{"stage 4"}},
		{"hot chassis at a signal", hazards("{hazard: live, kind: hot chassis, at: [s4]}"), "  - {safe: live}\n" + fades, []string{"s4", "stage 4", "stage 5"}},
		{"heat shocks nobody", hazards("{hazard: heatsink, kind: heat, parts: [stage 4]}"), "  - {safe: heatsink}\n" + fades, nil},
		{"mains by its name", strings.ReplaceAll(chain, "s4", "primary drive"), fades, []string{"stage 4", "stage 5"}},
	} {
		r := reason(t, c.sheet, c.log)
		told := 0
		for _, p := range r.Tests {
			want := slices.Contains(c.covered, p.At)
			if got := strings.Contains(p.Care, "measure that it is empty"); got != want {
				t.Errorf("%s: %q says %q", c.name, p.Test, p.Care)
			}
			if want {
				told++
			}
			if strings.HasPrefix(p.Test, "chill") && want && !strings.Contains(p.Care, "flammable") {
				t.Errorf("%s: %q says %q", c.name, p.Test, p.Care)
			}
		}
		if told == 0 && c.covered != nil {
			t.Errorf("%s: nothing live is proposed", c.name)
		}
		if r.Advice.Do == "test" && r.Advice.What == r.Tests[0].Test && r.Advice.Care != r.Tests[0].Care {
			t.Errorf("%s: the advice says %q, the proposal %q", c.name, r.Advice.Care, r.Tests[0].Care)
		}
	}
}
