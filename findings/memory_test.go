package findings_test

import (
	"fmt"
	"strings"
	"testing"

	"halfsplit/findings"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// screen is a memory of two banks with its strobes and supplies.
const screen = `
sheet: 1
rails:
  - {rail: "+5", nominal: 5 V, family: TTL}
  - {rail: "-5", nominal: -5 V, limits: ±10 %}
blocks:
  - {block: U50, kind: chip, out: [ras, cas], supply: "+5"}
  - {block: U51, kind: chip, out: mux, supply: "+5"}
  - {block: U70, kind: chip, in: [main bank 0 bit 0, main bank 0 bit 1, main bank 0 bit 2, main bank 0 bit 3, main bank 1 bit 2], out: dots, supply: "+5"}
memories:
  - memory: main
    type: 64×1
    in: [ras, cas, mux]
    supply: ["+5", "-5"]
    banks: [{bank: 0, chips: [U10, U11, U12, U13]}, {bank: 1, chips: [U20, U21, U22, U23]}]
testpoints:
  - {point: picture, signal: dots, expect: text, reach: outside}
`

// failing writes an entry with failures at every address of a range, in bits.
func failing(from, to int, mask int) string {
	var b strings.Builder
	b.WriteString("  - memory: main\n    failures:\n")
	for at := from; at <= to; at++ {
		fmt.Fprintf(&b, "      - %02X F %X\n", at, 0xF&^mask)
	}
	return b.String()
}

// TestMemoryNamesTheChip: failing accesses and statements of a self-test rank
// chips, and what they look like is reported beside.
func TestMemoryNamesTheChip(t *testing.T) {
	const garbled = "  - {symptom: wrong letters, at: picture, reads: garbled}\n"
	for what, entry := range map[string]string{
		"list":      failing(0x40, 0x7F, 4),
		"statement": "  - {memory: main, says: bit 2 bank 1}\n",
	} {
		r := reason(t, screen, garbled+entry)
		before := suspicion(reason(t, screen, garbled), "U22")
		if p := suspicion(r, "U22"); p < 0.85 {
			t.Errorf("%s: U22 has %.2f, before it %.2f; %v", what, p, before, names(r))
		}
		if len(r.Memories) != 1 || r.Memories[0].Answer.Diagnosis.Causes[0].What != "U22" {
			t.Errorf("%s: %+v", what, r.Memories)
		}
	}
}

// TestMemoryClearsTheChips: when every bit of both banks fails, the trouble is
// what they share.
func TestMemoryClearsTheChips(t *testing.T) {
	r := reason(t, screen, "  - {symptom: wrong letters, at: picture, reads: garbled}\n  - {memory: main, says: mask F}\n")
	chips := 0.0
	for _, s := range r.Suspects {
		if strings.HasPrefix(s.Name, "U1") || strings.HasPrefix(s.Name, "U2") {
			chips = max(chips, s.Probability)
		}
	}
	if d := r.Memories[0].Answer.Diagnosis; d.Outside < 0.9 || chips > 0.2 {
		t.Errorf("outside %.2f, a chip has %.2f: %v", d.Outside, chips, names(r))
	}
}

// TestMemoryFirstOnly: a test that stops at its first failure clears none of the
// chips that it did not name.
func TestMemoryFirstOnly(t *testing.T) {
	read := func(says string) *findings.Report {
		return reason(t, screen, "  - {symptom: wrong letters, at: picture, reads: garbled}\n  - {memory: main, says: "+says+"}\n")
	}
	whole, first := read("bit 2 bank 0"), read("first bit 2 bank 0")
	if a, b := suspicion(whole, "U13"), suspicion(first, "U13"); b <= a {
		t.Errorf("U13 has %.4f after a whole test, %.4f after one that stopped", a, b)
	}
}

// TestMemoryPasses: a test that passed speaks for every chip of its memory and
// what all of them need, and not for what reads them; with what fails in one
// breath it is refused.
func TestMemoryPasses(t *testing.T) {
	const garbled = "  - {symptom: wrong letters, at: picture, reads: garbled}\n"
	before, after := reason(t, screen, garbled), reason(t, screen, garbled+"  - {memory: main, says: passes}\n")
	for _, covered := range []string{"U10", "U22", "U51"} { // U51 drives the address lines of all chips
		a, b := suspicion(before, covered)/suspicion(before, "U70"), suspicion(after, covered)/suspicion(after, "U70")
		if !(b < a/5) {
			t.Errorf("%s is %.3g times as likely as U70, which the test does not cover, before it passed, and %.3g after", covered, a, b)
		}
	}
	s, err := sheet.Parse("sheet.yaml", []byte(screen))
	if err != nil {
		t.Fatal(err)
	}
	_, err = logbook.Parse("case.yaml", []byte("case: 1\nsheet: sheet.yaml\nlog:\n  - {memory: main, says: [passes, bit 2]}\n"), s)
	if err == nil || !strings.Contains(err.Error(), "two entries") {
		t.Errorf("passes and bit 2 in one entry: %v", err)
	}
}
