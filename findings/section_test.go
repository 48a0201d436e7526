package findings_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfsplit/findings"
)

// A series regulator that can be reckoned by hand: 20 V through R1 (1 kΩ) into a
// zener of 12.7 V, an emitter follower below it, 100 mA of load; so 12.0 V, about,
// and 7.3 mA in R1. Two chips live on the rail.
const series = `
sheet: 1
rails:
  - {rail: raw, nominal: 20 V, limits: ±10 %, from: secondary, through: [F1]}
  - {rail: "+12", nominal: 12 V, limits: ±6 %, from: raw, through: [Q1]}
outside: [secondary]
parts:
  - {part: F1, kind: fuse, value: 500 mA}
  - {part: Q1, kind: power transistor, type: npn}
  - {part: R1, kind: resistor, value: 1k}
  - {part: D1, kind: zener, value: 12.7 V}
  - {part: C1, kind: tantalum, value: 10 uF 25 V, across: "+12"}
blocks:
  - {block: U1, kind: chip, out: x, supply: "+12"}
  - {block: U2, kind: chip, out: y, supply: "+12"}
circuits:
  regulator:
    ground: gnd
    reach: [raw, base, "+12"]
    parts:
      - {part: supply, kind: dc source, value: 20 V, nodes: [raw, gnd]}
      - {part: R1, nodes: [raw, base]}
      - {part: D1, nodes: [gnd, base]}
      - {part: Q1, nodes: [raw, base, "+12"]}
      - {part: load, kind: load, nodes: ["+12", gnd], settings: {current: 100 mA, voltage: 12 V}}
testpoints:
  - {point: TP1, signal: "+12"}
  - {point: TP2, signal: base}
`

// TestCircuitTellsHowMuch: words would say "low" of both; the number says which.
// With the zener gone the base is at 20 V but for what R1 drops; with R1 drifted
// to 10 kΩ the zener starves and the rail sags; a collector to emitter short
// passes all of the 20 V.
func TestCircuitTellsHowMuch(t *testing.T) {
	for _, c := range []struct {
		name, log string
		suspect   string
		atLeast   float64
	}{
		{"zener open: base at about 19 V, rail 0.7 V below", "  - {measure: TP2, reads: 18.9 V}\n  - {measure: TP1, reads: 18.2 V}\n", "D1", 0.6},
		{"pass transistor shorted: rail at 20 V while the base is held at 12.7 V", "  - {measure: TP2, reads: 12.7 V}\n  - {measure: TP1, reads: 20.0 V}\n", "Q1", 0.6},
		{"base lead open: zener right, no rail", "  - {measure: TP2, reads: 12.7 V}\n  - {measure: TP1, reads: 0.00 V}\n", "Q1", 0.5},
		{"R1 open: what leaks through it holds the base at less than one junction", "  - {measure: raw, reads: 20.0 V}\n  - {measure: TP2, reads: 0.35 V}\n  - {measure: TP1, reads: 0.00 V}\n", "R1", 0.35},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := reason(t, series, c.log)
			if p := suspicion(r, c.suspect); p < c.atLeast {
				t.Errorf("%s has %.2f, want at least %.2f: %+v", c.suspect, p, c.atLeast, listed(r))
			}
		})
	}
}

// TestOneModel: a rail that the circuit gives feeds the chips; a chip's short loads
// the circuit; a blown fuse leaves the circuit without its source.
func TestOneModel(t *testing.T) {
	starved := reason(t, series, "  - {symptom: dead, at: x, reads: absent}\n  - {measure: y, reads: absent}\n  - {measure: TP1, reads: 0.01 V}\n")
	if chips := suspicion(starved, "U1") + suspicion(starved, "U2"); chips > 0.35 {
		t.Errorf("two chips dead on a dead rail are suspected with %.2f", chips)
	}
	fuse := reason(t, series, "  - {measure: raw, reads: 0.00 V}\n  - {measure: TP1, reads: 0.00 V}\n")
	if up := suspicion(fuse, "F1") + suspicion(fuse, "secondary"); up < 0.7 {
		t.Errorf("with nothing at raw, fuse and what comes before it have %.2f: %v", up, listed(fuse))
	}
	shorted := reason(t, series, "  - {measure: raw, reads: 20.0 V}\n  - {measure: TP2, reads: 1.1 V}\n  - {measure: TP1, reads: 0.30 V}\n")
	if load := suspicion(shorted, "C1") + suspicion(shorted, "U1") + suspicion(shorted, "U2"); load < 0.3 {
		t.Errorf("a rail pulled to 0.3 V together with its base: what hangs on it has %.2f: %v", load, listed(shorted))
	}
}

