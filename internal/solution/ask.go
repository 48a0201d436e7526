package solution

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"halfsplit/circuit"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// Question says what to find out.
type Question struct {
	Nodes []string // where to read; all nodes when empty
	// Sweep from Low to High hertz asks for the frequency response.
	Low, High float64
	// Until asks for the time from switching on, in seconds.
	Until float64
	// Accuracy is the relative error allowed in each step of time; 1e-4 when
	// zero. A larger one is quicker, but its steps may end in spikes of current
	// that are none.
	Accuracy float64
	// Progress, when not nil, is called now and then with the time reached in
	// the circuit, in seconds.
	Progress func(t float64)
}

// Moment is what the circuit has to be wired for.
func (q Question) Moment() wiring.Moment {
	if q.Until > 0 {
		return wiring.SwitchedOn
	}
	return wiring.Running
}

// Bounds on what is computed, so that nothing goes on for ever or fills the
// memory. A run keeps all its steps, a search for the steady state those of one
// period.
const (
	mostStepsKept = 1_000_000
	mostSteps     = 10_000_000
)

// Ask solves a circuit. With an error there may be an answer of what was found
// until then. Errors of type [*circuit.Floating] and [*circuit.ShortedLoop] are
// about the description; [*circuit.NoSolution] says where no solution was found.
func Ask(ctx context.Context, c *wiring.Circuit, q Question) (*Answer, error) {
	kept := mostStepsKept
	if q.Until == 0 {
		kept = mostSteps
	}
	solver, err := c.Solver(circuit.Settings{Accuracy: q.Accuracy, MaxSteps: kept})
	if err != nil {
		return nil, Description{err}
	}
	a := &asking{ctx: ctx, wired: c, question: q, solver: solver, nodes: q.Nodes, answer: &Answer{}}
	if len(a.nodes) == 0 {
		a.nodes = nodesOf(c)
	}
	switch {
	case q.High > 0:
		err = a.response()
	case q.Until > 0:
		err = a.run()
	case c.Period > 0:
		err = a.repeat()
	default:
		err = a.rest()
	}
	if err != nil {
		if a.answer.Stopped == "" {
			return nil, err
		}
		return a.answer, err
	}
	return a.answer, nil
}

// Description is an error in how the circuit is described.
type Description struct{ error }

// Unwrap gives the error itself.
func (d Description) Unwrap() error { return d.error }

// asking is one question being answered.
type asking struct {
	ctx      context.Context
	wired    *wiring.Circuit
	question Question
	solver   *circuit.Solver
	nodes    []string
	answer   *Answer
}

// nodesOf lists the nodes but for the ground, in the order in which they stand.
func nodesOf(c *wiring.Circuit) []string {
	var list []string
	for _, p := range c.Parts {
		for _, n := range p.Nodes {
			if n != c.Ground && !slices.Contains(list, n) {
				list = append(list, n)
			}
		}
	}
	return list
}

// rest reads the circuit at rest.
func (a *asking) rest() error {
	a.answer.Analysis = AtRest
	op, err := a.solver.OperatingPoint(a.ctx)
	if err != nil {
		return classed(err)
	}
	return a.atRest(op)
}

// atRest takes the readings of an operating point.
func (a *asking) atRest(op *circuit.OperatingPoint) error {
	for _, n := range a.nodes {
		v, err := op.Value(circuit.Voltage(n))
		if err != nil {
			return Description{err}
		}
		a.answer.Nodes = append(a.answer.Nodes, Node{Name: n, Mean: v, Min: v, Max: v, RMS: max(v, -v)})
	}
	if op.Shunted {
		a.warn("part of the circuit is tied to ground by leakage alone; its voltages mean little")
	}
	a.bear(op.Stress(), func(q circuit.Quantity) (circuit.Reading, error) {
		v, err := op.Value(q)
		return circuit.Reading{Mean: v, Min: v, Max: v}, err
	})
	for i := range a.answer.Parts {
		b := &a.answer.Parts[i]
		if v, err := op.Value(circuit.Current(b.Part)); err == nil {
			b.Current = v
		}
	}
	return nil
}

// warn adds a warning.
func (a *asking) warn(format string, values ...any) {
	a.answer.Warnings = append(a.answer.Warnings, fmt.Sprintf(format, values...))
}

// bear takes what the parts bear and compares it with their ratings.
func (a *asking) bear(stresses []circuit.Stress, read func(circuit.Quantity) (circuit.Reading, error)) {
	of := map[string]circuit.Stress{}
	for _, s := range stresses {
		of[s.Part] = s
	}
	for _, p := range a.wired.Parts {
		b := Bearing{Part: p.Name, Kind: p.Is.Name}
		for _, inside := range p.Inside {
			s := of[inside]
			b.Dissipation += s.Dissipation
			b.Voltage, b.Current = max(b.Voltage, s.Voltage), max(b.Current, s.Current)
			b.OfPower, b.OfVoltage, b.OfCurrent = max(b.OfPower, s.OfPower), max(b.OfVoltage, s.OfVoltage), max(b.OfCurrent, s.OfCurrent)
		}
		for _, q := range p.Carries {
			if r, err := read(q); err == nil {
				b.Mean += r.Mean
			}
		}
		if p.Polarity != nil {
			if r, err := read(circuit.Current(p.Inside[0])); err == nil {
				b.RMS = r.RMS
			}
		}
		if p.Needs != nil {
			if r, err := read(*p.Needs); err == nil {
				b.Headroom = r.Min
			}
		}
		if len(p.Carries) > 0 && p.Rated > 0 {
			b.OfCurrent = b.Mean / p.Rated
		}
		a.answer.Parts = append(a.answer.Parts, b)
		a.overloads(p, b, read)
	}
}

// overloads warns of what a part cannot bear.
func (a *asking) overloads(p wiring.Placed, b Bearing, read func(circuit.Quantity) (circuit.Reading, error)) {
	over := func(share, value float64, unit quantity.Unit, verb string) {
		if share > 1.0005 {
			a.warn("%s %s %s; it is rated for %s", p.Name, verb, figure(value, unit), figure(value/share, unit))
		}
	}
	current := b.Current
	if len(p.Carries) > 0 {
		current = b.Mean
	}
	over(b.OfPower, b.Dissipation, quantity.Watt, "dissipates")
	over(b.OfVoltage, b.Voltage, quantity.Volt, "bears")
	over(b.OfCurrent, current, quantity.Ampere, "carries")
	if p.Polarity != nil {
		if r, err := read(*p.Polarity); err == nil && r.Min < -0.5 {
			a.warn("%s is reversed: its + lies %s below its -", p.Name, figure(-r.Min, quantity.Volt))
		}
	}
	if p.Needs != nil {
		if r, err := read(*p.Needs); err == nil && r.Min < p.Least {
			a.warn("%s has as little as %s between input and output; it needs %s to regulate", p.Name, figure(r.Min, quantity.Volt), figure(p.Least, quantity.Volt))
		}
	}
}

// classed marks errors about the description of the circuit.
func classed(err error) error {
	var floating *circuit.Floating
	var shorted *circuit.ShortedLoop
	if errors.As(err, &floating) || errors.As(err, &shorted) {
		return Description{err}
	}
	return err
}

// figure writes a value with four digits.
func figure(value float64, unit quantity.Unit) string {
	return quantity.FormatDigits(value, unit, 4)
}
