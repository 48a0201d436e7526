package prediction

import (
	"cmp"
	"context"

	"fmt"
	"math"

	"slices"

	"sync"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// Predictor foretells readings of one circuit. It is safe for concurrent use.
type Predictor struct {
	drawn   *wiring.Circuit // wired as running
	cold    *wiring.Circuit // wired from the moment of switching on
	nodes   []string
	live    *layout
	dead    *layout
	set     Settings
	free    bool     // sets its own pace: nothing drives it, and it would not stay at rest
	content [32]byte // of the circuit and the settings

	mutex  sync.Mutex
	sounds map[string]*sound
}

// New makes a predictor of a circuit as it is drawn. The error is one in the
// description: a node that floats, a loop without resistance, a pair or frequency
// that cannot be.
func New(c *wiring.Circuit, set Settings) (*Predictor, error) {
	set.withDefaults()
	parts := make([]wiring.Part, len(c.Parts))
	for i := range c.Parts {
		parts[i] = c.Parts[i].Part
	}
	p := &Predictor{nodes: c.Nodes(), set: set, sounds: map[string]*sound{}}
	var err error
	if p.drawn, err = wiring.New(c.Ground, parts, wiring.Running); err != nil {
		return nil, err
	}
	if p.cold, err = wiring.New(c.Ground, parts, wiring.SwitchedOn); err != nil {
		return nil, err
	}
	for _, pair := range set.Pairs {
		for _, n := range pair {
			if n != c.Ground && !slices.Contains(p.nodes, n) {
				return nil, fmt.Errorf("there is no node %q to put the meter on", n)
			}
		}
	}
	for _, hertz := range set.Hertz {
		if !(hertz >= 0) || math.IsInf(hertz, 0) {
			return nil, fmt.Errorf("no gain can be worked out at %g Hz", hertz)
		}
	}
	if len(set.Hertz) > 0 && len(p.drawn.Driven) != 1 {
		return nil, fmt.Errorf("%d sources put in a signal; a gain needs one", len(p.drawn.Driven))
	}
	s, err := p.drawn.Solver(circuit.Settings{})
	if err != nil {
		return nil, err
	}
	of := live(p.drawn, p.nodes)
	for _, n := range p.nodes {
		for _, hertz := range set.Hertz {
			of = append(of, Observable{Aspect: Gain, Node: n, Hertz: hertz})
		}
	}
	p.live = newLayout(of)
	p.dead = newLayout(dead(c.Ground, p.nodes, set.Pairs))
	p.content = p.digest()
	if p.drawn.Period == 0 {
		if op, err := s.OperatingPoint(context.Background()); err == nil {
			rate, _, err := s.Growth(op)
			p.free = err == nil && rate > 0
		}
	}
	return p, nil
}

// SetsItsOwnPace tells whether the circuit oscillates although nothing drives it:
// it is then followed from switching on, which takes long.
func (p *Predictor) SetsItsOwnPace() bool { return p.free }

// Forecast works out one state of the bench with a set of troubles (none: the
// sound circuit). What has no solution is a way of its own, not an error; errors
// are names that do not exist, and that of ctx.
func (p *Predictor) Forecast(ctx context.Context, bench Bench, troubles []Trouble) (*Forecast, error) {
	c := Case{bench, troubles}
	key := p.key(c)
	if f := p.stored(key); f != nil {
		return f, nil
	}
	f, err := p.work(ctx, c)
	if err != nil {
		return nil, err
	}
	p.store(key, f)
	return f, nil
}

// work works out a case.
func (p *Predictor) work(ctx context.Context, c Case) (*Forecast, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	twin, err := p.drawn.Failing(c.failing(p.drawn))
	if err != nil {
		return nil, err
	}
	if c.Bench.Off {
		return p.ohms(ctx, twin)
	}
	base, err := p.soundIn(ctx, c.Bench)
	if err != nil {
		return nil, err
	}
	var ways []Way
	if len(c.Troubles) == 0 {
		ways = base.ways
	} else if ways, err = p.ways(ctx, c, twin, base); err != nil {
		return nil, err
	}
	ways = slices.Clone(ways)
	if len(p.set.Hertz) > 0 {
		if err := p.gains(ctx, twin, ways); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return cmp.Compare(b.Weight, a.Weight) })
	return &Forecast{Ways: ways}, nil
}

