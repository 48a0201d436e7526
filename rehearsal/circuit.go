package rehearsal

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/prediction"
)

// Circuit is a circuit that can be solved, with what can go wrong with its parts
// and the tests that can be made on it.
type Circuit struct {
	Predictor *prediction.Predictor
	Suspects  []Suspect
	Faults    []CircuitFault
	Tests     []CircuitTest
	// Outputs are the nodes at which the user of the unit notices a trouble. Every
	// unit comes with a complaint about one of those that are not as they should
	// be; what shows at none of them is not brought to a bench.
	Outputs []CircuitOutput
	// Nodes are those at which something that is not described may hang.
	Nodes []string
	// Meter gives the standard uncertainty of a reading.
	Meter func(of prediction.Observable, value float64) float64
	Lost  float64 // cost of looking beyond what is described
	// Undescribed is the prior chance of something not described, and Alike the
	// share of that which reads like a fault that is described though every part
	// tests good by itself: 0.5 by default, below zero for none. The rest may do
	// anything.
	Undescribed float64
	Alike       float64
	// Slips is the chance that a reading is taken at a wrong place.
	Slips float64
	// Progress, when not nil, is told how many faults were tried.
	Progress func(done, of int)
}

// CircuitFault is one way in which a suspect is bad.
type CircuitFault struct {
	Suspect int
	Name    string
	Prior   float64
	Trouble prediction.Trouble
}

// CircuitOutput is a node with what it should do.
type CircuitOutput struct {
	Node string
	Rail prediction.Rail
}

// CircuitTest is a reading in the circuit or the test of a part by itself.
type CircuitTest struct {
	Name     string
	Cost     float64
	Position int // along the way of the signal; below zero for none
	Bench    prediction.Bench
	Of       prediction.Observable
	// Bad makes it the test of a part: the chance that it shows bad under each
	// fault, and, last, where the part is good.
	Bad []float64
}

// reading reports whether it is a reading.
func (t *CircuitTest) reading() bool { return t.Bad == nil }

// CircuitBench is the bench of a circuit. Its units are solved, each with one
// sample of the tolerances of all parts; whoever looks for the fault has the
// forecasts only, and weighs all readings of one state together as numbers.
type CircuitBench struct {
	tableBench
	Circuit
	// Unseen is the prior share of faults that show at no output.
	Unseen float64
	// Unsolved are faults with which the circuit has no solution: they can be put
	// into no unit, and so are not played.
	Unsolved []string

	ctx       context.Context
	forecasts map[string][]*prediction.Forecast // by state of the bench, one for each fault
	faultOf   []int                             // of each hypothesis, −1 for what may do anything
	edges     [][]float64                       // of each test
	priors    []float64                         // of each fault, as it is brought in
	size      float64                           // of the largest level
	specimens specimens
}

// running is the state of the bench in which the unit is complained of.
var running = prediction.Bench{}

// state names a state of the bench.
func state(b prediction.Bench) string { return fmt.Sprint(b) }

// FromCircuit works out what every reading would be under every fault. The
// context bounds the making of units too.
func FromCircuit(ctx context.Context, c Circuit) (*CircuitBench, error) {
	switch {
	case len(c.Faults) == 0:
		return nil, errors.New("rehearsal: nothing is described that could be wrong")
	case len(c.Outputs) == 0:
		return nil, errors.New("rehearsal: nothing is described at which a trouble would show")
	case !(c.Undescribed >= 0 && c.Undescribed < 1):
		return nil, fmt.Errorf("rehearsal: prior %v of something not described must lie in 0 to below 1", c.Undescribed)
	}
	if c.Alike == 0 {
		c.Alike = alikeShare
	}
	c.Alike = max(0, min(1, c.Alike))
	b := &CircuitBench{Circuit: c, ctx: ctx, forecasts: map[string][]*prediction.Forecast{}, edges: make([][]float64, len(c.Tests))}
	if err := b.foresee(); err != nil {
		return nil, err
	}
	setup, err := b.describe()
	if err != nil {
		return nil, err
	}
	for i := range c.Tests {
		if c.Tests[i].reading() {
			b.part(i)
		}
	}
	table, err := b.enter(setup)
	if err != nil {
		return nil, err
	}
	plain, err := FromTable(*setup, table)
	if err != nil {
		return nil, err
	}
	b.tableBench = *plain.(*tableBench)
	return b, nil
}

