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
	// At lists times that a step shall end on.
	At []float64
	// LongestStep bounds the steps, in seconds; 0 means no bound but that of
	// accuracy.
	LongestStep float64
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
	st, err := s.begin(ctx, run.Cold, run.From, run.Until)
	if err != nil {
		return tr, err
	}
	if run.LongestStep > 0 {
		st.longest = run.LongestStep
	}
	stops := append([]float64(nil), run.At...)
	sort.Float64s(stops)
	tr.record(st, false)
	for _, stop := range append(stops, run.Until) {
		if stop <= st.t || stop > run.Until {
			continue
		}
		if err := st.follow(stop, tr, run.Progress, nil); err != nil {
			return tr, err
		}
	}
	return tr, nil
}

// begin puts the circuit at time zero.
func (s *Solver) begin(ctx context.Context, cold bool, from State, span float64) (*stepper, error) {
	s.ctx, s.iterated = ctx, 0
	shunt := 0.0
	if s.stepper == nil {
		s.stepper = s.newStepper()
	}
	st := s.stepper
	if cold {
		s.adopt(from)
		for i := range st.q {
			st.q[i] = 0
		}
		for _, d := range s.starters {
			d.start(st.q)
		}
	} else {
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
	st.t, st.steps, st.restarts, st.sloped = 0, 0, 0, false
	st.h, st.longest, st.floor = span*1e-5, span/20, span*1e-16
	if err := st.restart(st.jump()); err != nil {
		return nil, err
	}
	return st, nil
}

// jump is the length of the short steps that pass a discontinuity: short
// against the step, long enough that what a capacitor holds does not drown in
// rounding what a resistor carries.
func (st *stepper) jump() float64 {
	return max(1e-3*st.h, 8*st.floor, 1e-14*st.t)
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
	for st.t < until {
		if st.steps&63 == 0 {
			if err := s.ctx.Err(); err != nil {
				return err
			}
			if progress != nil {
				progress(st.t)
			}
		}
		if st.steps >= s.set.MaxSteps {
			return &NoSolution{Time: st.t, Reason: fmt.Sprintf("%d steps were not enough; allow more, or ask for less time", st.steps)}
		}
		due := st.due()
		switched, err := st.advance(min(until, due))
		if err != nil {
			return err
		}
		tr.record(st, true)
		clocked := st.t >= due
		if !switched && !clocked {
			continue
		}
		before := tr.note(st, nil)
		if switched {
			s.flipAsking(false)
		}
		if clocked {
			for _, d := range s.timed {
				if d.due() <= st.t {
					d.advance(st.t)
				}
			}
			s.restamp()
		}
		h := st.jump()
		if gap := min(until, st.due()) - st.t; 4*h > gap && gap > 0 {
			h = gap / 4
		}
		if err := st.restart(h); err != nil {
			return err
		}
		st.h = max(0.2*st.h, h)
		tr.record(st, false)
		tr.note(st, before)
		if stop != nil && stop() {
			return nil
		}
	}
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
