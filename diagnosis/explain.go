package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// Explanation is a set of items that together explain what was read, each of
// them needed for it.
type Explanation struct {
	Items       []int // ascending; empty: nothing is wrong (any more)
	Undescribed bool  // something the model does not describe
	Probability float64
	// Ways are the sets of faults behind it, by falling probability; empty
	// for the undescribed one.
	Ways []Set
}

// needed is the fall in ln likelihood below which a fault does not help to
// explain what was read: without it, the readings would be less than two and a
// half times as unlikely. A second fault that merely fits a word a little
// better is not worth believing in.
const needed = 0.9

// negligible is the probability, of all sets together, that is not worth
// folding.
const negligible = 1e-9

// Explanations folds the posterior into explanations. A fault that could be
// taken out of its set without explaining the readings worse, by more than a
// tenth in likelihood, is idle: it may be there, as in any old unit, but
// nothing that was read speaks for it. Sets that differ only in idle faults,
// or only in how an item is bad, count as one explanation. The result is
// ordered by falling probability and adds up to one, but for the least
// probable sets, which are left out while they come to less than 1e-9
// together.
//
// The problem must be the one that was searched: its model is asked again for
// sets that were not weighed.
func (p *Posterior) Explanations(problem *Problem) []Explanation {
	f := folder{problem: problem, likelihood: map[string]float64{}, core: map[string][]int{}}
	for _, set := range p.Sets {
		f.likelihood[name(set.Faults)] = set.LogLikelihood
	}
	ways := map[string]*Set{}
	var order []string
	left := 1 - p.Undescribed
	for _, set := range p.Sets {
		if left < negligible {
			break
		}
		left -= set.Probability
		core := f.fold(set.Faults)
		key := name(core)
		way := ways[key]
		if way == nil {
			way = &Set{Faults: core, LogLikelihood: f.of(core)}
			ways[key] = way
			order = append(order, key)
		}
		way.Probability += set.Probability
	}
	if p.leaves != nil {
		ways, order = f.withLeaves(p.leaves, ways, order)
	}
	byItems := map[string]*Explanation{}
	var found []*Explanation
	for _, key := range order {
		way := ways[key]
		items := make([]int, len(way.Faults))
		for i, fault := range way.Faults {
			items[i] = problem.Faults[fault].Item
		}
		slices.Sort(items)
		key := name(items)
		e := byItems[key]
		if e == nil {
			e = &Explanation{Items: items}
			byItems[key] = e
			found = append(found, e)
		}
		e.Probability += way.Probability
		e.Ways = append(e.Ways, *way)
	}
	result := make([]Explanation, 0, len(found)+1)
	for _, e := range found {
		slices.SortStableFunc(e.Ways, func(a, b Set) int { return cmp.Compare(b.Probability, a.Probability) })
		result = append(result, *e)
	}
	if p.Undescribed > 0 {
		result = append(result, Explanation{Undescribed: true, Probability: p.Undescribed})
	}
	slices.SortStableFunc(result, func(a, b Explanation) int { return cmp.Compare(b.Probability, a.Probability) })
	return result
}

// withLeaves adds to the ways the faults that stand apart.
func (f *folder) withLeaves(l *leaves, cores map[string]*Set, order []string) (ways map[string]*Set, names []string) {
	ways = map[string]*Set{}
	for _, key := range order {
		core := cores[key]
		for _, w := range l.ways(core.Faults, core.Probability) {
			set := slices.Concat(core.Faults, w.bad)
			slices.Sort(set)
			key := name(set)
			way := ways[key]
			if way == nil {
				way = &Set{Faults: set, LogLikelihood: f.of(set)}
				ways[key] = way
				names = append(names, key)
			}
			way.Probability += core.Probability * w.share
		}
	}
	return ways, names
}

// folder strips idle faults from sets.
type folder struct {
	problem    *Problem
	likelihood map[string]float64
	core       map[string][]int
}

