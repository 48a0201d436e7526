package picture

import (
	"fmt"
	"io"
)

// Line is a line with its name. Limit draws it thin and dotted.
type Line struct {
	Name  string
	X, Y  []float64
	Limit bool
}

// Picture is a picture with a single panel.
type Picture struct {
	Title, X, Y string
	LogX        bool
	FromZero    bool // the vertical axis begins at zero
	Lines       []Line
}

// Draw writes the picture as SVG, the names of the lines beside it.
func Draw(to io.Writer, what Picture) error {
	panel := Panel{Y: Axis{Label: what.Y}, FromZero: what.FromZero}
	for _, l := range what.Lines {
		if len(l.X) == 0 || len(l.X) != len(l.Y) {
			return fmt.Errorf("the line %q has %d points across and %d up", l.Name, len(l.X), len(l.Y))
		}
		panel.Curves = append(panel.Curves, Curve{Name: l.Name, X: l.X, Y: l.Y, Limit: l.Limit})
	}
	s := Stack{Title: what.Title, X: Axis{Label: what.X, Log: what.LogX}, Panels: []Panel{panel}}
	return s.SVG(to)
}

// Time gives the factor and the unit in which a time in seconds is best drawn.
func Time(end float64) (float64, string) {
	switch {
	case end < 1e-6:
		return 1e9, "ns"
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
