package prediction

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// Settings say how closely to work. The zero value stands for the defaults named
// with each field.
type Settings struct {
	Cache Cache // none when nil
	// Version is that of the program, or empty: what is kept in a cache is used
	// by the same version only.
	Version string
	// Samples is how many times a circuit is solved anew with parts within their
	// tolerances, where it has to be followed over time; 12 when zero.
	Samples int
	// Accuracy is the relative error allowed in each step of time; 1e-3 when
	// zero. FreeAccuracy is the same for circuits that set their own pace, which
	// take longest; 3e-3 when zero.
	Accuracy, FreeAccuracy float64
	// Longest is for how many seconds in the circuit one that sets its own pace
	// is followed when it does not settle; 40 ms when zero. MostSteps bounds the
	// steps that it may take; 600,000 when zero.
	Longest   float64
	MostSteps int
	// Pairs are nodes between which the ohmmeter is put, beside each and ground.
	Pairs [][2]string
	// Hertz are frequencies at which the gain from the one source that puts in a
	// signal to every node is worked out.
	Hertz []float64
	// ModelError multiplies what is allowed for the drawing and the models of the
	// parts not being quite the unit; 1 when zero, next to nothing when below
	// zero.
	ModelError float64
}

func (s *Settings) withDefaults() {
	fallback := func(f *float64, standard float64) {
		if *f == 0 {
			*f = standard
		}
	}
	fallback(&s.Accuracy, 1e-3)
	fallback(&s.FreeAccuracy, 3e-3)
	fallback(&s.Longest, 40e-3)
	fallback(&s.ModelError, 1)
	if s.ModelError < 0 {
		s.ModelError = 1e-6
	}
	if s.Samples == 0 {
		s.Samples = 12
	}
	if s.MostSteps == 0 {
		s.MostSteps = 600_000
	}
}

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
		turned, err := solve(ctx, alone(k))
		if err != nil {
			return err
		}
		if turned.values == nil || !p.alike(o, turned, nil, nil) {
			matters[[2]string{k.part, k.parameter}] = math.Inf(1)
			continue
		}
		column := make([]float64, len(o.values))
		for at := range column {
			if p.live.Of[at].Aspect == Frequency {
				continue
			}
			column[at] = turned.values[at] - o.values[at]
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

// ForecastAll works out many cases on all processors, in their order. Progress,
// when not nil, is told how many of them are done; it is called from one goroutine
// at a time. The first error ends it.
func (p *Predictor) ForecastAll(ctx context.Context, cases []Case, progress func(done, of int)) ([]*Forecast, error) {
	list := make([]*Forecast, len(cases))
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan int)
	var wait sync.WaitGroup
	var mutex sync.Mutex
	done := 0
	for range min(runtime.GOMAXPROCS(0), len(cases)) {
		wait.Go(func() {
			for i := range next {
				f, err := p.Forecast(ctx, cases[i].Bench, cases[i].Troubles)
				if err != nil {
					cancel(err)
					continue
				}
				list[i] = f
				if progress != nil {
					mutex.Lock()
					done++
					progress(done, len(cases))
					mutex.Unlock()
				}
			}
		})
	}
	for i := range cases {
		select {
		case next <- i:
		case <-ctx.Done():
		}
	}
	close(next)
	wait.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	return list, nil
}
