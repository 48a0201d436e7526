package circuit

import (
	"fmt"
	"math"
)

// The method is TR-BDF2: a trapezoidal step to γh, then the second-order
// backward formula to h, with γ = 2 - √2 so that both share one matrix. It is
// of second order, L-stable (what is stiff dies at once, as in the circuit),
// and needs no history but the last rates.
//
// R. E. Bank et al., "Transient simulation of silicon devices and circuits",
// IEEE Trans. Computer-Aided Design 4 (1985) 436-451. Error estimate, as a
// third-order companion filtered through the matrix: M. E. Hosea, L. F.
// Shampine, "Analysis and implementation of TR-BDF2", Applied Numerical
// Mathematics 20 (1996) 21-37.
var (
	gamma      = 2 - math.Sqrt2
	errorStart = (math.Sqrt2 - 1) / 3 // weights of the rates at the start,
	errorMid   = -1.0 / 3             // at γh
	errorEnd   = (2 - math.Sqrt2) / 3 // and at h, in the error of a charge
)

// stepper carries the state from step to step.
type stepper struct {
	s        *Solver
	t, h     float64 // time reached, and the step to try next
	floor    float64 // the shortest step
	longest  float64
	last     float64 // length of the last step
	modes    []int
	x, mid   []float64
	q, qMid  []float64
	rate     []float64
	rateMid  []float64
	past     []float64
	middle   point     // mid and rateMid, to take readings at
	most     []float64 // recent largest size of each unknown
	mostHeld []float64 // and of what each store of charge or flux is measured by
	mostQ    []float64 // largest charge or flux since last cleared
	before   []float64 // guards at the start of the step
	after    []float64
	slope    []float64 // of each unknown, to start the next step from
	curve    []float64 // and half its second derivative
	sloped   bool
	error    float64 // of the last step, as a multiple of what is allowed
	steps    int
	endWhen  func() bool // whether the run may end here; nil for one that goes on
	ended    bool        // it did
	patience int         // iterations for each stage
	tried    int         // steps begun, with those that were too long
	restarts int         // in a row
	tight    float64     // shrinks the error allowed, for tests of order
	fixed    bool        // steps keep their length, for tests of order
	worst    int         // the store with the largest error
	crawled  int         // very short steps in a row
	hop      float64     // when not zero, the length of every jump
	smooth   bool        // the length of steps is a smooth function of the state
}

// newStepper allocates a stepper.
func (s *Solver) newStepper() *stepper {
	n, k := len(s.unknowns), len(s.stores)
	vector := func(n int) []float64 { return make([]float64, n) }
	st := &stepper{s: s, x: vector(n), mid: vector(n), most: vector(n), slope: vector(n), curve: vector(n),
		q: vector(k), qMid: vector(k), rate: vector(k), rateMid: vector(k), past: vector(k),
		before: vector(len(s.switches)), after: vector(len(s.switches)), mostHeld: vector(k), mostQ: vector(k)}
	st.middle = point{x: st.mid, rate: st.rateMid, scale: 1}
	return st
}

// slack is how far the error of a step may exceed the one aimed at before the
// step is taken again. As steady steps settle at a fifth of that, they keep well
// within the accuracy asked for.
const slack = 2

// weigh sets the error allowed in each unknown from its recent size. Recent are
// the last hundred steps, but no less than a tenth of the longest: steps that follow
// a small ringing shall not make it the measure of a winding that carried
// amperes a moment ago.
func (st *stepper) weigh() {
	s := st.s
	s.relative = 0
	keep := 1 - min(0.01, 10*st.last/st.longest)
	for u := 1; u < len(st.most); u++ {
		st.most[u] = max(st.most[u]*keep, math.Abs(st.x[u]))
		floor := s.set.VoltageFloor
		switch s.unknowns[u].nature {
		case current:
			floor = s.set.CurrentFloor
		case temperature:
			floor = 1e3 * s.set.VoltageFloor
		}
		s.weight[u] = slack * (floor + s.set.Accuracy*st.most[u])
	}
	for k := range s.stores {
		st.mostHeld[k] = max(st.mostHeld[k]*keep, math.Abs(s.stores[k].held(st.x)))
	}
}

// held is what the charge or flux of a store is measured by: the voltage of a
// capacitor, the current of a winding, the temperature of a filament. Its
// equation and its unknown have the same number.
func (st *store) held(x []float64) float64 { return x[st.plus] - x[st.minus] }

// hasty and patient are how many iterations a stage may take. One that is not
// there soon seldom gets there at all, and a shorter step is cheaper; but where
// that fails again a junction without charge jumps, however short the step.
const hasty, patient = 12, 25

