package fit

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Median is the median of values, those that are no number left out; NaN where
// there are none.
func Median(values []float64) float64 {
	sorted := make([]float64, 0, len(values))
	for _, v := range values {
		if finite(v) {
			sorted = append(sorted, v)
		}
	}
	if len(sorted) == 0 {
		return math.NaN()
	}
	slices.Sort(sorted)
	return median(sorted)
}

// RunningMedian gives the median of each reading and its neighbours, width of
// them together; the window is cut at the ends. The values are numbers.
func RunningMedian(values []float64, width int) []float64 {
	half := max(width, 1) / 2
	window := make([]float64, 0, 2*half+1)
	out := make([]float64, len(values))
	added := 0
	for i := range values {
		for ; added < len(values) && added <= i+half; added++ {
			at := sort.SearchFloat64s(window, values[added])
			window = slices.Insert(window, at, values[added])
		}
		if old := i - half - 1; old >= 0 {
			at := sort.SearchFloat64s(window, values[old])
			window = slices.Delete(window, at, at+1)
		}
		out[i] = median(window)
	}
	return out
}

// SettledAfter is the first time from which on the running median of so many
// readings stays within a distance of a value, in seconds. ok is false when it is
// outside at the end.
func SettledAfter(times, values []float64, width int, value, distance float64) (t float64, ok bool) {
	times, values = Thin(times, values, len(values))
	smooth := RunningMedian(values, width)
	for i := len(smooth) - 1; i >= 0; i-- {
		if math.Abs(smooth[i]-value) > distance {
			if i == len(smooth)-1 {
				return 0, false
			}
			return times[i+1], true
		}
	}
	if len(times) == 0 {
		return 0, false
	}
	return times[0], true
}

// A FailureTemperature says at which temperature a thermal intermittent fails.
type FailureTemperature struct {
	Mean     float64  // degrees Celsius
	Interval Interval // 95 % interval of the mean
	Next     Interval // holds the next failure with 95 %
	SD       float64  // of the failures about the mean
	Coolest  float64
	Failures int
}

// FailsAt sums up the temperatures, in degrees Celsius, at which failures were
// seen, taken as normally spread. From one failure alone nothing can be told of
// the spread: the intervals are then unbounded.
func FailsAt(temperatures []float64) (FailureTemperature, error) {
	n := float64(len(temperatures))
	if n == 0 {
		return FailureTemperature{}, fmt.Errorf("fit: no failure was seen at a known temperature")
	}
	for _, t := range temperatures {
		if !finite(t) || t < -273.15 {
			return FailureTemperature{}, fmt.Errorf("fit: %v is no temperature in degrees Celsius", t)
		}
	}
	f := FailureTemperature{Mean: mean(temperatures), Coolest: slices.Min(temperatures), Failures: len(temperatures)}
	unbounded := Interval{math.Inf(-1), math.Inf(1)}
	if n == 1 {
		f.Interval, f.Next, f.SD = unbounded, unbounded, math.NaN()
		return f, nil
	}
	sum := 0.0
	for _, t := range temperatures {
		sum += (t - f.Mean) * (t - f.Mean)
	}
	f.SD = math.Sqrt(sum / (n - 1))
	t := student(n - 1)
	half, next := t*f.SD/math.Sqrt(n), t*f.SD*math.Sqrt(1+1/n)
	f.Interval, f.Next = Interval{f.Mean - half, f.Mean + half}, Interval{f.Mean - next, f.Mean + next}
	return f, nil
}
