package diagnosis

import (
	"fmt"
	"math"
)

// Goal is what the tests of a table are made for.
type Goal struct {
	// Costs of the tests, above zero, in any one unit (minutes); +Inf for a
	// test that is not to be made.
	Costs []float64
	// Sure ends the testing: when one class of hypotheses has at least this
	// probability. 0 stands for 1, that is, for going on until no test left can
	// tell apart what is left.
	Sure float64
	// Repair makes the goal a unit that works rather than a name; nil for a
	// name. Sure does not count then: testing ends when it no longer pays.
	Repair *Repair
}

// Repair says what mends the unit. After each action one sees, at no cost,
// whether the unit works.
type Repair struct {
	// Bad lists the items that are bad under each hypothesis. An empty list is
	// something that no action mends, but the call does.
	Bad [][]int
	// Actions that may be taken, each once.
	Actions []Action
	// Call is the cost of what mends the unit whatever is wrong with it, such as
	// a swap of the whole board, or of looking beyond what is described; +Inf
	// where there is nothing of the kind.
	Call float64
}

// Action mends items with some chance.
type Action struct {
	Cost float64 // zero or more
	// Mends is the chance for each item that the action mends it when it is
	// bad; items it does not touch may be left out.
	Mends map[int]float64
}

// Swaps are the actions of replacing each item by a good one.
func Swaps(costs []float64) []Action {
	actions := make([]Action, len(costs))
	for i, cost := range costs {
		actions[i] = Action{Cost: cost, Mends: map[int]float64{i: 1}}
	}
	return actions
}

// mostActions is how many actions there may be: what was done is kept as bits
// of a word.
const mostActions = 64

// check reports the first thing that makes no sense in a goal for the table.
func (g *Goal) check(t *Table) error {
	if len(g.Costs) != len(t.tests) {
		return fmt.Errorf("diagnosis: %d costs for %d tests", len(g.Costs), len(t.tests))
	}
	for test, cost := range g.Costs {
		if !(cost > 0) {
			return fmt.Errorf("diagnosis: test %d costs %v; it must be above zero", test, cost)
		}
	}
	if !(g.Sure >= 0 && g.Sure <= 1) {
		return fmt.Errorf("diagnosis: testing cannot end at probability %v; write 0 to 1", g.Sure)
	}
	r := g.Repair
	if r == nil {
		return nil
	}
	if len(r.Bad) != len(t.weights) {
		return fmt.Errorf("diagnosis: %d lists of bad items for %d hypotheses", len(r.Bad), len(t.weights))
	}
	if len(r.Actions) > mostActions {
		return fmt.Errorf("diagnosis: %d actions; at most %d can be planned", len(r.Actions), mostActions)
	}
	if !(r.Call >= 0) {
		return fmt.Errorf("diagnosis: the call costs %v; it must be zero or more, +Inf where there is none", r.Call)
	}
	for i, a := range r.Actions {
		if !(a.Cost >= 0) || math.IsInf(a.Cost, 1) {
			return fmt.Errorf("diagnosis: action %d costs %v; it must be zero or more", i, a.Cost)
		}
		for item, p := range a.Mends {
			if !(p >= 0 && p <= 1) {
				return fmt.Errorf("diagnosis: action %d mends item %d with chance %v", i, item, p)
			}
		}
	}
	return nil
}

// affordable lists the tests that may be made.
func (g *Goal) affordable() []int {
	var list []int
	for test, cost := range g.Costs {
		if !math.IsInf(cost, 1) {
			list = append(list, test)
		}
	}
	return list
}

// remains is the chance, under a hypothesis, that the unit does not work after
// the actions done: each bad item is mended unless all that touched it failed.
func (r *Repair) remains(hypothesis int, done uint64) float64 {
	if len(r.Bad[hypothesis]) == 0 {
		return 1
	}
	mended := 1.0
	for _, item := range r.Bad[hypothesis] {
		fails := 1.0
		for i := range r.Actions {
			if done>>i&1 == 1 {
				fails *= 1 - r.Actions[i].Mends[item]
			}
		}
		mended *= 1 - fails
	}
	return 1 - mended
}
