package picture

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/plotter"
)

// However many points there are, a picture keeps the peaks and the order.
func TestThinnedKeepsPeaks(t *testing.T) {
	const n = 100_000
	all := make(plotter.XYs, n)
	for i := range all {
		all[i] = plotter.XY{X: float64(i) * 1e-3, Y: math.Sin(float64(i) / 500)}
	}
	all[54321].Y, all[77777].Y = 17, -23
	points := thinned(all)
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range points {
		low, high = min(low, p.Y), max(high, p.Y)
		if i > 0 && p.X < points[i-1].X {
			t.Fatalf("point %d lies before the one before it", i)
		}
	}
	if high != 17 || low != -23 || len(points) > 2*mostDrawn+4 {
		t.Errorf("%d points from %g to %g", len(points), low, high)
	}
}

// An axis is marked at round values that can be told apart.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 120, "0 20 40 60 80 100 120"},
		{21.5, 21.62, "21.50 21.52 21.54 21.56 21.58 21.60 21.62"},
		{-0.6, 0.02, "-0.6 -0.5 -0.4 -0.3 -0.2 -0.1 0.0"},
		{9.999, 9.9991, "9.99900 9.99902 9.99904 9.99906 9.99908 9.99910"},
		{1e6, 3e6, "1.0e+06 1.5e+06 2.0e+06 2.5e+06 3.0e+06"},
		{0, 3e-5, "0.0e+00 5.0e-06 1.0e-05 1.5e-05 2.0e-05 2.5e-05 3.0e-05"},
	} {
		var got []string
		for _, tick := range (ticks{}).Ticks(c.low, c.high) {
			if tick.Label != "" {
				got = append(got, tick.Label)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v: %v", c.low, c.high, got)
		}
	}
}
