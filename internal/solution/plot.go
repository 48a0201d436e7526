package solution

import (
	"errors"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"halfsplit/internal/picture"
)

// Drawable tells whether there is anything to draw: not for a circuit at rest.
func Drawable(a *Answer) bool { return len(a.curves) > 0 }

// Draw writes a picture of the voltages over time, or of the gain over
// frequency, as SVG.
func Draw(to io.Writer, a *Answer) error {
	if !Drawable(a) {
		return errors.New("a circuit at rest has no course over time to draw")
	}
	p := plot.New()
	p.Title.Text = "Circuit " + a.Circuit + ", " + string(a.Analysis)
	p.Add(plotter.NewGrid())
	names := picture.NewNames()
	x, unit := 1.0, "s"
	if a.Response != nil {
		p.X.Label.Text, p.Y.Label.Text = "frequency in Hz", "gain in dB"
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	} else {
		x, unit = picture.Prefixed(a.curves[0].x[len(a.curves[0].x)-1])
		p.X.Label.Text, p.Y.Label.Text = "time in "+unit, "voltage in V"
	}
	for i, c := range a.curves {
		line, err := picture.Curve(i, thinned(c, x))
		if err != nil {
			return err
		}
		p.Add(line)
		names.Add(c.name, line)
	}
	return picture.Write(to, p, names)
}

// mostDrawn is how many slices a curve is drawn in: more than a screen shows.
const mostDrawn = 2000

// thinned gives the points to draw: all when they are few, else the lowest and
// the highest of each slice of the width, in their order.
func thinned(c curve, scale float64) plotter.XYs {
	n := len(c.x)
	if n <= 2*mostDrawn {
		points := make(plotter.XYs, n)
		for i := range points {
			points[i] = plotter.XY{X: c.x[i] * scale, Y: c.y[i]}
		}
		return points
	}
	var points plotter.XYs
	width := (c.x[n-1] - c.x[0]) / mostDrawn
	for i := 0; i < n; {
		low, high, j := i, i, i
		slice := math.Floor((c.x[i] - c.x[0]) / width)
		for ; j < n && math.Floor((c.x[j]-c.x[0])/width) == slice; j++ {
			if c.y[j] < c.y[low] {
				low = j
			}
			if c.y[j] > c.y[high] {
				high = j
			}
		}
		for _, k := range []int{min(low, high), max(low, high)} {
			points = append(points, plotter.XY{X: c.x[k] * scale, Y: c.y[k]})
		}
		i = j
	}
	return points
}
