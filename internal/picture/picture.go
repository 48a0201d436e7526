// Package picture holds what all plots share: colours, dashes, and writing a
// plot as SVG with the names of its curves beside it.
package picture

import (
	"image/color"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// inks are colours that those who see colours differently can tell apart (M.
// Okabe, K. Ito, "Color Universal Design", 2008).
var inks = []color.Color{
	color.RGBA{0, 114, 178, 255}, color.RGBA{213, 94, 0, 255}, color.RGBA{0, 158, 115, 255},
	color.RGBA{204, 121, 167, 255}, color.RGBA{86, 180, 233, 255}, color.RGBA{230, 159, 0, 255}, color.RGBA{0, 0, 0, 255},
}

var dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}

// Ink is the colour of curve i, counted from 0.
func Ink(i int) color.Color { return inks[i%len(inks)] }

// Names are the names of the curves of a plot. They stand beside the picture,
// where they hide no curve.
type Names struct {
	legend  plot.Legend
	longest int
}

// NewNames makes an empty list of names.
func NewNames() *Names {
	n := &Names{legend: plot.NewLegend()}
	n.legend.Top, n.legend.Left, n.legend.YPosition = true, true, draw.PosCenter
	return n
}

// Add names a curve; without one it adds a line of text.
func (n *Names) Add(name string, curve ...plot.Thumbnailer) {
	n.legend.Add(name, curve...)
	n.longest = max(n.longest, len([]rune(name)))
}

// width is the room that the names take.
func (n *Names) width() vg.Length {
	return max(4*vg.Centimeter, vg.Length(1.4+0.21*float64(n.longest))*vg.Centimeter)
}

// Curve makes curve i, counted from 0, with a colour and dashes of its own.
func Curve(i int, points plotter.XYs) (*plotter.Line, error) {
	line, err := plotter.NewLine(points)
	if err != nil {
		return nil, err
	}
	line.Color, line.Dashes = Ink(i), dashes[i/len(inks)%len(dashes)]
	line.Width = vg.Points(1)
	return line, nil
}

// Write writes a plot as SVG, with its names beside it.
func Write(to io.Writer, p *plot.Plot, names *Names) error {
	const width, height, margin = 20 * vg.Centimeter, 14 * vg.Centimeter, vg.Centimeter / 2
	beside := names.width()
	canvas := vgsvg.New(width+beside, height)
	whole := draw.New(canvas)
	p.Draw(draw.Crop(whole, margin, -beside-margin, margin, -margin))
	names.legend.Draw(draw.Crop(whole, width, -margin, margin, -margin-vg.Centimeter))
	_, err := canvas.WriteTo(to)
	return err
}

// Prefixed gives the factor and the unit in which times up to an end are best
// drawn.
func Prefixed(end float64) (float64, string) {
	switch {
	case end < 1e-3:
		return 1e6, "µs"
	case end < 1:
		return 1e3, "ms"
	case end < 600:
		return 1, "s"
	case end < 36000:
		return 1 / 60.0, "min"
	}
	return 1 / 3600.0, "h"
}
