package circuit

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Repeat says what periodic steady state to look for.
type Repeat struct {
	// Period in seconds; when zero, the common period of all waves and
	// clocked switches.
	Period float64
	// Marker names a switching part whose turning on begins a period, for a
	// circuit that sets its own pace. Period is then not used.
	Marker string
	Record []Quantity // what to record over the last period
	Cold   bool       // as in [Run]
	From   State      // as in [Run]
	Warm   bool       // as in [Run]
	// Tolerance is how well the state must repeat, relative to its size; ten
	// times the accuracy of the settings when zero.
	Tolerance float64
	// MostPeriods bounds the search; 3000 when zero.
	MostPeriods int
	// Settle is a time in seconds to let pass first.
	Settle float64
	// Plain waits for the circuit to settle by itself, as it would on the
	// bench, and does not leap ahead.
	Plain bool
	// Stress follows what every part bears; see [Trace.Stress].
	Stress bool
	// Progress, when not nil, is called now and then with the time reached.
	Progress func(t float64)
}

// A Steady is one period of a circuit that repeats itself.
type Steady struct {
	*Trace
	Period  float64 // seconds
	Periods int     // periods followed until then
	Change  float64 // relative change of the state over the last period
	state   State
}

// State is where the circuit stood at the end of the period, which is as it
// began when it repeats itself. It warms up the same analysis of a circuit with another value.
func (st *Steady) State() State { return st.state }

// patienceWhenQuiet is how many periods in a row with next to no change will do,
// when the state that would not change seems to be further off all the same: a
// large reservoir hardly moves in a period, however far it has to go, but in the
// end only rounding moves it.
const patienceWhenQuiet = 5

// Steady follows the circuit until it repeats itself. Between periods it leaps
// ahead: from how the charges and fluxes changed over the periods so far it
// works out the state that would not change (D. G. Anderson, "Iterative
// procedures for nonlinear integral equations", J. ACM 12 (1965) 547-560), so
// that a reservoir that would take a thousand periods takes a few. What was
// recorded so far is returned with an error.
func (s *Solver) Steady(ctx context.Context, rep Repeat) (*Steady, error) {
	if rep.Tolerance == 0 {
		rep.Tolerance = 10 * s.set.Accuracy
	}
	if rep.MostPeriods == 0 {
		rep.MostPeriods = 3000
	}
	marker, err := s.marker(&rep)
	if err != nil {
		return nil, err
	}
	tr, err := s.newTrace(rep.Record)
	if err != nil {
		return nil, err
	}
	if rep.Stress {
		tr.watchStress(s)
	}
	found := &Steady{Trace: tr, Period: rep.Period}
	span := rep.Period
	if marker != nil {
		span = max(rep.Settle, 1e-3)
	}
	st, err := s.begin(ctx, startOf(rep.Cold, rep.Warm), rep.From, span)
	if err != nil {
		return found, err
	}
	if rep.Settle > 0 {
		if err := st.follow(rep.Settle, tr, rep.Progress, nil); err != nil {
			return found, err
		}
	}
	if marker != nil {
		if err := st.toMarker(marker, tr, rep.Progress, 1); err != nil {
			return found, err
		}
	}
	st.smooth = !rep.Plain
	leap := newLeap(st.mostQ)
	wait := 1.0 // seconds for the marker to come
	base, quiet := rep.Settle, 0
	for found.Periods < rep.MostPeriods {
		copy(leap.from, st.q)
		tr.clear()
		tr.record(st, false)
		start := st.t
		st.longest = s.ripple(span / 10)
		if !rep.Plain {
			// Each period begins alike, so that only the state differs.
			if found.Periods < 3 {
				st.hop = 1e-6 * found.Period
			}
			before := tr.note(st, nil)
			st.passClock()
			if err := st.restart(span * 1e-6); err != nil {
				return found, err
			}
			st.h = span / 100
			tr.jump(st)
			tr.note(st, before)
		}
		if marker != nil {
			st.longest = math.Inf(1)
			err = st.toMarker(marker, tr, rep.Progress, wait)
			wait = 1000 * (st.t - start)
			found.Period = st.t - start
		} else {
			err = st.follow(base+float64(found.Periods+1)*rep.Period, tr, rep.Progress, nil)
		}
		if err != nil {
			return found, err
		}
		found.Periods++
		copy(leap.to, st.q)
		var step float64
		found.Change, step = leap.learn()
		if found.Change <= 1e-4*rep.Tolerance {
			quiet++
		} else {
			quiet = 0
		}
		if found.Change <= rep.Tolerance && (step <= rep.Tolerance || rep.Plain) || quiet == patienceWhenQuiet {
			found.state = st.stand()
			return found, nil
		}
		if !rep.Plain && found.Periods > 2 {
			copy(st.q, leap.ahead)
		}
	}
	found.state = st.stand()
	return found, &NoSolution{Time: st.t, Reason: fmt.Sprintf("no periodic state after %d periods; the state still changed by %.2g of its size over the last", found.Periods, found.Change)}
}

// stand is where the circuit stands, and how large each value has been.
func (st *stepper) stand() State {
	state := st.s.stateOf(st.x, st.s.currentModes())
	state.sizes = map[string]float64{}
	for u := 1; u < len(st.most); u++ {
		state.sizes[st.s.unknowns[u].label] = st.most[u]
	}
	return state
}

// marker finds the part that marks periods, or the common period.
func (s *Solver) marker(rep *Repeat) (switching, error) {
	if rep.Marker == "" {
		if rep.Period == 0 {
			rep.Period = s.commonPeriod()
		}
		if !(rep.Period > 0) || math.IsInf(rep.Period, 0) {
			return nil, fmt.Errorf("a period of %g s; give the period, or a switching part that marks it", rep.Period)
		}
		return nil, nil
	}
	at, ok := s.deviceOf[rep.Marker]
	if !ok {
		return nil, s.circuit.unknownPart(rep.Marker)
	}
	d, ok := s.devices[at].(switching)
	if !ok {
		return nil, fmt.Errorf("part %s does not switch, so it cannot mark periods", rep.Marker)
	}
	return d, nil
}

