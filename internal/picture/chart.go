package picture

import "io"

// Chart is a picture of one panel.
type Chart struct {
	Title, X, Y string
	LogX        bool
	FromZero    bool // the vertical axis begins at zero
	Lines       []Curve
}

// Draw writes the chart as SVG.
func Draw(to io.Writer, c Chart) error {
	p := Picture{
		Title: c.Title, X: Axis{Label: c.X, Log: c.LogX},
		Panels: []Panel{{Y: Axis{Label: c.Y}, Curves: c.Lines, FromZero: c.FromZero}},
	}
	return p.SVG(to)
}
