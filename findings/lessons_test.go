package findings_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"halfsplit/findings"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// reason draws findings from a sheet and the log entries of a case.
func reason(t *testing.T, sheetText, log string) *findings.Report {
	t.Helper()
	s, err := sheet.Parse("sheet.yaml", []byte(sheetText))
	if err != nil {
		t.Fatal(err)
	}
	c, err := logbook.Parse("case.yaml", []byte("case: 1\nsheet: sheet.yaml\nlog:\n"+log), s)
	if err != nil {
		t.Fatal(err)
	}
	r, err := findings.Reason(context.Background(), c, s, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// suspicion is the probability of a suspect, 0 when it is not listed.
func suspicion(r *findings.Report, name string) float64 {
	for _, s := range r.Suspects {
		if s.Name == name {
			return s.Probability
		}
	}
	return 0
}

func texts(r *findings.Report) string {
	var b strings.Builder
	for _, d := range r.Disputes {
		b.WriteString(d.Text + "\n")
	}
	for _, u := range r.Unused {
		b.WriteString(u.Why + "\n")
	}
	return b.String()
}

// chain is an audio path of five stages on one supply, with parts in the
// third.
const chain = `
sheet: 1
rails:
  - {rail: "+12", nominal: 12 V, limits: ±5 %, ripple: 20 mV, from: raw, through: [U9]}
  - {rail: raw, nominal: 18 V, limits: ±15 %}
parts:
  - {part: U9, kind: regulator}
  - {part: C9, kind: electrolytic, value: 100 uF 25 V, across: "+12"}
  - {part: R3, kind: carbon resistor, value: 10k, tolerance: ±10 %}
  - {part: C3, kind: electrolytic, value: 10 uF 25 V}
  - {part: Q3, kind: transistor}
outside: [tape head]
blocks:
  - {block: stage 1, kind: op-amp, in: tape head, out: s1, supply: "+12"}
  - {block: stage 2, kind: op-amp, in: s1, out: s2, supply: "+12"}
  - {block: stage 3, kind: stage, in: s2, out: s3, supply: "+12", parts: [R3, C3, Q3]}
  - {block: stage 4, kind: op-amp, in: s3, out: s4, supply: "+12"}
  - {block: stage 5, kind: op-amp, in: s4, out: audio, supply: "+12"}
testpoints:
  - {point: audio, expect: music, reach: outside}
`

// TestHalfSplit is the oldest rule of the bench: with nothing known but that
// the end of a chain is dead, the reading in the middle tells most, and each
// answer clears one half.
func TestHalfSplit(t *testing.T) {
	dead := "  - {symptom: silent, at: audio, reads: absent}\n"
	dead += "  - {measure: raw, reads: 18 V}\n  - {measure: \"+12\", reads: 12.0 V}\n"
	r := reason(t, chain, dead)
	if at := r.Tests[0].At; at != "s2" && at != "s3" {
		t.Errorf("first test is at %q, want the middle of the chain", at)
	}
	r = reason(t, chain, dead+"  - {measure: s2, reads: good}\n")
	for _, before := range []string{"stage 1", "stage 2", "tape head", "U9"} {
		if p := suspicion(r, before); p > 0.03 {
			t.Errorf("%s lies before a good reading and still has %.0f %%", before, 100*p)
		}
	}
	after := 0.0
	for _, name := range []string{"R3", "C3", "Q3", "rest of stage 3", "stage 4", "stage 5"} {
		after += suspicion(r, name)
	}
	if after < 0.75 {
		t.Errorf("what lies after the good reading has %.2f together, want most", after)
	}
}

// TestSeveralFaults: two symptoms that no single part explains need two.
func TestSeveralFaults(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: hum and no music, at: audio, reads: absent}
  - {measure: "+12", reads: 12.0 V}
  - {measure: "+12", reads: 340 mV p-p}
  - {measure: s3, reads: good}
  - {measure: s4, reads: absent}
  - {test: C9, capacitance: 9 uF, esr: 22 ohm, how: out of circuit}
`)
	if a, b := suspicion(r, "C9"), suspicion(r, "stage 4"); a < 0.9 || b < 0.6 {
		t.Errorf("C9 %.2f and stage 4 %.2f, want both", a, b)
	}
	if len(r.Sets) == 0 || len(r.Sets[0].Items) != 2 {
		t.Errorf("first explanation %v, want two items", r.Sets)
	}
}

// TestRerankAfterFix: after a part is replaced, the symptom that remains ranks
// what remains.
func TestRerankAfterFix(t *testing.T) {
	log := `
  - {symptom: hum and no music, at: audio, reads: absent}
  - {measure: "+12", reads: 340 mV p-p}
  - {test: C9, capacitance: 9 uF, esr: 22 ohm, how: out of circuit}
  - {swap: C9}
  - {measure: "+12", reads: 3 mV p-p}
  - {measure: audio, reads: absent}
`
	r := reason(t, chain, log)
	if p := suspicion(r, "C9"); p != 0 {
		t.Errorf("C9 was replaced and is still suspect with %.2f", p)
	}
	if len(r.Replaced) != 1 || r.Replaced[0].Needed < 0.9 {
		t.Errorf("C9 was bad: %+v", r.Replaced)
	}
	if r.Clear > 0.05 {
		t.Errorf("still silent, yet clear with %.2f", r.Clear)
	}
	r = reason(t, chain, log+"  - {measure: s3, reads: good}\n  - {measure: s4, reads: absent}\n  - {swap: stage 4}\n  - {measure: audio, reads: music}\n")
	if r.Clear < 0.9 || r.Advice.Do != "prove" {
		t.Errorf("all is well: clear %.2f, advice %q", r.Clear, r.Advice.Do)
	}
}

// TestReadingsKnowTheirState: good cold and bad warm points to a thermal fault, and
// goes together with it; good and bad in the same state is a contradiction.
func TestReadingsKnowTheirState(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: fades, at: audio, reads: absent, state: {on for: 20 min}}
  - {measure: audio, reads: music, state: {on for: 1 min}}
  - {measure: s3, reads: good, state: {on for: 20 min}}
  - {measure: s4, reads: absent, state: {on for: 21 min}}
`)
	if len(r.Suspects) == 0 || r.Suspects[0].Name != "stage 4" || !strings.Contains(r.Suspects[0].Mode, "warm") {
		t.Errorf("first suspect %+v, want stage 4 when warm", r.Suspects)
	}
	if len(r.Disputes) > 0 {
		t.Errorf("the change with warmth is what stage 4 does:\n%s", texts(r))
	}
	r = reason(t, chain, `
  - {symptom: silent, at: audio, reads: absent}
  - {measure: s3, reads: good}
  - {measure: s3, reads: absent}
`)
	if !strings.Contains(texts(r), "in the same state") {
		t.Errorf("the contradiction is not reported:\n%s", texts(r))
	}
}