// toMarker follows the circuit until the marker turns on, for no longer than
// wait seconds.
func (st *stepper) toMarker(d switching, tr *Trace, progress func(float64), wait float64) error {
	last, until := d.mode(), st.t+wait
	turned := false
	err := st.follow(until, tr, progress, func() bool {
		m := d.mode()
		turned = m != 0 && last == 0
		last = m
		return turned
	})
	if err == nil && !turned {
		return &NoSolution{Part: st.s.nameOfSwitch(d), Time: st.t, Reason: "the part that marks periods no longer switches"}
	}
	return err
}

// nameOfSwitch is the name of the part of a switching device.
func (s *Solver) nameOfSwitch(d switching) string {
	for i, have := range s.switches {
		if have == d {
			return s.nameOf(s.switchOf[i])
		}
	}
	return ""
}

// commonPeriod is the shortest time in which all waves and clocked switches
// repeat, or 0 when there is none.
func (s *Solver) commonPeriod() float64 {
	var periods []float64
	longest := 0.0
	add := func(t float64) {
		if t > 0 {
			periods, longest = append(periods, t), max(longest, t)
		}
	}
	for _, p := range s.circuit.parts {
		var w Wave
		switch v := p.part.(type) {
		case VoltageSource:
			w = v.Wave
		case CurrentSource:
			w = v.Wave
		case Switch:
			add(v.Period)
		}
		switch v := w.(type) {
		case Sine:
			add(1 / v.Frequency)
		case Mains:
			add(1 / v.sine().Frequency)
		case Pulse:
			add(v.Period)
		}
	}
	for m := 1.0; m <= 1000; m++ {
		fits := true
		for _, t := range periods {
			n := m * longest / t
			fits = fits && math.Abs(n-math.Round(n)) < 1e-6*n
		}
		if fits {
			return m * longest
		}
	}
	return 0
}

// leap learns how a state changes over periods, and where it would not.
type leap struct {
	from, to, ahead []float64
	scale           []float64   // largest size of each
	moved, ended    [][]float64 // change and end of the periods so far
	change          float64     // over the last period
	stride          float64     // periods to go on as before, when all change alike
}

// memory is how many periods a leap remembers.
const memory = 8

func newLeap(scale []float64) *leap {
	n := len(scale)
	return &leap{from: make([]float64, n), to: make([]float64, n), ahead: make([]float64, n), scale: scale}
}

// learn takes in the period from l.from to l.to. It returns the relative change
// over it, and how far the state that would not change is ahead; that state is
// left in l.ahead.
func (l *leap) learn() (change, step float64) {
	n := len(l.from)
	copy(l.ahead, l.to)
	if n == 0 {
		return 0, 0
	}
	moved, ended := make([]float64, n), append([]float64(nil), l.to...)
	for k := range moved {
		moved[k] = l.to[k] - l.from[k]
		if l.scale[k] > 0 {
			change = max(change, math.Abs(moved[k])/l.scale[k])
		}
	}
	if change > 2*l.change { // the circuit has come to behave differently
		l.moved, l.ended = nil, nil
	}
	l.change = change
	l.moved, l.ended = append(l.moved, moved), append(l.ended, ended)
	if len(l.moved) > min(memory, n+1)+1 {
		l.moved, l.ended = l.moved[1:], l.ended[1:]
	}
	m := len(l.moved) - 1
	if m == 0 {
		return change, math.Inf(1)
	}
	// Least squares: which mix of past differences cancels the last change.
	a := mat.NewDense(n+m, m, nil)
	b := mat.NewVecDense(n+m, nil)
	for k := range n {
		if l.scale[k] == 0 {
			continue
		}
		b.SetVec(k, moved[k]/l.scale[k])
		for j := range m {
			a.Set(k, j, (moved[k]-l.moved[j][k])/l.scale[k])
		}
	}
	norm := mat.Norm(a, 2)
	for j := range m { // a trace of damping, so that no mix is wild
		a.Set(n+j, j, 1e-3*norm)
	}
	var mix mat.VecDense
	if norm == 0 || mix.SolveVec(a, b) != nil {
		return change, change
	}
	dx := make([]float64, n)
	for k := range n {
		for j := range m {
			dx[k] += mix.AtVec(j) * (ended[k] - l.ended[j][k])
		}
		if l.scale[k] > 0 {
			step = max(step, math.Abs(dx[k])/l.scale[k])
		}
	}
	if math.IsNaN(step) {
		l.moved, l.ended = l.moved[m:], l.ended[m:]
		return change, math.Inf(1)
	}
	// A change that the mix does not explain, because it is the same every
	// period, says nothing about how far off the end is: go some way to see.
	var rest mat.VecDense
	rest.MulVec(a, &mix)
	rest.SubVec(b, &rest)
	if size := mat.Norm(b, 2); mat.Norm(&rest, 2) > 0.3*size {
		alike := 0.0
		for k := range n {
			alike = max(alike, math.Abs(a.At(k, m-1)))
		}
		if alike > 0.03*size {
			return change, math.Inf(1)
		}
		l.stride = min(max(2*l.stride, 10), 0.3/change)
		for k := range n {
			l.ahead[k] += l.stride * moved[k]
		}
		return change, math.Inf(1)
	}
	l.stride = 0
	share := min(1, 1/step) // further than that is not to be believed
	for k := range n {
		l.ahead[k] -= share * dx[k]
	}
	return change, step
}
