package diagnosis_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/diagnosis"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// TestExplanationsLeaveIdleFaultsOut: an old unit with two tired capacitors.
// C1 alone explains the hum; C2 may be tired as well, in either of two ways,
// but nothing read depends on it.
func TestExplanationsLeaveIdleFaultsOut(t *testing.T) {
	problem := diagnosis.Problem{
		Items: 2,
		Faults: []diagnosis.Fault{
			{Item: 0, Prior: 0.1}, // C1 dried out
			{Item: 1, Prior: 0.2}, // C2 dried out
			{Item: 1, Prior: 0.1}, // C2 leaky
		},
		Model: described(func(faults []int) float64 {
			if slices.Contains(faults, 0) {
				return math.Log(0.9)
			}
			return math.Log(0.001)
		}),
	}
	explanations := searchExactly(t, problem).Explanations(&problem)
	c1 := 0.1 * 0.9 / (0.1*0.9 + 0.9*0.001)
	if len(explanations) != 2 || !slices.Equal(explanations[0].Items, []int{0}) || len(explanations[1].Items) != 0 {
		t.Fatalf("%+v, want C1 and nothing", explanations)
	}
	if p := explanations[0].Probability; math.Abs(p-c1) > 1e-12 {
		t.Errorf("C1 with probability %v, want %v", p, c1)
	}
	if ways := explanations[0].Ways; len(ways) != 1 || !slices.Equal(ways[0].Faults, []int{0}) {
		t.Errorf("ways %+v, want C1 dried out", ways)
	}
	if got := diagnosis.Suspicion(explanations, 2); math.Abs(got[0]-c1) > 1e-12 || got[1] != 0 {
		t.Errorf("suspicion %v, want %v and 0", got, c1)
	}
}

// TestExplanationsJoinWays: a transistor open or shorted explains the missing
// rail in either case: one explanation with two ways, the likelier first.
func TestExplanationsJoinWays(t *testing.T) {
	problem := diagnosis.Problem{
		Items:       1,
		Faults:      []diagnosis.Fault{{Item: 0, Prior: 0.01}, {Item: 0, Prior: 0.03}},
		Undescribed: 0.05,
		Model: model{undescribed: math.Log(0.1), of: func(faults []int) float64 {
			return []float64{math.Inf(-1), math.Log(0.9)}[len(faults)]
		}},
	}
	all := 0.95*0.04*0.9 + 0.05*0.1
	want := []diagnosis.Explanation{
		{Items: []int{0}, Probability: 0.95 * 0.04 * 0.9 / all, Ways: []diagnosis.Set{
			{Faults: []int{1}, Probability: 0.95 * 0.03 * 0.9 / all, LogLikelihood: math.Log(0.9)},
			{Faults: []int{0}, Probability: 0.95 * 0.01 * 0.9 / all, LogLikelihood: math.Log(0.9)},
		}},
		{Undescribed: true, Probability: 0.05 * 0.1 / all},
	}
	got := searchExactly(t, problem).Explanations(&problem)
	close := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-12 })
	if diff := cmp.Diff(want, got, close); diff != "" {
		t.Error(diff)
	}
}

// TestExplanationsKeepAll: folding moves probability, it loses none; and in
// every explanation each fault is needed.
func TestExplanationsKeepAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawProblem(t)
		limits := diagnosis.Limits{Size: d.Items}
		if rapid.Bool().Draw(t, "truncated") {
			limits = diagnosis.Limits{Sets: rapid.IntRange(1, 60).Draw(t, "sets"), Size: 3, Beam: 4}
		}
		posterior, err := diagnosis.Search(context.Background(), d.Problem, limits)
		if err != nil {
			return
		}
		explanations := posterior.Explanations(&d.Problem)
		ways := map[string]bool{}
		for _, e := range explanations {
			for _, way := range e.Ways {
				ways[fmt.Sprint(way.Faults)] = true
			}
		}
		for _, set := range posterior.Sets {
			if set.Probability > 2e-9 && allNeeded(d.Model, set) && !ways[fmt.Sprint(set.Faults)] {
				t.Errorf("%v is no explanation, though each of its faults is needed", set.Faults)
			}
		}
		sum, items := 0.0, 0.0
		names := map[string]bool{}
		for i, e := range explanations {
			sum += e.Probability
			items += e.Probability * float64(len(e.Items))
			name := fmt.Sprint(e.Items, e.Undescribed)
			if names[name] {
				t.Errorf("%s is given twice", name)
			}
			names[name] = true
			if i > 0 && e.Probability > explanations[i-1].Probability {
				t.Errorf("explanation %d is more probable than the one before it", i)
			}
			if e.Undescribed {
				if e.Items != nil || e.Ways != nil || e.Probability != posterior.Undescribed {
					t.Errorf("undescribed: %+v, want probability %v and no items", e, posterior.Undescribed)
				}
				continue
			}
			sum := 0.0
			for _, way := range e.Ways {
				sum += way.Probability
				if got := itemsOf(d.Problem, way.Faults); !slices.Equal(got, e.Items) {
					t.Errorf("a way of %v is %v", e.Items, got)
				}
				if ln := d.Model.LogLikelihood(way.Faults); ln != way.LogLikelihood {
					t.Errorf("way %v has ln likelihood %v, want %v", way.Faults, way.LogLikelihood, ln)
				}
				if !allNeeded(d.Model, way) {
					t.Errorf("not every fault of %v is needed", way.Faults)
				}
			}
			if math.Abs(sum-e.Probability) > 1e-12 {
				t.Errorf("the ways of %v add up to %v, want %v", e.Items, sum, e.Probability)
			}
			// No more can have been folded in than the sets that hold the items.
			most := 0.0
			for _, set := range posterior.Sets {
				if contains(itemsOf(d.Problem, set.Faults), e.Items) {
					most += set.Probability
				}
			}
			if e.Probability > most+1e-12 {
				t.Errorf("%v has probability %v, but the sets that hold it only %v", e.Items, e.Probability, most)
			}
		}
		if math.Abs(sum-1) > 2e-9 {
			t.Errorf("explanations add up to %v", sum)
		}
		suspicion := 0.0
		for item, p := range diagnosis.Suspicion(explanations, d.Items) {
			suspicion += p
			if p < 0 || p > 1+1e-12 {
				t.Errorf("item %d is suspect with probability %v", item, p)
			}
		}
		if math.Abs(suspicion-items) > 1e-9 {
			t.Errorf("suspicion adds up to %v, want %v", suspicion, items)
		}
	})
}