// TestDCMeterAveragesRipple: a rail that reads right on DC is not cleared of
// hum; read on AC it is.
func TestDCMeterAveragesRipple(t *testing.T) {
	hum := "  - {symptom: hum, at: audio, reads: hum}\n"
	before := suspicion(reason(t, chain, hum), "C9")
	dc := suspicion(reason(t, chain, hum+"  - {measure: \"+12\", reads: 12.0 V}\n"), "C9")
	word := suspicion(reason(t, chain, hum+"  - {measure: \"+12\", reads: good, state: {meter on: DC}}\n"), "C9")
	ac := suspicion(reason(t, chain, hum+"  - {measure: \"+12\", reads: 4 mV p-p}\n"), "C9")
	if word < 0.6*before {
		t.Errorf("the word good off a DC meter took C9 from %.3f to %.3f", before, word)
	}
	if dc < 0.6*before {
		t.Errorf("a DC reading took C9 from %.3f to %.3f", before, dc)
	}
	if ac > 0.4*before {
		t.Errorf("a clean AC reading left C9 at %.3f of %.3f", ac, before)
	}
}

// TestRailWithoutLoad: a rail that is right without its load may fall with it.
func TestRailWithoutLoad(t *testing.T) {
	weak := "  - {symptom: weak, at: audio, reads: low}\n"
	loaded := suspicion(reason(t, chain, weak+"  - {measure: \"+12\", reads: 12.0 V}\n"), "U9")
	unloaded := suspicion(reason(t, chain, weak+"  - {measure: \"+12\", reads: 12.0 V, state: {load: none}}\n"), "U9")
	if unloaded < 2*loaded {
		t.Errorf("U9: %.3f after a reading without load, %.3f with", unloaded, loaded)
	}
}

