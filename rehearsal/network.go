package rehearsal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
	"halfsplit/flow"
)

// Network is a unit described by how its parts depend on one another, with the
// tests that can be made on it.
type Network struct {
	Model *flow.Model
	Tests []NetworkTest
	// Outputs are the nets whose state the user of the unit sees or hears. Every
	// unit comes with a complaint about one of those that are bad; what shows at
	// none of them is not brought to a bench.
	Outputs []int
	Replace []float64 // cost of replacing each item
	Lost    float64   // cost of looking beyond what is described
	// Undescribed is the prior chance of something not described.
	Undescribed float64
	// Alike is the share of that which reads like a fault that is described,
	// though every part tests good by itself: a torn track beside the part, a
	// part that the sheet leaves out. 0.5 by default; below zero for none. The
	// rest may do anything.
	Alike float64
	// Sets is how many sets of two bad items are played, the likeliest, beside
	// every single one: 400 by default; below zero for none.
	Sets int
}

// NetworkTest is one test on a network.
type NetworkTest struct {
	Test     flow.Test
	Name     string
	Cost     float64
	Position int // along the way of the signal; below zero for none
	// Watched says that the test is something done to a part while the output
	// complained of is watched.
	Watched bool
	// After, when set, is what another of the tests must have said before.
	After *Answered
	again bool // the same reading once more
}

// NetworkBench is the bench of a network.
type NetworkBench struct {
	tableBench
	// Uncovered is the prior share, among units with a described trouble at an
	// output, of sets of two bad items that are not played. Sets of three and
	// more are not counted.
	Uncovered float64
	// Unseen is the prior share of single faults that show at no output.
	Unseen float64
}

// alikeShare is how much of what is not described reads like something that is.
// Common practice, no source.
const alikeShare = 0.5

// mostSets is the number of sets of two played by default.
const mostSets = 400

// FromNetwork works out what every test would answer under every fault, and
// every likely pair of faults, while the trouble shows: faults that come and go
// are there all the time. Answers are drawn from what package flow foretells,
// slips of the reader included, each reading by itself.
func FromNetwork(n Network) (*NetworkBench, error) {
	switch {
	case len(n.Model.Candidates) == 0:
		return nil, errors.New("rehearsal: nothing is described that could be wrong")
	case len(n.Outputs) == 0:
		return nil, errors.New("rehearsal: nothing is described at which a trouble would show")
	case len(n.Replace) != len(n.Model.Items):
		return nil, fmt.Errorf("rehearsal: %d costs of replacing for %d items", len(n.Replace), len(n.Model.Items))
	case !(n.Undescribed >= 0 && n.Undescribed < 1):
		return nil, fmt.Errorf("rehearsal: prior %v of something not described must lie in 0 to below 1", n.Undescribed)
	}
	if n.Alike == 0 {
		n.Alike = alikeShare
	}
	n.Alike = math.Max(0, math.Min(1, n.Alike))
	if n.Sets == 0 {
		n.Sets = mostSets
	}
	b := &networkBuilder{Network: n, showing: n.Model.Showing()}
	b.suspects()
	b.faults()
	return b.bench()
}

type networkBuilder struct {
	Network
	showing  *flow.Showing
	setup    Setup
	faultsOf [][]int // of each hypothesis; nil for something not described
	pairs    float64 // prior of all pairs, and of those kept
	kept     float64
	unseen   float64
}

func (b *networkBuilder) suspects() {
	for i, item := range b.Model.Items {
		b.setup.Suspects = append(b.setup.Suspects, Suspect{item.Name, b.Replace[i]})
	}
	b.setup.Lost = b.Lost
	b.setup.Tests = append(b.setup.Tests, Test{Name: "the complaint", Position: -1})
	for _, t := range b.Tests {
		test := Test{Name: t.Name, Cost: t.Cost, Position: t.Position}
		if t.After != nil {
			test.After = &Answered{t.After.Test + 1, t.After.Answer}
		}
		if t.Test.Kind == flow.Probe {
			test.Around = b.around(t.Test.Net)
		}
		b.setup.Tests = append(b.setup.Tests, test)
	}
}

