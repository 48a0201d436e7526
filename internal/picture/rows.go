package picture

import (
	"fmt"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Rows is a picture of a row for each thing, and in it marks with bars.
type Rows struct {
	Title, X string
	Labels   []string // of the rows, the first on top
	Marks    []Mark
}

// Mark is one value in each row, with a bar that reaches so far below and above
// it. The first mark is a
// cross, the others are discs.
type Mark struct {
	Name                 string
	Values, Below, Above []float64 // one for each row
}

// DrawRows writes the picture as SVG.
func DrawRows(to io.Writer, what Rows) error {
	rows := len(what.Labels)
	p := plot.New()
	p.Title.Text, p.X.Label.Text = what.Title, what.X
	p.Add(plotter.NewGrid())
	names := plot.NewLegend() // beside the picture, where it hides nothing
	names.Top, names.Left, names.YPosition, names.Padding = true, true, draw.PosCenter, vg.Points(3)
	for n, m := range what.Marks {
		if len(m.Values) != rows || len(m.Below) != rows || len(m.Above) != rows {
			return fmt.Errorf("the mark %q has %d values and bars of %d lower and %d upper ends for %d rows", m.Name, len(m.Values), len(m.Below), len(m.Above), rows)
		}
		points := barred{XYs: make(plotter.XYs, rows), XErrors: make(plotter.XErrors, rows)}
		for i := range rows {
			offset := 0.3 - 0.6*(float64(n)+0.5)/float64(len(what.Marks))
			points.XYs[i] = plotter.XY{X: m.Values[i], Y: float64(rows-1-i) + offset}
			points.XErrors[i].Low, points.XErrors[i].High = m.Below[i], m.Above[i]
		}
		marks, err := plotter.NewScatter(points)
		if err != nil {
			return err
		}
		ink := inks[(len(inks)-1+n)%len(inks)] // the first in black
		marks.Color, marks.Radius, marks.Shape = ink, vg.Points(3.5), draw.CircleGlyph{}
		if n == 0 {
			marks.Shape = draw.CrossGlyph{}
		}
		bars, err := plotter.NewXErrorBars(points)
		if err != nil {
			return err
		}
		bars.Color, bars.Width = ink, vg.Points(1.2)
		p.Add(bars, marks)
		names.Add(m.Name, marks)
	}
	labels := make([]string, rows)
	for i, label := range what.Labels {
		labels[rows-1-i] = label
	}
	p.NominalY(labels...)
	p.Y.Min, p.Y.Max = -0.6, float64(rows)-0.4
	p.X.Min -= 0.04 * (p.X.Max - p.X.Min) // so that no mark lies on a label
	var marks []string
	for _, m := range what.Marks {
		marks = append(marks, m.Name)
	}
	tall, beside := vg.Length(rows)*1.3*vg.Centimeter+3*vg.Centimeter, room(marks)
	canvas := vgsvg.New(width+beside, tall)
	whole := draw.New(canvas)
	p.Draw(draw.Crop(whole, margin, -beside-margin, margin, -margin))
	names.Draw(draw.Crop(whole, width, -margin, margin, -margin-vg.Centimeter))
	_, err := canvas.WriteTo(to)
	return err
}

// barred are marks with bars to their left and right.
type barred struct {
	plotter.XYs
	plotter.XErrors
}