// TestCapacitanceAloneClearsNothing: in tolerance, but whose ESR was not read.
func TestCapacitanceAloneClearsNothing(t *testing.T) {
	hum := "  - {symptom: hum, at: audio, reads: hum}\n"
	alone := suspicion(reason(t, chain, hum+"  - {test: C9, capacitance: 104 uF, how: out of circuit}\n"), "C9")
	both := suspicion(reason(t, chain, hum+"  - {test: C9, capacitance: 104 uF, esr: 0.2 ohm, frequency: 100 kHz, leakage: 3 uA, volts: 25 V, how: out of circuit}\n"), "C9")
	if alone < 2*both {
		t.Errorf("C9: %.3f with its capacitance read, %.3f with its ESR too", alone, both)
	}
}

// TestInCircuitResistor: above its marking is proof, below is none.
func TestInCircuitResistor(t *testing.T) {
	dead := "  - {symptom: silent, at: audio, reads: absent}\n  - {measure: s2, reads: good}\n  - {measure: s3, reads: absent}\n"
	none := suspicion(reason(t, chain, dead), "R3")
	above := suspicion(reason(t, chain, dead+"  - {test: R3, reads: 14.8k}\n"), "R3")
	r := reason(t, chain, dead+"  - {test: R3, reads: 6.1k}\n")
	below := suspicion(r, "R3")
	if above < 0.9 {
		t.Errorf("R3 reads high in circuit: %.2f, want proof", above)
	}
	if below > 1.05*none || below < 0.95*none || !strings.Contains(texts(r), "no proof") {
		t.Errorf("R3 reads low in circuit: %.3f, want as before, %.3f", below, none)
	}
}

// TestColdTestDoesNotClearThermal: powered and unpowered readings that disagree
// point to a part that fails when warm; the test of the cold part cannot clear
// it, and cold spray names it.
func TestColdTestDoesNotClearThermal(t *testing.T) {
	log := `
  - {symptom: fades, at: audio, reads: absent, state: {on for: 20 min}}
  - {measure: audio, reads: music, state: {on for: 1 min}}
  - {measure: s2, reads: good, state: {on for: 20 min}}
  - {measure: s3, reads: absent, state: {on for: 20 min}}
  - {test: Q3, reads: good, how: out of circuit}
`
	tested := suspicion(reason(t, chain, log), "Q3")
	if tested < 0.15 {
		t.Errorf("a cold test cleared Q3: %.2f", tested)
	}
	r := reason(t, chain, log+"  - {chill: Q3, at: audio, reads: good, state: {on for: 21 min}}\n")
	if q3 := suspicion(r, "Q3"); q3 < 0.6 || r.Suspects[0].Name != "Q3" || q3 < 4*r.Suspects[1].Probability {
		t.Errorf("cold spray on Q3 brought the sound back: %.2f, next %+v", q3, r.Suspects[1])
	}
}

// TestGuard: before a swap, what was shown and what was not stands beside it.
func TestGuard(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: silent, at: audio, reads: absent}
  - {measure: s3, reads: good}
  - {measure: s4, reads: absent}
