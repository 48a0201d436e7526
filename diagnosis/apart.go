package diagnosis

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Apart may be implemented by a Model some of whose faults show only where no
// other item does, such as those of the chips of a memory array, each with a bit
// of its own. However many of them are bad, each is then weighed by itself, given
// the others: exactly, and without trying their sets.
type Apart interface {
	// Apart tells, for each fault, whether that is so. What the empty set alone
	// loses, in ln, because somebody says that something is wrong, is told too: it
	// is lost once, however many such faults there are.
	Apart() (faults []bool, complaint float64)
	// Disturbed tells, for each item with such faults, whether the given other
	// faults change anything of what speaks of it.
	Disturbed(faults []int, items []int) []bool
}

// leaf is an item with faults that stand apart.
type leaf struct {
	item   int
	faults []int
	odds   []float64 // prior odds of each fault against the item being healthy
	rest   []float64 // odds of each when nothing else is wrong
	flat   bool      // nothing that was read speaks of it
}

// leaves is how a search weighs items that stand apart.
type leaves struct {
	model     Apart
	ask       func(faults []int) float64 // ln likelihood
	apart     []bool
	complaint float64
	list      []leaf
	items     []int // of the list
	faults    []Fault
	times     func(faults []int, item int) float64
}

// fewestLeaves is the number of items of which something was read from which on
// it is worth weighing them by themselves. Fewer are searched like all others.
const fewestLeaves = 4

// newLeaves finds the items with faults that stand apart; nil when they are few.
func newLeaves(s *search) *leaves {
	model, ok := s.problem.Model.(Apart)
	if !ok {
		return nil
	}
	l := &leaves{model: model, ask: s.problem.Model.LogLikelihood, faults: s.problem.Faults, times: s.casualties.times}
	l.apart, l.complaint = model.Apart()
	index := map[int]int{}
	for f, apart := range l.apart {
		if !apart {
			continue
		}
		item := s.problem.Faults[f].Item
		at, known := index[item]
		if !known {
			at = len(l.list)
			index[item] = at
			l.list, l.items = append(l.list, leaf{item: item, flat: true}), append(l.items, item)
		}
		one := &l.list[at]
		one.faults, one.odds = append(one.faults, f), append(one.odds, math.Exp(s.step[f]))
	}
	l.atRest()
	spoken := 0
	for i := range l.list {
		if !l.list[i].flat {
			spoken++
		}
	}
	if spoken < fewestLeaves {
		return nil
	}
	return l
}

// nothing is the gain in ln likelihood below which nothing speaks of a leaf.
const nothing = 1e-9

// atRest works out the odds of leaves when nothing else is wrong.
func (l *leaves) atRest() {
	none := l.ask(nil) - l.complaint
	for i := range l.list {
		one := &l.list[i]
		for n, f := range one.faults {
			gain := l.ask([]int{f}) - none
			one.flat = one.flat && math.Abs(gain) < nothing
			one.rest = append(one.rest, one.odds[n]*math.Exp(gain))
		}
	}
}

// isApart reports whether a fault is weighed by itself.
func (l *leaves) isApart(f int) bool { return l != nil && l.apart[f] }

// mostDisturbed is for how many sets leaves that they disturb are weighed anew.
// For the rest what speaks of these says nothing.
const mostDisturbed = 150

// weigh lets the leaves have their part in the weights of the sets that were
// weighed without them.
func (l *leaves) weigh(ctx context.Context, all []weighed) error {
	bounds, order := make([]float64, len(all)), make([]int, len(all))
	odds := make([][]float64, len(all)) // of each leaf, NaN where it is disturbed
	for i := range all {
		if err := ctx.Err(); err != nil {
			return err
		}
		order[i], odds[i] = i, l.undisturbed(all[i].faults)
		bounds[i] = all[i].log()
		for n, o := range odds[i] {
			if math.IsNaN(o) {
				o = sum(l.list[n].rest)
			}
			bounds[i] += math.Log1p(o)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(bounds[b], bounds[a]) })
	for rank, i := range order {
		if err := ctx.Err(); err != nil {
			return err
		}
		all[i].prior += l.share(&all[i], odds[i], rank < mostDisturbed)
	}
	return nil
}

// undisturbed gives the odds of each leaf under a set that leaves it as it is,
// NaN where the set does not; 0 where the set holds another fault of it.
func (l *leaves) undisturbed(faults []int) []float64 {
	odds := make([]float64, len(l.list))
	disturbed := l.model.Disturbed(faults, l.items)
	for i := range l.list {
		one := &l.list[i]
		switch {
		case l.holds(faults, one):
		case one.flat:
			odds[i] = sum(one.rest)
		case disturbed[i]:
			odds[i] = math.NaN()
		default:
			odds[i] = l.times(faults, one.item) * sum(one.rest)
		}
	}
	return odds
}

