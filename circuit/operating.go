package circuit

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// A State is where a circuit stands: the value of each unknown and the mode of
// each switching part, by name. It starts an analysis of the same circuit, or
// of a slightly different one.
type State struct {
	values map[string]float64
	modes  map[string]int
	sizes  map[string]float64 // how large each value has been of late
}

// Guess returns a state with the given node voltages, to be sought near: it
// picks one of the states of a circuit that has several, such as a bistable.
func Guess(volts map[string]float64) State { return State{values: volts} }

// A Help is one rung of the ladder that leads to an operating point.
type Help string

const (
	Direct          Help = "Newton's method"                  // from the guess, with limited junctions
	Shunts          Help = "shunts taken away step by step"   // conductances from each node to ground
	SourceRamp      Help = "sources turned up step by step"   // from a circuit without power
	PseudoTransient Help = "settling with artificial inertia" // the nodes may move only so fast
)

// An OperatingPoint is a solution at rest.
type OperatingPoint struct {
	Help       Help // the rung of the ladder that led to it
	Iterations int  // Newton iterations in all
	// Shunted is true when 1e-12 S had to remain from every node to ground.
	Shunted bool
	// Loose are nodes, one for each group that hangs together, which nothing but
	// capacitors or open contacts hold: their voltage at rest is what they were
	// charged to, of which nothing is known, and is given as 0.
	Loose []string

	solution
}

// solution is a point at which readings can be taken.
type solution struct {
	s     *Solver
	p     point
	modes []int
}

// Value takes a reading. The error says which node or part does not exist.
func (o *solution) Value(q Quantity) (float64, error) {
	r, err := o.s.resolve(q)
	if err != nil {
		return 0, err
	}
	o.s.setModes(o.modes)
	return o.s.read(r, &o.p), nil
}

// State is the solution by names, from which another analysis can start.
func (o *solution) State() State { return o.s.stateOf(o.p.x, o.modes) }

// On reports whether a switching part (a thyristor, a straight-line diode, a
// relay, a switch, a comparator that is high) is on.
func (o *solution) On(part string) (bool, error) {
	at, ok := o.s.deviceOf[part]
	if !ok {
		return false, o.s.circuit.unknownPart(part)
	}
	for i, d := range o.s.switchOf {
		if d == at {
			if t, ok := o.s.devices[at].(interface{ conducting(mode int) bool }); ok {
				return t.conducting(o.modes[i]), nil
			}
			return o.modes[i] != 0, nil
		}
	}
	return false, fmt.Errorf("part %s does not switch", part)
}

// stateOf names the values of x.
func (s *Solver) stateOf(x []float64, modes []int) State {
	st := State{values: make(map[string]float64, len(x)), modes: make(map[string]int, len(modes))}
	for u := 1; u < len(x); u++ {
		st.values[s.unknowns[u].label] = x[u]
	}
	for i, m := range modes {
		st.modes[s.nameOf(s.switchOf[i])] = m
	}
	return st
}

// adopt sets x and the modes from a state, as far as the names agree.
func (s *Solver) adopt(st State) {
	x := s.point.x
	clear(x)
	for u := 1; u < len(x); u++ {
		x[u] = st.values[s.unknowns[u].label]
	}
	for i, d := range s.switches {
		m, known := st.modes[s.nameOf(s.switchOf[i])]
		if !known {
			if b, ok := d.(interface{ initial() int }); ok {
				m = b.initial()
			}
		}
		d.setMode(m)
	}
}

// setModes puts every switching part into a mode and restamps when one changed.
func (s *Solver) setModes(modes []int) {
	changed := false
	for i, d := range s.switches {
		if d.mode() != modes[i] {
			d.setMode(modes[i])
			changed = true
		}
	}
	if changed {
		s.restamp()
	}
}

// currentModes lists the modes.
func (s *Solver) currentModes() []int {
	modes := make([]int, len(s.switches))
	for i, d := range s.switches {
		modes[i] = d.mode()
	}
	return modes
}

// OperatingPoint finds the voltages and currents at rest: sources at the value
// they have before time zero, capacitors open, windings shorted. When Newton's
// method alone fails it climbs a ladder of helps. The error is a [*Floating],
// a [*ShortedLoop] or a [*NoSolution], or that of ctx.
func (s *Solver) OperatingPoint(ctx context.Context) (*OperatingPoint, error) {
	return s.OperatingPointFrom(ctx, State{})
}