`)
	if r.Guard == nil || r.Guard.Item != "stage 4" {
		t.Fatalf("guard %+v, want stage 4", r.Guard)
	}
	want := map[string]string{"input s3 good": "shown", "supply +12 good at the pin": "not shown", "output s4 bad": "shown"}
	for _, p := range r.Guard.Points {
		if want[p.What] != p.Word {
			t.Errorf("%s: %s, want %s", p.What, p.Word, want[p.What])
		}
	}
	if !strings.Contains(r.Guard.Proves, "change nothing else") {
		t.Errorf("the guard does not say what the swap would prove: %s", r.Guard.Proves)
	}
}

// TestNotDescribed: when nothing in the sheet explains what was read, the
// answer is that, not an innocent part.
func TestNotDescribed(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: silent, at: audio, reads: absent}
  - {measure: s1, reads: absent}
  - {measure: s2, reads: good}
  - {measure: s3, reads: absent}
  - {measure: s4, reads: good}
  - {measure: "+12", reads: 12.0 V}
  - {measure: raw, reads: 31 V}
  - {test: stage 1, reads: good, how: out of circuit}
  - {test: Q3, reads: good, how: out of circuit}
  - {test: R3, reads: 10.1k, how: out of circuit}
  - {test: stage 5, reads: good, how: out of circuit}
`)
	if r.Beyond < 0.5 || r.Advice.Do != "look beyond" {
		t.Errorf("not described %.2f, advice %q; suspects %+v", r.Beyond, r.Advice.Do, r.Suspects)
	}
}

// TestTrustOfLimits: the limits come from the sheet, then the family of the
// load, then common practice, and the verdict says which.
func TestTrustOfLimits(t *testing.T) {
	rails := `
sheet: 1
rails:
  - {rail: A, nominal: 5 V, limits: ±2 %, family: TTL}
  - {rail: B, nominal: 5 V, family: TTL}
  - {rail: C, nominal: 5 V}
`
	r := reason(t, rails, "  - {measure: A, reads: 5.00 V}\n  - {measure: B, reads: 5.00 V}\n  - {measure: C, reads: 5.00 V}\n")
	want := []struct {
		low    float64
		source string
	}{{4.9, "the sheet"}, {4.75, "SN74"}, {4.75, "common practice"}}
	for i, v := range r.Verdicts {
		if diff := *v.Low - want[i].low; diff > 1e-9 || diff < -1e-9 || !strings.Contains(v.Source, want[i].source) {
			t.Errorf("%s: low limit %v from %q, want %v from %q", v.At, *v.Low, v.Source, want[i].low, want[i].source)
		}
	}
}

// TestNothingRead: an empty log asks for a symptom and accuses nobody.
func TestNothingRead(t *testing.T) {
	r := reason(t, chain, "  - {note: arrived today}\n")
	if r.Advice.Do != "record a symptom" {
		t.Errorf("advice %+v", r.Advice)
	}
}

// TestInk: a corrected entry no longer counts.
func TestInk(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: silent, at: audio, reads: absent}
  - {measure: s3, reads: absent, entry: a}
  - {measure: s3, reads: good, corrects: a}
