package schematic

import (
	"math"
	"strconv"
	"strings"
)

// Lengths are in units of the grid, Unit pixels each. The first coordinate goes
// to the right, the second one down.

// XY is a place on the grid, in its units.
type XY struct{ X, Y float64 }

// A Box is an area between two corners.
type Box struct{ Left, Top, Right, Bottom float64 }

// Meets tells whether two areas share more than an edge.
func (b Box) Meets(c Box) bool {
	return b.Left < c.Right && c.Left < b.Right && b.Top < c.Bottom && c.Top < b.Bottom
}

// union is the least area that holds both.
func (b Box) union(c Box) Box {
	return Box{min(b.Left, c.Left), min(b.Top, c.Top), max(b.Right, c.Right), max(b.Bottom, c.Bottom)}
}

// moved is the area elsewhere.
func (b Box) moved(x, y float64) Box { return Box{b.Left + x, b.Top + y, b.Right + x, b.Bottom + y} }

// A Step is one step of a Stroke: M begins a line, L goes straight on, C bends
// over two control points, Z closes it.
type Step struct {
	Do byte
	At []XY
}

// A Stroke is a line of a mark.
type Stroke struct {
	Steps  []Step
	Filled bool
	Dashed bool
}

// stroke reads a line from a text such as "M0,0 L0,2 C1,2 1,3 0,3 Z". A text
// that begins with "fill" is filled, one that begins with "dash" is dashed.
func stroke(text string) Stroke {
	var s Stroke
	for _, word := range strings.Fields(text) {
		switch word {
		case "fill":
			s.Filled = true
			continue
		case "dash":
			s.Dashed = true
			continue
		}
		if word[0] >= 'A' && word[0] <= 'Z' {
			s.Steps = append(s.Steps, Step{Do: word[0]})
			word = word[1:]
		}
		if word == "" {
			continue
		}
		x, y, _ := strings.Cut(word, ",")
		last := &s.Steps[len(s.Steps)-1]
		last.At = append(last.At, XY{number(x), number(y)})
	}
	return s
}

// number reads a number of a mark, which is written in this package.
func number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("schematic: a mark holds " + strconv.Quote(text))
	}
	return v
}

// circle draws a circle by four bends.
func circle(x, y, r float64) Stroke {
	k := r * 4 * (math.Sqrt2 - 1) / 3
	return Stroke{Steps: []Step{
		{'M', []XY{{x + r, y}}},
		{'C', []XY{{x + r, y + k}, {x + k, y + r}, {x, y + r}}},
		{'C', []XY{{x - k, y + r}, {x - r, y + k}, {x - r, y}}},
		{'C', []XY{{x - r, y - k}, {x - k, y - r}, {x, y - r}}},
		{'C', []XY{{x + k, y - r}, {x + r, y - k}, {x + r, y}}},
		{'Z', nil},
	}}
}

// turned applies a change of coordinates to every place of the stroke.
func (s Stroke) turned(to func(XY) XY) Stroke {
	steps := make([]Step, len(s.Steps))
	for i, step := range s.Steps {
		at := make([]XY, len(step.At))
		for j, p := range step.At {
			at[j] = to(p)
		}
		steps[i] = Step{step.Do, at}
	}
	s.Steps = steps
	return s
}

// A Text is a line of text about the place At, which is its left end, middle or
// right end on the base line.
type Text struct {
	At     XY
	Anchor string // start, middle or end
	Text   string
	Class  string // its role: name, value, inside, node, point, chance, observed
}

// Sizes of text in units of the grid.
const (
	lineHeight = 1.5  // from base line to base line
	textHeight = 1.0  // above the base line
	textDepth  = 0.35 // below it
)

// width is about how wide a text is drawn: generous for a sans-serif letter of
// 13 pixels, and twice that for wide scripts.
func width(text string) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case r >= 0x1100:
			w += 1.4
		case strings.ContainsRune(" .,:;'|!il()[]/-", r):
			w += 0.5
		case strings.ContainsRune("MWmw@%µΩ", r):
			w += 1.1
		default:
			w += 0.78
		}
	}
	return w
}

// box is the area that a text takes.
func (t Text) box() Box {
	w := width(t.Text)
	if t.Class == "name" || t.Class == "point" || t.Class == "next" {
		w *= 1.12 // bold
	}
	b := Box{t.At.X, t.At.Y - textHeight, t.At.X + w, t.At.Y + textDepth}
	switch t.Anchor {
	case "middle":
		return b.moved(-w/2, 0)
	case "end":
		return b.moved(-w, 0)
	}
	return b
}
