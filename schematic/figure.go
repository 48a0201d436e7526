package schematic

import (
	"math"
	"strings"
)

// A figure is a part as it may stand: its mark turned, its ground marks, what is
// written beside it. Its highest pin is at height 0; 0 sideways is what is
// aligned in a column.
type figure struct {
	pose
	cost    float64 // how unusual it is to draw the part so
	texts   []Text  // beside the mark
	grounds []groundMark
	bar     Box   // room for the bar of a suspect; empty when none is wanted
	solids  []Box // what no wire and no other part may touch
	extent  Box
	first   int // the lines that it takes in its column, lineStep units apart
	last    int
}

// A groundMark is a ground mark with the wire that leads to it.
type groundMark struct {
	at   XY
	wire []XY
}

// lineStep is the distance of the lines on which parts may stand.
const lineStep = 3

// dress makes the figure of a part: grounds tells which of its pins go to
// ground, room asks for a bar as well.
func dress(m mark, way Way, mirror bool, part *Part, grounds []bool, room bool) figure {
	f := figure{pose: m.posed(way, mirror)}
	f.solids = append(f.solids, f.body)
	for _, p := range f.pins { // the wire from the body to each pin
		x, y := float64(p.x), float64(p.y)
		inner := XY{min(max(x, f.body.Left), f.body.Right), min(max(y, f.body.Top), f.body.Bottom)}
		f.solids = append(f.solids, Box{min(x, inner.X), min(y, inner.Y), max(x, inner.X), max(y, inner.Y)})
	}
	f.ground(grounds)
	f.label(m.natural, part, room)
	f.extent = f.solids[0]
	for _, s := range f.solids {
		f.extent = f.extent.union(s)
	}
	for i, p := range f.pins {
		if !grounds[i] { // room to leave
			x, y := float64(p.x+p.dx), float64(p.y+p.dy)
			f.extent = f.extent.union(Box{x, y, x, y})
		}
	}
	f.first = int(math.Floor((f.extent.Top + 1.5) / lineStep))
	f.last = int(math.Floor((f.extent.Bottom + 1.5) / lineStep))
	return f
}

// ground puts a ground mark at each pin that goes to ground; of pins side by
// side on an edge, at the lowest alone.
func (f *figure) ground(grounds []bool) {
	for i, p := range f.pins {
		if !grounds[i] {
			continue
		}
		x, y := float64(p.x), float64(p.y)
		var g groundMark
		switch {
		case p.dy > 0:
			g = groundMark{XY{x, y + 1}, []XY{{x, y}, {x, y + 1}}}
		case p.dy < 0:
			g = groundMark{XY{x - 2, y}, []XY{{x, y}, {x, y - 1}, {x - 2, y - 1}, {x - 2, y}}}
		default:
			out := x + float64(p.dx)
			g = groundMark{XY{out, y + 1}, []XY{{x, y}, {out, y}, {out, y + 1}}}
			if below := f.below(i); below >= 0 && grounds[below] {
				g.wire = []XY{{x, y}, {out, y}, {out, float64(f.pins[below].y)}}
				f.grounds = append(f.grounds, groundMark{XY{math.NaN(), 0}, g.wire})
				f.solids = append(f.solids, Box{min(x, out), y, max(x, out), float64(f.pins[below].y)})
				continue
			}
		}
		f.grounds = append(f.grounds, g)
		for k := 1; k < len(g.wire); k++ {
			a, b := g.wire[k-1], g.wire[k]
			f.solids = append(f.solids, Box{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)})
		}
		f.solids = append(f.solids, Box{g.at.X - .9, g.at.Y - .2, g.at.X + .9, g.at.Y + .9})
	}
}

// below gives the next pin below on the same edge, or -1.
func (f *figure) below(i int) int {
	found := -1
	p := f.pins[i]
	for k, q := range f.pins {
		if q.x == p.x && q.dx == p.dx && q.y > p.y && (found < 0 || q.y < f.pins[found].y) {
			found = k
		}
	}
	return found
}

// A caption is a line beside a part.
type caption struct{ text, class string }

