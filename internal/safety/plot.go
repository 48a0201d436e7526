package safety

import (
	"errors"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"halfsplit/internal/picture"
	"halfsplit/quantity"
)

// Draw writes the discharge curves as SVG: for every store the voltage over
// time through its own bleeder, through one to fit and through one held by
// hand, down to the safe voltage. The error says when there is nothing to draw.
func Draw(to io.Writer, r *Report) error {
	p := plot.New()
	p.Title.Text = "Discharge of " + r.Unit
	p.Y.Label.Text = "voltage in V"
	p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	p.Add(plotter.NewGrid())
	names := picture.NewNames()
	first, last, top, n := math.Inf(1), 0.0, 0.0, 0
	for i := range r.Stores {
		for _, d := range r.Stores[i].curves {
			if d.Voltage > r.Safe {
				first, last = min(first, d.TimeConstant()/50), max(last, 1.2*d.TimeTo(r.Safe))
			}
		}
	}
	for i := range r.Stores {
		for j, d := range r.Stores[i].curves {
			if d.Voltage <= r.Safe {
				continue
			}
			const points = 400
			course := make(plotter.XYs, 0, points+1)
			for k := range points + 1 {
				t := first * math.Pow(last/first, float64(k)/points)
				course = append(course, plotter.XY{X: t, Y: d.At(t)})
			}
			line, err := picture.Curve(n, course)
			if err != nil {
				return err
			}
			p.Add(line)
			names.Add(r.Stores[i].Hazard, line)
			names.Add("  " + r.Stores[i].names[j])
			top = max(top, d.Voltage)
			n++
		}
	}
	if n == 0 {
		return errors.New("nothing stores a charge above the safe voltage, or no voltage and capacitance are known; there is no curve to draw")
	}
	safe, err := picture.Curve(6, plotter.XYs{{X: first, Y: r.Safe}, {X: last, Y: r.Safe}})
	if err != nil {
		return err
	}
	p.Add(safe)
	names.Add("safe: "+quantity.FormatDigits(r.Safe, quantity.Volt, 3), safe)
	p.X.Label.Text = "time after switching off in s"
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = first, last, 0, 1.05*top
	return picture.Write(to, p, names)
}