`)
	if strings.Contains(texts(r), "same state") {
		t.Error("a corrected reading still contradicts")
	}
	if p := suspicion(r, "stage 1"); p > 0.03 {
		t.Errorf("stage 1 lies before a good reading and has %.2f", p)
	}
}

// TestHazardHoldsUp: an unanswered hazard comes before anything else. A unit
// marked as powered before one that kills was answered is refused, unless the
// log owns up to it; for others it is pointed out.
func TestHazardHoldsUp(t *testing.T) {
	const silent = "  - {symptom: silent, at: audio, reads: absent}\n"
	kills := chain + "hazards:\n  - {hazard: mains filter, kind: mains capacitor, do: replace it}\n"
	s, err := sheet.Parse("sheet.yaml", []byte(kills))
	if err != nil {
		t.Fatal(err)
	}
	for _, powered := range []string{
		"{measure: s3, reads: good}", "{soak: 1 h}", "{failed: 5 min}", "{cold starts: 2}",
		"{chill: Q3, at: audio, reads: good}", "{piggyback: stage 5, at: audio, reads: good}",
	} {
		_, err := logbook.Parse("case.yaml", []byte("case: 1\nsheet: sheet.yaml\nlog:\n"+silent+"  - "+powered+"\n"), s)
		if err == nil || !strings.Contains(err.Error(), `case.yaml:5:5: the unit is marked as powered here, but the hazard "mains filter" (mains capacitor) is not answered`) {
			t.Errorf("%s: %v", powered, err)
		}
	}
	const read = "  - {measure: s3, reads: good}\n"
	r := reason(t, kills, silent+"  - {safe: mains filter}\n"+read)
	if r.Advice.First != "" || len(r.Forbidden) > 0 || len(r.Tests) == 0 {
		t.Errorf("answered, yet: %q, %+v", r.Advice.First, r.Forbidden)
	}
	reason(t, kills, silent+"  - {test: Q3, reads: good, state: {power: off}}\n") // powers nothing

	r = reason(t, kills, silent+"  - {accept: mains filter, why: the owner had run it all week}\n"+read)
	if !strings.Contains(r.Advice.First, "mains filter") || !r.Hazards[0].Accepted || r.Hazards[0].Answered || len(r.Forbidden) == 0 {
		t.Errorf("accepted is not answered: %+v, forbidden %+v", r.Hazards, r.Forbidden)
	}
	battery := chain + "hazards:\n  - {hazard: cell, kind: battery, do: take it out}\n"
	if r = reason(t, battery, silent+read); !strings.Contains(texts(r), "powered here before the hazard \"cell\"") {
		t.Errorf("not pointed out:\n%s", texts(r))
	}
}

// TestForbiddenTests: no test is proposed that an unanswered hazard forbids, the
// ones left out are said with the reason, and they come back once it is
// answered.
func TestForbiddenTests(t *testing.T) {
	const silent = "  - {symptom: silent, at: audio, reads: absent}\n"
	powered := func(test string) bool {
		return !strings.HasPrefix(test, "lift") && !strings.HasPrefix(test, "take out")
	}
	for _, one := range []struct {
		what, hazard, answer string
		allowed              func(p findings.Proposal) bool
	}{
		{"before power: only what is done with the power off", "{hazard: cap, kind: mains capacitor}", "cap",
			func(p findings.Proposal) bool { return !powered(p.Test) }},
		{"a tube kills whatever step it names", "{hazard: tube, kind: picture tube, before: probing, parts: [Q3]}", "tube",
			func(p findings.Proposal) bool { return !powered(p.Test) }},
		{"before opening: only what is seen from outside", "{hazard: cell, kind: battery, before: opening}", "cell",
			func(p findings.Proposal) bool { return p.At == "audio" }},
		{"before probing: no hand and no probe inside", "{hazard: store, kind: stored energy, before: probing}", "store",
			func(p findings.Proposal) bool { return p.At == "audio" }},
		{"before probing, on one rail: the rest is free", "{hazard: store, kind: stored energy, before: probing, parts: [C9], at: [\"+12\"]}", "store",
			func(p findings.Proposal) bool {
				return p.At != "C9" && p.At != "+12" && p.At != "U9" && !strings.HasPrefix(p.At, "stage") // all but the signals live on +12
			}},
	} {
		r := reason(t, chain+"hazards:\n  - "+one.hazard+"\n", silent)
		for _, p := range r.Tests {
			if !one.allowed(p) {
				t.Errorf("%s: %q is proposed", one.what, p.Test)
			}
		}
		if len(r.Forbidden) == 0 || len(r.Forbidden[0].Tests) == 0 || r.Forbidden[0].Hazard != one.answer || r.Forbidden[0].Why == "" {
			t.Errorf("%s: nothing is said to be left out: %+v", one.what, r.Forbidden)
		}
		if len(r.Tests) == 0 && (r.Advice.Do != "make safe" || r.Advice.What != one.answer) {
			t.Errorf("%s: advice %+v", one.what, r.Advice)
		}
		r = reason(t, chain+"hazards:\n  - "+one.hazard+"\n", silent+"  - {safe: "+one.answer+"}\n")
		if len(r.Forbidden) > 0 || len(r.Tests) == 0 || r.Advice.Do != "test" {
			t.Errorf("%s: answered, yet %+v, advice %+v", one.what, r.Forbidden, r.Advice)
		}
	}
}

// TestAdviceIsGated: what comes next is not advised either when a hazard forbids
// it: a part is not replaced, and a repair not proved, before it is safe.
func TestAdviceIsGated(t *testing.T) {
	dried := `
  - {symptom: hum, at: audio, reads: hum}
  - {measure: "+12", reads: 340 mV p-p}
  - {test: C9, capacitance: 9 uF, esr: 22 ohm, how: out of circuit}