// OperatingPointFrom finds the operating point nearest to a state. Switching
// parts begin in the modes of the state, so that a thyristor that has fired
// stays so as long as its current holds it.
func (s *Solver) OperatingPointFrom(ctx context.Context, from State) (*OperatingPoint, error) {
	s.ctx, s.iterated = ctx, 0
	s.atRest(true)
	s.adopt(from)
	s.restamp()
	help, err := s.climb()
	if err != nil {
		return nil, err
	}
	s.settle(0, nil)
	var loose []string
	for _, u := range s.ties {
		if loose = append(loose, s.names[u]); math.Abs(s.point.x[u]) > mostTied {
			s.shunt = 0
			return nil, &NoSolution{Node: s.names[u], Reason: "a current flows into it that has no way out but into capacitors, so that its voltage never comes to rest; follow it over time, or add what it flows into"}
		}
	}
	op := &OperatingPoint{Loose: loose, Help: help, Iterations: s.iterated, Shunted: s.shunt > 0}
	op.solution = solution{s, s.copyPoint(), s.currentModes()}
	s.shunt = 0
	return op, nil
}

// mostTied is the voltage, in volt, of a node held by a trickle that shows that a
// current is driven into it: 0.1 µA.
const mostTied = 1e5

// copyPoint copies the present point.
func (s *Solver) copyPoint() point {
	p := s.newPoint()
	p.t, p.scale, p.still = s.point.t, s.point.scale, s.point.still
	copy(p.x, s.point.x)
	copy(p.f, s.point.f)
	copy(p.q, s.point.q)
	copy(p.rate, s.point.rate)
	copy(p.g, s.point.g)
	copy(p.c, s.point.c)
	return p
}

// atRest prepares the equations for an operating point, or ends that.
func (s *Solver) atRest(resting bool) {
	s.point.still, s.point.scale = resting, 1
	s.shunt, s.drag = 0, 0
	for _, d := range s.timed {
		d.atRest(resting)
	}
	if !resting {
		return
	}
	s.point.t = 0
	s.relative = 1e-10
	for u := range s.weight {
		s.weight[u] = [...]float64{voltage: 1e-10, current: 1e-13, temperature: 1e-7, other: 1e-12}[s.unknowns[u].nature]
	}
}

// climb tries the helps in turn.
func (s *Solver) climb() (Help, error) {
	start := append([]float64(nil), s.point.x...)
	modes := s.currentModes()
	var first error
	for _, rung := range []struct {
		help Help
		try  func() error
	}{{Direct, s.direct}, {Shunts, s.takeShunts}, {SourceRamp, s.rampSources}, {PseudoTransient, s.settleSlowly}} {
		copy(s.point.x, start)
		s.setModes(modes)
		s.shunt, s.drag, s.point.scale = 0, 0, 1
		err := rung.try()
		if err == nil {
			return rung.help, nil
		}
		if cancelled := s.ctx.Err(); cancelled != nil {
			return "", cancelled
		}
		if first == nil {
			if loop := s.checkLoops(true); loop != nil {
				return "", loop
			}
			first = err
		}
	}
	if errors.Is(first, errStalled) {
		worst := s.worst()
		return "", &NoSolution{Part: s.unknowns[worst].part, Node: s.nodeLabel(worst),
			Reason: "no operating point was found by any of the helps; the last attempt kept moving here. Check values and connections, or give a starting guess"}
	}
	return "", first
}

// nodeLabel is the name of the node of an unknown, or nothing.
func (s *Solver) nodeLabel(u int) string {
	if s.unknowns[u].part != "" {
		return ""
	}
	return s.unknowns[u].label
}

// worst is the unknown that moved most in the last iteration.
func (s *Solver) worst() int {
	at, most := 1, 0.0
	for u := 1; u < len(s.r); u++ {
		if e := math.Abs(s.r[u]) / (s.weight[u] + s.relative*math.Abs(s.point.x[u])); e > most || e != e {
			at, most = u, e
		}
	}
	return at
}

// modeTolerance is how far a guard may be over before the mode changes.
const modeTolerance = 1e-9

