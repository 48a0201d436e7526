package schematic

import (
	"math"
	"strings"
)

// A figure is a part as it may stand: its mark turned, its ground marks, what is
// written beside it. Its highest pin is at height 0; 0 sideways is what is
// aligned in a column.
type figure struct {
	way     Way
	mirror  bool
	cost    float64 // how unusual it is to draw the part so
	pins    []pin
	strokes []Stroke
	texts   []Text
	body    Box
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
	t := m.turned(way, mirror)
	f := figure{way: way, mirror: mirror, pins: t.pins, strokes: t.strokes, texts: t.texts, body: t.body}
	f.solids = append(f.solids, t.body)
	for _, p := range f.pins { // the wire from the body to each pin
		x, y := float64(p.x), float64(p.y)
		inner := XY{min(max(x, t.body.Left), t.body.Right), min(max(y, t.body.Top), t.body.Bottom)}
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

// label writes the designator and the lines below it where no wire leaves.
func (f *figure) label(natural Way, part *Part, room bool) {
	names, lines := wrapped(part.Name, 14, 3), part.Lines
	type line struct{ text, class string }
	var all []line
	for _, t := range names {
		all = append(all, line{t, "name"})
	}
	for _, t := range lines {
		all = append(all, line{t, "value"})
	}
	if room {
		all = append(all, line{"", "bar"})
	}
	sideways := math.Abs(float64(f.pins[0].dx)) > 0
	put := func(l line, x, y float64, anchor string) {
		if l.class == "bar" {
			w := barWidth + .4 + width("100 %")
			left := x
			switch anchor {
			case "middle":
				left = x - w/2
			case "end":
				left = x - w
			}
			f.bar = Box{left, y - textHeight, left + w, y + textDepth}
			f.solids = append(f.solids, f.bar)
			return
		}
		t := Text{At: XY{x, y}, Anchor: anchor, Text: l.text, Class: l.class}
		f.texts = append(f.texts, t)
		f.solids = append(f.solids, t.box())
	}
	column := func(x, middle float64, anchor string) {
		top := middle - lineHeight*float64(len(all)-1)/2 + .35
		for i, l := range all {
			put(l, x, top+lineHeight*float64(i), anchor)
		}
	}
	above := func(list []line, x, bottom float64, anchor string) {
		for i, l := range list {
			put(l, x, bottom-.5-lineHeight*float64(len(list)-1-i), anchor)
		}
	}
	below := func(list []line, x, top float64, anchor string) {
		for i, l := range list {
			put(l, x, top+.4+textHeight+lineHeight*float64(i), anchor)
		}
	}
	onTop, onBottom, onLeft, onRight := f.leaves()
	middle := (f.body.Top + f.body.Bottom) / 2
	across := (f.body.Left + f.body.Right) / 2
	switch {
	case natural == Down && !sideways && !onRight:
		column(f.body.Right+.5, middle, "start")
	case natural == Down && !sideways && !onLeft:
		column(f.body.Left-.5, middle, "end")
	case natural == Down && !onTop && !onBottom:
		above(all[:len(names)], 0, f.body.Top, "middle")
		below(all[len(names):], 0, f.body.Bottom, "middle")
	case natural == Down && sideways && !onTop:
		above(all, 0, f.body.Top, "middle")
	case natural == Down && sideways && !onBottom:
		below(all, 0, f.body.Bottom, "middle")
	case natural == Down:
		column(f.extent.Right+2.5, middle, "start")
	case !onTop:
		above(all, across, f.body.Top, "middle")
	case !onBottom:
		below(all, across, f.body.Bottom, "middle")
	default:
		above(all, across+.8, f.body.Top, "start")
	}
}

// leaves tells on which sides of the body wires leave it, ground marks too.
func (f *figure) leaves() (top, bottom, left, right bool) {
	for _, p := range f.pins {
		top = top || p.dy < 0
		bottom = bottom || p.dy > 0
		left = left || p.dx < 0
		right = right || p.dx > 0
	}
	return
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
