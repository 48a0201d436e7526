// Package picture draws lines over an axis as SVG, in colours that those who see
// colours differently can tell apart.
package picture

import (
	"fmt"
	"image/color"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Line is a line with its name. Limit draws it thin and dotted.
type Line struct {
	Name  string
	X, Y  []float64
	Limit bool
}

// Picture is what to draw.
type Picture struct {
	Title, X, Y string
	LogX        bool
	FromZero    bool // the vertical axis begins at zero
	Lines       []Line
}

// Draw writes the picture as SVG, the names of the lines beside it.
func Draw(to io.Writer, what Picture) error {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = what.Title, what.X, what.Y
	p.Add(plotter.NewGrid())
	names := plot.NewLegend() // beside the picture, where it hides no line
	names.Top, names.Left, names.YPosition = true, true, draw.PosCenter
	names.Padding = vg.Points(3)
	if what.LogX {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	}
	for i, l := range what.Lines {
		if len(l.X) == 0 || len(l.X) != len(l.Y) {
			return fmt.Errorf("the line %q has %d points across and %d up", l.Name, len(l.X), len(l.Y))
		}
		line, err := plotter.NewLine(thinned(l))
		if err != nil {
			return err
		}
		line.Color, line.Dashes = inks[i%len(inks)], dashes[i/len(inks)%len(dashes)]
		line.Width = vg.Points(1)
		if l.Limit {
			line.Dashes, line.Width = []vg.Length{vg.Points(2), vg.Points(2)}, vg.Points(0.8)
		}
		p.Add(line)
		names.Add(l.Name, line)
	}
	if what.FromZero {
		p.Y.Min = 0
	}
	const width, height, margin = 18.5 * vg.Centimeter, 14 * vg.Centimeter, vg.Centimeter / 2
	beside := room(what.Lines)
	canvas := vgsvg.New(width+beside, height)
	whole := draw.New(canvas)
	p.Draw(draw.Crop(whole, margin, -beside-margin, margin, -margin))
	names.Draw(draw.Crop(whole, width, -margin, margin, -margin-vg.Centimeter))
	_, err := canvas.WriteTo(to)
	return err
}

// room is the width that the names of the lines take.
func room(lines []Line) vg.Length {
	longest := 0
	for _, l := range lines {
		longest = max(longest, len([]rune(l.Name)))
	}
	return max(5.5*vg.Centimeter, vg.Length(1.4+0.21*float64(longest))*vg.Centimeter)
}

// Time gives the factor and the unit in which a time in seconds is best drawn.
func Time(end float64) (float64, string) {
	switch {
	case end < 1e-3:
		return 1e6, "µs"
	case end < 1:
		return 1e3, "ms"
	case end < 600:
		return 1, "s"
	case end < 4*3600:
		return 1. / 60, "min"
	case end < 100*24*3600:
		return 1. / 3600, "h"
	}
	return 1 / (365.25 * 24 * 3600), "years"
}

// inks are colours that those who see colours differently can tell apart (M.
// Okabe, K. Ito, "Color Universal Design", 2008).
var inks = []color.Color{
	color.RGBA{0, 114, 178, 255}, color.RGBA{213, 94, 0, 255}, color.RGBA{0, 158, 115, 255},
	color.RGBA{204, 121, 167, 255}, color.RGBA{86, 180, 233, 255}, color.RGBA{230, 159, 0, 255}, color.RGBA{0, 0, 0, 255},
}

var dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}

// mostDrawn is how many slices a line is drawn in: more than a screen shows.
const mostDrawn = 2000

// thinned gives the points to draw: all when they are few, else the lowest and
// the highest of each slice of the width, in their order.
func thinned(l Line) plotter.XYs {
	n := len(l.X)
	if n <= 2*mostDrawn {
		points := make(plotter.XYs, n)
		for i := range points {
			points[i] = plotter.XY{X: l.X[i], Y: l.Y[i]}
		}
		return points
	}
	var points plotter.XYs
	width := (l.X[n-1] - l.X[0]) / mostDrawn
	for i := 0; i < n; {
		low, high, j := i, i, i
		slice := math.Floor((l.X[i] - l.X[0]) / width)
		for ; j < n && math.Floor((l.X[j]-l.X[0])/width) == slice; j++ {
			if l.Y[j] < l.Y[low] {
				low = j
			}
			if l.Y[j] > l.Y[high] {
				high = j
			}
		}
		for _, k := range []int{min(low, high), max(low, high)} {
			points = append(points, plotter.XY{X: l.X[k], Y: l.Y[k]})
		}
		i = j
	}
	return points
}
