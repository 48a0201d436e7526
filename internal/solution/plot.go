package solution

import (
	"errors"
	"io"

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
	p := picture.Picture{Title: "Circuit " + a.Circuit + ", " + string(a.Analysis), X: "frequency in Hz", Y: "gain in dB", LogX: a.Response != nil}
	scale := 1.0
	if a.Response == nil {
		unit := ""
		scale, unit = picture.Time(a.curves[0].x[len(a.curves[0].x)-1])
		p.X, p.Y = "time in "+unit, "voltage in V"
	}
	for _, c := range a.curves {
		x := make([]float64, len(c.x))
		for i := range x {
			x[i] = c.x[i] * scale
		}
		p.Lines = append(p.Lines, picture.Line{Name: c.name, X: x, Y: c.y})
	}
	return picture.Draw(to, p)
}
