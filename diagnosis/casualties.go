package diagnosis

import (
	"math"
	"slices"
)

// casualties is what faults do to the odds of other items.
type casualties struct {
	faults []Fault
	bad    []float64          // for each item the chance that it is bad
	of     map[int][]Casualty // by cause
}

func newCasualties(p *Problem, bad []float64) casualties {
	c := casualties{faults: p.Faults, bad: bad, of: map[int][]Casualty{}}
	for _, one := range p.Casualties {
		c.of[one.Cause] = append(c.of[one.Cause], one)
	}
	return c
}

// extra is what is to be added to the ln prior of a set of independent faults.
// With odds multiplied by k, a chance b becomes kb / (1 - b + kb). An item with
// several causes in the set takes the strongest.
func (c *casualties) extra(faults []int) float64 {
	if len(c.of) == 0 {
		return 0
	}
	var hit []Casualty // the strongest for each item
	for _, f := range faults {
		for _, one := range c.of[f] {
			at := slices.IndexFunc(hit, func(h Casualty) bool { return h.Item == one.Item })
			switch {
			case at < 0:
				hit = append(hit, one)
			case one.Times > hit[at].Times:
				hit[at] = one
			}
		}
	}
	sum := 0.0
	for _, h := range hit {
		sum -= math.Log1p(c.bad[h.Item] * (h.Times - 1))
		if slices.ContainsFunc(faults, func(f int) bool { return c.faults[f].Item == h.Item }) {
			sum += math.Log(h.Times)
		}
	}
	return sum
}

// times is by how much the odds of an item are multiplied by what is in a set.
func (c *casualties) times(faults []int, item int) float64 {
	most := 1.0
	for _, f := range faults {
		for _, one := range c.of[f] {
			if one.Item == item {
				most = max(most, one.Times)
			}
		}
	}
	return most
}
