package diagnosis_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"halfsplit/diagnosis"
)

// model is a Model from functions.
type model struct {
	of          func(faults []int) float64 // ln likelihood
	undescribed float64
	ceiling     float64
}

func (m model) LogLikelihood(faults []int) float64 { return m.of(faults) }
func (m model) Undescribed() float64               { return m.undescribed }
func (m model) Ceiling() float64                   { return m.ceiling }

// described is a model that leaves nothing undescribed.
func described(of func(faults []int) float64) diagnosis.Model {
	return model{of: of, undescribed: math.Inf(-1), ceiling: math.Inf(1)}
}

// voltages is a posterior case: states of a stage, one of which is the truth,
// and readings of its nodes with the value and spread that each state
// foretells.
type voltages struct {
	Nu       float64
	Prior    ordered[float64]
	Readings []struct {
		Node  string
		Value float64
		Model map[string][2]float64
	}
}

// gaussianReadings: one item, the stage, good or bad in one of six ways.
func gaussianReadings(r *reference) {
	g := given[voltages](r)
	compareReadings(r, g, gaussian)
	states := g.Prior.sorted()
	good := slices.Index(states.names, "ok")
	bad := slices.Delete(slices.Clone(states.names), good, good+1)
	problem := diagnosis.Problem{Items: 1}
	for _, state := range bad {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: 0, Prior: states.of[state]})
	}
	var last *diagnosis.Posterior
	for n, expected := range want[[]map[string]float64](r, "posterior_after_each_reading") {
		problem.Model = described(func(faults []int) float64 {
			state, ln := "ok", 0.0
			if len(faults) > 0 {
				state = bad[faults[0]]
			}
			for _, reading := range g.Readings[:n+1] {
				ln += gaussian(reading.Value, reading.Model[state][0], reading.Model[state][1])
			}
			return ln
		})
		last = searchExactly(r, problem)
		for _, set := range last.Sets {
			state := "ok"
			if len(set.Faults) > 0 {
				state = bad[set.Faults[0]]
			}
			r.nearRelative(fmt.Sprintf("%s after reading %d", state, n+1), set.Probability, expected[state])
		}
	}
	var ranking []string // ties, as the file has them, after twelve decimals
	slices.SortStableFunc(last.Sets, func(a, b diagnosis.Set) int {
		x, y := math.Round(a.Probability*1e12), math.Round(b.Probability*1e12)
		switch {
		case x != y:
			return int(math.Copysign(1, y-x))
		case label(bad, a.Faults) < label(bad, b.Faults):
			return -1
		}
		return 1
	})
	var probabilities []float64
	for _, set := range last.Sets {
		name := label(bad, set.Faults)
		if name == "none" {
			name = "ok"
		}
		ranking = append(ranking, name)
		probabilities = append(probabilities, set.Probability)
	}
	same(r, "ranking", ranking[:2], want[[]string](r, "ranking")[:2])
	r.near("entropy", diagnosis.Entropy(probabilities), want[float64](r, "final_entropy_bits"))
}

// studentReadings: one wild reading must not settle the matter.
func studentReadings(r *reference) {
	g := given[voltages](r)
	compareReadings(r, g, func(x, location, scale float64) float64 { return student(x, location, scale, g.Nu) })
}

// compareReadings takes the readings in by a table: answer 0 is "this value,
// to the last digit of the meter".
func compareReadings(r *reference, g voltages, density func(x, location, scale float64) float64) {
	const digit = 1e-3
	states := g.Prior.sorted()
	table := newTable(r, states.values())
	for n, expected := range want[[]map[string]float64](r, "posterior_after_each_reading") {
		reading := g.Readings[n]
		test := addTest(r, table, states.names, func(state string) []float64 {
			p := digit * math.Exp(density(reading.Value, reading.Model[state][0], reading.Model[state][1]))
			return []float64{p, 1 - p}
		})
		if err := table.Update(test, 0); err != nil {
			r.Fatal(err)
		}
		for h, state := range states.names {
			r.nearRelative(fmt.Sprintf("%s after reading %d", state, n+1), table.Weights()[h], expected[state])
		}
	}
	order := make([]int, len(states.names))
	for h := range order {
		order[h] = h
	}
	rounded := func(h int) float64 { return math.Round(table.Weights()[h] * 1e12) }
	slices.SortStableFunc(order, func(a, b int) int { return int(rounded(b) - rounded(a)) })
	var ranking []string
	for _, h := range order {
		ranking = append(ranking, states.names[h])
	}
	same(r, "ranking", ranking, want[[]string](r, "ranking"))
}

