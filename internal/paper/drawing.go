package paper

import (
	"fmt"
	"html"
	"strings"
)

// Drawing is made of lines, areas and words in a frame of so many points (1/72
// inch) across and down, counted from the upper left corner.
type Drawing struct {
	Width, Height float64
	Shapes        []Shape
}

// Ink is how dark a shape is drawn.
type Ink int

// The inks. Nothing is told by them alone.
const (
	Black  Ink = iota
	Grey       // for axes and names
	Pale       // for areas
	Accent     // for what was read
)

// colour is an ink as red, green and blue.
func (i Ink) colour() (r, g, b int) {
	switch i {
	case Grey:
		return 96, 96, 96
	case Pale:
		return 214, 226, 214
	case Accent:
		return 158, 62, 12
	}
	return 20, 20, 20
}

// Shape is a part of a drawing: a Stroke, an Area or a Label.
type Shape interface{ shape() }

// Point is a place in a drawing.
type Point struct{ X, Y float64 }

// Stroke is a line through points.
type Stroke struct {
	Points []Point
	Thick  float64 // points
	Dashed bool
	Ink    Ink
}

// Area is a filled rectangle.
type Area struct {
	At            Point // upper left corner
	Width, Height float64
	Ink           Ink
}

// Label is a word or two; X is the left end, the middle or the right end as
// Anchor is −1, 0 or 1, Y the line on which it stands.
type Label struct {
	At     Point
	Text   string
	Size   float64 // points
	Anchor int
	Ink    Ink
}

func (Stroke) shape() {}
func (Area) shape()   {}
func (Label) shape()  {}

// SVG is the drawing as an SVG element with the caption as its name.
func (d *Drawing) SVG(caption string) string {
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.4g %.4g" width="%.4g" height="%.4g" role="img" aria-label="%s" font-family="sans-serif">`,
		d.Width, d.Height, d.Width*4/3, d.Height*4/3, html.EscapeString(caption))
	fill := func(i Ink) string {
		r, g, b := i.colour()
		return fmt.Sprintf("#%02x%02x%02x", r, g, b)
	}
	for _, s := range d.Shapes {
		switch s := s.(type) {
		case Stroke:
			var points strings.Builder
			for i, p := range s.Points {
				if i > 0 {
					points.WriteByte(' ')
				}
				fmt.Fprintf(&points, "%.2f,%.2f", p.X, p.Y)
			}
			dash := ""
			if s.Dashed {
				dash = ` stroke-dasharray="4 3"`
			}
			fmt.Fprintf(&out, `<polyline points="%s" fill="none" stroke="%s" stroke-width="%.3g"%s/>`, points.String(), fill(s.Ink), s.Thick, dash)
		case Area:
			fmt.Fprintf(&out, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="%s"/>`, s.At.X, s.At.Y, s.Width, s.Height, fill(s.Ink))
		case Label:
			anchor := [...]string{"start", "middle", "end"}[s.Anchor+1]
			fmt.Fprintf(&out, `<text x="%.2f" y="%.2f" font-size="%.3g" text-anchor="%s" fill="%s">%s</text>`, s.At.X, s.At.Y, s.Size, anchor, fill(s.Ink), html.EscapeString(s.Text))
		}
	}
	out.WriteString("</svg>")
	return out.String()
}
