package circuit

import (
	"math"
	"slices"
)

// swing is what tells a stroke: a rise through the middle, from the lowest quarter,
// so that a ringing on top of it does not count; and down there from high, so that
// a mere rise does not.
type swing struct{ been, armed bool }

// rise takes in the next value, for a swing between two levels, and reports
// whether a stroke begins.
func (w *swing) rise(v, low, high float64) bool {
	middle := v >= low+(high-low)/2
	begins := w.armed && middle
	w.been = w.been || middle
	w.armed = w.armed && !middle || w.been && v < low+(high-low)/4
	return begins
}

// levels are the extremes of a quantity within some samples. Both are the same
// when it swings by less than a hundredth of its size, or a thousandth of what it
// was at most.
func (tr *Trace) levels(i, begin, end int, most float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for n := begin; n <= end; n++ {
		low, high = min(low, tr.end[i][n]), max(high, tr.end[i][n])
	}
	if !(high-low > max(0.01*max(math.Abs(low), math.Abs(high)), 1e-3*most, 1e-9)) {
		return low, low
	}
	return low, high
}

// most is the largest size of a quantity.
func (tr *Trace) most(i int) float64 {
	most := 0.0
	for _, v := range tr.end[i] {
		most = max(most, math.Abs(v))
	}
	return most
}

// strokes lists the times at which strokes of a quantity begin within a window, and
// gives its swing over its size.
func (tr *Trace) strokes(i int, from, to float64) (times []float64, share float64) {
	begin, end := tr.step(from), tr.step(to)
	low, high := tr.levels(i, begin, end, tr.most(i))
	if low == high {
		return nil, 0
	}
	var w swing
	for n := begin; n <= end; n++ {
		if w.rise(tr.end[i][n], low, high) {
			times = append(times, tr.passes(i, n, (low+high)/2))
		}
	}
	return times, (high - low) / max(math.Abs(low), math.Abs(high))
}

// passes is when a quantity rises through a level within the step that ends at
// sample n, above it.
func (tr *Trace) passes(i, n int, level float64) float64 {
	t0, length := tr.Time[n-1], tr.Time[n]-tr.Time[n-1]
	if tr.end[i][n-1] >= level || length <= 0 {
		return tr.Time[n]
	}
	p := tr.piece(i, n)
	low, high := 0.0, 1.0
	for range 40 {
		if half := (low + high) / 2; p.at(half) < level {
			low = half
		} else {
			high = half
		}
	}
	return t0 + high*length
}

// rhythm is how a quantity strokes within a window.
type rhythm struct {
	quantity int
	times    []float64
	swing    float64 // over its size
	interval float64 // mean
	spread   float64 // standard deviation of the interval over its mean
}

// fewest is how many intervals it takes to speak of a pattern.
const fewest = 4

// newRhythm sums up the times of strokes.
func newRhythm(quantity int, times []float64, swing float64) rhythm {
	r := rhythm{quantity: quantity, times: times, swing: swing}
	n := float64(len(times) - 1)
	r.interval = (times[len(times)-1] - times[0]) / n
	for k := 1; k < len(times); k++ {
		r.spread += math.Pow((times[k]-times[k-1])/r.interval-1, 2)
	}
	r.spread = math.Sqrt(r.spread / (n - 1))
	return r
}

// uncertainty of the mean interval, over the mean.
func (r rhythm) uncertainty() float64 { return r.spread / math.Sqrt(float64(len(r.times)-1)) }

// regular is the greatest spread of what may be called a cycle.
const regular = 0.25