// attempt takes a step of length h from the present state and leaves the end
// in s.point. It returns the error estimate as a multiple of what is allowed.
func (st *stepper) attempt(h float64) (float64, error) {
	s, p := st.s, &st.s.point
	alpha := 2 / (gamma * h)
	for k := range st.past {
		st.past[k] = -alpha*st.q[k] - st.rate[k]
	}
	copy(p.x, st.x)
	if st.sloped {
		step := gamma * h
		for u := range p.x {
			p.x[u] += step * (st.slope[u] + step*st.curve[u])
		}
	}
	p.t = st.t + gamma*h
	if err := s.newton(alpha, st.past, st.patience); err != nil {
		return 0, err
	}
	s.settle(alpha, st.past)
	copy(st.mid, p.x)
	copy(st.qMid, p.q)
	copy(st.rateMid, p.rate)
	c1, c0 := -1/(gamma*(1-gamma)*h), (1-gamma)/(gamma*h)
	for k := range st.past {
		st.past[k] = c1*st.qMid[k] + c0*st.q[k]
	}
	if st.sloped { // on along the parabola with the slope at the start
		for u := range p.x {
			rise := st.slope[u] * h
			p.x[u] = st.x[u] + rise + (st.mid[u]-st.x[u]-gamma*rise)/(gamma*gamma)
		}
	} else {
		for u := range p.x {
			p.x[u] = st.x[u] + (st.mid[u]-st.x[u])/gamma
		}
	}
	p.t = st.t + h
	if err := s.newton(alpha, st.past, st.patience); err != nil {
		return 0, err
	}
	s.settle(alpha, st.past)
	return st.estimate(h, alpha), nil
}

// estimate is the error of the step just taken, in what the stores hold. All
// else follows from that without memory, and may jump. A junction that blocks
// counts as much as any capacitor, however little it holds: a node that hangs on
// such junctions alone, as the winding of a rectifier between two charges of the
// reservoir, is followed as closely as all others. Only where an accuracy coarser
// than the default asks for quickness, it counts for less, by the root of how much
// coarser: a winding without anything to damp it may ring on them for milliseconds.
func (st *stepper) estimate(h, alpha float64) float64 {
	s := st.s
	clear(s.r)
	for k := range s.stores {
		e := alpha * h * (errorStart*st.rate[k] + errorMid*st.rateMid[k] + errorEnd*s.point.rate[k])
		s.r[s.stores[k].plus] += e
		s.r[s.stores[k].minus] -= e
	}
	s.r[0] = 0
	s.lu.Solve(s.r[1:])
	worst := 0.0
	for k := range s.stores {
		at := &s.stores[k]
		floor := s.set.VoltageFloor
		switch s.unknowns[max(at.plus, at.minus)].nature {
		case current:
			floor = s.set.CurrentFloor
		case temperature:
			floor = 1e3 * s.set.VoltageFloor
		}
		share := math.Abs(at.held(s.r)) / (slack * (floor + s.set.Accuracy*st.mostHeld[k]))
		if at.bent {
			share *= s.ringing
		}
		if share > worst {
			worst, st.worst = share, k
		}
	}
	return worst
}

// commit makes the end of the attempted step the present state.
func (st *stepper) commit(h float64) {
	p := &st.s.point
	for u := range st.slope {
		rise := p.x[u] - st.x[u]
		bow := (st.mid[u] - st.x[u] - gamma*rise) / (gamma * (gamma - 1))
		st.slope[u], st.curve[u] = (rise+bow)/h, bow/(h*h)
	}
	st.sloped = true
	st.t += h
	copy(st.x, p.x)
	copy(st.q, p.q)
	copy(st.rate, p.rate)
	for k, q := range st.q {
		st.mostQ[k] = max(st.mostQ[k], math.Abs(q))
	}
	st.last = h
	st.steps++
	if st.crawled++; h > 1e-8*st.longest || h > 1e-10*st.t {
		st.crawled = 0
	}
	st.restarts = 0
	for _, d := range st.s.watchers {
		d.watch(p)
	}
}

// advance takes one step, no further than to the limit, and reports whether
// it ended with parts that ask to switch.
func (st *stepper) advance(limit float64) (switched bool, err error) {
	s := st.s
	if st.crawled > 0 && st.crawled%200 == 0 {
		if err := st.refresh(limit); err != nil {
			return false, err
		}
	}
	st.weigh()
	st.guards(st.before)
	for tries := 0; ; tries++ {
		h := min(st.h, st.longest)
		if room := limit - st.t; h > room*(1-1e-9) {
			h = room
		} else if 2*h > room {
			h = room / 2
		}
		st.tried++
		if st.patience = hasty; tries > 0 {
			st.patience = patient
		}
		e, err := st.attempt(h)
		if err != nil && s.shunt == 0 && tries > 0 {
			// Nodes between junctions that all block need a hold.
			s.shunt = trickle
			e, err = st.attempt(h)
		}
		if err != nil {
			if h/8 < st.floor || tries > 60 {
				return false, st.stuck(err)
			}
			st.h = h / 8
			continue
		}
		if st.tight > 0 {
			e *= st.tight
		}
		if e > 1 && !st.fixed && h > st.floor {
			st.h = max(h*max(0.15, 0.85/math.Cbrt(e)), st.floor)
			continue
		}
		st.guards(st.after)
		if st.asking(st.after) {
			st.patience = patient
			if h, err = st.locate(h); err != nil {
				return false, st.stuck(err)
			}
			switched = true
		}
		if !st.fixed {
			factor := st.growth(e)
			// A step that hardly changes keeps the factors of a linear circuit.
			if factor > 1.3 || factor < 1 || st.smooth {
				st.h = max(h, min(st.h, h*4)) * factor
			}
			if tries > 0 {
				st.h = min(st.h, h)
			}
		}
		whole := h == limit-st.t
		st.commit(h)
		if whole {
			st.t = limit
		}
		return switched, nil
	}
}