// of is the set's ln likelihood, asked of the model once.
func (f *folder) of(faults []int) float64 {
	key := name(faults)
	l, ok := f.likelihood[key]
	if !ok {
		l = f.problem.Model.LogLikelihood(faults)
		f.likelihood[key] = l
	}
	return l
}

// fold takes idle faults out one at a time, the idlest first.
func (f *folder) fold(faults []int) []int {
	key := name(faults)
	if core, ok := f.core[key]; ok {
		return core
	}
	core := faults
	best, bestLikelihood := -1, math.Inf(-1)
	for i := range faults {
		if l := f.of(without(faults, i)); l > bestLikelihood {
			best, bestLikelihood = i, l
		}
	}
	if best >= 0 && bestLikelihood >= f.of(faults)-needed {
		core = f.fold(without(faults, best))
	}
	f.core[key] = core
	return core
}

func without(faults []int, i int) []int {
	rest := make([]int, 0, len(faults)-1)
	rest = append(rest, faults[:i]...)
	return append(rest, faults[i+1:]...)
}

// Suspicion gives, for each item, the probability that it is part of the
// explanation.
func Suspicion(explanations []Explanation, items int) []float64 {
	p := make([]float64, items)
	for _, e := range explanations {
		for _, item := range e.Items {
			p[item] += e.Probability
		}
	}
	return p
}

// Minimal keeps the sets that contain no other of the sets, in their order.
// Duplicates are kept once. The sets hold ascending numbers.
func Minimal(sets [][]int) [][]int {
	var minimal [][]int
	for i, set := range sets {
		redundant := slices.ContainsFunc(sets, func(other []int) bool { return len(other) < len(set) && subset(other, set) }) ||
			slices.ContainsFunc(sets[:i], func(other []int) bool { return slices.Equal(other, set) })
		if !redundant {
			minimal = append(minimal, set)
		}
	}
	return minimal
}

// subset reports whether every number of the ascending small is in the
// ascending large.
func subset(small, large []int) bool {
	i := 0
	for _, x := range large {
		if i == len(small) || x > small[i] {
			break
		}
		if x == small[i] {
			i++
		}
	}
	return i == len(small)
}

// Conflicts turns minimal explanations into conflicts and conflicts into
// minimal explanations: the minimal sets that share at least one number with
// every given set (minimal hitting sets; Reiter, "A theory of diagnosis from
// first principles", Artificial Intelligence 32, 1987, section 4). Of every
// conflict at least one item must be bad. The sets hold ascending numbers;
// the result is ordered by size, then by number. There can be exponentially
// many.
//
// One set is taken in after the other (Berge, Hypergraphs, 1989, chapter 2).
// What shares a number with it stays; the rest grows by each number of it,
// unless that would contain something that stays. Such a thing can share only
// the one number with the set.
func Conflicts(sets [][]int) [][]int {
	hitting := [][]int{{}}
	for _, set := range sets {
		var stay, grow [][]int
		sharing := map[int][][]int{} // what stays, by the only number it shares
		for _, hit := range hitting {
			shared := common(hit, set)
			if len(shared) == 0 {
				grow = append(grow, hit)
				continue
			}
			stay = append(stay, hit)
			if len(shared) == 1 {
				sharing[shared[0]] = append(sharing[shared[0]], hit)
			}
		}
		hitting = stay
		for _, hit := range grow {
			for _, x := range set {
				grown := append(slices.Clone(hit), x)
				slices.Sort(grown)
				if !slices.ContainsFunc(sharing[x], func(kept []int) bool { return subset(kept, grown) }) {
					hitting = append(hitting, grown)
				}
			}
		}
	}
	slices.SortStableFunc(hitting, func(a, b []int) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(a, b)
	})
	return hitting
}

// common lists the numbers that are in both sets.
func common(a, b []int) []int {
	var both []int
	for _, x := range a {
		if slices.Contains(b, x) {
			both = append(both, x)
		}
	}
	return both
}
