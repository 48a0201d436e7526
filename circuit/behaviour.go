package circuit

import (
	"fmt"
	"math"
)

// A Habit is what a circuit came to do.
type Habit string

// The habits.
const (
	Resting   Habit = "at rest"      // nothing changes any more
	Repeating Habit = "repeating"    // one stroke is like the next
	Cycling   Habit = "cycling"      // bursts of strokes, or strokes that swell and fade, over and over: hiccup
	Moving    Habit = "still moving" // none of these yet
)

// A Behaviour says what a circuit came to do by itself, as far as it was
// followed: what one would see on a scope left connected. Nothing is told of it
// beforehand; a supply that sets its own pace gives its frequency here.
//
// A supply that never started is [Resting] without having [Behaviour.Started].
type Behaviour struct {
	Habit Habit
	// Frequency of the strokes in hertz (within a burst, when cycling), and its
	// standard uncertainty from how unlike the intervals are (JCGM 100:2008,
	// 4.2.3). The accuracy of the steps comes on top of that. 0 at rest.
	Frequency, FrequencyUncertainty float64
	// Jitter is the standard deviation of the interval between strokes over its
	// mean. A regulated supply that sets its own pace seldom makes two strokes
	// alike.
	Jitter float64
	// Cycle is the time from burst to burst in seconds when cycling, with its
	// standard uncertainty; else 0.
	Cycle, CycleUncertainty float64
	// Marker is the recorded quantity that the strokes were told from.
	Marker Quantity
	// Strokes is how many there were since the run began, of the recorded quantity
	// that has the most.
	Strokes int
	// From and To bound the last stretch of whole strokes, or cycles, to take
	// readings over, in seconds.
	From, To float64
	// Known is when this was known, in seconds; when still moving, the end.
	Known float64
	// Mover is what moves most when still moving: a node, or a value of a part. Drift
	// is how far it would move if followed for as long again, over its largest
	// size; +Inf when there is no telling.
	Mover string
	Drift float64
}

// startedBy is how many strokes make a start; a step at switching on may ring
// a few times.
const startedBy = 8

// Started reports whether the circuit ever made strokes of its own.
func (b Behaviour) Started() bool { return b.Strokes >= startedBy }

// String says it in words.
func (b Behaviour) String() string {
	pace := fmt.Sprintf("%.4g Hz ± %.2g Hz", b.Frequency, b.FrequencyUncertainty)
	switch b.Habit {
	case Repeating:
		return "repeating at " + pace
	case Cycling:
		return fmt.Sprintf("cycling every %.3g s ± %.1g s, with strokes at %s", b.Cycle, b.CycleUncertainty, pace)
	case Resting:
		if b.Started() {
			return "at rest, after strokes"
		}
		return "at rest, never started"
	}
	return fmt.Sprintf("still moving: %s", b.Mover)
}

// The time of a run is cut into spans, and habits are told from three windows,
// which cover the last half of the time so far: what has lasted for as long as
// all that came before. As the question is put anew after each span, the answer
// does not depend on how long anything takes, be it strokes or a start that
// waits for a capacitor to charge.
const (
	spans     = 128
	firstSpan = 12 // no answer before
)

// watch collects what it takes to tell a habit: mean and extremes of every
// unknown over each span.
type watch struct {
	tolerance float64
	enough    bool // end the run as soon as it is known
	length    float64
	ends      []snapshot
	now       snapshot
	last      []float64
	lastTime  float64
	most      []float64
	found     *Behaviour
}

// snapshot is what had gathered at the end of a span: integrals since the
// beginning, extremes within the span.
type snapshot struct {
	t              float64
	sum, low, high []float64
}

func newSnapshot(n int) snapshot {
	s := snapshot{sum: make([]float64, n), low: make([]float64, n), high: make([]float64, n)}
	s.open()
	return s
}

func (s *snapshot) open() {
	for u := range s.low {
		s.low[u], s.high[u] = math.Inf(1), math.Inf(-1)
	}
}

func newWatch(s *Solver, run Run) *watch {
	n := len(s.unknowns)
	return &watch{tolerance: run.Watch, enough: run.Enough, length: run.Until / spans, now: newSnapshot(n),
		last: make([]float64, n), most: make([]float64, n)}
}