// balance solves by Newton's method and moves switching parts to the modes
// that the solution asks for, until both agree. At first all parts that ask
// are moved at once, then one at a time, which does not go in circles for
// circuits of diodes, resistors and sources (least-index rule: K. G. Murty,
// "Note on a Bard-type scheme for solving the complementarity problem",
// Opsearch 11 (1974) 123-130).
func (s *Solver) balance(iterations int) error {
	limit := 20 + 10*len(s.switches)
	for round := 0; ; round++ {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		s.tie(true)
		if err := s.newton(0, nil, iterations); err != nil {
			if isSingular(err) && round < limit && s.breakLoop() {
				continue
			}
			return err
		}
		asked := s.flipAsking(round >= 6)
		if asked < 0 {
			return nil
		}
		if round >= limit {
			return &NoSolution{Part: s.nameOf(s.switchOf[asked]), Reason: "the part switches to and fro; it has no steady mode"}
		}
	}
}

// flipAsking flips the switching parts whose guard is up, or only the first of
// them, and returns the first, or -1.
func (s *Solver) flipAsking(single bool) int {
	first := -1
	for i, d := range s.switches {
		if d.guard(&s.point) > modeTolerance {
			if first < 0 {
				first = i
			} else if single {
				break
			}
			d.flip(&s.point)
		}
	}
	if first >= 0 {
		s.restamp()
	}
	return first
}

// direct is Newton's method alone.
func (s *Solver) direct() error { return s.balance(s.set.MaxIterations) }

// takeShunts starts with a conductance from every node to ground and takes it
// away by powers of ten, more slowly where it is hard (continuation in gmin).
func (s *Solver) takeShunts() error {
	s.shunt = 1e-1
	if err := s.balance(s.set.MaxIterations); err != nil {
		return err
	}
	kept := append([]float64(nil), s.point.x...)
	modes := s.currentModes()
	good, factor := s.shunt, 10.0
	for s.shunt > trickle {
		s.shunt = max(good/factor, trickle)
		if err := s.balance(s.set.MaxIterations); err == nil {
			good, factor = s.shunt, min(10, factor*factor)
			copy(kept, s.point.x)
			modes = s.currentModes()
			continue
		}
		copy(s.point.x, kept)
		s.setModes(modes)
		if factor = math.Sqrt(factor); factor < 1.01 || s.ctx.Err() != nil {
			return errStalled
		}
	}
	return s.unshunt(kept)
}

// unshunt takes away the last shunt, or leaves it when nothing else will do:
// nodes between junctions that all block have no other hold.
func (s *Solver) unshunt(kept []float64) error {
	copy(kept, s.point.x)
	s.shunt = 0
	if s.balance(s.set.MaxIterations) == nil {
		return nil
	}
	copy(s.point.x, kept)
	s.shunt = trickle
	return s.balance(s.set.MaxIterations)
}

// rampSources turns all sources up from nothing, in steps as large as go.
func (s *Solver) rampSources() error {
	s.shunt = trickle
	clear(s.point.x)
	kept := append([]float64(nil), s.point.x...)
	modes := s.currentModes()
	good, step := 0.0, 0.1
	for good < 1 {
		s.point.scale = min(1, good+step)
		if err := s.balance(s.set.MaxIterations); err == nil {
			good, step = s.point.scale, step*2
			copy(kept, s.point.x)
			modes = s.currentModes()
			continue
		}
		copy(s.point.x, kept)
		s.setModes(modes)
		if step /= 4; step < 1e-5 || s.ctx.Err() != nil {
			return errStalled
		}
	}
	return s.unshunt(kept)
}

// settleSlowly lets every node move towards its place against an artificial
// inertia that is taken away as it comes to rest (C. T. Kelley, D. E. Keyes,
// "Convergence analysis of pseudo-transient continuation", SIAM J. Numerical
// Analysis 35 (1998) 508-523).
func (s *Solver) settleSlowly() error {
	s.shunt, s.drag = trickle, 1
	copy(s.anchor, s.point.x)
	kept := append([]float64(nil), s.point.x...)
	modes := s.currentModes()
	for range 3000 {
		if err := s.balance(30); err == nil {
			copy(kept, s.point.x)
			copy(s.anchor, s.point.x)
			modes = s.currentModes()
			if s.drag /= 2; s.drag < 1e-13 {
				s.drag = 0
				return s.unshunt(kept)
			}
			continue
		}
		copy(s.point.x, kept)
		s.setModes(modes)
		if s.drag *= 8; s.drag > 1e6 || s.ctx.Err() != nil {
			return errStalled
		}
	}
	return errStalled
}
