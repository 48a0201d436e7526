package event

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"halfsplit/trace/fit"
)

// A Step is a level that changed at once and stayed.
type Step struct {
	Time       float64 // of the first reading at the new level, seconds
	Size       float64 // after less before
	Before     float64 // mean of the window before
	After      float64 // mean of the window after
	Error      float64 // half the 95 % interval of Size
	Confidence float64 // that it is more than noise
}

// Steps finds where the mean of so many readings after differs from the mean of
// as many before, by more than the same difference does elsewhere in the series,
// and by at least a size in the unit of the values. A slow change is no step:
// the means of a quarter of the window must differ by nearly as much.
//
// Readings without a value are left out. The window has at least four readings.
func Steps(times, values []float64, window int, least float64) ([]Step, error) {
	times, values = fit.Thin(times, values, len(values))
	n := len(values)
	switch {
	case window < 4:
		return nil, fmt.Errorf("event: a window of %d readings is too short for a step; take four or more", window)
	case !(least >= 0):
		return nil, errors.New("event: the least size of a step is below zero")
	case n < 2*window+1:
		return nil, nil
	}
	center := fit.Median(values[:min(n, 10_000)])
	sums := make([]float64, n+1)
	for i, v := range values {
		sums[i+1] = sums[i] + v - center
	}
	change := func(i, w int) float64 { return (sums[i+w] - 2*sums[i] + sums[i-w]) / float64(w) }
	usual, middle := usualChange(change, n, window)
	usual = max(usual, fit.Noise(values)*math.Sqrt(2/float64(window)), 1e-12*math.Abs(center))
	threshold := max(6*usual, least)
	var list []Step
	for i := window; i <= n-window; {
		if math.Abs(change(i, window)-middle) <= threshold {
			i++
			continue
		}
		best, end := i, i+1 // the peak of this rise of the difference
		for ; end <= n-window && end < best+window; end++ {
			if math.Abs(change(end, window)-middle) > math.Abs(change(best, window)-middle) {
				best = end
			}
		}
		quarter := max(2, window/4)
		size := change(best, window)
		if d := change(best, quarter); d*size > 0 && math.Abs(d) >= 0.6*math.Abs(size) {
			z := math.Abs(size-middle) / max(usual, 1e-300)
			list = append(list, Step{
				Time: times[best], Size: size, Error: 1.96 * usual,
				Before: center + (sums[best]-sums[best-window])/float64(window), After: center + (sums[best+window]-sums[best])/float64(window),
				Confidence: 1 - min(1, float64(n)/float64(window)*math.Erfc(z/math.Sqrt2)),
			})
		}
		i = best + window
	}
	return list, nil
}

// usualChange is how much the difference of neighbouring means varies where
// nothing happens, as a standard deviation, and its middle.
func usualChange(change func(i, w int) float64, n, window int) (usual, middle float64) {
	stride := max(1, (n-2*window)/20_000)
	var some []float64
	for i := window; i <= n-window; i += stride {
		some = append(some, change(i, window))
	}
	slices.Sort(some)
	middle = some[len(some)/2]
	for i, d := range some {
		some[i] = math.Abs(d - middle)
	}
	slices.Sort(some)
	return 1.4826 * some[len(some)/2], middle
}

// A Drift is a steady change of a value over a whole series.
type Drift struct {
	PerSecond  float64
	Interval   fit.Interval // 95 %, of PerSecond
	Total      float64      // over the series
	Confidence float64      // that there is a drift at all, in this direction
}

// DriftOf fits a straight drift. ok is false where the readings do not show that
// there is one, with 95 % confidence.
func DriftOf(times, values []float64) (d Drift, ok bool, err error) {
	l, interval, err := fit.Trend(times, values)
	if err != nil {
		return d, false, err
	}
	d = Drift{PerSecond: l.Slope, Interval: interval}
	first, last := math.NaN(), math.NaN()
	for i, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			if math.IsNaN(first) {
				first = times[i]
			}
			last = times[i]
		}
	}
	d.Total = l.Slope * (last - first)
	half := (interval.High - interval.Low) / 2
	if half > 0 {
		d.Confidence = 1 - math.Erfc(math.Abs(l.Slope)/half*1.96/math.Sqrt2)
	} else if l.Slope != 0 {
		d.Confidence = 1
	}
	return d, l.Slope != 0 && !interval.Contains(0), nil
}
