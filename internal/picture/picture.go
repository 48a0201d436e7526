// Package picture draws plots as SVG in one look: the names beside the picture,
// where they hide nothing, in colours that those who see colours differently can
// tell apart.
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

// Inks are colours that can be told apart (M. Okabe, K. Ito, "Color Universal
// Design", 2008). The last is black.
var Inks = []color.Color{
	color.RGBA{0, 114, 178, 255}, color.RGBA{213, 94, 0, 255}, color.RGBA{0, 158, 115, 255},
	color.RGBA{204, 121, 167, 255}, color.RGBA{86, 180, 233, 255}, color.RGBA{230, 159, 0, 255}, color.RGBA{0, 0, 0, 255},
}

// Dashes tell lines apart once the inks are used up.
var Dashes = [][]vg.Length{nil, {vg.Points(6), vg.Points(3)}, {vg.Points(2), vg.Points(2)}}

// Ink is the ink and the dashes of the line of that number.
func Ink(number int) (color.Color, []vg.Length) {
	return Inks[number%len(Inks)], Dashes[number/len(Inks)%len(Dashes)]
}

// Picture is a plot with its names beside it.
type Picture struct {
	*plot.Plot
	Names plot.Legend
}

// New begins a picture with a grid.
func New(title string) *Picture {
	p := &Picture{Plot: plot.New(), Names: plot.NewLegend()}
	p.Title.Text = title
	p.Add(plotter.NewGrid())
	p.Names.Top, p.Names.Left, p.Names.YPosition = true, true, draw.PosCenter
	return p
}

// Write writes the picture as SVG; width includes the names, which take beside.
func (p *Picture) Write(to io.Writer, width, height, beside vg.Length) error {
	const margin = vg.Centimeter / 2
	canvas := vgsvg.New(width, height)
	whole := draw.New(canvas)
	p.Draw(draw.Crop(whole, margin, -beside-margin, margin, -margin))
	p.Names.Draw(draw.Crop(whole, width-beside, -margin, margin, -margin-vg.Centimeter))
	_, err := canvas.WriteTo(to)
	return err
}
