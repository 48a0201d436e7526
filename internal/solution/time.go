package solution

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

// repeat follows the circuit until it repeats itself.
func (a *asking) repeat() error {
	a.answer.Analysis = Repeating
	repeat := circuit.Repeat{Period: a.wired.Period, Record: a.wired.Watched(a.nodes), Cold: true, Stress: true, Progress: a.question.Progress}
	steady, err := a.solver.Steady(a.ctx, repeat)
	if err = classed(err); steady == nil || steady.Trace == nil || len(steady.Time) < 2 {
		return err
	}
	a.answer.Period = steady.Period
	settled := err == nil
	a.answer.Settled = &settled
	if settled {
		a.remark("repeats every %s; followed for %d of these", quantity.FormatDuration(steady.Period), steady.Periods)
	}
	if err = a.over(steady.Trace, steady.Time[0], steady.Time[len(steady.Time)-1], err); err != nil || !a.question.Spread {
		return err
	}
	if err = a.spreadWhenRepeating(steady, repeat); err != nil {
		a.answer.Stopped = "the spread: " + stopped(err, a.answer.To)
	}
	return err
}

// run follows the circuit from the moment of switching on.
func (a *asking) run() error {
	a.answer.Analysis = FromSwitchingOn
	trace, err := a.solver.Transient(a.ctx, circuit.Run{Until: a.question.Until, Record: a.wired.Watched(a.nodes), Cold: true, Stress: true, Watch: habitTolerance, Progress: a.question.Progress})
	if err = classed(err); trace == nil || len(trace.Time) < 2 {
		return err
	}
	end := trace.Time[len(trace.Time)-1]
	from, to := end-end/10, end
	if p := a.wired.Period; p > 0 && end > 2*p { // whole periods, as near to a tenth as they come
		from = end - p*max(1, math.Floor(end/10/p))
		a.answer.Period = p
	}
	if b, ok := trace.Behaviour(); ok && err == nil {
		if b.Habit == circuit.Repeating && a.answer.Period == 0 || b.Habit == circuit.Cycling {
			from, to = b.From, b.To // whole strokes or cycles
		}
		a.behaves(b)
	}
	err = a.over(trace, from, to, err)
	for i, n := range a.answer.Nodes {
		if r, wrong := trace.Whole(circuit.Voltage(n.Name)); wrong == nil {
			furthest := r.Max
			if -r.Min > r.Max {
				furthest = r.Min
			}
			a.answer.Nodes[i].Highest = &furthest
		}
	}
	return err
}

// habitTolerance is to what share of each value a circuit counts as settled.
const habitTolerance = 0.01

// behaves says what the circuit came to do.
func (a *asking) behaves(b circuit.Behaviour) {
	settled := b.Habit != circuit.Moving
	a.answer.Settled = &settled
	told := &Behaviour{Is: string(b.Habit), Started: b.Started(), Strokes: b.Strokes, Frequency: b.Frequency, FrequencyUncertainty: b.FrequencyUncertainty,
		Jitter: b.Jitter, Cycle: b.Cycle, CycleUncertainty: b.CycleUncertainty, Moving: b.Mover}
	if !math.IsInf(b.Drift, 0) {
		told.Drift = b.Drift
	}
	a.answer.Behaviour = told
	pace := fmt.Sprintf("%s ± %s", figure(b.Frequency, quantity.Hertz), quantity.FormatDigits(b.FrequencyUncertainty, quantity.Hertz, 1))
	switch b.Habit {
	case circuit.Resting:
		a.remark("has settled: nothing moves any more")
		if b.Started() {
			a.answer.Remarks[len(a.answer.Remarks)-1] += fmt.Sprintf(", after %d strokes", b.Strokes)
		}
	case circuit.Repeating:
		a.remark("has settled: repeats at %s, by the %v", pace, b.Marker)
		if b.Jitter > 0.05 {
			a.remark("its strokes are not alike: the time from one to the next varies by %s", quantity.FormatDigits(b.Jitter, quantity.Percent, 2))
		}
	case circuit.Cycling:
		a.remark("works in bursts, one every %s ± %s, with strokes at %s", figure(b.Cycle, quantity.Second), quantity.FormatDigits(b.CycleUncertainty, quantity.Second, 1), pace)
	default:
		text := "still moving: " + b.Mover
		if told.Drift > 0 {
			text += fmt.Sprintf(", which would change by %s in as long again", quantity.FormatDigits(b.Drift, quantity.Percent, 2))
		}
		a.remark("%s; follow it for longer", text)
	}
}