// foresee asks for all forecasts.
func (b *CircuitBench) foresee() error {
	benches := []prediction.Bench{running}
	for i := range b.Tests {
		bench := b.Tests[i].Bench
		if b.Tests[i].reading() && !slices.ContainsFunc(benches, func(other prediction.Bench) bool { return state(other) == state(bench) }) {
			benches = append(benches, bench)
		}
	}
	var cases []prediction.Case
	for _, bench := range benches {
		for _, f := range b.Faults {
			cases = append(cases, prediction.Case{Bench: bench, Troubles: []prediction.Trouble{f.Trouble}})
		}
	}
	list, err := b.Predictor.ForecastAll(b.ctx, cases, b.Progress)
	if err != nil {
		return err
	}
	for k, bench := range benches {
		b.forecasts[state(bench)] = list[k*len(b.Faults) : (k+1)*len(b.Faults)]
	}
	return nil
}

// describe lists the hypotheses. The prior of each is weighed by its chance to
// show at an output.
func (b *CircuitBench) describe() (*Setup, error) {
	setup := &Setup{Suspects: b.Suspects, Lost: b.Lost, Tests: []Test{{Name: "the complaint", Position: -1}}}
	for _, t := range b.Tests {
		setup.Tests = append(setup.Tests, Test{Name: t.Name, Cost: t.Cost, Position: t.Position})
	}
	name := func(i int) string { return b.Suspects[b.Faults[i].Suspect].Name + " " + b.Faults[i].Name }
	all, total := 0.0, 0.0
	for i, f := range b.Faults {
		if ways := b.forecasts[state(running)][i].Ways; slices.ContainsFunc(ways, func(w prediction.Way) bool { return w.Behaviour == prediction.NoSolution }) {
			b.Unsolved = append(b.Unsolved, name(i))
			b.priors = append(b.priors, 0)
			continue
		}
		all += f.Prior
		_, seen := b.bad(i)
		prior := f.Prior * seen
		if seen < leastShown {
			prior = 0
		}
		b.priors = append(b.priors, prior)
		total += prior
	}
	if total == 0 {
		return nil, errors.New("rehearsal: no fault of the circuit shows at an output")
	}
	b.Unseen = 1 - total/all
	beyond := total * b.Undescribed / (1 - b.Undescribed)
	add := func(h Hypothesis, fault int) {
		if h.Prior > 0 {
			setup.Hypotheses = append(setup.Hypotheses, h)
			b.faultOf = append(b.faultOf, fault)
		}
	}
	for i, f := range b.Faults {
		add(Hypothesis{Name: name(i), Prior: b.priors[i], Suspects: []int{f.Suspect}}, i)
	}
	add(Hypothesis{Name: "something not described", Prior: beyond * (1 - b.Alike)}, -1)
	for i, f := range b.Faults {
		add(Hypothesis{Name: "something not described, like " + name(i), Prior: beyond * b.Alike * b.priors[i] / total, Like: []int{f.Suspect}}, i)
	}
	return setup, nil
}

// leastShown is the chance of showing at an output below which a fault is taken
// to show at none: one unit in fifty is no part of what a bench sees of it.
const leastShown = 0.02

// bad gives, for each output, the chance that it is bad under a fault, and that
// any is, as far as one can tell from each by itself.
func (b *CircuitBench) bad(fault int) (each []float64, any float64) {
	each = make([]float64, len(b.Outputs))
	for _, way := range b.forecasts[state(running)][fault].Ways {
		most := 0.0
		for i, o := range b.Outputs {
			bad := way.Bad(o.Node, o.Rail, nil)
			each[i] += way.Weight * bad
			most = max(most, bad)
		}
		any += way.Weight * most
	}
	return each, any
}