`
	with := chain + "hazards:\n  - {hazard: store, kind: stored energy, before: probing, parts: [C9]}\n"
	if r := reason(t, chain, dried); r.Advice.Do != "replace" || r.Advice.What != "C9" {
		t.Fatalf("without a hazard: %+v", r.Advice)
	}
	if r := reason(t, with, dried); r.Advice.Do != "make safe" || r.Advice.What != "store" || !strings.Contains(r.Advice.Why, "replace C9") {
		t.Errorf("the charge is not answered, yet %+v", r.Advice)
	}
}

// TestFoundHazards: hazards that follow from the parts hold up like those that
// are listed.
func TestFoundHazards(t *testing.T) {
	text := strings.Replace(chain, "sheet: 1\n", "sheet: 1\nmodel: {name: P6, mains: 230 V}\n", 1)
	r := reason(t, text, "  - {symptom: silent, at: audio, reads: absent}\n")
	if len(r.Hazards) != 1 || r.Hazards[0].Name != "mains" || r.Hazards[0].Found == "" || len(r.Forbidden) == 0 {
		t.Errorf("hazards %+v, forbidden %+v", r.Hazards, r.Forbidden)
	}
}

// TestContradictionAtZero: a point that belongs at zero volts contradicts
// itself like any other.
func TestContradictionAtZero(t *testing.T) {
	r := reason(t, chain+"  - {point: offset, signal: s4, expect: 0 V, limits: ±0.1 V}\n",
		"  - {measure: offset, reads: 12 mV}\n  - {measure: offset, reads: 3 V}\n")
	if !strings.Contains(texts(r), "in the same state") {
		t.Errorf("12 mV and 3 V at a point that belongs at zero are not reported:\n%s", texts(r))
	}
}

// TestChillSpeaksForItsPart: that cold spray on a part brought the sound back
// is named among the reasons for it.
func TestChillSpeaksForItsPart(t *testing.T) {
	r := reason(t, chain, `
  - {symptom: fades, at: audio, reads: absent, state: warm}
  - {measure: s3, reads: good, state: warm}
  - {measure: s4, reads: absent, state: warm}
  - {chill: stage 4, at: audio, reads: good, state: warm}
`)
	if len(r.Suspects) == 0 || r.Suspects[0].Name != "stage 4" {
		t.Fatalf("suspects %+v, want stage 4 first", r.Suspects)
	}
	if !slices.ContainsFunc(r.Suspects[0].For, func(s findings.Support) bool { return strings.Contains(s.Text, "chilled stage 4") }) {
		t.Errorf("the cold spray is not among the reasons: %+v", r.Suspects[0].For)
	}
}
