package fit

import (
	"fmt"
	"math"
)

// A Line is a straight line through points: value = Intercept + Slope · x.
type Line struct {
	Slope, Intercept float64
	SlopeError       float64 // standard error, if the residuals are independent and alike
	ResidualSD       float64
	Correlation      float64 // from -1 to 1; NaN where the values are all the same
	Points           int
}

// StraightLine fits a line by least squares. At least three points with two
// different x are needed.
func StraightLine(x, y []float64) (Line, error) {
	n := float64(len(x))
	if len(x) != len(y) || len(x) < 3 {
		return Line{}, fmt.Errorf("fit: a line needs three points or more, each with its value; there are %d", min(len(x), len(y)))
	}
	meanX, meanY := mean(x), mean(y)
	var xx, xy, yy float64
	for i := range x {
		dx, dy := x[i]-meanX, y[i]-meanY
		xx, xy, yy = xx+dx*dx, xy+dx*dy, yy+dy*dy
	}
	if !(xx > 0) {
		return Line{}, fmt.Errorf("fit: all %d points stand at the same place, so that no slope can be told", len(x))
	}
	l := Line{Slope: xy / xx, Points: len(x)}
	l.Intercept = meanY - l.Slope*meanX
	sum := 0.0
	for i := range x {
		r := y[i] - meanY - l.Slope*(x[i]-meanX)
		sum += r * r
	}
	l.ResidualSD = math.Sqrt(sum / (n - 2))
	l.SlopeError = l.ResidualSD / math.Sqrt(xx)
	l.Correlation = xy / math.Sqrt(xx*yy)
	return l, nil
}

// mean is the mean, corrected once for what rounding lost.
func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	m := sum / float64(len(v))
	rest := 0.0
	for _, x := range v {
		rest += x - m
	}
	return m + rest/float64(len(v))
}

// slopeInterval is the 95 % interval of the slope, which allows for residuals
// that hang together.
func slopeInterval(l Line, x, y []float64) Interval {
	center := mean(x)
	straight := func(x float64, p, slope []float64) float64 {
		slope[0], slope[1] = 1, x-center
		return p[0] + p[1]*(x-center)
	}
	xx := 0.0
	for _, v := range x {
		xx += (v - center) * (v - center)
	}
	r := Result{
		Parameters: []float64{l.Intercept + l.Slope*center, l.Slope}, Freedom: len(x) - 2,
		StandardErrors: []float64{l.ResidualSD / math.Sqrt(float64(len(x))), l.SlopeError},
		inverse:        [][]float64{{1 / float64(len(x)), 0}, {0, 1 / xx}},
	}
	half := spread(r, straight, x, y)[1]
	return Interval{l.Slope - half, l.Slope + half}
}

// Trend fits a straight drift over time, in units per second, with its interval.
func Trend(times, values []float64) (Line, Interval, error) {
	full, fullValues := Thin(times, values, len(values))
	l, err := StraightLine(full, fullValues)
	if err != nil {
		return l, Interval{}, err
	}
	t, v := Thin(times, values, mostPoints)
	thin, err := StraightLine(t, v)
	if err != nil {
		return l, Interval{}, err
	}
	i := slopeInterval(thin, t, v)
	return l, Interval{i.Low - thin.Slope + l.Slope, i.High - thin.Slope + l.Slope}, nil
}
