package circuit

import (
	"fmt"
	"math"
	"sort"
)

// A Trace is what was recorded over time: each quantity at the end of each
// step, and once within it. Between these it is read as a parabola.
type Trace struct {
	Time   []float64 // seconds, rising
	Events []Event

	quantities []Quantity
	readings   []reading
	bearings   []bearing   // of all parts, when stress is wanted
	heats      []float64   // joule, by part
	watch      *watch      // of what the circuit comes to do, when that is wanted
	end, mid   [][]float64 // by quantity, then by time; mid belongs to the step that ends there
	stands     State       // of a run, at its end
}

// An Event is a change of mode of a switching part.
type Event struct {
	Time float64
	Part string
	On   bool
}

// Quantities lists what was recorded.
func (tr *Trace) Quantities() []Quantity { return append([]Quantity(nil), tr.quantities...) }

// End is where the circuit stood at the end of a run, from which another can go on
// ([Run.Warm]). It is empty when the run did not come to its end.
func (tr *Trace) End() State { return tr.stands }

// Samples returns the recorded values of a quantity, one for each of Time.
func (tr *Trace) Samples(q Quantity) ([]float64, error) {
	i, err := tr.find(q)
	if err != nil {
		return nil, err
	}
	return tr.end[i], nil
}

// find returns the place of a quantity among those recorded.
func (tr *Trace) find(q Quantity) (int, error) {
	for i, have := range tr.quantities {
		if have == q {
			return i, nil
		}
	}
	return 0, fmt.Errorf("the %v was not recorded; name it among the quantities to record", q)
}

// newTrace prepares a trace of the quantities.
func (s *Solver) newTrace(quantities []Quantity) (*Trace, error) {
	tr := &Trace{quantities: append([]Quantity(nil), quantities...)}
	for _, q := range quantities {
		r, err := s.resolve(q)
		if err != nil {
			return nil, err
		}
		tr.readings = append(tr.readings, r)
	}
	tr.end, tr.mid = make([][]float64, len(quantities)), make([][]float64, len(quantities))
	return tr, nil
}

// watchStress makes the trace follow what every part bears.
func (tr *Trace) watchStress(s *Solver) {
	for _, p := range s.circuit.parts {
		tr.bearings = append(tr.bearings, bearing{device: s.deviceOf[p.name]})
	}
	tr.heats = make([]float64, len(tr.bearings))
}

// bear adds the present point to what the parts bear.
func (tr *Trace) bear(s *Solver) {
	step := 0.0
	if n := len(tr.Time); n > 1 {
		step = tr.Time[n-1] - tr.Time[n-2]
	}
	for i := range tr.bearings {
		b := &tr.bearings[i]
		before := b.heat
		b.take(s, &s.point)
		tr.heats[i] += (before + b.heat) / 2 * step
	}
}

// Stress lists what each part bore over the trace, with its mean dissipation.
// It is empty unless it was asked for.
func (tr *Trace) Stress(c *Circuit) []Stress {
	var list []Stress
	if len(tr.Time) < 2 {
		return nil
	}
	span := tr.Time[len(tr.Time)-1] - tr.Time[0]
	for i := range tr.bearings {
		list = append(list, tr.bearings[i].stress(c.parts[i], tr.heats[i]/span))
	}
	return list
}

// clear forgets what was recorded.
func (tr *Trace) clear() {
	tr.Time, tr.Events = tr.Time[:0], tr.Events[:0]
	for i := range tr.end {
		tr.end[i], tr.mid[i] = tr.end[i][:0], tr.mid[i][:0]
	}
	for i := range tr.bearings {
		tr.bearings[i], tr.heats[i] = bearing{device: tr.bearings[i].device}, 0
	}
}

// record adds the present point and the middle of the step that led to it.
func (tr *Trace) record(st *stepper, smooth bool) {
	s := st.s
	tr.Time = append(tr.Time, st.t)
	tr.bear(s)
	at := &st.middle
	for i, r := range tr.readings {
		v := s.read(r, &s.point)
		m := v
		if n := len(tr.end[i]); n > 0 {
			if smooth {
				m = s.read(r, at)
			} else {
				m = tr.end[i][n-1] + gamma*(v-tr.end[i][n-1])
			}
		}
		tr.end[i] = append(tr.end[i], v)
		tr.mid[i] = append(tr.mid[i], m)
	}
	if tr.watch != nil {
		tr.watch.take(st, tr)
	}
}

// jump records what was found just after a discontinuity twice: at the instant
// itself, where it stands beside what was before, and at the present point.
func (tr *Trace) jump(st *stepper) {
	now := st.t
	st.t = tr.Time[len(tr.Time)-1]
	tr.record(st, false)
	st.t = now
	tr.record(st, false)
}

// parabola is the course of a quantity within one step, in u from 0 to 1.
type parabola struct{ c0, c1, c2 float64 }

func (p parabola) at(u float64) float64 { return p.c0 + u*(p.c1+u*p.c2) }

// piece returns the parabola of the step that ends at sample n.
func (tr *Trace) piece(i, n int) parabola {
	y0, ym, y1 := tr.end[i][n-1], tr.mid[i][n], tr.end[i][n]
	c2 := (ym - y0 - gamma*(y1-y0)) / (gamma * (gamma - 1))
	return parabola{y0, y1 - y0 - c2, c2}
}

// step returns the sample that ends the step in which time t lies.
func (tr *Trace) step(t float64) int {
	n := sort.SearchFloat64s(tr.Time, t)
	return min(max(n, 1), len(tr.Time)-1)
}

