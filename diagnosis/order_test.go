package diagnosis_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// numbered names n things "0", "1" …
func numbered(n int) []string {
	var all []string
	for i := range n {
		all = append(all, fmt.Sprint(i))
	}
	return all
}

// TestRepairOrderIsCheapest: against every order there is. Some candidates
// cannot be bad, some cost nothing to look at.
func TestRepairOrderIsCheapest(t *testing.T) {
	figure := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.01, 10))
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 6).Draw(t, "candidates")
		parts := ordered[suspectPart]{names: numbered(n), of: map[string]suspectPart{}}
		inAll := 0.0
		for _, name := range parts.names {
			part := suspectPart{
				P:    rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.01, 0.16)).Draw(t, "probability"),
				Look: figure.Draw(t, "look"), Fix: figure.Draw(t, "fix"),
			}
			parts.of[name] = part
			inAll += part.P
		}
		order, cost := diagnosis.RepairOrder(candidates(parts))
		if direct, _ := spent(parts, pick(parts.names, order), inAll); math.Abs(cost-direct) > 1e-9 {
			t.Errorf("order %v costs %v, said to cost %v", order, direct, cost)
		}
		sorted := slices.Clone(order)
		slices.Sort(sorted)
		if !slices.Equal(pick(parts.names, sorted), parts.names) {
			t.Errorf("order %v is not of all %d", order, n)
		}
		best, least, _ := cheapest(parts.names, func(o []string) float64 { c, _ := spent(parts, o, inAll); return c })
		if cost > least+1e-9 {
			t.Errorf("order %v costs %v, but %v only %v", order, cost, best, least)
		}
	})
}

// TestRepairOrderCannotBeBad: a candidate that cannot be bad and costs nothing
// to look at says nothing about the order of the others.
func TestRepairOrderCannotBeBad(t *testing.T) {
	order, cost := diagnosis.RepairOrder([]diagnosis.Candidate{
		{Probability: 0.1, Look: 1}, {}, {Probability: 0.9, Look: 1},
	})
	if order[0] != 2 || math.Abs(cost-1.1) > 1e-12 {
		t.Errorf("order %v at %v, want 2 first, at 1.1", order, cost)
	}
}

// TestReplaceAll by hand: Q1 (cost 4) is bad for certain, C1 (cost 1) in half
// of the cases as well; C1 is replaced first, so it is paid even when good.
func TestReplaceAll(t *testing.T) {
	q1, c1, r1 := 0, 1, 2
	for _, c := range []struct {
		name    string
		sets    [][]int
		weights []float64
		order   []int
		cost    float64
	}{
		{"two bad together", [][]int{{q1}, {q1, c1}}, []float64{0.5, 0.5}, []int{c1, q1}, 5},
		{"one or the other", [][]int{{q1}, {c1}}, []float64{0.5, 0.5}, []int{c1, q1}, 0.5*1 + 0.5*5},
		{"perhaps nothing", [][]int{{}, {r1}}, []float64{0.25, 0.75}, []int{r1}, 0.75 * 2},
		{"perhaps not described", [][]int{{q1}, nil}, []float64{0.8, 0.2}, []int{q1}, 0.8*4 + 0.2*(4+30)},
		{"no more in vain than being lost costs", [][]int{{q1}, {c1}, {r1}, nil}, []float64{0.3, 0.3, 0.3, 0.1}, []int{c1, r1, q1}, 0.3*(7+1+3) + 0.1*(5+5)},
		{"nothing known", nil, nil, nil, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			lost := 30.0
			if len(c.sets) == 4 {
				lost = 5
			}
			order, cost := diagnosis.ReplaceAll(c.sets, c.weights, []float64{4, 1, 2}, lost)
			if !slices.Equal(order, c.order) || math.Abs(cost-c.cost) > 1e-12 {
				t.Errorf("order %v at %v, want %v at %v", order, cost, c.order, c.cost)
			}
		})
	}
}

// TestReplaceAllIsSimulation: against a bench where the items are replaced one
// by one until the unit works.
func TestReplaceAllIsSimulation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := rapid.IntRange(1, 6).Draw(t, "items")
		costs := rapid.SliceOfN(rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.1, 10)), items, items).Draw(t, "costs")
		lost := rapid.Float64Range(0, 50).Draw(t, "lost")
		var sets [][]int
		var weights []float64
		for range rapid.IntRange(1, 6).Draw(t, "hypotheses") {
			var set []int // not described
			if rapid.IntRange(0, 4).Draw(t, "described") > 0 {
				set = members(rapid.IntRange(0, 1<<items-1).Draw(t, "bad"), items)
			}
			sets = append(sets, set)
			weights = append(weights, rapid.Float64Range(0.01, 1).Draw(t, "weight"))
		}
		order, cost := diagnosis.ReplaceAll(sets, weights, costs, lost)

		worth := func(item int) float64 { // suspicion for each unit of cost
			p := 0.0
			for h, set := range sets {
				if slices.Contains(set, item) {
					p += weights[h]
				}
			}
			return p / costs[item]
		}
		for i := 1; i < len(order); i++ {
			if worth(order[i]) > worth(order[i-1])*(1+1e-12) {
				t.Errorf("item %d comes after %d in %v", order[i], order[i-1], order)
			}
		}
		want := 0.0
		for h, set := range sets {
			bad := slices.Clone(set)
			bench := 0.0
			for _, item := range order {
				if set != nil && len(bad) == 0 {
					break // it works
				}
				bench += costs[item]
				bad = slices.DeleteFunc(bad, func(b int) bool { return b == item })
			}
			if len(bad) > 0 {
				t.Fatalf("after replacing %v, %v is still bad", order, bad)
			}
			if set == nil {
				bench = min(bench, lost) + lost
			}
			want += weights[h] * bench
		}
		if math.Abs(cost-want) > 1e-9 {
			t.Errorf("costs %v, want %v", cost, want)
		}
	})
}

// TestRepairOrderAndReplaceAllAgree: when one item is bad for certain and the
// swap is the look, they are one question.
func TestRepairOrderAndReplaceAllAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "items")
		weights := rapid.SliceOfN(rapid.Float64Range(0.01, 1), n, n).Draw(t, "weights")
		costs := rapid.SliceOfN(rapid.Float64Range(0.1, 10), n, n).Draw(t, "costs")
		var sets [][]int
		var all []diagnosis.Candidate
		for i := range n {
			sets = append(sets, []int{i})
			all = append(all, diagnosis.Candidate{Probability: weights[i], Look: costs[i]})
		}
		order, cost := diagnosis.RepairOrder(all)
		replaced, bill := diagnosis.ReplaceAll(sets, weights, costs, 0)
		if !slices.Equal(order, replaced) || math.Abs(cost-bill) > 1e-9 {
			t.Errorf("%v at %v and %v at %v", order, cost, replaced, bill)
		}
	})
}
