package prediction

import (
	"context"
	"math"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// following says how to follow a circuit.
type following struct {
	from    *circuit.State // nil: from the moment of switching on
	longest float64        // seconds
	least   float64        // seconds, before it may count as settled
}

// run follows a circuit that sets its own pace until its levels stay or the time
// is over. When it cannot be followed past some instant, it is tried once more
// with finer steps, which take another way past it.
func (p *Predictor) run(ctx context.Context, c *wiring.Circuit, settings []setting, how following) (*outcome, error) {
	o, err := p.runAt(ctx, c, settings, how, p.set.FreeAccuracy)
	if err != nil || o.why == "" {
		return o, err
	}
	finer, err := p.runAt(ctx, c, settings, how, p.set.FreeAccuracy/3)
	if err != nil || finer.why == "" || o.values == nil {
		return finer, err
	}
	return o, nil
}

// runAt follows a circuit once.
func (p *Predictor) runAt(ctx context.Context, c *wiring.Circuit, settings []setting, how following, accuracy float64) (*outcome, error) {
	s, err := solver(c, circuit.Settings{Accuracy: accuracy, MaxSteps: p.set.MostSteps}, settings)
	if err != nil {
		return failed(ctx, err)
	}
	run := circuit.Run{Until: how.longest, Record: c.Watched(p.nodes), Cold: true, Stress: true}
	if how.from != nil {
		run.Cold, run.Warm, run.From = false, true, *how.from
	}
	levels := make([]circuit.Quantity, len(p.nodes))
	for i, n := range p.nodes {
		levels[i] = circuit.Voltage(n)
	}
	var left []float64 // how far each level still has to go
	settled, running := false, false
	settle := func(tr *circuit.Trace) {
		left, running, settled = remaining(tr, levels)
	}
	next := how.least
	run.EndWhen = func(tr *circuit.Trace) bool {
		t := tr.Time[len(tr.Time)-1]
		if t < next {
			return false
		}
		next = 1.15 * t
		settle(tr)
		return settled && running // what lies still costs nothing, and may yet start
	}
	tr, err := s.Transient(ctx, run)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil && (tr == nil || len(tr.Time) < 10 || tr.Time[len(tr.Time)-1] < how.longest/4) {
		return failed(ctx, err)
	}
	o := &outcome{behaviour: StillMoving, state: tr.End()}
	if err != nil {
		o.why = err.Error()
	}
	to := tr.Time[len(tr.Time)-1]
	from := to - to/6
	settle(tr)
	if settled {
		o.behaviour = Rests
	} else if begin, end, period, ok := cycling(tr, levels); ok {
		o.behaviour, o.period, from, to = Cycles, period, begin, end
	}
	p.collect(o, c, tr.Stress(c.Circuit), func(q circuit.Quantity) (circuit.Reading, error) { return tr.Over(q, from, to) },
		func(q circuit.Quantity, r circuit.Reading) float64 { return pace(tr, q, r, from, to) })
	if settled {
		for i := range p.nodes { // what stays in level may still run
			at := o.values[len(liveAspects)*i:]
			at[0] += left[i]
			if o.behaviour == Rests && at[3] > 0 && at[1] > alive {
				o.behaviour, o.period = Repeats, 1/at[3]
			}
		}
	}
	o.began = began(tr, levels, o.values)
	gone := map[string]bool{}
	for _, e := range tr.Events {
		gone[e.Part] = !e.On
	}
	o.blown = blown(c, func(part string) bool { return gone[part] })
	return o, nil
}

// A circuit has settled when no level has further to go than settledWithin of its
// size, or of settledLeast in volt. Alive is the ripple, in volt, that shows that a
// circuit runs.
const (
	settledWithin = 0.02
	settledLeast  = 0.5
	alive         = 0.05
	fewest        = 6 // strokes in a window
)

// remaining tells how far each level still has to go, from its means over the last
// three sixths of the time: steps that shrink by the same share go on doing so
// (Aitken's extrapolation). Running tells whether any still ripples, settled whether
// none has far to go.
func remaining(tr *circuit.Trace, levels []circuit.Quantity) (left []float64, running, settled bool) {
	left = make([]float64, len(levels))
	settled = true
	t := tr.Time[len(tr.Time)-1]
	for i, q := range levels {
		var means [3]float64
		var last circuit.Reading
		for w := range means {
			r, err := tr.Over(q, t*(float64(w)+3)/6, t*(float64(w)+4)/6)
			if err != nil {
				return left, false, false
			}
			means[w], last = r.Mean, r
		}
		if last.PeakToPeak > alive {
			running = true
			if pace(tr, q, last, t*5/6, t)*t/6 < fewest {
				settled = false // a window of so few strokes says little
			}
		}
		size := max(math.Abs(last.Max), math.Abs(last.Min), settledLeast)
		before, now := means[1]-means[0], means[2]-means[1]
		if math.Abs(now) <= 5e-4*size+6e-3*last.PeakToPeak {
			continue // as much as where the strokes begin and end makes
		}
		left[i] = 10 * now
		if share := now / before; share > 0 && share < 0.9 {
			left[i] = now * share / (1 - share)
		}
		settled = settled && math.Abs(left[i]) <= settledWithin*size
	}
	return left, running, settled
}

// began is when a circuit had come up: when every level that it has in the end had
// once been at nine tenths of that.
func began(tr *circuit.Trace, levels []circuit.Quantity, values []float64) float64 {
	latest := 0.0
	for i, q := range levels {
		final := values[len(liveAspects)*i]
		if math.Abs(final) < settledLeast {
			continue
		}
		if t, ok, err := tr.Crossing(q, 0.9*final, final > 0, 0); err == nil && ok {
			latest = max(latest, t)
		}
	}
	return latest
}

// start follows a circuit from the moment of switching on, to its end.
func (p *Predictor) start(ctx context.Context, cold *wiring.Circuit, settings []setting) (*outcome, error) {
	longest := max(p.set.Longest, 2*cold.Last)
	return p.run(ctx, cold, settings, following{longest: longest, least: max(longest/12, 1.2*cold.Last)})
}

// like follows a twin of a sound circuit that runs by itself. Most troubles let it
// start as the sound one does, and then it is enough to see that it does, and where
// it goes from how the sound one runs, which is not far. When the two disagree, the
// start is followed to its end.
func (p *Predictor) like(ctx context.Context, twin, cold *wiring.Circuit, sound *outcome) (*outcome, error) {
	longest := max(p.set.Longest, 2*cold.Last)
	first := 1.3 * max(sound.began, cold.Last)
	if sound.behaviour != Repeats || !(first > 0) || first > longest/2 {
		return p.start(ctx, cold, nil)
	}
	up, err := p.run(ctx, cold, nil, following{longest: first, least: first})
	if err != nil || up.values == nil {
		return up, err
	}
	if !p.alive(up) { // what lies still must not be nudged by being taken up again
		return p.start(ctx, cold, nil)
	}
	if len(up.blown) == 0 {
		on, err := p.run(ctx, twin, nil, following{from: &sound.state, longest: longest, least: longest / 20})
		if err != nil {
			return nil, err
		}
		if on.values != nil && on.behaviour == Repeats && p.comesTo(up, on) {
			return on, nil
		}
	}
	rest, err := p.run(ctx, twin, nil, following{from: &up.state, longest: longest - first, least: longest / 12})
	if err != nil {
		return nil, err
	}
	rest.blown = append(up.blown, rest.blown...)
	return rest, nil
}

// alive tells whether something runs.
func (p *Predictor) alive(o *outcome) bool {
	for i := range p.nodes {
		if o.values[len(liveAspects)*i+1] > alive {
			return true
		}
	}
	return false
}

// comesTo tells whether a circuit that has come up is on its way to where it runs:
// every level is there, to a fifth.
func (p *Predictor) comesTo(up, on *outcome) bool {
	for i := range p.nodes {
		at := len(liveAspects) * i
		size := max(math.Abs(on.values[at]), settledLeast)
		if math.Abs(up.values[at]-on.values[at]) > size/5 {
			return false
		}
	}
	return true
}

// pace is the frequency of a quantity by its upward passes through its middle,
// each after having been a quarter of its swing below it.
func pace(tr *circuit.Trace, q circuit.Quantity, r circuit.Reading, from, to float64) float64 {
	y, err := tr.Samples(q)
	if err != nil {
		return 0
	}
	middle, low := (r.Max+r.Min)/2, (r.Max+r.Min)/2-r.PeakToPeak/4
	first, last, count, armed := 0.0, 0.0, 0, false
	for i, t := range tr.Time {
		if t < from || t > to {
			continue
		}
		switch {
		case y[i] < low:
			armed = true
		case armed && y[i] >= middle:
			armed = false
			if count == 0 {
				first = t
			}
			last = t
			count++
		}
	}
	if count < 3 {
		return 0
	}
	return float64(count-1) / (last - first)
}

// cycling finds out whether a circuit starts and stops over and over: whether the
// mean over short windows of some level comes and goes, at least twice, by a good
// part of its size. It gives the begin of the first and the end of the last whole
// cycle, and the time that each takes.
func cycling(tr *circuit.Trace, levels []circuit.Quantity) (from, to, period float64, ok bool) {
	const windows, swing = 120, 0.25
	end := tr.Time[len(tr.Time)-1]
	start := end / 4
	step := (end - start) / windows
	for _, q := range levels {
		var means [windows]float64
		low, high := math.Inf(1), math.Inf(-1)
		for i := range means {
			r, err := tr.Over(q, start+float64(i)*step, start+float64(i+1)*step)
			if err != nil {
				return 0, 0, 0, false
			}
			means[i] = r.Mean
			low, high = min(low, r.Mean), max(high, r.Mean)
		}
		if high-low < swing*max(math.Abs(high), math.Abs(low), 0.1) {
			continue
		}
		var rises []float64
		armed := false
		for i, m := range means {
			switch {
			case m < low+0.35*(high-low):
				armed = true
			case armed && m > low+0.65*(high-low):
				armed = false
				rises = append(rises, start+float64(i)*step)
			}
		}
		if n := len(rises); n >= 3 && n <= windows/4 {
			if each := (rises[n-1] - rises[0]) / float64(n-1); !ok || each > period {
				from, to, period, ok = rises[0], rises[n-1], each, true
			}
		}
	}
	return from, to, period, ok
}