// again adds each reading of a net once more, for each answer that the first may have
// given.
func (b *networkBuilder) again() {
	for i, t := range b.Tests {
		if t.Test.Kind != flow.Probe {
			continue
		}
		for a := range t.Test.Answers() {
			once := t
			once.Name, once.After, once.again = t.Name+" again", &Answered{i, a}, true
			b.Tests = append(b.Tests, once)
			b.setup.Tests = append(b.setup.Tests, Test{Name: once.Name, Cost: t.Cost, Position: -1, After: &Answered{i + 1, a}})
		}
	}
}

// around lists the items of which a net is an input, a supply or an output.
func (b *networkBuilder) around(net int) (items []int) {
	name := b.Model.Nets()[net]
	for i := range b.Model.Items {
		inputs, supplies, outputs := b.Model.Around(i)
		if slices.Contains(slices.Concat(inputs, supplies, outputs), name) {
			items = append(items, i)
		}
	}
	return items
}

// bad gives, for each output, the chance that it is bad, and that any is.
func (b *networkBuilder) bad(faults []int) (each []float64, any float64) {
	scene := flow.Scene{}
	none := 1.0
	for _, net := range b.Outputs {
		spread := b.showing.Spread(net, &scene, faults)
		each = append(each, spread.Bad())
		none *= spread[0]
	}
	return each, 1 - none
}

// leastSeen is the chance of showing at an output below which a set is taken to
// show at none.
const leastSeen = 1e-6

// faults lists what can be wrong: each fault alone, and the likeliest pairs.
// The prior of each is weighed by its chance to show at an output.
func (b *networkBuilder) faults() {
	candidates := b.Model.Candidates
	bad := make([]float64, len(b.Model.Items))
	for _, c := range candidates {
		bad[c.Item] += c.Prior
	}
	odds := make([]float64, len(candidates))
	all := 0.0
	for i, c := range candidates {
		odds[i] = c.Prior / (1 - bad[c.Item])
		all += odds[i]
		b.add([]int{i}, odds[i])
	}
	b.unseen /= all
	type pair struct {
		first, second int
		odds          float64
	}
	var pairs []pair
	for i := range candidates {
		for j := range i {
			if candidates[i].Item != candidates[j].Item {
				p := pair{j, i, odds[i] * odds[j]}
				pairs = append(pairs, p)
				b.pairs += p.odds
			}
		}
	}
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(y.odds, x.odds) })
	for _, p := range pairs[:max(0, min(b.Sets, len(pairs)))] {
		b.kept += p.odds
		b.add([]int{p.first, p.second}, p.odds)
	}
	b.beyond()
}

// beyond adds what is not described.
func (b *networkBuilder) beyond() {
	if b.Undescribed == 0 || len(b.setup.Hypotheses) == 0 {
		return
	}
	total, alone := 0.0, 0.0
	for _, h := range b.setup.Hypotheses {
		total += h.Prior
		if len(h.Suspects) == 1 {
			alone += h.Prior
		}
	}
	prior := total * b.Undescribed / (1 - b.Undescribed)
	described := len(b.setup.Hypotheses)
	b.setup.Hypotheses = append(b.setup.Hypotheses, Hypothesis{Name: "something not described", Prior: prior * (1 - b.Alike)})
	b.faultsOf = append(b.faultsOf, nil)
	for i := range described {
		if h := b.setup.Hypotheses[i]; b.Alike > 0 && len(h.Suspects) == 1 {
			b.setup.Hypotheses = append(b.setup.Hypotheses, Hypothesis{Name: "something not described, like " + h.Name, Prior: prior * b.Alike * h.Prior / alone, Like: h.Suspects})
			b.faultsOf = append(b.faultsOf, b.faultsOf[i])
		}
	}
}

