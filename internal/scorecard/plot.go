package scorecard

import (
	"image/color"
	"io"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"halfsplit/rehearsal"
)

// Colours that those who see colours differently can tell apart (M. Okabe, K.
// Ito, "Color Universal Design", 2008).
var (
	blue   = color.RGBA{0, 114, 178, 255}
	orange = color.RGBA{213, 94, 0, 255}
	green  = color.RGBA{0, 158, 115, 255}
	grey   = color.RGBA{150, 150, 150, 255}
)

// Draw writes the reliability diagram and, beside it, how long the hunts took,
// as SVG.
func Draw(to io.Writer, r *rehearsal.Result) error {
	reliability, err := reliabilityDiagram(&r.Scores[0])
	if err != nil {
		return err
	}
	times, err := timesDiagram(r)
	if err != nil {
		return err
	}
	const width, height, margin = 28 * vg.Centimeter, 13 * vg.Centimeter, vg.Centimeter / 2
	canvas := vgsvg.New(width, height)
	whole := draw.New(canvas)
	reliability.Draw(draw.Crop(whole, margin, -width/2-margin, margin, -margin))
	times.Draw(draw.Crop(whole, width/2+margin, -margin, margin, -margin))
	_, err = canvas.WriteTo(to)
	return err
}

// reliabilityDiagram shows how often the first suspect was bad, against what
// was stated.
func reliabilityDiagram(s *rehearsal.Score) (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text = "Can its probabilities be believed?"
	p.X.Label.Text, p.Y.Label.Text = "stated, %", "was right, % (with 95 % range)"
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 100, 0, 100
	p.Add(plotter.NewGrid())
	honest, err := plotter.NewLine(plotter.XYs{{X: 0, Y: 0}, {X: 100, Y: 100}})
	if err != nil {
		return nil, err
	}
	honest.Color, honest.Dashes = grey, []vg.Length{vg.Points(4), vg.Points(3)}
	p.Add(honest)
	p.Legend.Add("honest", honest)
	p.Legend.Top, p.Legend.Left = true, true
	if len(s.Bins) == 0 {
		return p, nil
	}
	points := struct {
		plotter.XYs
		plotter.YErrors
	}{}
	for _, b := range s.Bins {
		points.XYs = append(points.XYs, plotter.XY{X: 100 * b.Stated, Y: 100 * b.Right.Value})
		points.YErrors = append(points.YErrors, struct{ Low, High float64 }{
			100 * math.Max(0, b.Right.Value-b.Right.Low), 100 * math.Max(0, b.Right.High-b.Right.Value),
		})
	}
	dots, err := plotter.NewScatter(points.XYs)
	if err != nil {
		return nil, err
	}
	dots.Color, dots.Shape, dots.Radius = blue, draw.CircleGlyph{}, vg.Points(3.5)
	ranges, err := plotter.NewYErrorBars(points)
	if err != nil {
		return nil, err
	}
	ranges.Color = blue
	p.Add(ranges, dots)
	p.Legend.Add(s.Strategy, dots)
	return p, nil
}

// timesDiagram shows which share of the hunts was over within a time.
func timesDiagram(r *rehearsal.Result) (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text = "How long until the unit works?"
	p.X.Label.Text, p.Y.Label.Text = "minutes, tests and replacing", "of 100 units, those done"
	p.Y.Min, p.Y.Max, p.X.Min = 0, 100, 0
	p.Add(plotter.NewGrid())
	p.X.Tick.Marker = wholeTicks{}
	p.Legend.Left, p.Legend.XOffs, p.Legend.YOffs = true, 5.5*vg.Centimeter, vg.Points(6)
	inks := []color.Color{blue, green, orange, color.RGBA{204, 121, 167, 255}, grey}
	for i, s := range r.Scores {
		costs := slices.Sorted(slices.Values(r.Costs(i)))
		steps := plotter.XYs{{X: 0, Y: 0}}
		for k, c := range costs {
			if k > 0 && k%max(1, len(costs)/400) != 0 && k < len(costs)-1 {
				continue // more points than can be seen
			}
			last := steps[len(steps)-1].Y
			steps = append(steps, plotter.XY{X: c, Y: last}, plotter.XY{X: c, Y: 100 * float64(k+1) / float64(len(costs))})
		}
		line, err := plotter.NewLine(steps)
		if err != nil {
			return nil, err
		}
		line.Color, line.Width = inks[i%len(inks)], vg.Points(1.2)
		if i >= len(inks) {
			line.Dashes = []vg.Length{vg.Points(4), vg.Points(3)}
		}
		p.Add(line)
		p.Legend.Add(s.Strategy, line)
	}
	return p, nil
}

// wholeTicks labels an axis with whole numbers.
type wholeTicks struct{}

func (wholeTicks) Ticks(low, high float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(low, high)
	for i := range ticks {
		if !ticks[i].IsMinor() {
			ticks[i].Label = strconv.FormatFloat(ticks[i].Value, 'f', -1, 64)
		}
	}
	return ticks
}
