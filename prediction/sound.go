package prediction

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sort"
	"sync"

	"halfsplit/circuit"
)

// sound is what is known of the sound circuit in one state of the bench, from
// which the others start.
type sound struct {
	once    sync.Once
	err     error
	outcome *outcome
	ranked  []knob
	columns [][]float64
	ways    []Way
}

// scale is the size of the level of each node in the sound circuit.
func (s *sound) scale(p *Predictor) []float64 {
	if s.outcome == nil || s.outcome.values == nil {
		return nil
	}
	list := make([]float64, len(p.nodes))
	for i := range list {
		at := len(liveAspects) * i
		list[i] = max(math.Abs(s.outcome.values[at]), s.outcome.values[at+2])
	}
	return list
}

// rank puts the knobs that matter in the sound circuit first.
func rank(list []knob, base *sound) []knob {
	if base == nil {
		return list
	}
	place := map[[2]string]int{}
	for i, k := range base.ranked {
		place[[2]string{k.part, k.parameter}] = i + 1
	}
	ranked := slices.Clone(list)
	slices.SortStableFunc(ranked, func(a, b knob) int {
		i, j := place[[2]string{a.part, a.parameter}], place[[2]string{b.part, b.parameter}]
		if i == 0 {
			i = len(base.ranked) + 1
		}
		if j == 0 {
			j = len(base.ranked) + 1
		}
		return cmp.Compare(i, j)
	})
	return ranked
}

// soundIn works out the sound circuit in one state of the bench, once.
func (p *Predictor) soundIn(ctx context.Context, bench Bench) (*sound, error) {
	name := benchName(bench)
	p.mutex.Lock()
	s := p.sounds[name]
	if s == nil {
		s = &sound{}
		p.sounds[name] = s
	}
	p.mutex.Unlock()
	s.once.Do(func() { s.err = p.listen(ctx, bench, s) })
	if s.err != nil {
		p.mutex.Lock()
		if p.sounds[name] == s { // the next may have more time
			delete(p.sounds, name)
		}
		p.mutex.Unlock()
		if ctx.Err() == nil && (errors.Is(s.err, context.Canceled) || errors.Is(s.err, context.DeadlineExceeded)) {
			return p.soundIn(ctx, bench)
		}
		return nil, s.err
	}
	return s, nil
}

// listen works out the sound circuit: every knob one by one, to know which matter.
func (p *Predictor) listen(ctx context.Context, bench Bench, to *sound) error {
	c := Case{Bench: bench}
	twin, err := p.drawn.Failing(c.failing(p.drawn))
	if err != nil {
		return err
	}
	if twin.Period == 0 && !p.free {
		to.ways, err = p.resting(ctx, twin)
		return err
	}
	var solve solved
	if twin.Period > 0 {
		solve = func(ctx context.Context, settings []setting) (*outcome, error) {
			return p.repeat(ctx, twin, settings, to.outcome)
		}
	} else {
		cold, err := p.cold.Failing(c.failing(p.cold))
		if err != nil {
			return err
		}
		solve = func(ctx context.Context, settings []setting) (*outcome, error) { return p.start(ctx, cold, settings) }
	}
	o, err := solve(ctx, nil)
	if err != nil {
		return err
	}
	to.outcome = o
	o.scale = to.scale(p)
	if o.values == nil {
		to.ways = []Way{p.way(o, 1, nil)}
		return nil
	}
	s, err := twin.Solver(circuit.Settings{})
	if err != nil {
		return err
	}
	list := knobs(twin, s)
	if twin.Period == 0 {
		if o.behaviour == Repeats { // what is turned a little is not far from there
			from := following{from: &o.state, longest: max(p.set.Longest, 2*p.cold.Last), least: p.set.Longest / 20}
			solve = func(ctx context.Context, settings []setting) (*outcome, error) {
				return p.run(ctx, twin, settings, from)
			}
		}
		if to.columns, err = p.differences(ctx, o, list, solve); err != nil {
			return err
		}
		to.ways = []Way{p.way(o, 1, to.columns)}
		return nil
	}
	floor := p.floors(o)
	matters := map[[2]string]float64{}
	for _, k := range list {
		column, err := p.column(ctx, o, alone(k), solve)
		if err != nil {
			return err
		}
		if column == nil {
			matters[[2]string{k.part, k.parameter}] = math.Inf(1)
			continue
		}
		for at := range column {
			matters[[2]string{k.part, k.parameter}] += math.Pow(column[at]/floor[at], 2)
		}
		to.columns = append(to.columns, column)
	}
	to.ranked = slices.Clone(list)
	sort.SliceStable(to.ranked, func(i, j int) bool {
		return matters[[2]string{to.ranked[i].part, to.ranked[i].parameter}] > matters[[2]string{to.ranked[j].part, to.ranked[j].parameter}]
	})
	to.ways, err = p.spread(ctx, o, to.columns, list, solve)
	return err
}