// take adds the present point.
func (w *watch) take(st *stepper, tr *Trace) {
	half := (st.t - w.lastTime) / 2
	for u, x := range st.x {
		w.now.sum[u] += half * (x + w.last[u])
		w.now.low[u], w.now.high[u] = min(w.now.low[u], x), max(w.now.high[u], x)
		w.most[u] = max(w.most[u], math.Abs(x))
	}
	copy(w.last, st.x)
	w.lastTime = st.t
	if st.t < w.length*float64(len(w.ends)+1)*(1-1e-9) {
		return
	}
	w.cut(st)
	if !w.enough {
		return
	}
	// What is bound to happen by the clock has to happen first.
	if b := w.tell(st.s, tr); b.Habit != Moving && (b.Habit != Resting || math.IsInf(st.due(), 1)) {
		w.found = &b
	}
}

// cut ends a span.
func (w *watch) cut(st *stepper) {
	kept := newSnapshot(len(st.x))
	kept.t = st.t
	copy(kept.sum, w.now.sum)
	copy(kept.low, w.now.low)
	copy(kept.high, w.now.high)
	for len(w.ends) < int(st.t/w.length*(1+1e-9)) || len(w.ends) == 0 { // a long step may end several
		w.ends = append(w.ends, kept)
	}
	w.now.open()
}

// tell works out the habit from the spans so far.
func (w *watch) tell(s *Solver, tr *Trace) Behaviour {
	k := len(w.ends) - 1
	if k < firstSpan {
		return Behaviour{Habit: Moving, Mover: "all of it", Drift: math.Inf(1), Known: w.lastTime, To: w.lastTime}
	}
	third := (k + 1) / 6
	at := [4]int{k - 3*third, k - 2*third, k - third, k}
	from, to := w.ends[at[0]].t, w.ends[k].t
	b, beats := tr.pattern(from, to)
	b.Known, b.From, b.To = to, w.ends[at[2]].t, to
	rhythm := 0.0
	if b.Habit != Resting {
		n := len(beats) - 1
		if n < 3 || n < fewestAlike && b.Habit == Repeating && b.Jitter > 0.02 ||
			b.FrequencyUncertainty > mostUncertain*b.Frequency || b.CycleUncertainty > mostUncertain*b.Cycle {
			b.Habit, b.Mover, b.Drift = Moving, "the time from stroke to stroke", math.Inf(1)
			return b
		}
		b.From, b.To = beats[n-n/3], beats[n]
		rhythm = (beats[n] - beats[0]) / float64(n)
	}
	mover, drift := "", tr.drift(beats, w.tolerance, &b)
	if drift > 0 {
		mover = b.Mover
	}
	loose := s.loose()
	for u := 1; u < len(s.unknowns); u++ {
		if loose[u] {
			continue
		}
		if d := w.drift(s, u, at, rhythm, b.Habit == Resting); d > drift {
			mover, drift = s.unknowns[u].label, d
			if s.unknowns[u].part == "" {
				mover = "node " + mover
			}
		}
	}
	b.Mover = ""
	if drift > 1 {
		b.Habit, b.Mover, b.Drift = Moving, mover, drift*w.tolerance
	}
	return b
}

// fewestAlike is how many strokes that are not quite alike it takes to tell
// whether they drift, and mostUncertain how uncertain, as a share, their
// frequency may be.
const (
	fewestAlike   = 12
	mostUncertain = 0.1
)

// drift is how far an unknown would still move, in tolerances, from its means over
// the three windows. A window does not hold whole strokes, which leaves a little
// of their swing in its mean; what is recorded is looked at more closely.
func (w *watch) drift(s *Solver, u int, at [4]int, rhythm float64, resting bool) float64 {
	floor := 1e3 * s.set.VoltageFloor
	switch s.unknowns[u].nature {
	case current:
		floor = 1e3 * s.set.CurrentFloor
	case temperature:
		floor = 1e6 * s.set.VoltageFloor
	}
	allowed := w.tolerance*w.most[u] + floor
	low, high := math.Inf(1), math.Inf(-1)
	for _, span := range w.ends[at[0]+1 : at[3]+1] {
		low, high = min(low, span.low[u]), max(high, span.high[u])
	}
	swing := high - low
	var means [3]float64
	for i := range means {
		a, b := &w.ends[at[i]], &w.ends[at[i+1]]
		if b.t <= a.t {
			return math.Inf(1)
		}
		means[i] = (b.sum[u] - a.sum[u]) / (b.t - a.t)
	}
	if s.unknowns[u].nature == other && means[2] <= means[1] {
		return 0 // a fuse that cools will do nothing more
	}
	if resting && swing > allowed {
		return swing / allowed // what swings without a pattern does not rest
	}
	noise := swing * min(1, rhythm/(w.ends[at[3]].t-w.ends[at[2]].t))
	return left(means, noise+0.03*allowed) / (allowed + noise)
}