// At is the value at a time within the trace; outside, that of the nearer end.
func (tr *Trace) At(q Quantity, t float64) (float64, error) {
	i, err := tr.find(q)
	if err != nil {
		return 0, err
	}
	if len(tr.Time) < 2 {
		return 0, fmt.Errorf("the trace is empty")
	}
	n := tr.step(t)
	for tr.Time[n] == tr.Time[n-1] && n < len(tr.Time)-1 {
		n++
	}
	u := (t - tr.Time[n-1]) / (tr.Time[n] - tr.Time[n-1])
	return tr.piece(i, n).at(min(max(u, 0), 1)), nil
}

// Reading is how a quantity behaved over a window of time.
type Reading struct {
	Mean, RMS  float64
	Min, Max   float64
	PeakToPeak float64
}

// Over sums up a quantity over a window of time, both ends in seconds. Of a
// window that reaches beyond the trace the part within it counts; one wholly
// outside is an error.
func (tr *Trace) Over(q Quantity, from, to float64) (Reading, error) {
	i, err := tr.find(q)
	if err != nil {
		return Reading{}, err
	}
	if len(tr.Time) < 2 || to <= from {
		return Reading{}, fmt.Errorf("the window from %g s to %g s holds nothing", from, to)
	}
	if from >= tr.Time[len(tr.Time)-1] || to <= tr.Time[0] {
		return Reading{}, fmt.Errorf("the window from %g s to %g s lies outside the trace, which runs from %g s to %g s", from, to, tr.Time[0], tr.Time[len(tr.Time)-1])
	}
	r := Reading{Min: math.Inf(1), Max: math.Inf(-1)}
	var sum, square, width float64
	for n := tr.step(from); n < len(tr.Time) && tr.Time[n-1] < to; n++ {
		t0, length := tr.Time[n-1], tr.Time[n]-tr.Time[n-1]
		if length <= 0 {
			continue
		}
		a, b := max(0, (from-t0)/length), min(1, (to-t0)/length)
		p := tr.piece(i, n)
		ends := [3]float64{a, b, a}
		if p.c2 != 0 {
			if top := -p.c1 / (2 * p.c2); top > a && top < b {
				ends[2] = top
			}
		}
		for _, u := range ends {
			r.Min, r.Max = min(r.Min, p.at(u)), max(r.Max, p.at(u))
		}
		// Gauss-Legendre with three points: exact for the square of a parabola.
		for _, g := range [3][2]float64{{-math.Sqrt(0.6), 5.0 / 9}, {0, 8.0 / 9}, {math.Sqrt(0.6), 5.0 / 9}} {
			y := p.at((a+b)/2 + g[0]*(b-a)/2)
			sum += g[1] * y * (b - a) / 2 * length
			square += g[1] * y * y * (b - a) / 2 * length
		}
		width += (b - a) * length
	}
	if width == 0 {
		return Reading{}, fmt.Errorf("the window from %g s to %g s lies outside the trace", from, to)
	}
	r.Mean, r.RMS = sum/width, math.Sqrt(square/width)
	r.PeakToPeak = r.Max - r.Min
	return r, nil
}

// Whole sums up a quantity over the whole trace.
func (tr *Trace) Whole(q Quantity) (Reading, error) {
	if len(tr.Time) < 2 {
		return Reading{}, fmt.Errorf("the trace is empty")
	}
	return tr.Over(q, tr.Time[0], tr.Time[len(tr.Time)-1])
}

// Moved tells how far quantities are from having settled: by how much the mean
// over the last span seconds differs from that over the span before, relative to
// the largest size within the last and less a fiftieth of its ripple; and which
// differs most. ok is false when the trace is shorter than two spans.
func (tr *Trace) Moved(list []Quantity, span, least float64) (most float64, which Quantity, ok bool) {
	if len(tr.Time) < 2 {
		return 0, which, false
	}
	end := tr.Time[len(tr.Time)-1]
	if !(span > 0) || end-2*span < tr.Time[0]-1e-9*span {
		return 0, which, false
	}
	for _, q := range list {
		now, err1 := tr.Over(q, end-span, end)
		before, err2 := tr.Over(q, end-2*span, end-span)
		if err1 != nil || err2 != nil {
			return 0, which, false
		}
		size := max(math.Abs(now.Max), math.Abs(now.Min), least)
		if moved := max(math.Abs(now.Mean-before.Mean)-0.02*now.PeakToPeak, 0) / size; moved > most {
			most, which = moved, q
		}
	}
	return most, which, true
}

// Crossing is the first time after a given one at which a quantity passes a
// level, upwards or downwards. ok is false when it does not.
func (tr *Trace) Crossing(q Quantity, level float64, up bool, after float64) (t float64, ok bool, err error) {
	i, err := tr.find(q)
	if err != nil || len(tr.Time) < 2 {
		return 0, false, err
	}
	sign := 1.0
	if !up {
		sign = -1
	}
	for n := tr.step(after); n < len(tr.Time); n++ {
		t0, length := tr.Time[n-1], tr.Time[n]-tr.Time[n-1]
		if length <= 0 {
			continue
		}
		p := tr.piece(i, n)
		over := func(u float64) float64 { return sign * (p.at(u) - level) }
		low, high := max(0, (after-t0)/length), 1.0
		if top := -p.c1 / (2 * p.c2); p.c2 != 0 && over(low) < 0 && over(high) < 0 && top > low && top < high && over(top) >= 0 {
			high = top
		}
		if over(low) >= 0 || over(high) < 0 {
			continue
		}
		for range 60 {
			if half := (low + high) / 2; over(half) < 0 {
				low = half
			} else {
				high = half
			}
		}
		return t0 + high*length, true, nil
	}
	return 0, false, nil
}