// TestExplanationsOfManySmallSets: forty thousand sets of a millionth each
// hold a good part of the probability; none of it may be lost.
func TestExplanationsOfManySmallSets(t *testing.T) {
	// 280 items that hardly matter: every pair of them explains alike, and
	// better than one.
	problem := diagnosis.Problem{Items: 280, Model: described(func(faults []int) float64 { return float64(len(faults)) - 2 })}
	for item := range problem.Items {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: item, Prior: 1e-5})
	}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 50_000, Size: 2})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(posterior.Sets); n != 1+280+280*279/2 {
		t.Fatalf("%d sets weighed, want all of up to two faults", n)
	}
	sum := 0.0
	for _, e := range posterior.Explanations(&problem) {
		sum += e.Probability
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("explanations add up to %.12g, want 1", sum)
	}
}

// allNeeded reports whether the set explains worse, by more than a tenth in
// likelihood, whichever of its faults is taken out.
func allNeeded(model diagnosis.Model, set diagnosis.Set) bool {
	for j := range set.Faults {
		if model.LogLikelihood(slices.Delete(slices.Clone(set.Faults), j, j+1)) >= set.LogLikelihood-0.9 {
			return false
		}
	}
	return true
}

func itemsOf(problem diagnosis.Problem, faults []int) []int {
	items := []int{}
	for _, f := range faults {
		items = append(items, problem.Faults[f].Item)
	}
	slices.Sort(items)
	return items
}

// contains reports whether every number of the small set is in the large.
func contains(large, small []int) bool {
	return !slices.ContainsFunc(small, func(x int) bool { return !slices.Contains(large, x) })
}

// TestMinimal keeps what contains no other.
func TestMinimal(t *testing.T) {
	cases := []struct {
		name       string
		sets, want [][]int
	}{
		{"none", nil, nil},
		{"a superset goes", [][]int{{1, 2}, {2}, {3}}, [][]int{{2}, {3}}},
		{"a duplicate goes", [][]int{{1, 2}, {1, 2}}, [][]int{{1, 2}}},
		{"the empty set stands alone", [][]int{{1}, {}, {2, 3}}, [][]int{{}}},
		{"overlap is no containment", [][]int{{1, 2}, {2, 3}, {1, 3}}, [][]int{{1, 2}, {2, 3}, {1, 3}}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, diagnosis.Minimal(c.sets)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestConflicts: the first two cases are the polybox of de Kleer and Williams
// 1987 (parts numbered M1 0, M2 1, M3 2, A1 3, A2 4).
//
// Outside: J. de Kleer and B. C. Williams, "Diagnosing multiple faults", Artificial
// Intelligence 32 (1987). Within: exact.
func TestConflicts(t *testing.T) {
	cases := []struct {
		name       string
		sets, want [][]int
	}{
		{"explanations to conflicts", [][]int{{3}, {0}, {1, 4}, {1, 2}}, [][]int{{0, 1, 3}, {0, 2, 3, 4}}},
		{"conflicts to explanations", [][]int{{0, 1, 3}, {0, 2, 3, 4}}, [][]int{{0}, {3}, {1, 2}, {1, 4}}},
		{"no conflict: nothing need be bad", nil, [][]int{{}}},
		{"nothing bad is an explanation: no conflict", [][]int{{}}, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, diagnosis.Conflicts(c.sets)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestConflictsAreHittingSets: each shares a number with every set, none can
// spare a number, none is missing, and back again gives the minimal sets.
func TestConflictsAreHittingSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const numbers = 7
		var sets [][]int
		for range rapid.IntRange(0, 6).Draw(t, "sets") {
			set := members(rapid.IntRange(1, 1<<numbers-1).Draw(t, "set"), numbers)
			sets = append(sets, set)
		}
		hits := func(h []int) bool {
			return !slices.ContainsFunc(sets, func(set []int) bool {
				return !slices.ContainsFunc(set, func(x int) bool { return slices.Contains(h, x) })
			})
		}
		var all [][]int
		for mask := range 1 << numbers {
			if h := members(mask, numbers); hits(h) {
				all = append(all, h)
			}
		}
		want := diagnosis.Minimal(all)
		slices.SortFunc(want, bySizeThenNumber)
		got := diagnosis.Conflicts(sets)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("%v: %s", sets, diff)
		}
		back := diagnosis.Minimal(sets)
		slices.SortFunc(back, bySizeThenNumber)
		if diff := cmp.Diff(back, diagnosis.Conflicts(got)); diff != "" {
			t.Errorf("there and back of %v: %s", sets, diff)
		}
	})
}

func bySizeThenNumber(a, b []int) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return slices.Compare(a, b)
}

// members lists the bits of a mask.
func members(mask, numbers int) []int {
	set := []int{}
	for x := range numbers {
		if mask>>x&1 == 1 {
			set = append(set, x)
		}
	}
	return set
}