// TestForetoldBesideRead: for a suspect the report shows what the circuit makes
// of it beside what was read and what a sound one would read.
func TestForetoldBesideRead(t *testing.T) {
	r := reason(t, series, "  - {measure: TP2, reads: 18.9 V}\n  - {measure: TP1, reads: 18.2 V}\n")
	first := r.Suspects[0]
	if len(first.Foretold) != 2 {
		t.Fatalf("%s: %d numbers foretold, want 2", first.Name, len(first.Foretold))
	}
	for _, f := range first.Foretold {
		if !f.Fits() {
			t.Errorf("%s: read %v, foretold %v ± %v", f.At, f.Read, f.Mean, f.Deviation)
		}
		if sound := map[string]float64{"TP1": 12, "TP2": 12.7}[f.At]; math.Abs(f.Sound-sound) > 0.4 {
			t.Errorf("%s: sound %v, want about %v", f.At, f.Sound, sound)
		}
	}
}

// TestSeriesAnswers: a test in a circuit says in numbers what each answer would
// mean.
func TestSeriesAnswers(t *testing.T) {
	r := reason(t, series, "  - {symptom: dead, at: x, reads: absent}\n  - {measure: y, reads: absent}\n")
	for _, p := range r.Tests {
		if strings.HasPrefix(p.Test, "read") && (p.At == "TP1" || p.At == "TP2") {
			if len(p.Answers) < 2 || !strings.HasSuffix(p.Answers[0].Answer, "V") {
				t.Errorf("%s: %+v", p.Test, p.Answers)
			}
			return
		}
	}
	t.Errorf("no reading in the circuit is proposed: %+v", r.Tests)
}

// TestOhmsWithPowerOff: an ohmmeter on the rail with the power off finds the
// shorted capacitor's rail, and says nothing against a sound one.
func TestOhmsWithPowerOff(t *testing.T) {
	log := "  - {measure: raw, reads: 20.0 V}\n  - {measure: TP1, reads: 0.02 V}\n"
	before := reason(t, series, log)
	after := reason(t, series, log+"  - {measure: TP1, reads: 0.4 ohm, state: {power: off}}\n")
	hanging := func(r *findings.Report) float64 { return suspicion(r, "C1") + suspicion(r, "U1") + suspicion(r, "U2") }
	if hanging(after) < hanging(before)+0.1 {
		t.Errorf("0.4 Ω on the rail moves what hangs on it from %.2f to %.2f", hanging(before), hanging(after))
	}
	if len(after.Unused) > 0 {
		t.Errorf("not used: %+v", after.Unused)
	}
}

// TestCircuitAgainstItsSheet: a circuit that with nothing wrong does not keep the
// sheet's own limits is left out, with the numbers.
func TestCircuitAgainstItsSheet(t *testing.T) {
	wrong := strings.Replace(series, `"+12", nominal: 12 V`, `"+12", nominal: 15 V`, 1)
	r := reason(t, wrong, "  - {measure: TP2, reads: 18.9 V}\n")
	if len(r.NotSolved) != 1 || !strings.Contains(r.NotSolved[0].Why, "+12") || !strings.Contains(r.NotSolved[0].Why, "14.1..15.9 V") {
		t.Errorf("not solved: %+v", r.NotSolved)
	}
}

// TestImpossibleNumber: what no fault of the circuit gives is pointed out, with the
// nearest that one does.
func TestImpossibleNumber(t *testing.T) {
	r := reason(t, series, "  - {measure: raw, reads: 20.0 V}\n  - {measure: TP1, reads: 48 V}\n")
	if text := texts(r); !strings.Contains(text, "no single fault of the circuit gives that") || !strings.Contains(text, "sound: 1") {
		t.Errorf("48 V from 20 V is taken: %s", text)
	}
}

// TestCasualtiesOfOvervoltage: the pass transistor shorted, the chips on its rail
// had 20 V; after it is replaced one of them is likelier bad than it was alone.
func TestCasualtiesOfOvervoltage(t *testing.T) {
	short := "  - {measure: TP2, reads: 12.7 V}\n  - {measure: TP1, reads: 20.0 V}\n  - {swap: Q1}\n  - {measure: TP1, reads: 12.0 V}\n  - {measure: x, reads: absent, doubtful: yes}\n"
	open := "  - {measure: TP2, reads: 12.7 V}\n  - {measure: TP1, reads: 0.0 V}\n  - {swap: Q1}\n  - {measure: TP1, reads: 12.0 V}\n  - {measure: x, reads: absent, doubtful: yes}\n"
	after, without := reason(t, series, short), reason(t, series, open)
	if a, b := suspicion(after, "U1"), suspicion(without, "U1"); a < 1.5*b || a == 0 {
		t.Errorf("U1 after 20 V on its rail: %.3f; after none: %.3f", a, b)
	}
}

// listed writes the suspects in a line.
func listed(r *findings.Report) string {
	var b strings.Builder
	for _, s := range r.Suspects {
		fmt.Fprintf(&b, "%s %.2f (%s); ", s.Name, s.Probability, s.Mode)
	}
	fmt.Fprintf(&b, "beyond %.2f, clear %.2f", r.Beyond, r.Clear)
	return b.String()
}
