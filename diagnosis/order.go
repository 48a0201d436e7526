package diagnosis

import (
	"cmp"
	"slices"
)

// Candidate is an item that may be looked at or replaced.
type Candidate struct {
	Probability float64 // that it is the bad one
	Look        float64 // cost of looking at it (or of the swap itself)
	Fix         float64 // further cost of mending it once found bad
}

// RepairOrder gives the order of falling probability per cost of looking, and
// the expected cost when the items are taken in that order: exactly one is
// bad, a look is paid for each item reached while the fault is still in, the
// fix only for the bad one. Costs are zero or more, in any one unit, and do
// not depend on what was done before. Where the probabilities add up to less
// than one, what is missing pays nothing. The order is the cheapest possible
// under those terms, the first first among equals (Kadane and Simon, "Optimal
// strategies for a class of constrained sequential problems", Annals of
// Statistics 5, 1977; Heckerman, Breese and Rommelse, "Decision-theoretic
// troubleshooting", Communications of the ACM 38, 1995).
func RepairOrder(candidates []Candidate) (order []int, cost float64) {
	order = make([]int, len(candidates))
	left := 0.0
	for i, c := range candidates {
		order[i] = i
		left += c.Probability
	}
	worth := func(i int) float64 { return candidates[i].Probability / candidates[i].Look }
	// What cannot be bad and costs nothing (0/0) comes last: NaN is the least.
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(worth(b), worth(a)) })
	for _, i := range order {
		c := candidates[i]
		cost += left*c.Look + c.Probability*c.Fix
		left -= c.Probability
	}
	return order, cost
}

// ReplaceAll gives the expected cost of repair by replacement alone when
// several items may be bad together: items are replaced in the order of
// falling suspicion per cost until the last bad one is out. sets[h] are the
// items bad under hypothesis h with weight weights[h]. When the truth is a nil
// set (something not described) lost is paid, after items were replaced in
// vain: every item that is at all suspect, but no more of them than lost is
// worth. An empty, non-nil set costs nothing. Costs are zero or more, in any
// one unit.
func ReplaceAll(sets [][]int, weights []float64, costs []float64, lost float64) (order []int, cost float64) {
	suspicion := make([]float64, len(costs))
	for h, set := range sets {
		for _, item := range set {
			suspicion[item] += weights[h]
		}
	}
	for item, p := range suspicion {
		if p > 0 {
			order = append(order, item)
		}
	}
	worth := func(item int) float64 { return suspicion[item] / costs[item] }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(worth(b), worth(a)) })
	paid := make([]float64, len(costs)) // cost up to and including each item
	sum := 0.0
	for _, item := range order {
		sum += costs[item]
		paid[item] = sum
	}
	for h, set := range sets {
		if set == nil {
			cost += weights[h] * (min(sum, lost) + lost)
			continue
		}
		last := 0.0
		for _, item := range set {
			last = max(last, paid[item])
		}
		cost += weights[h] * last
	}
	return order, cost
}