// holds reports whether a set holds a fault of the item of a leaf.
func (l *leaves) holds(faults []int, one *leaf) bool {
	return slices.ContainsFunc(faults, func(f int) bool { return l.faults[f].Item == one.item })
}

// share is what is added to ln of a set's weight when its leaves may be anything.
func (l *leaves) share(set *weighed, odds []float64, anew bool) float64 {
	total := 0.0
	for i, o := range odds {
		if math.IsNaN(o) {
			if o = sum(l.list[i].odds); anew {
				o = sum(l.anew(set.faults, set.likelihood, &l.list[i]))
			}
		}
		total += math.Log1p(o)
	}
	if len(set.faults) > 0 {
		return total
	}
	// nothing at all wrong is the one thing that the complaint speaks against
	return math.Log(math.Expm1(total)+math.Exp(l.complaint)) - l.complaint
}

// anew gives the odds of each fault of a leaf under a set that disturbs it.
func (l *leaves) anew(faults []int, likelihood float64, one *leaf) []float64 {
	odds := make([]float64, len(one.faults))
	if len(faults) == 0 {
		likelihood -= l.complaint
	}
	for n, f := range one.faults {
		odds[n] = l.times(faults, one.item) * one.odds[n] * math.Exp(l.ask(with(faults, f))-likelihood)
	}
	return odds
}

// way is one way in which leaves are bad, with its share.
type way struct {
	share float64
	bad   []int
}

// The bounds of listing: how many ways for one set, the probability up to which
// only the likeliest is listed, and when a leaf is settled.
const (
	mostListed  = 256
	leastListed = 0.002
	settled     = 1e-4
)

// ways lists the likeliest ways in which leaves are bad under a set of some
// probability, fewer where that is small; what is not listed goes to the
// likeliest.
func (l *leaves) ways(faults []int, probability float64) []way {
	most := 1
	for p := probability; p > leastListed && most < mostListed; p /= 2 {
		most *= 2
	}
	likelihood := l.ask(faults)
	odds := l.undisturbed(faults)
	ways := []way{{share: 1}}
	for i := range l.list {
		one := &l.list[i]
		if one.flat || odds[i] == 0 {
			continue
		}
		each := one.rest
		if math.IsNaN(odds[i]) {
			each = l.anew(faults, likelihood, one)
			odds[i] = sum(each)
		}
		bad := odds[i] / (1 + odds[i])
		likeliest := one.faults[slices.Index(each, slices.Max(each))]
		switch {
		case bad < settled:
			continue
		case bad > 1-settled:
			for w := range ways {
				ways[w].bad = append(slices.Clone(ways[w].bad), likeliest)
			}
			continue
		}
		var next []way
		for _, w := range ways {
			next = append(next, way{w.share * (1 - bad), w.bad}, way{w.share * bad, append(slices.Clone(w.bad), likeliest)})
		}
		slices.SortStableFunc(next, func(a, b way) int { return cmp.Compare(b.share, a.share) })
		ways = next[:min(most, len(next))]
	}
	total := 0.0
	for _, w := range ways {
		total += w.share
	}
	ways[0].share += 1 - total
	if len(faults) > 0 {
		return ways
	}
	total = 0
	for i := range ways {
		if len(ways[i].bad) == 0 { // nothing is wrong at all
			ways[i].share *= math.Exp(l.complaint)
		}
		total += ways[i].share
	}
	for i := range ways {
		ways[i].share /= total
	}
	return ways
}

// core gives the chance that each item is bad in a way that does not stand apart,
// and by how much the priors of sets without leaves fall short of those of sets
// with any leaves.
func (l *leaves) core(bad []float64) (core []float64, scale float64) {
	core, scale = slices.Clone(bad), 1
	if l == nil {
		return core, scale
	}
	for _, one := range l.list {
		for _, f := range one.faults {
			core[one.item] -= l.faults[f].Prior
		}
		core[one.item] = max(core[one.item], 0)
		scale *= (1 - core[one.item]) / (1 - bad[one.item])
	}
	return core, scale
}

// with is a set with one fault more.
func with(faults []int, f int) []int {
	set := append(slices.Clone(faults), f)
	slices.Sort(set)
	return set
}

func sum(list []float64) float64 {
	total := 0.0
	for _, x := range list {
		total += x
	}
	return total
}
