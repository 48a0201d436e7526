package prediction

import (
	"math"

	"halfsplit/signal"
)

// Rail says what a node should be, for State.
type Rail struct {
	signal.Expectation
	Ripple float64 // limit, peak to peak in volt; 0 when none is stated
	// Signal is what must be left of a signal that the node carries, peak to peak
	// in volt; 0 where none belongs.
	Signal float64
}

// State is what a node truly does in this way, as package signal tells it, so
// that a rail that is worked out feeds blocks that are not. A node of which the
// circuit knows nothing is said nothing of.
//
// The level is good within its limits, absent below a seventh of the lower one,
// else low or high; what is good on average but ripples beyond its limit (or
// beyond a seventh of its value where none is stated) is noisy; what has lost its
// signal is absent; what starts and stops is wrong.
func (w *Way) State(node string, rail Rail) signal.Spread {
	var spread signal.Spread
	sum, n, ok := w.layout.find(Observable{Aspect: Level, Node: node}, w.ground)
	if !ok {
		return spread
	}
	if w.Behaviour == NoSolution {
		return signal.Agnostic()
	}
	mean, variance := w.at(sum[:n])
	deviation := math.Sqrt(variance) + 1e-12
	low, high := rail.Low, rail.High
	if low+high < 0 || low+high == 0 && rail.Nominal < 0 || math.IsInf(low, -1) && high < 0 {
		low, high, mean = -high, -low, -mean
	}
	over := below(mean-high, deviation)
	under := below(low-mean, deviation)
	spread[signal.High] = over
	spread[signal.Low] = under
	if low > 0 { // where nothing is a fault
		spread[signal.Absent] = min(below(low/absent-mean, deviation), under)
		spread[signal.Low] = under - spread[signal.Absent]
	}
	good := max(1-over-under, 0)
	silent, noisy := w.silent(node, rail), w.noisy(node, rail)
	spread[signal.Absent] += good * silent
	good *= 1 - silent
	spread[signal.Noisy] = good * noisy
	spread[signal.Good] = good * (1 - noisy)
	if w.Behaviour == Cycles && w.alive(node, rail) {
		spread = signal.Spread{signal.Wrong: 1}.Mix(0.8, spread.Normal())
	}
	return spread.Normal()
}

// absent is how many times smaller than its lower limit a level is that nothing
// works on. Common practice, no source.
const absent = 7

// noisy is the chance that the ripple at a node is over its limit.
func (w *Way) noisy(node string, rail Rail) float64 {
	sum, n, ok := w.layout.find(Observable{Aspect: Ripple, Node: node}, w.ground)
	limit := rail.mostRipple()
	if !ok || limit == 0 {
		return 0
	}
	mean, variance := w.at(sum[:n])
	return below(mean-limit, math.Sqrt(variance)+1e-12)
}

// silent is the chance that a node has lost its signal.
func (w *Way) silent(node string, rail Rail) float64 {
	sum, n, ok := w.layout.find(Observable{Aspect: Ripple, Node: node}, w.ground)
	if !ok || rail.Signal == 0 {
		return 0
	}
	mean, variance := w.at(sum[:n])
	return below(rail.Signal-mean, math.Sqrt(variance)+1e-12)
}

// mostRipple is what a node may ripple, peak to peak in volt.
func (r Rail) mostRipple() float64 {
	if r.Ripple == 0 {
		return math.Abs(r.Nominal) / 7
	}
	return r.Ripple
}

// Keeps reports whether a level and a ripple, peak to peak in volt, are what the
// node should have.
func (r Rail) Keeps(level, ripple float64) bool {
	most := r.mostRipple()
	return level >= r.Low && level <= r.High && (most == 0 || ripple <= most) && ripple >= r.Signal
}

// Bad is the chance that a node is not as it should be in this way, by level or
// by ripple, after readings that were taken in the same state of the bench.
func (w *Way) Bad(node string, rail Rail, taken []Read) float64 {
	level, deviation, ok := w.Predict(Observable{Aspect: Level, Node: node}, taken)
	if !ok {
		return 0
	}
	deviation += 1e-12
	bad := below(level-rail.High, deviation) + below(rail.Low-level, deviation)
	if most := rail.mostRipple(); most > 0 {
		if ripple, deviation, ok := w.Predict(Observable{Aspect: Ripple, Node: node}, taken); ok {
			beyond := below(ripple-most, deviation+1e-12)
			if rail.Signal > 0 {
				beyond = min(1, beyond+below(rail.Signal-ripple, deviation+1e-12))
			}
			bad += (1 - bad) * beyond
		}
	}
	return min(bad, 1)
}

// alive tells whether a node takes part in the cycling.
func (w *Way) alive(node string, rail Rail) bool {
	sum, n, ok := w.layout.find(Observable{Aspect: Ripple, Node: node}, w.ground)
	if !ok {
		return false
	}
	mean, _ := w.at(sum[:n])
	return mean > 0.1*math.Abs(rail.Nominal)
}

// State is that of the whole mixture; the zero Spread when no way knows the node.
func (f *Forecast) State(node string, rail Rail) signal.Spread {
	var spread signal.Spread
	for i := range f.Ways {
		s := f.Ways[i].State(node, rail)
		for k := range spread {
			spread[k] += f.Ways[i].Weight * s[k]
		}
	}
	return spread.Normal()
}