func (b *networkBuilder) add(faults []int, odds float64) {
	_, seen := b.bad(faults)
	if len(faults) == 1 {
		b.unseen += odds * (1 - seen)
	}
	if seen < leastSeen {
		return
	}
	var names []string
	var items []int
	for _, f := range faults {
		c := &b.Model.Candidates[f]
		items = append(items, c.Item)
		names = append(names, b.Model.Items[c.Item].Name+" "+c.Name)
	}
	slices.Sort(items)
	b.setup.Hypotheses = append(b.setup.Hypotheses, Hypothesis{Name: strings.Join(names, " and "), Prior: odds * seen, Suspects: items})
	b.faultsOf = append(b.faultsOf, faults)
}

// bench fills the table.
func (b *networkBuilder) bench() (*NetworkBench, error) {
	n := len(b.setup.Hypotheses)
	if n == 0 {
		return nil, errors.New("rehearsal: no fault that is described shows at an output")
	}
	prior := make([]float64, n)
	for h := range prior {
		prior[h] = b.setup.Hypotheses[h].Prior
	}
	table, err := diagnosis.NewTable(prior)
	if err != nil {
		return nil, err
	}
	b.again()
	rows := make([][][]float64, 1+len(b.Tests)) // test, answer, hypothesis
	rows[0] = empty(len(b.Outputs), n)
	for i := range b.Tests {
		rows[1+i] = empty(b.Tests[i].Test.Answers(), n)
	}
	for h, faults := range b.faultsOf {
		complaint := b.complaint(faults)
		for a, p := range complaint {
			rows[0][a][h] = p
		}
		for i := range b.Tests {
			test := &b.Tests[i].Test
			chances := b.showing.Undescribed(test)
			beside := b.setup.Hypotheses[h].Undescribed() // what is wrong sits in no described part
			switch {
			case b.Tests[i].again && faults == nil:
				chances = b.showing.UndescribedAgain(test, b.Tests[i].After.Answer)
			case b.Tests[i].again:
				chances = b.showing.Again(test, faults, b.Tests[i].After.Answer)
			case faults == nil, beside && (test.Kind == flow.Measure || b.Tests[i].Watched):
			case b.Tests[i].Watched:
				chances = b.showing.Watched(test, faults, b.Outputs, complaint)
			default:
				chances = b.showing.Chances(test, faults)
			}
			for a, p := range chances {
				rows[1+i][a][h] = p
			}
		}
	}
	for i, chance := range rows {
		if _, err := table.Add(chance); err != nil {
			return nil, fmt.Errorf("rehearsal: %s: %w", b.setup.Tests[i].Name, err)
		}
	}
	plain, err := FromTable(b.setup, table)
	if err != nil {
		return nil, err
	}
	bench := &NetworkBench{tableBench: *plain.(*tableBench), Unseen: b.unseen}
	if b.pairs > 0 {
		bench.Uncovered = (b.pairs - b.kept) / (b.pairs + b.singles())
	}
	return bench, nil
}

// singles is the odds of all single faults.
func (b *networkBuilder) singles() float64 {
	sum := 0.0
	for _, c := range b.Model.Candidates {
		sum += c.Prior
	}
	return sum
}

func empty(answers, hypotheses int) [][]float64 {
	rows := make([][]float64, answers)
	for a := range rows {
		rows[a] = make([]float64, hypotheses)
	}
	return rows
}

// complaint is the chance that a unit which is brought in is complained of at
// each output: at any of those that are bad alike. With one output bad,
// the share of it among k others that are bad is 1/(k+1), and the mean of that
// is an integral of their generating function.
func (b *networkBuilder) complaint(faults []int) []float64 {
	chances := make([]float64, len(b.Outputs))
	if faults == nil {
		for i := range chances {
			chances[i] = 1 / float64(len(chances))
		}
		return chances
	}
	each, _ := b.bad(faults)
	sum := 0.0
	const steps = 32 // of Simpson's rule
	for i, p := range each {
		for k := range steps + 1 {
			u := float64(k) / steps
			product := p / (3 * steps)
			for j, q := range each {
				if j != i {
					product *= 1 - q + q*u
				}
			}
			switch {
			case k == 0 || k == steps:
			case k%2 == 1:
				product *= 4
			default:
				product *= 2
			}
			chances[i] += product
		}
		sum += chances[i]
	}
	for i := range chances {
		chances[i] = math.Max(0, chances[i]/sum)
	}
	return chances
}
