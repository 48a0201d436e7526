package rehearsal

import (
	"cmp"
	"context"
	"slices"
)

// Result is a whole rehearsal: every strategy on the same faults, and faults
// kept from whoever looks for them.
type Result struct {
	Suspects   int `json:"suspects"`
	Hypotheses int `json:"ways_to_be_bad"`
	Tests      int `json:"tests_within_reach"`
	Trials     int `json:"trials"`
	Bounds
	Scores []Score `json:"strategies"`
	// Hidden are hunts after faults of suspects that the looker does not know
	// of; fewer, a third.
	Hidden []Score    `json:"hidden_faults"`
	Groups [][]string `json:"groups_no_test_tells_apart"`
	Missed []Missed   `json:"most_often_missed"`

	costs [][]float64 // of each hunt, by strategy
}

// Missed is a suspect that was bad and not named first.
type Missed struct {
	Name string `json:"name"`
	Bad  Share  `json:"not_named_first"`
}

// states bounds the search for the best of all plans.
const states = 20_000

// mostMissed is the number of suspects listed as missed.
const mostMissed = 6

// Rehearse plays a whole rehearsal. Progress is told the share that is done.
func Rehearse(ctx context.Context, bench Bench, options Options, progress func(share float64)) (*Result, error) {
	setup := bench.Setup()
	strategies := Strategies()
	rules := options.Rules.withDefaults()
	result := &Result{Suspects: len(setup.Suspects), Hypotheses: len(setup.Hypotheses), Trials: options.Trials, Groups: [][]string{}, Missed: []Missed{}}
	for _, t := range setup.Tests {
		if t.Cost > 0 {
			result.Tests++
		}
	}
	hidden := options
	hidden.Hidden, hidden.Trials = true, max(1, options.Trials/3)
	all, done := len(strategies)*options.Trials+2*hidden.Trials, 0
	play := func(s Strategy, o Options) ([]Trial, error) {
		o.Progress = func(n int) {
			if progress != nil {
				progress(float64(done+n) / float64(all))
			}
		}
		trials, err := Play(ctx, bench, s, o)
		done += o.Trials
		return trials, err
	}
	for i, s := range strategies {
		trials, err := play(s, options)
		if err != nil {
			return nil, err
		}
		result.Scores = append(result.Scores, Judge(bench, s.Name, trials))
		var costs []float64
		for k := range trials {
			costs = append(costs, trials[k].Testing+trials[k].Repair)
		}
		result.costs = append(result.costs, costs)
		if i == 0 {
			result.Missed = missed(bench, trials)
		}
	}
	for _, s := range strategies[:2] {
		trials, err := play(s, hidden)
		if err != nil {
			return nil, err
		}
		result.Hidden = append(result.Hidden, Judge(bench, s.Name, trials))
	}
	var err error
	if result.Bounds, err = Bound(bench, rules.Sure, result.Scores[0].Left, states); err != nil {
		return nil, err
	}
	for _, group := range Groups(bench) {
		var names []string
		for _, x := range group {
			names = append(names, setup.Suspects[x].Name)
		}
		result.Groups = append(result.Groups, names)
	}
	return result, nil
}

// Costs lists what each hunt of a strategy cost in all, in the order of Scores.
func (r *Result) Costs(strategy int) []float64 { return r.costs[strategy] }

// missed lists the suspects that were most often bad without being named first,
// counted over hunts in which nothing else was bad.
func missed(bench Bench, trials []Trial) []Missed {
	setup := bench.Setup()
	same := groupOf(bench)
	bad, not := make([]int, len(setup.Suspects)), make([]int, len(setup.Suspects))
	for i := range trials {
		t := &trials[i]
		one := setup.Hypotheses[t.Truth].Suspects
		if len(one) != 1 {
			continue
		}
		bad[one[0]]++
		if len(t.Named) == 0 || t.Named[0] < 0 || !t.like(setup, t.Named[0], same) {
			not[one[0]]++
		}
	}
	list := []Missed{}
	for x, n := range not {
		if n > 0 {
			list = append(list, Missed{setup.Suspects[x].Name, share(n, bad[x])})
		}
	}
	slices.SortStableFunc(list, func(a, b Missed) int { return cmp.Compare(b.Bad.Count, a.Bad.Count) })
	return list[:min(mostMissed, len(list))]
}
