package diagnosis

import (
	"errors"
	"math"
)

// ErrTooLarge says that a plan to the end has too many states to be worked out.
var ErrTooLarge = errors.New("diagnosis: too many states to plan to the end")

// Optimum is the best of all plans.
type Optimum struct {
	// Cost is the least expected cost: of testing until the name is known, or
	// until the unit works.
	Cost float64
	// Tests are the tests with which a best plan may begin, Actions likewise.
	// Both are empty when there is nothing to do, or nothing left but the call.
	Tests, Actions []int
}

// Optimum finds the best of all plans by dynamic programming over what may be
// known (Pattipati and Alexandridis, "Application of heuristic search and
// information theory to sequential fault diagnosis", IEEE Transactions on
// Systems, Man, and Cybernetics 20, 1990, for perfect tests; the same recursion
// holds for tests that err, made once each). It enters at most the given number
// of states and returns ErrTooLarge when that does not suffice: with perfect
// tests there are up to 2ⁿ for n hypotheses, with erring ones more.
//
// Under a Repair, a test answers after an action that has not mended the unit
// as it would have before. With several bad items in one hypothesis that is an
// approximation: part of the trouble may be gone.
func (t *Table) Optimum(goal Goal, states int) (Optimum, error) {
	if err := goal.check(t); err != nil {
		return Optimum{}, err
	}
	p := newPlanner(t.narrow(t.possible(), goal.affordable(), &goal), &goal, states)
	if p.mostStates() > feasible*float64(states) {
		return Optimum{}, ErrTooLarge
	}
	return p.optimum()
}

// possible lists the hypotheses not ruled out.
func (t *Table) possible() []int {
	var list []int
	for h, w := range t.weights {
		if w > 0 {
			list = append(list, h)
		}
	}
	return list
}

func (p *planner) optimum() (Optimum, error) {
	s := p.start()
	cost, ok := p.least(&s)
	if !ok {
		return Optimum{}, ErrTooLarge
	}
	o := Optimum{Cost: cost}
	if p.repair == nil && p.settled(&s) {
		return o, nil
	}
	const alike = 1e-9
	for i := range p.tests {
		if c, ok := p.leastTesting(&s, i, math.Inf(1)); ok && c <= cost*(1+alike) {
			o.Tests = append(o.Tests, p.tests[i].number)
		}
	}
	if p.repair != nil {
		for i := range p.repair.Actions {
			if c, ok := p.leastActing(&s, i); ok && c <= cost*(1+alike) {
				o.Actions = append(o.Actions, i)
			}
		}
	}
	return o, nil
}

// least is the least expected cost from a state on; false when there are too
// many states.
func (p *planner) least(s *state) (float64, bool) {
	key := p.key(s)
	if c, known := p.optimal[key]; known {
		return c, true
	}
	if p.nodes == 0 {
		return 0, false
	}
	p.nodes--
	best := math.Inf(1)
	if p.repair == nil {
		if p.settled(s) {
			p.optimal[key] = 0
			return 0, true
		}
	} else {
		best, _ = p.replacing(*s)
		for i := range p.repair.Actions {
			c, ok := p.leastActing(s, i)
			if !ok {
				return 0, false
			}
			best = min(best, c)
		}
	}
	for i := range p.tests {
		if p.costs[i] >= best {
			continue
		}
		c, ok := p.leastTesting(s, i, best)
		if !ok {
			return 0, false
		}
		best = min(best, c)
	}
	p.optimal[key] = best
	return best, true
}

// leastTesting is the least expected cost when a test is made first, +Inf when
// it can say nothing, or at least the bound when it is no better than that.
func (p *planner) leastTesting(s *state, test int, bound float64) (float64, bool) {
	list := p.branches(s, test)
	if len(list) < 2 {
		return math.Inf(1), true
	}
	cost := p.costs[test]
	for i := range list {
		c, ok := p.least(&list[i].then)
		if !ok {
			return 0, false
		}
		if cost += list[i].chance * c; cost > bound {
			return cost, true
		}
	}
	return cost, true
}

// leastActing is the same for an action.
func (p *planner) leastActing(s *state, action int) (float64, bool) {
	if s.done>>action&1 == 1 {
		return math.Inf(1), true
	}
	b := p.act(s, action)
	if b.chance > 1-1e-12 {
		return math.Inf(1), true
	}
	cost := p.repair.Actions[action].Cost
	if b.chance > 0 {
		c, ok := p.least(&b.then)
		if !ok {
			return 0, false
		}
		cost += b.chance * c
	}
	return cost, true
}
