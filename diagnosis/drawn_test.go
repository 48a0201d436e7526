package diagnosis_test

import (
	"fmt"
	"math"
	"slices"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// drawn is a small random problem together with all its sets of faults.
type drawn struct {
	diagnosis.Problem
	every   []listed
	total   float64 // chance of what was read, over every set and the undescribed
	highest float64 // the largest ln likelihood
}

// listed is one set with its prior and its ln likelihood.
type listed struct {
	faults     []int
	prior      float64
	likelihood float64
}

func (l listed) joint() float64 { return l.prior * math.Exp(l.likelihood) }

// drawProblem draws up to eight items with one to three faults each, at most
// about a thousand sets, and a likelihood of its own for every set, one in
// eight of them zero.
func drawProblem(t *rapid.T) *drawn {
	d := &drawn{highest: math.Inf(-1)}
	sets := 1
	for items := rapid.IntRange(1, 8).Draw(t, "items"); d.Items < items && sets <= 512; d.Items++ {
		modes := rapid.IntRange(1, 3).Draw(t, "faults of an item")
		sets *= 1 + modes
		for range modes {
			d.Faults = append(d.Faults, diagnosis.Fault{Item: d.Items, Prior: rapid.Float64Range(1e-4, 0.3).Draw(t, "prior")})
		}
	}
	// Faults of one item need not stand together.
	d.Faults = rapid.Permutation(d.Faults).Draw(t, "faults")
	if rapid.Bool().Draw(t, "something may be undescribed") {
		d.Undescribed = rapid.Float64Range(0, 0.5).Draw(t, "undescribed")
	}
	table := rapid.Uint64().Draw(t, "table of likelihoods")
	of := func(faults []int) float64 {
		x := scramble(table)
		for _, f := range faults {
			x = scramble(x ^ uint64(f+1))
		}
		if x%8 == 0 {
			return math.Inf(-1)
		}
		return 5 - 45*float64(x>>11)/(1<<53)
	}
	undescribed := rapid.Float64Range(-45, 5).Draw(t, "ln likelihood of the undescribed")

	good := make([]float64, d.Items)
	for item := range good {
		good[item] = 1
		for _, f := range d.Faults {
			if f.Item == item {
				good[item] -= f.Prior
			}
		}
	}
	var list func(item int, faults []int, prior float64)
	list = func(item int, faults []int, prior float64) {
		if item == d.Items {
			set := slices.Clone(faults)
			slices.Sort(set)
			d.every = append(d.every, listed{set, prior, of(set)})
			return
		}
		list(item+1, faults, prior*good[item])
		for i, f := range d.Faults {
			if f.Item == item {
				list(item+1, append(slices.Clone(faults), i), prior*f.Prior)
			}
		}
	}
	list(0, nil, 1-d.Undescribed)
	for _, l := range d.every {
		d.total += l.joint()
		d.highest = max(d.highest, l.likelihood)
	}
	d.total += d.Undescribed * math.Exp(undescribed)
	d.Model = model{of: of, undescribed: undescribed, ceiling: d.highest}
	return d
}

// scramble spreads the bits of a number (the finaliser of SplitMix64, Steele,
// Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// sieved is a model with an arbitrary opinion of which faults are worth adding.
// Whatever it is, what it keeps out counts as left out.
type sieved struct {
	model
	table uint64
}

// possibleWithin reports whether some set up to the size, or the undescribed,
// explains what was read.
func (d *drawn) possibleWithin(size int) bool {
	return d.Undescribed > 0 || slices.ContainsFunc(d.every, func(l listed) bool { return len(l.faults) <= size && l.joint() > 0 })
}

func byName(sets []diagnosis.Set) map[string]diagnosis.Set {
	found := map[string]diagnosis.Set{}
	for _, set := range sets {
		found[fmt.Sprint(set.Faults)] = set
	}
	return found
}

// checkPosterior checks what holds for every posterior.
func checkPosterior(t interface {
	Errorf(string, ...any)
}, p *diagnosis.Posterior) {
	sum := p.Undescribed
	for i, set := range p.Sets {
		sum += set.Probability
		if i > 0 && set.Probability > p.Sets[i-1].Probability {
			t.Errorf("set %d is more probable than the one before it", i)
		}
		if !slices.IsSorted(set.Faults) {
			t.Errorf("faults %v are not in order", set.Faults)
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("probabilities add up to %v", sum)
	}
	if !(0 <= p.Guess && p.Guess <= p.LeftOut && p.LeftOut <= 1) {
		t.Errorf("left out: guess %v, at most %v; want the guess from 0 to the bound, and the bound to 1", p.Guess, p.LeftOut)
	}
	if len(byName(p.Sets)) != len(p.Sets) {
		t.Errorf("a set was weighed twice")
	}
	weighed := 0
	for _, n := range p.BySize {
		weighed += n
	}
	if weighed != len(p.Sets) {
		t.Errorf("by size %v, but %d sets", p.BySize, len(p.Sets))
	}
}
