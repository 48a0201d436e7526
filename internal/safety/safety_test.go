package safety_test

import (
	"slices"
	"strings"
	"testing"

	"halfsplit/hazard"
	"halfsplit/internal/safety"
	"halfsplit/sheet"
)

// hazards lists the names of what a sheet holds.
func hazards(t *testing.T, text string, mains float64) []string {
	t.Helper()
	s, err := sheet.Parse("bench.yaml", []byte("sheet: 1\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, h := range hazard.Find(s.Safety(mains)) {
		list = append(list, h.Name)
	}
	return list
}

// TestFromSheet: what is found in parts, circuits and blocks of a sheet, each
// thing once.
func TestFromSheet(t *testing.T) {
	for _, c := range []struct {
		what, text string
		mains      float64
		want       []string
	}{
		{"nothing", "", 0, nil},
		{"a unit on the mains", "", 230, []string{"mains"}},
		{"the sheet's mains", "model: {mains: 120 V}\n", 0, []string{"mains"}},
		{"a mains source in a circuit", "circuits:\n  s:\n    ground: g\n    parts:\n      - {part: inlet, kind: mains source, value: 230 V, nodes: [a, g]}\n      - {part: R1, kind: resistor, value: 1k, nodes: [a, g]}\n", 0, []string{"mains"}},
		{"a reservoir named twice", "rails: [{rail: high, nominal: 300 V}]\nparts: [{part: C1, kind: electrolytic, value: 47 uF 400 V, across: high}]\ncircuits:\n  s:\n    ground: g\n    parts:\n      - {part: C1, nodes: [high, g]}\n      - {part: V, kind: dc source, value: 300 V, nodes: [high, g]}\n", 0, []string{"charge in C1"}},
		{"between the nodes of a circuit", "rails: [{rail: high, nominal: -300 V}]\ncircuits:\n  s:\n    ground: g\n    parts:\n      - {part: C1, kind: electrolytic, value: 47 uF 400 V, nodes: [g, high]}\n      - {part: V, kind: dc source, value: 300 V, nodes: [g, high]}\n", 0, []string{"charge in C1"}},
		{"a coupling capacitor", "parts: [{part: C1, kind: film, value: 100 nF 400 V}]\n", 0, nil},
		{"a tube as a block", "blocks: [{block: V1, kind: picture tube, out: picture}]\n", 0, []string{"picture tube V1"}},
		{"a cell", "parts: [{part: B1, kind: battery, value: 3.6 V}]\n", 0, []string{"battery B1"}},
	} {
		if got := hazards(t, c.text, c.mains); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}

// TestUnanswered: what is not known is asked for, and what cannot be is refused.
func TestUnanswered(t *testing.T) {
	s, err := sheet.Parse("bench.yaml", []byte("sheet: 1\nmodel: {mains: 230 V}\nhazards: [{hazard: can, kind: stored energy}]\nrails: [{rail: \"+5\", nominal: 5 V, load: 1 A, least load: 2 A}]\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := safety.Assess(s, safety.Answers{}); err == nil || !strings.Contains(err.Error(), "less than its least load") {
		t.Errorf("least load above the normal load: %v", err)
	}
	s.Rails = nil
	r, err := safety.Assess(s, safety.Answers{})
	missing := ""
	if err == nil {
		missing = strings.Join(r.Missing, "\n")
	}
	for _, want := range []string{`what "can" can hold`, "the protection class", "what the unit takes from the mains"} {
		if !strings.Contains(missing, want) {
			t.Errorf("%q is not asked for: %q, %v", want, missing, err)
		}
	}
}