// label writes the designator and the lines below it: at the first of the usual
// places where no wire leaves.
func (f *figure) label(natural Way, part *Part, room bool) {
	names := wrapped(part.Name, 14, 3)
	var all []caption
	for _, t := range names {
		all = append(all, caption{t, "name"})
	}
	for _, t := range part.Lines {
		all = append(all, caption{t, "value"})
	}
	if room {
		all = append(all, caption{"", "bar"})
	}
	b := f.body
	highest, lowest := math.Inf(1), math.Inf(-1)
	for _, p := range f.pins {
		highest, lowest = min(highest, float64(p.y)), max(lowest, float64(p.y))
	}
	middle, across := (highest+lowest)/2-lineHeight*float64(len(all)-1)/2+.35, (b.Left+b.Right)/2
	over := func(n int) float64 { return b.Top - .5 - lineHeight*float64(n-1) } // the first base line of n above the body
	under := b.Bottom + .4 + textHeight
	right, left := setting{all, b.Right + .5, middle, "start"}, setting{all, b.Left - .5, middle, "end"}
	above, below := setting{all, across, over(len(all)), "middle"}, setting{all, across, under, "middle"}
	var places [][]setting
	if natural == Down {
		places = [][]setting{{right}, {left}, {{all[:len(names)], across, over(len(names)), "middle"}, {all[len(names):], across, under, "middle"}}}
	}
	places = append(places, []setting{above}, []setting{below}, []setting{right}, []setting{left})
	for _, place := range places {
		if f.clear(place) {
			f.write(place)
			return
		}
	}
	// The corner at the upper right is always free.
	corner := setting{all, b.Left, 0, "start"}
	top := b.Top
	for _, p := range f.pins {
		if p.dy < 0 {
			corner.x = max(corner.x, float64(p.x)+1)
		}
		if p.dx > 0 {
			top = min(top, float64(p.y)-.5)
		}
	}
	corner.y = top - .5 - lineHeight*float64(len(all)-1)
	f.write([]setting{corner})
}

// A setting is lines of text with the place of the first.
type setting struct {
	lines  []caption
	x, y   float64
	anchor string
}

// boxes gives the areas that the lines take.
func (s setting) boxes() []Box {
	var list []Box
	for i, l := range s.lines {
		y := s.y + lineHeight*float64(i)
		t := Text{At: XY{s.x, y}, Anchor: s.anchor, Text: l.text, Class: l.class}
		b := t.box()
		if l.class == "bar" {
			w := barWidth + .4 + width("100 %")
			b = Box{s.x, y - textHeight, s.x + w, y + textDepth}
			switch s.anchor {
			case "middle":
				b = b.moved(-w/2, 0)
			case "end":
				b = b.moved(-w, 0)
			}
		}
		list = append(list, b)
	}
	return list
}

// clear tells whether lines may stand there: on nothing of the part, and in the
// way of none of its wires.
func (f *figure) clear(place []setting) bool {
	const reach = 3
	for _, s := range place {
		for _, b := range s.boxes() {
			for _, other := range f.solids {
				if b.Meets(other) {
					return false
				}
			}
			for _, p := range f.pins {
				x, y := float64(p.x), float64(p.y)
				toX, toY := x+reach*float64(p.dx), y+reach*float64(p.dy)
				if b.Meets(Box{min(x, toX) - .5, min(y, toY) - .5, max(x, toX) + .5, max(y, toY) + .5}) {
					return false
				}
			}
		}
	}
	return true
}

// write puts the lines there.
func (f *figure) write(place []setting) {
	for _, s := range place {
		for i, b := range s.boxes() {
			l := s.lines[i]
			f.solids = append(f.solids, b)
			if l.class == "bar" {
				f.bar = b
				continue
			}
			f.texts = append(f.texts, Text{At: XY{s.x, s.y + lineHeight*float64(i)}, Anchor: s.anchor, Text: l.text, Class: l.class})
		}
	}
}

// barWidth is how long the bar of a certain suspect is.
const barWidth = 4.0

// wrapped breaks a text at its spaces into at most so many lines, each about as
// long as said; what remains is cut off.
func wrapped(text string, long, most int) []string {
	var lines []string
	line := []rune{}
	for _, word := range strings.Fields(text) {
		w := []rune(word)
		if len(w) > 2*long {
			w = append(w[:2*long-1:2*long-1], '…')
		}
		switch {
		case len(line) == 0:
			line = w
		case len(line)+1+len(w) <= long:
			line = append(append(line, ' '), w...)
		default:
			lines = append(lines, string(line))
			line = w
		}
	}
	if len(line) > 0 {
		lines = append(lines, string(line))
	}
	if len(lines) > most {
		lines = lines[:most]
		lines[most-1] += "…"
	}
	return lines
}