// over takes the readings of a window of a trace; why says why the trace ends
// early, if it does.
func (a *asking) over(trace *circuit.Trace, from, to float64, why error) error {
	a.answer.From, a.answer.To = from, to
	for _, n := range a.nodes {
		r, err := trace.Over(circuit.Voltage(n), from, to)
		if err != nil {
			return errors.Join(why, err)
		}
		a.answer.Nodes = append(a.answer.Nodes, Node{Name: n, Mean: r.Mean, Min: r.Min, Max: r.Max, Ripple: r.PeakToPeak, RMS: r.RMS})
		y, err := trace.Samples(circuit.Voltage(n))
		if err != nil {
			return errors.Join(why, err)
		}
		a.answer.curves = append(a.answer.curves, curve{n, trace.Time, y})
	}
	a.bear(trace.Stress(a.wired.Circuit), func(q circuit.Quantity) (circuit.Reading, error) { return trace.Over(q, from, to) })
	a.ripples(trace, from, to)
	a.events(trace)
	if why != nil {
		a.answer.Stopped = stopped(why, trace.Time[len(trace.Time)-1])
	}
	return why
}

// ripples counts how often the current of each polarised capacitor comes and goes
// in a window: the times it rises from the lowest quarter of its range into the
// highest.
func (a *asking) ripples(trace *circuit.Trace, from, to float64) {
	for i, p := range a.wired.Parts {
		if p.Polarity == nil || i >= len(a.answer.Parts) {
			continue
		}
		current := circuit.Current(p.Inside[0])
		r, err := trace.Over(current, from, to)
		samples, wrong := trace.Samples(current)
		if err != nil || wrong != nil || r.PeakToPeak == 0 {
			continue
		}
		rises, low := 0, false
		for range 2 { // what is low at the end of the window may rise at its beginning
			rises = 0
			for n, t := range trace.Time {
				switch x := (samples[n] - r.Min) / r.PeakToPeak; {
				case t < from || t > to:
				case x < 0.25:
					low = true
				case x > 0.75 && low:
					low = false
					rises++
				}
			}
		}
		a.answer.Parts[i].Hertz = float64(rises) / (to - from)
	}
}

// stopped says in words why a run ended early.
func stopped(why error, at float64) string {
	switch {
	case errors.Is(why, context.Canceled):
		return fmt.Sprintf("stopped by hand at %s", seconds(at))
	case errors.Is(why, context.DeadlineExceeded):
		return fmt.Sprintf("the time for computing was over at %s", seconds(at))
	}
	return why.Error()
}

// seconds writes a time in the circuit.
func seconds(t float64) string { return quantity.FormatDigits(t, quantity.Second, 4) }

// remark adds a remark.
func (a *asking) remark(format string, values ...any) {
	a.answer.Remarks = append(a.answer.Remarks, fmt.Sprintf(format, values...))
}

// happenings are the words for the events of each kind that a restorer wants to
// know of: when it turns on, and off.
var happenings = map[string][2]string{
	"fuse": {"is whole", "blows"}, "switch": {"closes", "opens"}, "relay": {"pulls in", "drops out"}, "thyristor": {"fires", "turns off"}, "load": {"comes on", "goes off"},
}

// events notes what happened once or a few times.
func (a *asking) events(trace *circuit.Trace) {
	kinds := map[string]string{}
	names := map[string]string{}
	for _, p := range a.wired.Parts {
		for _, inside := range p.Inside {
			kinds[inside], names[inside] = p.Is.Name, p.Name
		}
	}
	for _, e := range trace.Events {
		words, ok := happenings[kinds[e.Part]]
		if !ok {
			continue
		}
		what := words[1]
		if e.On {
			what = words[0]
		}
		a.answer.Events = append(a.answer.Events, Event{e.Time, names[e.Part], what})
		if kinds[e.Part] == "fuse" && !e.On {
			a.warn("%s blows at %s", names[e.Part], seconds(e.Time))
		}
	}
}