// pattern tells how the recorded quantities swing within a window, and when each
// stroke, or cycle, began. Resting stands for those that do not swing, or not
// often enough to tell.
func (tr *Trace) pattern(from, to float64) (Behaviour, []float64) {
	var all []rhythm
	quickest, steadiest := 0, 0
	for i := range tr.quantities {
		times, swing := tr.strokes(i, from, to)
		if len(times) <= fewest {
			continue
		}
		all = append(all, newRhythm(i, times, swing))
		n := len(all) - 1
		if len(times) > len(all[quickest].times) {
			quickest = n
		}
		if all[n].spread < all[steadiest].spread {
			steadiest = n
		}
	}
	if len(all) == 0 {
		return Behaviour{Habit: Resting}, nil
	}
	quick, steady := all[quickest], all[steadiest]
	if bursts := quick.bursts(); bursts != nil && bursts.spread < regular {
		return tr.cycling(*bursts, quick.within()), bursts.times
	}
	// A slow swing with many quick ones within it is a cycle too, if it is a large
	// one or the quick ones pause.
	if steady.interval > 4*quick.interval && steady.spread < regular && (steady.swing > 0.1 || quick.pauses()) {
		return tr.cycling(steady, quick.within()), steady.times
	}
	// Where no quantity keeps time, each as it comes; else the one that does.
	r := steady
	if steady.spread > 0.05 {
		r = quick
		for _, other := range all {
			if other.spread < r.spread && 5*len(other.times) > 4*len(quick.times) {
				r = other
			}
		}
	}
	b := Behaviour{Habit: Repeating, Frequency: 1 / r.interval, Jitter: r.spread, Marker: tr.quantities[r.quantity]}
	b.FrequencyUncertainty = b.Frequency * r.uncertainty()
	return b, r.times
}

// cycling describes cycles of strokes.
func (tr *Trace) cycling(cycles, inside rhythm) Behaviour {
	return Behaviour{Habit: Cycling, Cycle: cycles.interval, CycleUncertainty: cycles.interval * cycles.uncertainty(),
		Frequency: 1 / inside.interval, FrequencyUncertainty: inside.uncertainty() / inside.interval,
		Jitter: inside.spread, Marker: tr.quantities[inside.quantity]}
}

// pauses reports whether there is at least one pause among the strokes.
func (r rhythm) pauses() bool {
	gaps := r.gaps()
	return slices.Max(gaps) > pause*median(gaps)
}

// pause is how many usual intervals make a pause.
const pause = 4

// gaps lists the intervals.
func (r rhythm) gaps() []float64 {
	var gaps []float64
	for k := 1; k < len(r.times); k++ {
		gaps = append(gaps, r.times[k]-r.times[k-1])
	}
	return gaps
}

func median(list []float64) float64 {
	return slices.Sorted(slices.Values(list))[len(list)/2]
}

// bursts finds strokes that come in bursts, with pauses between, over and over.
// It returns the rhythm of the bursts, by their beginnings, or nil when there are
// none.
func (r rhythm) bursts() *rhythm {
	gaps := r.gaps()
	usual := median(gaps)
	var begins []float64
	for k, gap := range gaps {
		if gap > pause*usual {
			begins = append(begins, r.times[k+1])
		}
	}
	if len(begins) < 3 || len(gaps) < 3*len(begins) {
		return nil
	}
	b := newRhythm(r.quantity, begins, r.swing)
	return &b
}

// within is the rhythm with the pauses taken out.
func (r rhythm) within() rhythm {
	gaps := r.gaps()
	usual := median(gaps)
	times := []float64{0}
	for _, gap := range gaps {
		if gap <= pause*usual {
			times = append(times, times[len(times)-1]+gap)
		}
	}
	if len(times) < 3 {
		return r
	}
	return newRhythm(r.quantity, times, r.swing)
}

// count is how many strokes there were since the beginning, of the quantity that
// has the most. The levels are taken anew for each of many stretches, with those
// beside it, as what starts swings otherwise than what runs.
func (tr *Trace) count() int {
	const stretches = 32
	most, length := 0, tr.Time[len(tr.Time)-1]/stretches
	for i := range tr.quantities {
		sum, size := 0, tr.most(i)
		var w swing
		for k := range stretches {
			from := length * float64(k)
			low, high := tr.levels(i, tr.step(from-length), tr.step(from+2*length), size)
			if low == high {
				continue
			}
			for n := tr.step(from); n < tr.step(from+length); n++ {
				if w.rise(tr.end[i][n], low, high) {
					sum++
				}
			}
		}
		most = max(most, sum)
	}
	return most
}