// growth is the length of the next step over that of this one, with an error of
// e times what is allowed. It looks at the error before as well, so that the
// length does not swing to and fro where the circuit rings: the controller with
// proportional and integral share of K. Gustafsson, M. Lundh, G. Söderlind, "A
// PI stepsize control for the numerical solution of ordinary differential
// equations", BIT 28 (1988) 270-287. Steady steps settle at a fifth of the
// error allowed, so few have to be taken again.
func (st *stepper) growth(e float64) float64 {
	const least = 1e-4
	e, before := max(e, least), st.error
	st.error = e
	return min(4, 0.85*math.Pow(e, -0.7/3)*math.Pow(before, 0.4/3))
}

// refresh begins anew from the present state, after many steps so short that
// the rates of charge have drowned in rounding: short steps make poor rates,
// and poor rates ask for short steps. When that does not help for long it
// gives up.
func (st *stepper) refresh(limit float64) error {
	s := st.s
	if st.crawled >= 4000 {
		u := max(s.stores[st.worst].plus, s.stores[st.worst].minus)
		return &NoSolution{Part: s.unknowns[u].part, Node: s.nodeLabel(u), Time: st.t,
			Reason: fmt.Sprintf("time hardly passes any more, with steps of %.2g s; ask for less accuracy, or check the parts around it", st.last)}
	}
	crawled, hop := st.crawled, 1e-6*st.longest
	if 4*hop > limit-st.t {
		return nil
	}
	if err := st.restart(hop); err != nil {
		return err
	}
	st.h, st.crawled = 10*hop, crawled+1
	return nil
}

// stuck says where and when time stopped.
func (st *stepper) stuck(err error) error {
	s := st.s
	if err == errStalled {
		u := s.worst()
		return &NoSolution{Part: s.unknowns[u].part, Node: s.nodeLabel(u), Time: st.t,
			Reason: fmt.Sprintf("steps down to %.3g s do not get past this instant", st.floor)}
	}
	if n, ok := err.(*NoSolution); ok {
		n.Time = st.t
	}
	return err
}

// restart passes a discontinuity: charges and fluxes stay, all else may jump.
// Two very short steps of the backward Euler method find the new voltages and
// currents; the first takes up any impulse. Switching parts that do not agree
// with what comes out are moved until all do.
func (st *stepper) restart(h float64) error {
	s, p := st.s, &st.s.point
	if st.restarts > 10000 {
		return &NoSolution{Part: st.busiest(), Time: st.t, Reason: "parts switch to and fro without time passing"}
	}
	alpha := 1 / h
	st.weigh()
	for round := 0; ; round++ {
		s.tie(false)
		asked := -1
		broke := false
		copy(p.x, st.x)
		copy(s.point.q, st.q)
		for i := range 2 {
			for k := range st.past {
				st.past[k] = -alpha * p.q[k]
			}
			p.t = st.t + float64(i+1)*h
			if err := s.newton(alpha, st.past, 60); err != nil {
				if s.shunt == 0 {
					s.shunt, broke = trickle, true
					break
				}
				if broke = isSingular(err) && round < 20 && (s.breakLoop() || s.breakAll()); broke {
					break
				}
				return st.stuck(err)
			}
			s.settle(alpha, st.past)
			if asked = s.flipAsking(round >= 6); asked >= 0 {
				break
			}
		}
		if broke {
			continue
		}
		if asked < 0 {
			break
		}
		if round > 20+10*len(s.switches) {
			return &NoSolution{Part: s.nameOf(s.switchOf[asked]), Time: st.t, Reason: "the part switches to and fro at this instant: what it switches turns it back at once. Add what takes its time there, such as a capacitor, or what an opened winding can discharge through"}
		}
	}
	copy(st.mid, st.x)
	last, restarts := st.last, st.restarts
	st.commit(2 * h)
	st.last, st.restarts = last, restarts+1
	st.sloped, st.error = false, 1
	return nil
}

// busiest names a switching part whose guard is up, for the error.
func (st *stepper) busiest() string {
	for i, d := range st.s.switches {
		if d.guard(&st.s.point) > 0 {
			return st.s.nameOf(st.s.switchOf[i])
		}
	}
	return ""
}
