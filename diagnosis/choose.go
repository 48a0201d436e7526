package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// Effort bounds how far ahead Choose looks. Zero or less stands for the
// default.
type Effort struct {
	// Hypotheses is how many of the likeliest are looked at, 24 by default.
	// Where more than a fiftieth of the weight lies outside them, nothing is
	// near its end and one test is looked ahead.
	Hypotheses int
	// Tests is how many of those that tell most for their cost are followed to
	// the end, 12 by default.
	Tests int
	// States is how many states of knowledge are entered in the search for the
	// best of all plans, 3,000 by default.
	States int
}

func (e Effort) withDefaults() Effort {
	if e.Hypotheses <= 0 {
		e.Hypotheses = 24
	}
	if e.Tests <= 0 {
		e.Tests = 12
	}
	if e.States <= 0 {
		e.States = 3_000
	}
	return e
}

// Choice is what to do next.
type Choice struct {
	Test   int // the test to make; −1 to make none
	Action int // the action to take when no test is made; −1 for none, or the call
	// Cost is what is expected to be spent from here on, under the plan that was
	// followed; NaN where only one test was looked ahead.
	Cost  float64
	Exact bool // no plan costs less
}

// widely is the share of the weight outside the hypotheses looked at, above
// which planning would be about the wrong ones.
const widely = 0.02

// Choose finds the test (or the action) to begin with. While many hypotheses
// are possible that is the one with the largest gain for its cost. Near the
// end, that rule is on average one or two per cent dearer than need be, and at
// times by a quarter, since a dear test may part what two cheap ones would, or
// a test that tells little now makes the next one tell all. So when few are
// left, the best of all plans is looked for (Optimum); and when that has too
// many states, each of the best tests is followed by the plain rule to the end,
// and the cheapest is taken (rollout: Bertsekas, Tsitsiklis and Wu, "Rollout
// algorithms for combinatorial optimization", Journal of Heuristics 3, 1997),
// which can do no worse than the rule itself. Tests that err have no end to be
// followed to: with them two tests are looked ahead, and what then is left is
// counted at the rate of the best test.
func (t *Table) Choose(goal Goal, effort Effort) (Choice, error) {
	if err := goal.check(t); err != nil {
		return Choice{}, err
	}
	effort = effort.withDefaults()
	likely, kept := t.likeliest(effort.Hypotheses)
	if 1-kept > widely {
		if goal.Repair == nil {
			return t.oneAhead(&goal), nil
		}
		likely = t.possible()
	}
	n := t.narrow(likely, goal.affordable(), &goal)
	sure := goal.Sure
	if sure > 0 { // of the whole, not only of those looked at
		goal.Sure = min(1, sure/n.whole)
	}
	if n.mostStates() <= feasible*float64(effort.States) && 1-kept <= widely {
		p := newPlanner(n, &goal, effort.States)
		if o, err := p.optimum(); err == nil {
			c := Choice{Test: -1, Action: -1, Cost: o.Cost, Exact: kept > 1-1e-12}
			switch {
			case len(o.Tests) > 0:
				c.Test = o.Tests[0]
			case len(o.Actions) > 0:
				c.Action = o.Actions[0]
			}
			return c, nil
		}
	}
	p := newPlanner(n, &goal, 0)
	if goal.Repair != nil {
		return p.rolloutRepair(effort.Tests), nil
	}
	return p.rollout(effort.Tests), nil
}

// feasible is how many times more states there may be than are entered: most
// are never met.
const feasible = 100

// mostStates bounds the number of states of knowledge: subsets of the
// hypotheses, and answers of tests that may err.
func (n *narrowed) mostStates() float64 {
	states := math.Exp2(float64(len(n.weights)))
	for i := range n.tests {
		if !n.tests[i].perfect {
			states *= float64(1 + len(n.tests[i].chance))
		}
	}
	return states
}

// errs reports whether any test may err.
func (n *narrowed) errs() bool {
	return slices.ContainsFunc(n.tests, func(c choice) bool { return !c.perfect })
}

// likeliest lists the most probable hypotheses, and the share of the weight
// they hold.
func (t *Table) likeliest(most int) (list []int, kept float64) {
	list = t.possible()
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(t.weights[b], t.weights[a]) })
	// what is left of no account is not worth a place
	for i, h := range list {
		if i == most || kept > 1-1e-6 && t.weights[h] < 1e-6 {
			list = list[:i]
			break
		}
		kept += t.weights[h]
	}
	return list, kept
}

// oneAhead is the plain rule over the whole table.
func (t *Table) oneAhead(goal *Goal) Choice {
	c := Choice{Test: -1, Action: -1, Cost: math.NaN()}
	if goal.Sure > 0 && t.sure() >= goal.Sure {
		c.Cost = 0
		return c
	}
	if test, gain := t.Best(goal.Costs); gain > 1e-12 {
		c.Test = test
	}
	return c
}

