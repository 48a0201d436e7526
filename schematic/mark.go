package schematic

import (
	"math"
	"strings"

	"halfsplit/fault"
	"halfsplit/wiring"
)

// A mark is how a kind of part is drawn, in the way that it is natural for: Down
// for what has two ends, with the first on top at 0,0, and Right for what has
// inputs on the left and outputs on the right.
type mark struct {
	natural Way
	pins    []pin
	strokes []Stroke
	texts   []Text // inside; they are never turned
	body    Box    // what the strokes fill, without the wires to the pins
	other   *mark  // how it is drawn mirrored, where that is not simply the mirror image
}

// A pin is where a node meets a mark, and the direction of the wire from there.
type pin struct {
	x, y   int
	dx, dy int
}

// spec is a mark with two ends or three, drawn downwards.
func spec(body Box, strokes ...string) mark {
	m := mark{natural: Down, pins: []pin{{0, 0, 0, -1}, {0, 6, 0, 1}}, body: body}
	for _, s := range strokes {
		m.strokes = append(m.strokes, stroke(s))
	}
	return m
}

// with adds strokes.
func (m mark) with(strokes ...Stroke) mark {
	m.strokes = append(append([]Stroke(nil), m.strokes...), strokes...)
	return m
}

// third puts a third pin on the left, as the node of that number.
func (m mark) third(at, y int) mark {
	third := pin{-3, y, -1, 0}
	pins := []pin{m.pins[0], m.pins[1], third}
	if at == 1 {
		pins = []pin{m.pins[0], third, m.pins[1]}
	}
	m.pins = pins
	return m
}

const (
	ends  = "M0,0 L0,1.5 M0,4.5 L0,6"
	along = "M0,0 L0,6"
	block = "M-.6,1.5 L.6,1.5 L.6,4.5 L-.6,4.5 Z"
)

