package diagnosis_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"halfsplit/diagnosis"
)

// searchExactly weighs every set of faults.
func searchExactly(t testing.TB, problem diagnosis.Problem) *diagnosis.Posterior {
	t.Helper()
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Size: problem.Items})
	if err != nil {
		t.Fatal(err)
	}
	if !posterior.Exact || posterior.LeftOut != 0 {
		t.Fatalf("exact: %v, left out: %v; want every set weighed", posterior.Exact, posterior.LeftOut)
	}
	return posterior
}

// tableOf starts a table over the sets of a posterior, in their order.
func tableOf(t testing.TB, posterior *diagnosis.Posterior) *diagnosis.Table {
	t.Helper()
	var weights []float64
	for _, set := range posterior.Sets {
		weights = append(weights, set.Probability)
	}
	return newTable(t, weights)
}

func newTable(t testing.TB, weights []float64) *diagnosis.Table {
	t.Helper()
	table, err := diagnosis.NewTable(weights)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// minimalOf gives the minimal sets among those that are possible, and the
// conflicts behind them.
func minimalOf(posterior *diagnosis.Posterior) (diagnoses, conflicts [][]int) {
	var possible [][]int
	for _, set := range posterior.Sets {
		if set.Probability > 0 {
			possible = append(possible, set.Faults)
		}
	}
	diagnoses = diagnosis.Minimal(possible)
	return diagnoses, diagnosis.Conflicts(diagnoses)
}

// sameExplanations compares the items of explanations with sets.
func (r *reference) sameExplanations(what string, got []diagnosis.Explanation, want [][]int) {
	r.Helper()
	var items [][]string
	sum := 0.0
	for _, e := range got {
		items = append(items, strings.Fields(strings.Trim(fmt.Sprint(e.Items), "[]")))
		sum += e.Probability
	}
	var sets [][]string
	for _, set := range want {
		sets = append(sets, strings.Fields(strings.Trim(fmt.Sprint(set), "[]")))
	}
	sameSets(r, what, items, sets)
	r.near(what+" together", sum, 1)
}

// marginal is the probability that a fault is present.
func marginal(posterior *diagnosis.Posterior, fault int) float64 {
	p := 0.0
	for _, set := range posterior.Sets {
		if slices.Contains(set.Faults, fault) {
			p += set.Probability
		}
	}
	return p
}

// label names a set the way the collection does: parts in alphabetical order,
// joined by a plus sign.
func label(parts []string, set []int) string {
	if len(set) == 0 {
		return "none"
	}
	var all []string
	for _, i := range set {
		all = append(all, parts[i])
	}
	slices.Sort(all)
	return strings.Join(all, "+")
}

// names turns sets of numbers into sets of names.
func names(parts []string, sets [][]int) [][]string {
	var named [][]string
	for _, set := range sets {
		of := []string{}
		for _, i := range set {
			of = append(of, parts[i])
		}
		named = append(named, of)
	}
	return named
}

// compareSets compares the sets above a probability with the expected ones.
func compareSets(r *reference, what string, posterior *diagnosis.Posterior, parts []string, above float64, want map[string]float64) {
	r.Helper()
	count := 0
	for _, set := range posterior.Sets {
		if set.Probability <= above {
			continue
		}
		count++
		name := label(parts, set.Faults)
		p, ok := want[name]
		if !ok {
			r.Errorf("%s: %s has probability %v, yet is not expected", what, name, set.Probability)
		}
		r.nearRelative(what+" of "+name, set.Probability, p)
	}
	if count != len(want) {
		r.Errorf("%s: %d sets above %v, want %d", what, count, above, len(want))
	}
}

// byGain orders the tests of a table by gain per cost, the first first among
// equals.
func byGain(table *diagnosis.Table, costs []float64) []int {
	order := make([]int, table.Tests())
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch d := table.Gain(b)/costs[b] - table.Gain(a)/costs[a]; {
		case d > 1e-12:
			return 1
		case d < -1e-12:
			return -1
		}
		return 0
	})
	return order
}
