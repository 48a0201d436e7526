package fit

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// A Drift says how a value follows temperature.
type Drift struct {
	PerKelvin   float64  // change of the value per kelvin
	Interval    Interval // 95 %, of PerKelvin
	Nominal     float64  // median of the value, to which Relative refers
	Relative    float64  // PerKelvin over Nominal, 1e-6 for 1 ppm/K
	Correlation float64
	// Lag is by how much the value follows later than the thermometer, in
	// seconds; 0 where a lag explains no more. The other numbers allow for it.
	Lag float64
	// AtOnce is the change per kelvin without any lag.
	AtOnce Line
}

// RelativeInterval is the interval of Relative.
func (d Drift) RelativeInterval() Interval {
	a, b := d.Interval.Low/d.Nominal, d.Interval.High/d.Nominal
	return Interval{min(a, b), max(a, b)}
}

// worthwhile is by how much a lag must reduce the unexplained variance to be
// believed. Common practice, no source.
const worthwhile = 0.05

// AgainstTemperature finds how a value depends on a temperature that was
// recorded beside it, perhaps at other times. The temperature is taken on the
// straight line between its readings. A lag of up to mostLag seconds is looked
// for; 0 looks for none.
//
// It is an error when the two do not overlap in ten readings or the temperature
// does not change.
func AgainstTemperature(times, values, at, temperatures []float64, mostLag float64) (Drift, error) {
	var d Drift
	at, temperatures = Thin(at, temperatures, len(temperatures))
	x, y := paired(times, values, at, temperatures, 0)
	if len(x) < 10 {
		return d, fmt.Errorf("fit: value and temperature were recorded together in %d readings; ten or more are needed", len(x))
	}
	var err error
	if d.AtOnce, err = StraightLine(x, y); err != nil {
		return d, fmt.Errorf("the temperature does not change: %w", err)
	}
	sorted := slices.Clone(y)
	slices.Sort(sorted)
	d.Nominal = median(sorted)
	d.Lag = lag(times, values, at, temperatures, mostLag)
	best := d.AtOnce
	if d.Lag > 0 {
		x, y = paired(times, values, at, temperatures, d.Lag)
		if best, err = StraightLine(x, y); err != nil {
			return d, err
		}
	}
	d.PerKelvin, d.Correlation = best.Slope, best.Correlation
	d.Relative = d.PerKelvin / d.Nominal
	t, v := Thin(times, values, mostPoints)
	x, y = paired(t, v, at, temperatures, d.Lag)
	thin, err := StraightLine(x, y)
	if err != nil {
		return d, err
	}
	i := slopeInterval(thin, x, y)
	d.Interval = Interval{i.Low - thin.Slope + d.PerKelvin, i.High - thin.Slope + d.PerKelvin}
	return d, nil
}

// paired gives the temperature a lag before each value, with the value, where
// both are known.
func paired(times, values, at, temperatures []float64, lag float64) (x, y []float64) {
	i := 0
	for k, t := range times {
		t -= lag
		if !finite(values[k]) || len(at) == 0 || t < at[0] || t > at[len(at)-1] {
			continue
		}
		if i > 0 && at[i-1] > t {
			i = sort.SearchFloat64s(at, t)
		}
		for at[i] < t {
			i++
		}
		temperature := temperatures[i]
		if at[i] > t {
			share := (t - at[i-1]) / (at[i] - at[i-1])
			temperature = temperatures[i-1] + share*(temperatures[i]-temperatures[i-1])
		}
		x, y = append(x, temperature), append(y, values[k])
	}
	return x, y
}

// lag finds the lag for which temperature explains most of the value.
func lag(times, values, at, temperatures []float64, most float64) float64 {
	t, v := Thin(times, values, 1000)
	if len(t) < fewPoints || !(most > 0) {
		return 0
	}
	most = min(most, (t[len(t)-1]-t[0])/4)
	first := t[sort.SearchFloat64s(t, at[0]+most):] // the same readings for every lag
	v = v[len(v)-len(first):]
	const steps = 100
	best, unexplained, atOnce := 0.0, math.Inf(1), math.Inf(1)
	for i := 0; i <= steps; i++ {
		try := most * float64(i) / steps
		x, y := paired(first, v, at, temperatures, try)
		l, err := StraightLine(x, y)
		if err != nil || len(x) < fewPoints {
			continue
		}
		rest := 1 - l.Correlation*l.Correlation
		if i == 0 {
			atOnce = rest
		}
		if rest < unexplained {
			best, unexplained = try, rest
		}
	}
	if unexplained > (1-worthwhile)*atOnce {
		return 0
	}
	return best
}

// median is the median of sorted values.
func median(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}
