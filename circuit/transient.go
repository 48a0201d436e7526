package circuit

import (
	"context"
	"fmt"
	"math"
	"sort"
)

// A Run says what to follow over time.
type Run struct {
	Until  float64    // seconds, greater than 0
	Record []Quantity // what to record
	// Cold starts with every capacitor and winding at its stated initial
	// value, nothing unless stated; else the run starts from the operating
	// point that the circuit has before time zero.
	Cold bool
	// From starts the search of the operating point, or gives the modes of
	// switching parts of a cold start.
	From State
	// Warm starts in the state From as it stands, as the same circuit, or one
	// with another value somewhere, had it at the end of another analysis.
	Warm bool
	// At lists times that a step shall end on.
	At []float64
	// LongestStep bounds the steps, in seconds; 0 means no bound but that of
	// accuracy.
	LongestStep float64
	// Stress follows what every part bears; see [Trace.Stress].
	Stress bool
	// Watch, when above 0, watches what the circuit comes to do, to this share of
	// each value, such as 0.01; see [Trace.Behaviour]. A frequency is told from
	// what is recorded.
	Watch float64
	// Enough ends the run as soon as that is known, before Until.
	Enough bool
	// EndWhen, when not nil, is called now and then with what was recorded so far;
	// when it says true, the run ends there.
	EndWhen func(*Trace) bool
	// Progress, when not nil, is called now and then with the time reached.
	Progress func(t float64)
}

// Transient follows the circuit over time. When ctx ends, or the circuit
// cannot be followed further, it returns what was recorded so far together
// with the error.
func (s *Solver) Transient(ctx context.Context, run Run) (*Trace, error) {
	if !(run.Until > 0) || math.IsInf(run.Until, 0) {
		return nil, fmt.Errorf("a run until %g s: the time must be greater than 0", run.Until)
	}
	tr, err := s.newTrace(run.Record)
	if err != nil {
		return nil, err
	}
	if run.Stress {
		tr.watchStress(s)
	}
	if run.Watch != 0 {
		if err := (&wiring{}).check(within("tolerance to watch to", run.Watch, 1e-6, 0.5)); err != nil {
			return nil, err
		}
		tr.watch = newWatch(s, run)
	}
	st, err := s.begin(ctx, startOf(run.Cold, run.Warm), run.From, run.Until)
	if err != nil {
		return tr, err
	}
	if run.LongestStep > 0 {
		st.longest = run.LongestStep
	}
	if run.EndWhen != nil {
		st.endWhen = func() bool { return len(tr.Time) > 1 && run.EndWhen(tr) }
		defer func() { st.endWhen = nil }()
	}
	stops := append([]float64(nil), run.At...)
	sort.Float64s(stops)
	tr.record(st, false)
	for _, stop := range append(stops, run.Until) {
		if stop <= st.t || stop > run.Until || tr.known() {
			continue
		}
		if err = st.follow(stop, tr, run.Progress, nil); err != nil {
			break
		}
		if st.ended {
			break
		}
	}
	if tr.watch != nil {
		tr.watch.conclude(st, tr)
	}
	tr.stands = st.stand()
	return tr, err
}

// start is how an analysis in time begins.
type start int

const (
	atRest start = iota // from the operating point
	cold                // with nothing stored but what parts state
	warm                // where another analysis ended
)

func startOf(isCold, isWarm bool) start {
	switch {
	case isWarm:
		return warm
	case isCold:
		return cold
	}
	return atRest
}

// begin puts the circuit at time zero.
func (s *Solver) begin(ctx context.Context, how start, from State, span float64) (*stepper, error) {
	s.ctx, s.iterated = ctx, 0
	shunt := 0.0
	if s.stepper == nil {
		s.stepper = s.newStepper()
	}
	st := s.stepper
	switch how {
	case warm:
		s.adopt(from)
		s.atRest(false)
		s.restamp()
		s.point.eager = false
		s.evaluate(&s.point)
		copy(st.q, s.point.q)
	case cold:
		s.adopt(from)
		for i := range st.q {
			st.q[i] = 0
		}
		for _, d := range s.starters {
			d.start(st.q)
		}
	case atRest:
		op, err := s.OperatingPointFrom(ctx, from)
		if err != nil {
			return nil, err
		}
		if op.Shunted {
			shunt = trickle
		}
		copy(st.q, s.point.q)
	}
	s.atRest(false)
	s.shunt = shunt
	for _, d := range s.timed {
		d.rewind()
	}
	s.restamp()
	copy(st.x, s.point.x)
	clear(st.rate)
	clear(st.most)
	st.t, st.steps, st.restarts, st.sloped, st.smooth, st.hop = 0, 0, 0, false, false, 0
	st.ended = false
	clear(st.mostHeld)
	for u := 1; u < len(st.most); u++ {
		st.most[u] = from.sizes[s.unknowns[u].label]
	}
	for k := range s.stores {
		st.mostHeld[k] = max(st.most[s.stores[k].plus], st.most[s.stores[k].minus])
	}
	clear(st.mostQ)
	st.h, st.last, st.longest, st.floor = span*1e-5, span*1e-5, s.ripple(span/20), span*1e-16
	if err := st.restart(st.jump()); err != nil {
		return nil, err
	}
	return st, nil
}

