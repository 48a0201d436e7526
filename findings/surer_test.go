package findings_test

import (
	"strings"
	"testing"

	"halfsplit/findings"
)

// TestMakeSureFirst: a suspect is not replaced before a test has told it from
// something that only acts like it; once it tested bad by itself, it is.
func TestMakeSureFirst(t *testing.T) {
	log := `
  - {symptom: silent, at: audio, reads: absent}
  - {measure: s3, reads: good}
  - {measure: s4, reads: absent}
  - {measure: "+12", reads: 12.0 V}
  - {measure: s2, reads: good}
  - {measure: s3, reads: good}
  - {measure: s4, reads: absent}
`
	r := reason(t, chain, log)
	if r.Suspects[0].Name != "stage 4" || r.Advice.Do != "test" || !strings.Contains(r.Advice.What, "stage 4") {
		t.Fatalf("first suspect %s (%.2f), advice %q %q; want a test of stage 4 first", r.Suspects[0].Name, r.Suspects[0].Probability, r.Advice.Do, r.Advice.What)
	}
	r = reason(t, chain, log+"  - {test: stage 4, reads: bad, how: out of circuit}\n")
	if r.Advice.Do != "replace" || r.Advice.What != "stage 4" {
		t.Errorf("advice %q %q; want stage 4 replaced", r.Advice.Do, r.Advice.What)
	}
}

// TestTestedWarmAndBesideAGoodOne: a part that passed a cold test may be tested again
// warm; one that tested bad is believed more when a good one passes the same test, and
// hardly any longer when it does then.
func TestTestedWarmAndBesideAGoodOne(t *testing.T) {
	log := `
  - {symptom: fades, at: audio, reads: absent, state: {on for: 20 min}}
  - {measure: s3, reads: good, state: {on for: 20 min}}
  - {measure: s4, reads: absent, state: {on for: 21 min}}
  - {test: stage 4, reads: good, how: out of circuit}
`
	const name = "stage 4"
	p := func(r *findings.Report) float64 { return suspicion(r, name) }
	cold := p(reason(t, chain, log))
	warmGood := p(reason(t, chain, log+"  - {test: stage 4, reads: good, how: out of circuit, state: {warm: yes}}\n"))
	if warmGood >= cold {
		t.Errorf("good when warm too: %.3f, good cold only: %.3f", warmGood, cold)
	}
	bad := log + "  - {test: stage 4, reads: bad, how: out of circuit, state: {warm: yes}}\n"
	once := p(reason(t, chain, bad))
	if once <= cold {
		t.Errorf("bad when warm: %.3f, before: %.3f", once, cold)
	}
	twice := p(reason(t, chain, bad+"  - {test: stage 4, reads: bad, how: beside a good one}\n"))
	cleared := p(reason(t, chain, bad+"  - {test: stage 4, reads: good, how: beside a good one}\n"))
	if twice < once || cleared >= once {
		t.Errorf("bad once %.3f, beside a good one too %.3f, good then %.3f", once, twice, cleared)
	}
}