// part finds the ranges of a reading that tell faults apart.
func (b *CircuitBench) part(test int) {
	t := &b.Tests[test]
	var list []prediction.Outlook
	size := 0.0
	for i, f := range b.forecasts[state(t.Bench)] {
		for _, way := range f.Ways {
			mean, deviation, ok := way.Predict(t.Of, nil)
			if !ok || b.priors[i] == 0 {
				continue
			}
			list = append(list, prediction.Outlook{Weight: b.priors[i] * way.Weight, Mean: mean, Deviation: deviation})
			size = max(size, math.Abs(mean))
		}
	}
	if t.Of.Aspect == prediction.Level {
		b.size = max(b.size, 1.5*size)
	}
	b.edges[test] = prediction.Edges(list, b.Meter(t.Of, size))
}

// enter fills the table: what each answer is worth before anything is read.
func (b *CircuitBench) enter(setup *Setup) (*diagnosis.Table, error) {
	prior := make([]float64, len(setup.Hypotheses))
	for h := range prior {
		prior[h] = setup.Hypotheses[h].Prior
	}
	table, err := diagnosis.NewTable(prior)
	if err != nil {
		return nil, err
	}
	rows := make([][]float64, len(b.Faults)) // of one test, by fault
	share := func(answers int) []float64 {   // where anything may be
		mixed, total := make([]float64, answers), 0.0
		for i, row := range rows {
			total += b.priors[i]
			for a, p := range row {
				mixed[a] += b.priors[i] * p
			}
		}
		for a := range mixed {
			mixed[a] = usualShare*mixed[a]/total + (1-usualShare)/float64(answers)
		}
		return mixed
	}
	add := func(answers int, under func(hypothesis int) []float64) error {
		chance := empty(answers, len(prior))
		for h := range prior {
			for a, p := range under(h) {
				chance[a][h] = p
			}
		}
		_, err := table.Add(chance)
		return err
	}
	numbers := func(answers int) error {
		anything := share(answers)
		return add(answers, func(h int) []float64 {
			if b.faultOf[h] < 0 {
				return anything
			}
			return rows[b.faultOf[h]]
		})
	}
	for i := range b.Faults {
		each, _ := b.bad(i)
		rows[i] = shares(each)
	}
	if err := numbers(len(b.Outputs)); err != nil {
		return nil, err
	}
	for i := range b.Tests {
		t := &b.Tests[i]
		if t.reading() {
			for f := range b.Faults {
				rows[f] = b.ranges(i, f)
			}
			err = numbers(len(b.edges[i]) + 1)
		} else {
			err = add(2, func(h int) []float64 {
				bad := t.Bad[len(b.Faults)]
				if !setup.Hypotheses[h].Undescribed() {
					bad = t.Bad[b.faultOf[h]]
				}
				return []float64{bad, 1 - bad}
			})
		}
		if err != nil {
			return nil, fmt.Errorf("rehearsal: %s: %w", t.Name, err)
		}
	}
	return table, nil
}

// shares makes shares of chances, with a little for each.
func shares(each []float64) []float64 {
	list, sum := make([]float64, len(each)), 0.0
	for i, p := range each {
		list[i] = p + 1e-3
		sum += list[i]
	}
	for i := range list {
		list[i] /= sum
	}
	return list
}

// usualShare is how often something that is not described leaves a reading like
// one that a described fault might give, most of which leave most readings as
// they should be. Common practice, no source.
const usualShare = 0.5

// ranges is the chance of each range of a reading under a fault.
func (b *CircuitBench) ranges(test, fault int) []float64 {
	t := &b.Tests[test]
	edges := b.edges[test]
	chances, sum := make([]float64, len(edges)+1), 0.0
	for a := range chances {
		read := prediction.Read{Of: t.Of, Value: 1, Low: math.Inf(-1), High: math.Inf(1)}
		if a > 0 {
			read.Low = edges[a-1]
		}
		if a < len(edges) {
			read.High = edges[a]
		}
		read.U = b.Meter(t.Of, 1)
		if t.Of.Aspect != prediction.Resistance && len(edges) > 0 {
			read.U = b.Meter(t.Of, edges[min(a, len(edges)-1)])
		}
		chances[a] = math.Exp(b.forecasts[state(t.Bench)][fault].LogDensity([]prediction.Read{read}))
		sum += chances[a]
	}
	for a := range chances {
		chances[a] /= sum
	}
	return chances
}