// drift is the same for what was recorded, over thirds of whole strokes or
// cycles: their length, and mean and RMS of each quantity. It names what drifts
// most.
func (tr *Trace) drift(beats []float64, tolerance float64, b *Behaviour) (worst float64) {
	n := len(beats) - 1
	if n < 3 {
		return 0
	}
	third := n / 3
	var bound [4]float64
	for i := range bound {
		bound[i] = beats[n-(3-i)*third]
	}
	// Strokes that are not alike leave that much of it in a mean over a third.
	chance := 2 * b.Jitter / math.Sqrt(float64(third))
	if b.Habit == Cycling {
		chance = 2 * b.CycleUncertainty / b.Cycle * math.Sqrt(3)
	}
	note := func(what string, values [3]float64, allowed, swing float64) {
		if d := left(values, 0.03*allowed+chance*swing) / (allowed + chance*swing); d > worst {
			worst, b.Mover = d, what
		}
	}
	length := (bound[3] - bound[0]) / 3
	note("the time from stroke to stroke", [3]float64{bound[1] - bound[0], bound[2] - bound[1], bound[3] - bound[2]}, tolerance*length, length)
	for _, q := range tr.quantities {
		var mean, rms [3]float64
		size, swing := 0.0, 0.0
		for i := range mean {
			r, err := tr.Over(q, bound[i], bound[i+1])
			if err != nil {
				return math.Inf(1)
			}
			mean[i], rms[i] = r.Mean, r.RMS
			size, swing = max(size, math.Abs(r.Max), math.Abs(r.Min)), max(swing, r.PeakToPeak)
		}
		allowed := tolerance*size + 1e-6
		note("the "+fmt.Sprint(q), mean, allowed, swing)
		note("the "+fmt.Sprint(q), rms, allowed, swing)
	}
	return worst
}

// left is how far the last of three values that follow each other goes on when
// each change stays in proportion to the one before (A. C. Aitken, "On Bernoulli's
// numerical solution of algebraic equations", Proc. Royal Society of Edinburgh 46
// (1926) 289-305), over six windows more: for as long again as the run has lasted.
// A last change within the noise is none.
func left(v [3]float64, noise float64) float64 {
	first, second := v[1]-v[0], v[2]-v[1]
	if math.Abs(second) <= noise {
		return 0
	}
	ratio := max(0, min(second/first, 2))
	sum, change := math.Abs(second), math.Abs(second)
	for range 6 {
		change *= ratio
		sum += change
	}
	return sum
}

// loose marks the nodes that at present hang on junctions that block, on less than
// a nanosiemens, with less than a nanoampere. What is left on them creeps away for hours, and any meter would
// take it away at once; they are not waited for.
func (s *Solver) loose() []bool {
	loose := make([]bool, len(s.unknowns))
	for _, u := range s.volts {
		loose[u] = math.Abs(s.point.f[u]) < 1e-9
	}
	for k, g := range s.point.g {
		if row := s.row[k]; s.col[k] != 0 && math.Abs(g) >= 1e-9 {
			loose[row] = false
		}
	}
	return loose
}

// Behaviour says what the circuit came to do, when the run was to watch for it
// (see [Run]).
func (tr *Trace) Behaviour() (b Behaviour, watched bool) {
	if tr.watch == nil || tr.watch.found == nil {
		return Behaviour{Habit: Moving}, false
	}
	return *tr.watch.found, true
}

// known reports that the run may end.
func (tr *Trace) known() bool { return tr.watch != nil && tr.watch.found != nil && tr.watch.enough }

// conclude makes up the mind at the end of a run.
func (w *watch) conclude(st *stepper, tr *Trace) {
	if w.found == nil {
		if n := len(w.ends); n == 0 || st.t > w.ends[n-1].t {
			w.cut(st)
		}
		b := w.tell(st.s, tr)
		w.found = &b
	}
	if len(tr.Time) > 1 {
		w.found.Strokes = tr.count()
	}
}