// severalFaults: parts that may be bad together, symptoms that each bad part
// brings about with some chance (noisy-or).
func severalFaults(r *reference) {
	g := given[struct {
		Prior    ordered[float64]
		Symptoms map[string]struct {
			Leak float64
			Link map[string]float64
		}
		Observed map[string]bool
	}](r)
	parts := g.Prior.names
	problem := diagnosis.Problem{Items: len(parts)}
	for i, p := range g.Prior.values() {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: i, Prior: p})
	}
	problem.Model = described(func(faults []int) float64 {
		ln := 0.0
		for symptom, seen := range g.Observed {
			absent := 1 - g.Symptoms[symptom].Leak
			for _, f := range faults {
				absent *= 1 - g.Symptoms[symptom].Link[parts[f]]
			}
			if seen {
				ln += math.Log(1 - absent)
			} else {
				ln += math.Log(absent)
			}
		}
		return ln
	})
	posterior := searchExactly(r, problem)
	r.nearRelative("chance of the evidence", math.Exp(posterior.LogEvidence), want[float64](r, "evidence_probability"))
	for part, p := range want[map[string]float64](r, "part_fault_probability") {
		r.nearRelative(part+" bad", marginal(posterior, slices.Index(parts, part)), p)
	}
	top := want[ordered[float64]](r, "top_sets")
	for i, name := range top.names {
		set := posterior.Sets[i]
		if label(parts, set.Faults) != name {
			r.Errorf("set %d is %s, want %s", i+1, label(parts, set.Faults), name)
		}
		r.nearRelative(name, set.Probability, top.of[name])
	}
}

// intermittent: a faulty part behaves in one run with some chance, so a run
// that passes is weak evidence.
func intermittent(r *reference) {
	g := given[struct {
		Prior     ordered[float64]
		GoodProb  map[string]float64 `yaml:"good_prob"`
		MaxFaults int                `yaml:"max_faults"`
		Runs      []struct {
			Uses   []string
			Result string
		}
	}](r)
	parts := g.Prior.names
	problem := diagnosis.Problem{Items: len(parts)}
	for i, p := range g.Prior.values() {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: i, Prior: p})
	}
	if g.MaxFaults != len(parts) {
		r.Fatalf("at most %d faults of %d; the test takes all sets", g.MaxFaults, len(parts))
	}
	problem.Model = described(func(faults []int) float64 {
		ln := 0.0
		for _, run := range g.Runs {
			behaves := 1.0
			for _, f := range faults {
				if slices.Contains(run.Uses, parts[f]) {
					behaves *= g.GoodProb[parts[f]]
				}
			}
			if run.Result == "pass" {
				ln += math.Log(behaves)
			} else {
				ln += math.Log(1 - behaves)
			}
		}
		return ln
	})
	posterior := searchExactly(r, problem)
	compareSets(r, "posterior", posterior, parts, 1e-6, want[map[string]float64](r, "posterior"))
	for part, p := range want[map[string]float64](r, "part_fault_probability") {
		r.nearRelative(part+" bad", marginal(posterior, slices.Index(parts, part)), p)
	}

	// How many passes of the part alone until it is cleared?
	for part, counts := range want[map[string]map[string]int](r, "passes_needed_to_clear") {
		bad, good := g.Prior.of[part], g.GoodProb[part]
		table := newTable(r, []float64{bad, 1 - bad})
		run := addTest(r, table, []string{"bad", "good"}, func(state string) []float64 {
			if state == "bad" {
				return []float64{good, 1 - good}
			}
			return []float64{1, 0}
		})
		passes := []float64{table.Weights()[0]} // suspicion after 0, 1, 2 … passes
		for range 50 {
			if err := table.Update(run, 0); err != nil {
				r.Fatal(err)
			}
			passes = append(passes, table.Weights()[0])
		}
		if counts == nil && passes[1] != 0 {
			r.Errorf("a permanent fault in %s has suspicion %v after one pass, want 0", part, passes[1])
		}
		for limit, count := range counts {
			level, err := strconv.ParseFloat(limit, 64)
			if err != nil {
				r.Fatal(err)
			}
			if n := slices.IndexFunc(passes, func(p float64) bool { return p <= level }); n != count {
				r.Errorf("%s is cleared to %s after %d passes, want %d", part, limit, n, count)
			}
		}
	}
}
