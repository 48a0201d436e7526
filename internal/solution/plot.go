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
	p := picture.Picture{Title: "Circuit " + a.Circuit + ", " + string(a.Analysis), Panels: make([]picture.Panel, 1)}
	scale, unit := 1.0, "s"
	if a.Response != nil {
		p.X, p.Panels[0].Y.Label = picture.Axis{Label: "frequency in Hz", Log: true}, "gain in dB"
	} else {
		scale, unit = picture.Prefixed(a.curves[0].x[len(a.curves[0].x)-1])
		p.X.Label, p.Panels[0].Y.Label = "time in "+unit, "voltage in V"
	}
	for _, c := range a.curves {
		p.Panels[0].Curves = append(p.Panels[0].Curves, picture.Curve{Name: c.name, X: picture.Scaled(c.x, scale), Y: c.y})
	}
	return p.SVG(to)
}