// Marks follow the conventions of IEC 60617, Graphical symbols for diagrams,
// parts 3 (connections), 4 (passive components), 5 (semiconductors), 6 (sources
// and transformers), 7 (switches, fuses), 8 (lamps) and 13 (amplifiers), as
// they are in common use; proportions are our own.
var (
	slim  = Box{-.6, 1.5, .6, 4.5}
	plate = Box{-1.2, 2.4, 1.2, 3.6}
	round = Box{-1.5, 1.5, 1.5, 4.5}

	resistor     = spec(slim, ends, block)
	capacitor    = spec(plate, "M0,0 L0,2.7 M0,3.3 L0,6", "M-1.1,2.7 L1.1,2.7", "M-1.1,3.3 L1.1,3.3")
	electrolytic = spec(Box{-1.4, 1.4, 1.2, 3.6}, "M0,0 L0,2.7 M0,3.3 L0,6", "M-1.1,2.7 L1.1,2.7", "M-1.1,3.3 L1.1,3.3", "M-1.3,1.8 L-.6,1.8 M-.95,1.45 L-.95,2.15")
	fuse         = spec(Box{-.5, 1.5, .5, 4.5}, along, "M-.5,1.5 L.5,1.5 L.5,4.5 L-.5,4.5 Z")
	lamp         = spec(Box{-1.1, 1.9, 1.1, 4.1}, "M0,0 L0,1.9 M0,4.1 L0,6", "M-.78,2.22 L.78,3.78 M.78,2.22 L-.78,3.78").with(circle(0, 3, 1.1))
	coil         = spec(Box{-.1, 1, .6, 5}, "M0,0 L0,1 C.67,1 .67,2 0,2 C.67,2 .67,3 0,3 C.67,3 .67,4 0,4 C.67,4 .67,5 0,5 L0,6")
	anodeDown    = "M-.9,2.2 L.9,2.2 L0,3.8 Z"
	diode        = spec(Box{-1, 2, 1, 4}, along, anodeDown, "M-.9,3.8 L.9,3.8")
	schottky     = spec(Box{-1, 2, 1, 4.2}, along, anodeDown, "M-.6,4.2 L-.9,4.2 L-.9,3.8 L.9,3.8 L.9,3.4 L.6,3.4")
	zener        = spec(Box{-1, 2, 1, 4}, along, anodeDown, "M-.9,3.8 L.9,3.8 L.9,3.35")
	led          = spec(Box{-1, 1.4, 2.4, 4}, along, anodeDown, "M-.9,3.8 L.9,3.8", "M1,2.8 L2,1.8 M1.4,1.8 L2,1.8 L2,2.4", "M1.3,3.5 L2.3,2.5 M1.7,2.5 L2.3,2.5 L2.3,3.1")
	reference    = spec(Box{-1.1, 2, 1, 4}, along, "M-.9,3.8 L.9,3.8 L0,2.2 Z", "M-.9,2.65 L-.9,2.2 L.9,2.2", "M-3,3 L-.45,3").third(2, 3)
	thyristor    = spec(Box{-1.6, 2, 1, 5.5}, along, anodeDown, "M-.9,3.8 L.9,3.8", "M0,3.8 L-1.3,6 L-3,6").third(2, 6)
	triac        = spec(Box{-1.9, 2, 1.9, 5.5}, "M0,0 L0,2.2 M0,3.8 L0,6", "M-1.8,2.2 L1.8,2.2 M-1.8,3.8 L1.8,3.8", "M-1.6,2.2 L-.1,2.2 L-.85,3.8 Z", "M.1,3.8 L1.6,3.8 L.85,2.2 Z", "M-.6,3.8 L-1.6,6 L-3,6").third(2, 6)
	bipolar      = spec(Box{-2.3, 1.1, 1.3, 4.9}, "M-3,3 L-1.2,3", "M-1.2,1.9 L-1.2,4.1", "M-1.2,2.5 L0,1.5 L0,0", "M-1.2,3.5 L0,4.5 L0,6").with(circle(-.5, 3, 1.8)).third(1, 3)
	npn          = bipolar.with(stroke("fill M-.1,4.42 L-.8,4.25 L-.4,3.78 Z"))
	pnp          = bipolar.with(stroke("fill M-1.1,3.58 L-.4,3.75 L-.8,4.22 Z"))
	channel      = spec(Box{-2.3, 1.1, 1.3, 4.9}, "M-3,3 L-1.6,3 M-1.6,2 L-1.6,4", "M-1.15,1.65 L-1.15,2.35 M-1.15,2.65 L-1.15,3.35 M-1.15,3.65 L-1.15,4.35", "M-1.15,2 L0,2 L0,0", "M-1.15,4 L0,4 L0,6", "M-1.15,3 L0,3 L0,4").with(circle(-.5, 3, 1.8)).third(1, 3)
	nChannel     = channel.with(stroke("fill M-1.1,3 L-.5,2.7 L-.5,3.3 Z"))
	pChannel     = channel.with(stroke("fill M-.1,3 L-.7,2.7 L-.7,3.3 Z"))
	junction     = spec(Box{-2.3, 1.1, 1.3, 4.9}, "M-3,3 L-1.15,3", "M-1.15,1.8 L-1.15,4.2", "M-1.15,2.2 L0,2.2 L0,0", "M-1.15,3.8 L0,3.8 L0,6").with(circle(-.5, 3, 1.8)).third(1, 3)
	nJunction    = junction.with(stroke("fill M-1.2,3 L-1.8,2.7 L-1.8,3.3 Z"))
	pJunction    = junction.with(stroke("fill M-1.8,3 L-1.2,2.7 L-1.2,3.3 Z"))
	track        = spec(Box{-.4, 1.6, .4, 4.4}, "M0,0 L0,1.7 M0,2.3 L0,3.7 M0,4.3 L0,6").with(circle(0, 2, .3), circle(0, 4, .3))
	joint        = spec(Box{-.5, 2.5, .5, 3.5}, "M0,0 L0,2.6 M0,3.4 L0,6").with(circle(0, 3, .4))
	cable        = spec(Box{-.9, 1.5, .9, 4.5}, along, "M-.8,2 C-.8,1.5 .8,1.5 .8,2 C.8,2.5 -.8,2.5 -.8,2 M-.8,4 C-.8,3.5 .8,3.5 .8,4 C.8,4.5 -.8,4.5 -.8,4 M-.8,2 L-.8,4 M.8,2 L.8,4")
	connector    = spec(Box{-.9, 1.9, .9, 4}, "M0,0 L0,2.4", "M-.8,2 C-.8,3 .8,3 .8,2", "fill M-.25,2.9 L.25,2.9 L.25,4 L-.25,4 Z", "M0,4 L0,6")
	contact      = spec(Box{-1.5, 1.8, .3, 4.2}, "M0,0 L0,2 M0,6 L0,4 L-1.3,2.1")
	battery      = spec(Box{-1.4, 1.3, 1.3, 3.6}, "M0,0 L0,2.7 M0,3.3 L0,6", "M-1.2,2.7 L1.2,2.7", "M-.6,3.3 L.6,3.3", "M-1.3,1.7 L-.6,1.7 M-.95,1.35 L-.95,2.05")
	source       = spec(round, "M0,0 L0,1.5 M0,4.5 L0,6").with(circle(0, 3, 1.5))
	direct       = source.with(stroke("M-.4,2.2 L.4,2.2 M0,1.8 L0,2.6 M-.4,3.8 L.4,3.8"))
	sine         = source.with(stroke("M-.9,3 C-.6,1.9 -.3,1.9 0,3 C.3,4.1 .6,4.1 .9,3"))
	pulse        = source.with(stroke("M-.9,3.5 L-.4,3.5 L-.4,2.4 L.4,2.4 L.4,3.5 L.9,3.5"))
	current      = source.with(stroke("M0,2 L0,4"), stroke("fill M0,4.1 L-.35,3.4 L.35,3.4 Z"))
	load         = spec(Box{-.9, 1.5, .9, 4.5}, ends, "M-.9,1.5 L.9,1.5 L.9,4.5 L-.9,4.5 Z", "M-.9,4.5 L.9,1.5")
	crystal      = spec(Box{-1.2, 1.9, 1.2, 4.1}, "M0,0 L0,2 M0,4 L0,6", "M-.8,2 L.8,2 M-.8,4 L.8,4", "M-1.1,2.4 L1.1,2.4 L1.1,3.6 L-1.1,3.6 Z")
	machine      = spec(round, "M0,0 L0,1.5 M0,4.5 L0,6", "M-.7,3.7 L-.7,2.3 L0,3.3 L.7,2.3 L.7,3.7").with(circle(0, 3, 1.5))
	speaker      = spec(Box{-.5, 1.7, 1.8, 4.3}, "M0,0 L0,2.2 M0,3.8 L0,6", "M-.5,2.2 L.5,2.2 L.5,3.8 L-.5,3.8 Z", "M.5,2.2 L1.7,1.3 L1.7,4.7 L.5,3.8")
	wiper        = mark{natural: Down, pins: []pin{{0, 0, 0, -1}, {-3, 3, -1, 0}, {0, 6, 0, 1}}, body: Box{-1.4, 1.5, .6, 4.5},
		strokes: []Stroke{stroke(ends), stroke(block), stroke("M-3,3 L-.7,3"), stroke("fill M-.6,3 L-1.2,2.7 L-1.2,3.3 Z")}}
)

