package schematic

import "fmt"

// letters makes a text within a mark, about a place.
func letters(x, y float64, text string) Text {
	return Text{At: XY{x, y + .35}, Anchor: "middle", Text: text, Class: "inside"}
}

// side gives a pin on the left or right of a box.
func side(x, y int) pin {
	if x < 0 {
		return pin{x, y, -1, 0}
	}
	return pin{x, y, 1, 0}
}

// rectangle draws the outline of a box.
func rectangle(b Box) Stroke {
	return Stroke{Steps: []Step{
		{'M', []XY{{b.Left, b.Top}}}, {'L', []XY{{b.Right, b.Top}}}, {'L', []XY{{b.Right, b.Bottom}}}, {'L', []XY{{b.Left, b.Bottom}}}, {'Z', nil},
	}}
}

// lead draws the wire from a pin to the edge of the body.
func lead(p pin, length float64) Stroke {
	at := XY{float64(p.x), float64(p.y)}
	to := XY{at.X - float64(p.dx)*length, at.Y - float64(p.dy)*length}
	return Stroke{Steps: []Step{{'M', []XY{at}}, {'L', []XY{to}}}}
}

// boxed is a box with its pins.
func boxed(body Box, pins []pin, strokes ...string) mark {
	m := mark{natural: Right, pins: pins, body: body, strokes: []Stroke{rectangle(body)}}
	for _, p := range pins {
		m.strokes = append(m.strokes, lead(p, 1))
	}
	for _, s := range strokes {
		m.strokes = append(m.strokes, stroke(s))
	}
	return m
}

// optocoupler: anode, cathode, collector, emitter.
func optocoupler() mark {
	return boxed(Box{-4, -1, 4, 7}, []pin{side(-5, 0), side(-5, 6), side(5, 0), side(5, 6)},
		"M-4,0 L-2.2,0 L-2.2,6 L-4,6", "M-3,2.2 L-1.4,2.2 L-2.2,3.8 Z", "M-3,3.8 L-1.4,3.8",
		"M-.9,2.6 L.4,2.6 M0,2.3 L.4,2.6 L0,2.9", "M-.9,3.6 L.4,3.6 M0,3.3 L.4,3.6 L0,3.9",
		"M1.2,2 L1.2,4", "M1.2,2.6 L2.4,1.6 L2.4,0 L4,0", "M1.2,3.4 L2.4,4.4 L2.4,6 L4,6", "fill M2.3,4.32 L1.6,4.15 L2,3.68 Z")
}

// bridge: one ac, other ac, +, -.
func bridge() mark {
	m := boxed(Box{-4, -1, 4, 7}, []pin{side(-5, 0), side(-5, 6), side(5, 0), side(5, 6)},
		"M-2.4,3 L2.4,3", "M-.8,2.1 L-.8,3.9 L.8,3 Z", "M.8,2.1 L.8,3.9")
	m.texts = []Text{letters(-3.2, 0, "~"), letters(-3.2, 6, "~"), letters(3.2, 0, "+"), letters(3.2, 6, "−")}
	return m
}

// regulator: in, out, common.
func regulator() mark {
	m := boxed(Box{-4, -1, 4, 4}, []pin{side(-5, 0), side(5, 0), {0, 6, 0, 1}}, "M0,5 L0,4")
	m.texts = []Text{letters(-2.8, 0, "in"), letters(2.4, 0, "out"), letters(0, 3.2, "com")}
	return m
}

