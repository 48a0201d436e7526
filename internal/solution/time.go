package solution

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

// record lists what has to be recorded over time: the nodes, and what the parts
// are judged by.
func (a *asking) record() []circuit.Quantity {
	var list []circuit.Quantity
	add := func(q circuit.Quantity) {
		if !slices.Contains(list, q) {
			list = append(list, q)
		}
	}
	for _, n := range a.nodes {
		add(circuit.Voltage(n))
	}
	for _, p := range a.wired.Parts {
		for _, q := range p.Carries {
			add(q)
		}
		for _, q := range []*circuit.Quantity{p.Needs, p.Polarity} {
			if q != nil {
				add(*q)
			}
		}
		if p.Polarity != nil { // the ripple of an electrolytic
			add(circuit.Current(p.Inside[0]))
		}
	}
	return list
}

// repeat follows the circuit until it repeats itself.
func (a *asking) repeat() error {
	a.answer.Analysis = Repeating
	steady, err := a.solver.Steady(a.ctx, circuit.Repeat{Period: a.wired.Period, Record: a.record(), Cold: true, Stress: true, Progress: a.question.Progress})
	if err = classed(err); steady == nil || steady.Trace == nil || len(steady.Time) < 2 {
		return err
	}
	a.answer.Period = steady.Period
	settled := err == nil
	a.answer.Settled = &settled
	if settled {
		a.remark("repeats every %s; followed for %d of these", quantity.FormatDuration(steady.Period), steady.Periods)
	}
	return a.over(steady.Trace, steady.Time[0], steady.Time[len(steady.Time)-1], err)
}

// run follows the circuit from the moment of switching on.
func (a *asking) run() error {
	a.answer.Analysis = FromSwitchingOn
	trace, err := a.solver.Transient(a.ctx, circuit.Run{Until: a.question.Until, Record: a.record(), Cold: true, Stress: true, Progress: a.question.Progress})
	if err = classed(err); trace == nil || len(trace.Time) < 2 {
		return err
	}
	end := trace.Time[len(trace.Time)-1]
	span := end / 10
	if p := a.wired.Period; p > 0 && end > 2*p { // whole periods, as near to a tenth as they come
		span = p * max(1, math.Floor(span/p))
		a.answer.Period = p
	}
	if err == nil {
		a.settled(trace, end, span)
	}
	err = a.over(trace, end-span, end, err)
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

// settled tells whether the last span is like the one before: each mean within
// a thousandth of the largest voltage, or of the ripple.
func (a *asking) settled(trace *circuit.Trace, end, span float64) {
	settled, worst, node := true, 0.0, ""
	for _, n := range a.nodes {
		now, err1 := trace.Over(circuit.Voltage(n), end-span, end)
		before, err2 := trace.Over(circuit.Voltage(n), end-2*span, end-span)
		if err1 != nil || err2 != nil {
			return
		}
		size := max(math.Abs(now.Max), math.Abs(now.Min), 1e-3)
		moved := max(math.Abs(now.Mean-before.Mean)-0.02*now.PeakToPeak, 0) / size
		if moved > worst {
			worst, node = moved, n
		}
	}
	if settled = worst <= 1e-3; settled {
		a.remark("has settled: the last %s are like the %s before", quantity.FormatDuration(span), quantity.FormatDuration(span))
	} else {
		a.remark("still moving: %s changed by %s over the last %s; follow it for longer", node, quantity.FormatDigits(worst, quantity.Percent, 2), quantity.FormatDuration(span))
	}
	a.answer.Settled = &settled
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
