package report

import (
	"errors"
	"fmt"
	"image/color"
	"io"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"halfsplit/findings"
	"halfsplit/internal/picture"
	"halfsplit/quantity"
)

// ErrNothingToDraw says that no number was read in a circuit that was solved.
var ErrNothingToDraw = errors.New("there is nothing to draw: no number was read in a circuit that is solved")

// Draw writes a picture as SVG: a row for each number that was read in a
// circuit, and in it what was read beside what the leading suspects and a sound
// unit would make of it, each as a share of the largest in the row.
func Draw(to io.Writer, r *findings.Report) error {
	leading := Leading(r)
	if len(leading) == 0 {
		return ErrNothingToDraw
	}
	p := picture.New("Read against foretold: " + r.Unit)
	p.X.Label.Text = "share of the largest in the row"
	rows := len(leading[0].Foretold)
	labels := make([]string, rows)
	largest := make([]float64, rows)
	for i := range rows {
		f := leading[0].Foretold[i]
		labels[rows-1-i] = fmt.Sprintf("%s: %s", place(f), quantity.FormatDigits(f.Read, f.Unit, 3))
		largest[i] = scale(f.Read, f.Sound)
		for _, s := range leading {
			largest[i] = max(largest[i], scale(s.Foretold[i].Mean))
		}
		if largest[i] == 0 {
			largest[i] = 1
		}
	}
	add := func(name string, ink color.Color, shape draw.GlyphDrawer, offset float64, value func(row int) (mean, deviation float64)) error {
		points := errorPoints{XYs: make(plotter.XYs, rows), XErrors: make(plotter.XErrors, rows)}
		for i := range rows {
			mean, deviation := value(i)
			points.XYs[i] = plotter.XY{X: mean / largest[i], Y: float64(rows-1-i) + offset}
			points.XErrors[i].Low, points.XErrors[i].High = 2*deviation/largest[i], 2*deviation/largest[i]
		}
		marks, err := plotter.NewScatter(points)
		if err != nil {
			return err
		}
		marks.Color, marks.Shape, marks.Radius = ink, shape, vg.Points(3.5)
		bars, err := plotter.NewXErrorBars(points)
		if err != nil {
			return err
		}
		bars.Color, bars.Width = ink, vg.Points(1.2)
		p.Add(bars, marks)
		p.Names.Add(name, marks)
		return nil
	}
	first := leading[0].Foretold
	if err := add("read", picture.Inks[len(picture.Inks)-1], draw.CrossGlyph{}, 0.28, func(i int) (float64, float64) { return first[i].Read, first[i].U }); err != nil {
		return err
	}
	suspectInks := []color.Color{picture.Inks[1], picture.Inks[0], picture.Inks[3]}
	for n, s := range leading {
		name := fmt.Sprintf("%s, %s", s.Name, findings.Percent(s.Probability))
		if err := add(name, suspectInks[n], draw.CircleGlyph{}, 0.12-0.14*float64(n), func(i int) (float64, float64) { return s.Foretold[i].Mean, s.Foretold[i].Deviation }); err != nil {
			return err
		}
	}
	if err := add("sound", picture.Inks[2], draw.SquareGlyph{}, -0.34, func(i int) (float64, float64) { return first[i].Sound, first[i].Spread }); err != nil {
		return err
	}
	p.NominalY(labels...)
	p.Y.Min, p.Y.Max = -0.6, float64(rows)-0.4
	high := vg.Length(rows)*1.3*vg.Centimeter + 3*vg.Centimeter
	return p.Write(to, 26*vg.Centimeter, high, 5*vg.Centimeter)
}

// errorPoints are marks with bars to their left and right.
type errorPoints struct {
	plotter.XYs
	plotter.XErrors
}