// ways works out the ways of a twin of the sound circuit.
func (p *Predictor) ways(ctx context.Context, c Case, twin *wiring.Circuit, base *sound) ([]Way, error) {
	switch {
	case twin.Period > 0:
		return p.driven(ctx, twin, base)
	case p.free:
		cold, err := p.cold.Failing(c.failing(p.cold))
		if err != nil {
			return nil, err
		}
		return p.selfPaced(ctx, twin, cold, base)
	}
	return p.resting(ctx, twin)
}

// resting is a circuit at rest.
func (p *Predictor) resting(ctx context.Context, twin *wiring.Circuit) ([]Way, error) {
	o, s, err := p.rest(ctx, twin, nil)
	if err != nil {
		return nil, err
	}
	if o.values == nil {
		return []Way{p.way(o, 1, nil)}, nil
	}
	list := knobs(twin, s)
	columns, err := p.adjoint(twin, s, o.point)
	if err != nil {
		o.why, o.values, o.behaviour = err.Error(), nil, NoSolution
		return []Way{p.way(o, 1, nil)}, nil
	}
	return p.spread(ctx, o, columns, list, func(ctx context.Context, settings []setting) (*outcome, error) {
		o, _, err := p.rest(ctx, twin, settings)
		return o, err
	})
}

// driven is a circuit that something drives periodically.
func (p *Predictor) driven(ctx context.Context, twin *wiring.Circuit, base *sound) ([]Way, error) {
	o, err := p.repeat(ctx, twin, nil, base.outcome)
	if err != nil {
		return nil, err
	}
	o.scale = base.scale(p)
	if o.values == nil {
		return []Way{p.way(o, 1, nil)}, nil
	}
	like := o
	if len(o.blown) > 0 { // its state is that of another circuit
		like = base.outcome
	}
	solve := func(ctx context.Context, settings []setting) (*outcome, error) {
		return p.repeat(ctx, twin, settings, like)
	}
	s, err := twin.Solver(circuit.Settings{})
	if err != nil {
		return nil, err
	}
	list := knobs(twin, s)
	columns, err := p.differences(ctx, o, rank(list, base), solve)
	if err != nil {
		return nil, err
	}
	return p.spread(ctx, o, columns, list, solve)
}

// selfPaced is a circuit that sets its own pace. It takes too long to be followed
// for every tolerance of every part under every trouble: the spread is that of the
// sound circuit, as a share of what each node reads.
func (p *Predictor) selfPaced(ctx context.Context, twin, cold *wiring.Circuit, base *sound) ([]Way, error) {
	var o *outcome
	var err error
	if base.outcome != nil && base.outcome.values != nil {
		o, err = p.like(ctx, twin, cold, base.outcome)
	} else {
		o, err = p.start(ctx, cold, nil)
	}
	if err != nil {
		return nil, err
	}
	o.scale = base.scale(p)
	if o.values == nil {
		return []Way{p.way(o, 1, nil)}, nil
	}
	if o.behaviour == StillMoving && !p.alive(o) && o.why == "" {
		o.behaviour, o.why = Rests, "had not started when it was left"
	}
	if o.behaviour == Rests {
		// At rest all is told by the operating point, if it is the same.
		at, s, err := p.rest(ctx, twin, nil)
		if err != nil {
			return nil, err
		}
		o.behaviour = NeverStarts
		if at.values != nil && p.alike(at, &outcome{behaviour: Rests, values: o.values, blown: at.blown}, nil, nil) {
			if columns, err := p.adjoint(twin, s, at.point); err == nil {
				return []Way{p.way(o, 1, columns)}, nil
			}
		}
		return []Way{p.way(o, 1, nil)}, nil
	}
	return []Way{p.way(o, 1, p.scaled(base, o))}, nil
}

// scaled gives the columns of the sound circuit, in proportion.
func (p *Predictor) scaled(base *sound, o *outcome) [][]float64 {
	if base == nil || base.outcome == nil || base.outcome.values == nil {
		return nil
	}
	var columns [][]float64
	for _, from := range base.columns {
		column := make([]float64, len(from))
		for at, v := range from {
			if drawn := base.outcome.values[at]; drawn != 0 {
				column[at] = v * min(max(o.values[at]/drawn, -2), 2)
			}
		}
		columns = append(columns, column)
	}
	return columns
}