// twoEnds are the marks of kinds with two ends.
var twoEnds = map[string]mark{
	"resistor": resistor, "carbon resistor": resistor, "power resistor": resistor,
	"electrolytic": electrolytic, "tantalum": electrolytic, "film capacitor": capacitor, "ceramic capacitor": capacitor, "paper capacitor": capacitor,
	"fuse": fuse, "lamp": lamp, "inductor": coil, "diode": diode, "rectifier": diode, "led": led, "zener": zener,
	"switch": contact, "connector": connector, "socket": connector, "cable": cable, "joint": joint, "track": track, "solder bridge": track,
	"battery": battery, "dc source": direct, "mains source": sine, "sine source": sine, "pulse source": pulse, "current source": current, "load": load,
	"oscillator": crystal, "motor": machine, "transducer": speaker,
}

// kindName gives a kind by the name that the tables of this package use.
func kindName(name string) string {
	if k, ok := wiring.Find(name); ok {
		return k.Name
	}
	if k, ok := fault.Find(name); ok {
		return k.Name
	}
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// markOf chooses the mark of a part. Near tells for each winding of a
// transformer whether it stands on the side of the first.
func markOf(p *Part, near []bool) mark {
	kind, n := kindName(p.Kind), len(p.Nodes)
	if m, ok := twoEnds[kind]; ok && n == 2 {
		if p.Schottky && (kind == "diode" || kind == "rectifier") {
			return schottky
		}
		return m
	}
	type key struct {
		kind string
		n    int
	}
	three := map[bool]map[key]mark{
		false: {{"transistor", 3}: npn, {"power transistor", 3}: npn, {"mosfet", 3}: nChannel, {"jfet", 3}: nJunction},
		true:  {{"transistor", 3}: pnp, {"power transistor", 3}: pnp, {"mosfet", 3}: pChannel, {"jfet", 3}: pJunction},
	}
	if m, ok := three[p.Opposite][key{kind, n}]; ok {
		return m
	}
	switch (key{kind, n}) {
	case key{"potentiometer", 3}:
		return wiper
	case key{"reference", 3}:
		return reference
	case key{"thyristor", 3}:
		return thyristor
	case key{"triac", 3}:
		return triac
	case key{"optocoupler", 4}:
		return optocoupler()
	case key{"bridge", 4}:
		return bridge()
	case key{"regulator", 3}:
		return regulator()
	case key{"op-amp", 3}, key{"op-amp", 5}, key{"comparator", 3}:
		return amplifier(n == 5, kind == "comparator")
	case key{"relay", 4}, key{"relay", 5}:
		return relay(n == 5)
	}
	if kind == "transformer" && n >= 4 && n%2 == 0 {
		return windings(near)
	}
	return chip(kind, n)
}

// A pose is a mark as it stands in one of the ways, mirrored if need be: its
// highest pin at height 0, and what is aligned in a column at 0 sideways.
type pose struct {
	mark      mark
	turns     int // quarters, anticlockwise as seen
	mirror    bool
	left, top float64
	pins      []pin
	body      Box
}

// posed puts a mark in a way.
func (m mark) posed(way Way, mirror bool) pose {
	if way == AnyWay {
		way = m.natural
	}
	if mirror && m.other != nil {
		m, mirror = *m.other, false
	}
	p := pose{mark: m, turns: (int(way) - int(m.natural) + 4) % 4, mirror: mirror}
	top := math.Inf(1)
	for _, q := range m.pins {
		top = min(top, p.turn(XY{float64(q.x), float64(q.y)}).Y)
	}
	p.left, p.top = math.Round(p.turn(XY{0, 3}).X), top
	for _, q := range m.pins {
		at := p.place(XY{float64(q.x), float64(q.y)})
		to := p.place(XY{float64(q.x + q.dx), float64(q.y + q.dy)})
		x, y := int(math.Round(at.X)), int(math.Round(at.Y))
		p.pins = append(p.pins, pin{x, y, int(math.Round(to.X)) - x, int(math.Round(to.Y)) - y})
	}
	a, b := p.place(XY{m.body.Left, m.body.Top}), p.place(XY{m.body.Right, m.body.Bottom})
	p.body = Box{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)}
	return p
}

// turn mirrors and turns a place of the mark.
func (p *pose) turn(at XY) XY {
	switch {
	case p.mirror && p.mark.natural == Down:
		at.X = -at.X
	case p.mirror:
		at.Y = p.mark.body.Top + p.mark.body.Bottom - at.Y
	}
	for range p.turns {
		at = XY{at.Y, -at.X}
	}
	return at
}

// place gives a place of the mark as it stands.
func (p *pose) place(at XY) XY {
	at = p.turn(at)
	return XY{at.X - p.left, at.Y - p.top}
}

// texts gives what is written in the mark, never turned: the middle of the
// letters stays where it is in the mark.
func (p *pose) texts() []Text {
	list := make([]Text, len(p.mark.texts))
	const middle = 0.35 // of a small letter, above the base line
	for i, t := range p.mark.texts {
		at := p.place(XY{t.At.X, t.At.Y - middle})
		t.At = XY{at.X, at.Y + middle}
		list[i] = t
	}
	return list
}