// sure is the probability of the likeliest class.
func (t *Table) sure() float64 {
	if t.classes != nil {
		return slices.Max(t.classes.weigh(t.weights))
	}
	return slices.Max(t.weights)
}

// ranked lists the tests that tell anything in a state, by gain for cost, with
// what follows their answers.
type ranked struct {
	test     int
	branches []branch
	perCost  float64
}

func (p *planner) rank(s *state) []ranked {
	var list []ranked
	for i := range p.tests {
		b := p.branches(s, i)
		if len(b) < 2 {
			continue
		}
		if gain := p.gain(s, b); gain > 1e-12 {
			list = append(list, ranked{i, b, gain / p.costs[i]})
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int {
		if math.Abs(a.perCost-b.perCost) <= 1e-12 {
			return 0
		}
		return cmp.Compare(b.perCost, a.perCost)
	})
	return list
}

// rollout follows each of the best tests by the plain rule.
func (p *planner) rollout(most int) Choice {
	s := p.start()
	c := Choice{Test: -1, Action: -1}
	if p.settled(&s) {
		return c
	}
	c.Cost = math.Inf(1)
	if !p.errs() {
		p.nodes = followed
	}
	list := p.rank(&s)
	for _, r := range list[:min(most, len(list))] {
		cost := p.costs[r.test]
		for _, b := range r.branches {
			cost += b.chance * p.follow(&b.then, b.chance)
		}
		if cost < c.Cost-1e-9 {
			c.Test, c.Cost = p.tests[r.test].number, cost
		}
	}
	if c.Test < 0 { // what is left can be told apart only by tests that tell nothing alone
		c.Cost = 0
	}
	return c
}

// followed is how many states rollouts of perfect tests enter; afterwards, and where a branch is
// reached with less than seldom, the cost to go is estimated.
const (
	followed = 20_000
	seldom   = 2e-3
)

// follow is the expected cost of the plain rule from a state on.
func (p *planner) follow(s *state, reached float64) float64 {
	key := p.key(s)
	if c, known := p.greedy[key]; known {
		return c
	}
	if p.settled(s) {
		return 0
	}
	list := p.rank(s)
	if len(list) == 0 {
		return 0
	}
	best := list[0]
	if p.nodes <= 0 || reached < seldom {
		// at the rate of the best test, for what is still to be told
		return p.entropy(s.weights) / best.perCost
	}
	p.nodes--
	cost := p.costs[best.test]
	for i := range best.branches {
		b := &best.branches[i]
		cost += b.chance * p.follow(&b.then, reached*b.chance)
	}
	p.greedy[key] = cost
	return cost
}

// rolloutRepair weighs replacing at once, each likely action, and each of the
// best tests followed by the plain rules.
func (p *planner) rolloutRepair(most int) Choice {
	s := p.start()
	if !p.errs() {
		p.nodes = followed
	}
	c := Choice{Test: -1}
	c.Cost, c.Action = p.replacing(s)
	if c.Action < 0 && c.Cost == 0 {
		return c
	}
	for i, a := range p.repair.Actions {
		b := p.act(&s, i)
		if s.done>>i&1 == 1 || b.chance > 1-1e-9 {
			continue
		}
		cost := a.Cost
		if b.chance > 0 {
			cost += b.chance * p.mend(&b.then, b.chance)
		}
		if cost < c.Cost-1e-9 {
			c = Choice{Test: -1, Action: i, Cost: cost}
		}
	}
	list := p.rank(&s)
	for _, r := range list[:min(most, len(list))] {
		cost := p.costs[r.test]
		for i := range r.branches {
			b := &r.branches[i]
			cost += b.chance * p.mend(&b.then, b.chance)
		}
		if cost < c.Cost-1e-9 {
			c = Choice{Test: p.tests[r.test].number, Action: -1, Cost: cost}
		}
	}
	return c
}

// mend is the expected cost of the plain rule for repair: of the tests that
// tell most for their cost, the one that saves most against replacing at once,
// as long as one does.
func (p *planner) mend(s *state, reached float64) float64 {
	key := p.key(s)
	if c, known := p.greedy[key]; known {
		return c
	}
	now, _ := p.replacing(*s)
	if p.nodes <= 0 || reached < seldom || now == 0 {
		return now
	}
	p.nodes--
	best, saved := -1, 1e-9
	list := p.rank(s)
	const looked = 6
	list = list[:min(looked, len(list))]
	for i, r := range list {
		then := p.costs[r.test]
		for j := range r.branches {
			cost, _ := p.replacing(r.branches[j].then)
			then += r.branches[j].chance * cost
		}
		if now-then > saved {
			best, saved = i, now-then
		}
	}
	cost := now
	if best >= 0 {
		cost = p.costs[list[best].test]
		for j := range list[best].branches {
			b := &list[best].branches[j]
			cost += b.chance * p.mend(&b.then, reached*b.chance)
		}
	}
	p.greedy[key] = cost
	return cost
}
