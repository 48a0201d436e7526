package prediction

import (
	"context"
	"math"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// run follows a circuit that sets its own pace from the moment of switching on,
// until its levels stay or the time is over.
func (p *Predictor) run(ctx context.Context, c *wiring.Circuit, settings []setting) (*outcome, error) {
	s, err := solver(c, circuit.Settings{Accuracy: p.set.FreeAccuracy, MaxSteps: p.set.MostSteps}, settings)
	if err != nil {
		return failed(ctx, err)
	}
	var levels []circuit.Quantity
	for _, n := range p.nodes {
		levels = append(levels, circuit.Voltage(n))
	}
	longest := max(p.set.Longest, 2*c.Last)
	next := max(longest/12, 1.2*c.Last)
	settled := false
	tr, err := s.Transient(ctx, circuit.Run{Until: longest, Record: c.Watched(p.nodes), Cold: true, Stress: true, Enough: func(tr *circuit.Trace) bool {
		t := tr.Time[len(tr.Time)-1]
		if t < next {
			return false
		}
		next = 1.15 * t
		most, _, ok := tr.Moved(levels, t/6, settledLeast)
		settled = ok && most <= settledWithin
		return settled
	}})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if tr == nil || len(tr.Time) < 10 || err != nil && tr.Time[len(tr.Time)-1] < longest/4 {
		if err == nil {
			return &outcome{behaviour: NoSolution, why: "nothing could be followed"}, nil
		}
		return failed(ctx, err)
	}
	o := &outcome{behaviour: StillMoving}
	if err != nil {
		o.why = err.Error()
	}
	to := tr.Time[len(tr.Time)-1]
	from := to - to/6
	if most, _, ok := tr.Moved(levels, to/6, settledLeast); ok && most <= settledWithin {
		settled = true
	}
	if settled {
		o.behaviour = Rests
	} else if begin, end, period, ok := cycling(tr, levels); ok {
		o.behaviour, o.period, from, to = Cycles, period, begin, end
	}
	p.collect(o, c, tr.Stress(c.Circuit), func(q circuit.Quantity) (circuit.Reading, error) { return tr.Over(q, from, to) },
		func(q circuit.Quantity, r circuit.Reading) float64 { return pace(tr, q, r, from, to) })
	if o.behaviour == Rests { // what stays in level may still run
		for i := range p.nodes {
			if f := o.values[len(liveAspects)*i+3]; f > 0 && o.values[len(liveAspects)*i+1] > alive {
				o.behaviour, o.period = Repeats, 1/f
				break
			}
		}
	}
	gone := map[string]bool{}
	for _, e := range tr.Events {
		gone[e.Part] = !e.On
	}
	o.blown = blown(c, func(part string) bool { return gone[part] })
	return o, nil
}

// settledWithin is how far the mean of a node may move from one sixth of the time
// to the next, of its size or of settledLeast in volt, when it counts as settled.
// alive is the ripple, in
// volt, that shows that a circuit runs.
const (
	settledWithin = 4e-3
	settledLeast  = 0.5
	alive         = 0.05
)

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
