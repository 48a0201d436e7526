package safety

import (
	"errors"
	"io"
	"math"

	"halfsplit/internal/picture"
	"halfsplit/quantity"
)

// Draw writes the discharge curves as SVG: for every store the voltage over
// time through its own bleeder, through one to fit and through one held by
// hand, down to the safe voltage. The error says when there is nothing to draw.
func Draw(to io.Writer, r *Report) error {
	first, last := math.Inf(1), 0.0
	for i := range r.Stores {
		for _, d := range r.Stores[i].curves {
			if d.Voltage > r.Safe {
				first, last = min(first, d.TimeConstant()/50), max(last, 1.2*d.TimeTo(r.Safe))
			}
		}
	}
	if last == 0 {
		return errors.New("nothing stores a charge above the safe voltage, or no voltage and capacitance are known; there is no curve to draw")
	}
	factor, unit := picture.Time(last)
	what := picture.Picture{Title: "Discharge of " + r.Unit, X: "time after switching off in " + unit, Y: "voltage in V", LogX: true, FromZero: true}
	const points = 400
	times := make([]float64, points+1)
	for k := range times {
		times[k] = factor * first * math.Pow(last/first, float64(k)/points)
	}
	for i := range r.Stores {
		for j, d := range r.Stores[i].curves {
			if d.Voltage <= r.Safe {
				continue
			}
			line := picture.Line{Name: r.Stores[i].Hazard + ": " + r.Stores[i].names[j], X: times}
			for _, t := range times {
				line.Y = append(line.Y, d.At(t/factor))
			}
			what.Lines = append(what.Lines, line)
		}
	}
	what.Lines = append(what.Lines, picture.Line{
		Name: "safe: " + quantity.FormatDigits(r.Safe, quantity.Volt, 3), X: []float64{times[0], times[points]}, Y: []float64{r.Safe, r.Safe}, Limit: true,
	})
	return picture.Draw(to, what)
}