// ripple bounds a step so that it does not pass over the turns of a sine.
func (s *Solver) ripple(longest float64) float64 {
	for _, p := range s.circuit.parts {
		var w Wave
		switch v := p.part.(type) {
		case VoltageSource:
			w = v.Wave
		case CurrentSource:
			w = v.Wave
		}
		if w != nil {
			if g := w.segment(0); g.omega > 0 {
				pieces := min(max(0.4/math.Cbrt(s.set.Accuracy), 30), 400)
				longest = min(longest, 2*math.Pi/g.omega/pieces)
			}
		}
	}
	return longest
}

// jump is the length of the short steps that pass a discontinuity: short
// against the step, long enough that what a capacitor holds does not drown in
// rounding what a resistor carries.
func (st *stepper) jump() float64 {
	if st.hop > 0 {
		return st.hop
	}
	return max(1e-5*min(st.h, st.last), 8*st.floor, 1e-14*st.t)
}

// due is the next instant at which a source or switch changes by the clock.
func (st *stepper) due() float64 {
	due := math.Inf(1)
	for _, d := range st.s.timed {
		due = min(due, d.due())
	}
	return due
}

// follow takes steps until a time, recording each. It stops early when stop
// says so after a change of mode.
func (st *stepper) follow(until float64, tr *Trace, progress func(float64), stop func() bool) error {
	s := st.s
	for until-st.t > st.close(until) && !tr.known() {
		if st.steps&63 == 0 {
			if err := s.ctx.Err(); err != nil {
				return err
			}
			if progress != nil {
				progress(st.t)
			}
			if st.endWhen != nil && st.endWhen() {
				st.ended = true
				return nil
			}
		}
		if st.steps >= s.set.MaxSteps {
			return &NoSolution{Time: st.t, Reason: fmt.Sprintf("%d steps were not enough; allow more, or ask for less time", st.steps)}
		}
		before := tr.note(st, nil)
		if st.passClock() {
			if err := st.pass(until, tr); err != nil {
				return err
			}
			tr.note(st, before)
			if stop != nil && stop() {
				return nil
			}
			continue
		}
		switched, err := st.advance(min(until, st.due()))
		if err != nil {
			return err
		}
		tr.record(st, true)
		if !switched {
			continue
		}
		s.flipAsking(false)
		if err := st.pass(until, tr); err != nil {
			return err
		}
		tr.note(st, before)
		if stop != nil && stop() {
			return nil
		}
	}
	return nil
}

// close is how near in time two instants are the same.
func (st *stepper) close(t float64) float64 { return max(100*st.floor, 4e-15*t) }

// passClock moves the sources and switches that the clock has reached, and
// reports whether there were any.
func (st *stepper) passClock() bool {
	s, moved := st.s, false
	for _, d := range s.timed {
		if d.due()-st.t <= st.close(st.t) {
			d.advance(st.t)
			moved = true
		}
	}
	if moved {
		s.restamp()
	}
	return moved
}

// pass restarts after a discontinuity and records what came of it.
func (st *stepper) pass(until float64, tr *Trace) error {
	h := st.jump()
	if gap := min(until, st.due()) - st.t; 4*h > gap && gap > 0 {
		h = gap / 4
	}
	if err := st.restart(h); err != nil {
		return err
	}
	st.h = max(0.2*st.h, h)
	tr.jump(st)
	return nil
}

// note lists the modes, and records those that differ from before as events.
func (tr *Trace) note(st *stepper, before []int) []int {
	s := st.s
	if before == nil {
		st.modes = st.modes[:0]
		for _, d := range s.switches {
			st.modes = append(st.modes, d.mode())
		}
		return st.modes
	}
	for i, d := range s.switches {
		if m := d.mode(); m != before[i] {
			on := m != 0
			if t, ok := d.(interface{ conducting(mode int) bool }); ok {
				on = t.conducting(m)
			}
			tr.Events = append(tr.Events, Event{tr.Time[len(tr.Time)-2], s.nameOf(s.switchOf[i]), on})
		}
	}
	return before
}
