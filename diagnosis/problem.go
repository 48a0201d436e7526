package diagnosis

import (
	"fmt"
	"math"
)

// Fault is one way in which one item can be bad.
type Fault struct {
	// Item is the index of the item; faults of one item exclude each other.
	Item int
	// Prior is the chance, before any reading, that the item is bad in this way.
	Prior float64
}

// Model foretells readings. It must be safe for concurrent use.
type Model interface {
	// LogLikelihood is the natural logarithm of the chance (or density) of all
	// that was read, given that exactly these faults are present. The faults
	// are indices into Problem.Faults in ascending order, at most one for
	// each item; an empty list means that nothing is wrong.
	LogLikelihood(faults []int) float64
	// Undescribed is the same, given a fault of which the model knows nothing.
	Undescribed() float64
	// Ceiling is an upper bound of LogLikelihood over all sets; +Inf where no
	// bound is known.
	Ceiling() float64
}

// Sieve may be implemented by a Model to spare weighing sets that cannot
// explain any more than smaller ones do.
type Sieve interface {
	// Helping tells, for each fault, whether adding it to the set could explain
	// any reading better. A fault that cannot is idle: it may be there, but
	// nothing that was read speaks for it.
	Helping(faults []int) []bool
}

// Problem is what is to be diagnosed.
type Problem struct {
	Items  int // the number of items, at least one more than the largest Fault.Item
	Faults []Fault
	// Undescribed is the prior chance that the trouble is something the
	// model does not describe.
	Undescribed float64
	Model       Model
	// Casualties say which faults are apt to take other items with them.
	Casualties []Casualty
}

// Casualty is an item that is likelier bad when a certain fault is there: what
// lives on a rail that went too high, the fuse before a short. Its odds of being
// bad are then multiplied. Casualties of casualties count too; a fault must not be
// its own cause in the end, or the prior chances no longer add up to one.
type Casualty struct {
	Cause int // a fault
	Item  int
	Times float64 // 1 or more
}

// check reports the first thing in the problem that makes no sense.
func (p *Problem) check() error {
	if p.Model == nil {
		return fmt.Errorf("diagnosis: the problem has no model")
	}
	if !(p.Undescribed >= 0 && p.Undescribed < 1) {
		return fmt.Errorf("diagnosis: prior %v of an undescribed fault must lie in 0 to below 1", p.Undescribed)
	}
	if p.Items < 0 {
		return fmt.Errorf("diagnosis: the problem has %d items; it must have none or more", p.Items)
	}
	for i, f := range p.Faults {
		if f.Item < 0 || f.Item >= p.Items {
			return fmt.Errorf("diagnosis: fault %d belongs to item %d, but there are %d items", i, f.Item, p.Items)
		}
		if !(f.Prior > 0 && f.Prior < 1) {
			return fmt.Errorf("diagnosis: fault %d has prior %v; it must lie between 0 and 1", i, f.Prior)
		}
	}
	for i, c := range p.Casualties {
		if c.Cause < 0 || c.Cause >= len(p.Faults) || c.Item < 0 || c.Item >= p.Items || c.Item == p.Faults[c.Cause].Item {
			return fmt.Errorf("diagnosis: casualty %d: fault %d and item %d must be there, and the item another than the fault's own", i, c.Cause, c.Item)
		}
		if !(c.Times >= 1) || math.IsInf(c.Times, 1) {
			return fmt.Errorf("diagnosis: casualty %d multiplies the odds by %v; it must be 1 or more", i, c.Times)
		}
	}
	for item, sum := range p.bad() {
		if sum >= 1 {
			return fmt.Errorf("diagnosis: the priors of item %d add up to %v; they must stay below 1", item, sum)
		}
	}
	return nil
}

// bad gives, for each item, the prior chance that it is bad in some way.
func (p *Problem) bad() []float64 {
	sums := make([]float64, p.Items)
	for _, f := range p.Faults {
		sums[f.Item] += f.Prior
	}
	return sums
}

// sizesOf gives the prior chance that 0, 1, 2 … items are bad, up to the number
// of items that have faults, of the given whole.
func sizesOf(whole float64, items []float64) []float64 {
	sizes := []float64{whole}
	for _, bad := range items {
		if bad == 0 {
			continue
		}
		sizes = append(sizes, 0)
		for n := len(sizes) - 1; n > 0; n-- {
			sizes[n] = sizes[n]*(1-bad) + sizes[n-1]*bad
		}
		sizes[0] *= 1 - bad
	}
	return sizes
}

// logAdd is ln(e^a + e^b) without overflow.
func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(a, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