// amplifier: in +, in -, out, and the two supplies. Mirrored it has the other
// input on top; the supplies stay where they are.
func amplifier(supplied, comparing bool) mark {
	plus, minus := stroke("M-2.5,6 L-1.7,6 M-2.1,5.6 L-2.1,6.4"), stroke("M-2.5,0 L-1.7,0")
	m := mark{natural: Right, body: Box{-3, -1.5, 3, 7.5}, pins: []pin{side(-4, 6), side(-4, 0), side(4, 3)}}
	strokes := []Stroke{stroke("M-3,-1.5 L-3,7.5 L3,3 Z"), stroke("M-4,0 L-3,0 M-4,6 L-3,6 M3,3 L4,3")}
	if supplied {
		m.pins = append(m.pins, pin{0, -3, 0, -1}, pin{0, 9, 0, 1})
		strokes = append(strokes, stroke("M0,-3 L0,.75 M0,9 L0,5.25"))
	}
	if comparing {
		strokes = append(strokes, stroke("M-1.3,3.5 L-.4,3.5 L-.4,2.5 L.5,2.5"))
	}
	turned := m
	turned.pins = append([]pin{side(-4, 0), side(-4, 6)}, m.pins[2:]...)
	over := func(p XY) XY { return XY{p.X, 6 - p.Y} }
	turned.strokes = append([]Stroke{plus.turned(over), minus.turned(over)}, strokes...)
	m.strokes = append([]Stroke{plus, minus}, strokes...)
	m.other = &turned
	return m
}

// relay: one coil end, other coil end, common, normally open, normally closed.
func relay(closed bool) mark {
	m := mark{natural: Down, body: Box{-1, 1.5, 4.6, 4.5}, pins: []pin{{0, 0, 0, -1}, {0, 6, 0, 1}, {4, 6, 0, 1}, {4, 0, 0, -1}}}
	m.strokes = []Stroke{stroke(ends), stroke("M-1,1.5 L1,1.5 L1,4.5 L-1,4.5 Z"), stroke("M4,0 L4,2 M4,6 L4,4 L2.7,2.1"), stroke("dash M1,3 L3.3,3")}
	if closed {
		m.pins = append(m.pins, pin{7, 0, 0, -1})
		m.body.Right = 7.4
		m.strokes = []Stroke{stroke(ends), stroke("M-1,1.5 L1,1.5 L1,4.5 L-1,4.5 Z"), stroke("M4,0 L4,1.6 M7,0 L7,2 L5.2,2 M4,6 L4,4 L5.6,1.7"), stroke("dash M1,3 L4.7,3")}
	}
	return m
}

// windings of a transformer; those that are near stand on the left. Each is
// three units high; its begin, with the dot, is on top.
func windings(near []bool) mark {
	rows := [2]int{}
	m := mark{natural: Right}
	for _, left := range near {
		x, s, n := 4, -1.0, 1
		if left {
			x, s, n = -4, 1, 0
		}
		y := 6 * rows[n]
		rows[n]++
		m.pins = append(m.pins, side(x, y), side(x, y+3))
		at := -1.2 * s
		bump := at + .67*s
		line := fmt.Sprintf("M%d,%d L%g,%d", x, y, at, y)
		for i := range 3 {
			line += fmt.Sprintf(" C%g,%d %g,%d %g,%d", bump, y+i, bump, y+i+1, at, y+i+1)
		}
		line += fmt.Sprintf(" L%d,%d", x, y+3)
		m.strokes = append(m.strokes, stroke(line), filled(circle(at-.7*s, float64(y)+.55, .2)))
	}
	bottom := float64(6*max(rows[0], rows[1]) - 3)
	m.strokes = append(m.strokes, stroke(fmt.Sprintf("M-.2,-.5 L-.2,%g M.2,-.5 L.2,%g", bottom+.5, bottom+.5)))
	m.body = Box{-3, -1, 3, bottom + 1}
	return m
}

// filled fills a stroke.
func filled(s Stroke) Stroke { s.Filled = true; return s }

// chip is a box for whatever has no mark of its own: the first half of its nodes
// on the left, the other half on the right.
func chip(kind string, n int) mark {
	left := (n + 1) / 2
	half := max(3, float64(int(width(kind)/2+1.5)))
	var pins []pin
	for i := range n {
		if i < left {
			pins = append(pins, side(-int(half)-1, 3*i))
		} else {
			pins = append(pins, side(int(half)+1, 3*(i-left)))
		}
	}
	bottom := float64(3 * (left - 1))
	m := boxed(Box{-half, -2, half, bottom + 2}, pins)
	m.texts = []Text{letters(0, bottom/2, kind)}
	return m
}
