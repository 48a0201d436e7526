package schematic

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// A Drawing is a circuit as it is drawn. Lengths are in units of the grid.
type Drawing struct {
	Name          string
	Width, Height float64
	Parts         []Figure
	Nodes         []Wires
}

// A Figure is a part as it stands in a drawing.
type Figure struct {
	Part    int // its number in the circuit
	Name    string
	Title   string
	Pins    []XY // in the order of its nodes
	Strokes []Stroke
	Texts   []Text
	Box     Box   // of the mark, with its pins
	Areas   []Box // of what nothing else may lie upon: mark, texts, ground marks
	Suspect *Suspect
	Bar     Box // of the suspect's bar with its text; empty without
}

// Wires are a node as it is drawn: straight lines that hang together, or, for
// ground, lines that each lead to a ground mark.
type Wires struct {
	Name    string
	Title   string
	Ground  bool
	Lines   [][2]XY
	Dots    []XY // where three lines or more meet
	Marks   []XY // ground marks
	Ends    []XY // open ends
	Tags    []Tag
	Reading *Reading
}

// A Tag is what is written at a node: its name, its test points, what is read
// there.
type Tag struct {
	Texts  []Text
	Box    Box
	At     XY   // the place on the wire that it speaks of
	Point  bool // a place to probe: a small ring is drawn there
	Flag   bool
	Leader bool // it stands apart: a dashed line leads to it
}

// margin is the empty border, where wires may go.
const margin = 5

// Draw draws a circuit. The overlay, which may be nil, adds what is found and
// expected; a drawing with one has room for a bar beside every part, so that
// parts stay in place while the overlay changes.
func Draw(c Circuit, over *Overlay) (*Drawing, error) {
	if len(c.Parts) == 0 {
		return nil, errors.New("the circuit has no parts; list them, each with its nodes")
	}
	for i := range c.Parts {
		if len(c.Parts[i].Nodes) == 0 {
			return nil, fmt.Errorf("part %q names no nodes; name them in the order of its kind", c.Parts[i].Name)
		}
	}
	if err := over.check(&c); err != nil {
		return nil, err
	}
	p := survey(&c)
	figures := make([][]figure, len(c.Parts))
	for i := range figures {
		figures[i] = p.choices(i, over != nil)
	}
	// Several placements are tried, fewer of a large circuit; the one that reads
	// best is drawn.
	var best *Drawing
	var failed []int
	least := math.Inf(1)
	tries := min(max(1, 110/len(c.Parts)), 4)
	if !slices.ContainsFunc(c.Parts, func(p Part) bool { return p.Spot == nil || p.Spot.Way == AnyWay }) {
		tries = 1 // there is nothing to choose
	}
	for k := range tries {
		g := place(p, figures, uint64(k+1)*0x9e3779b97f4a7c15)
		for try := range 6 {
			d, cost, without := g.drawn(try)
			if failed = without; failed != nil {
				continue
			}
			if cost < least {
				best, least = d, cost
			}
			break
		}
	}
	if best == nil {
		return nil, fmt.Errorf("no way was found to draw the wires of node %q; say where its parts stand with drawn", p.names[failed[0]])
	}
	p.tags(best, over)
	best.suspects(&c, over)
	best.trim()
	return best, nil
}

// spread works out where the columns lie, so that nothing touches sideways.
func (g *placing) spread(gap float64) []int {
	at := make([]int, g.columns)
	order := make([][]int, g.columns)
	for i := range g.nodes {
		order[g.column[i]] = append(order[g.column[i]], i)
	}
	var placed []int
	for c := range at {
		x := 0
		if c > 0 {
			x = at[c-1] + 2
		}
		for _, b := range order[c] {
			fb := &g.figures[b][g.choice[b]]
			for _, a := range placed {
				fa := &g.figures[a][g.choice[a]]
				if g.line[a]+fa.first <= g.line[b]+fb.last && g.line[b]+fb.first <= g.line[a]+fa.last {
					x = max(x, at[g.column[a]]+int(math.Ceil(fa.extent.Right-fb.extent.Left+gap)))
				}
			}
			x = max(x, int(math.Ceil(-fb.extent.Left)))
		}
		at[c] = x
		placed = append(placed, order[c]...)
	}
	return at
}

// drawn lays the wires with so much room as a try allows. It gives how hard the
// drawing is to read, or the nodes that found no way.
func (g *placing) drawn(try int) (*Drawing, float64, []int) {
	columns := g.spread(2 + 2*float64(try))
	width, height := 0.0, 0.0
	top := math.Inf(1)
	x, y := make([]int, len(g.nodes)), make([]int, len(g.nodes))
	for i := range g.nodes {
		f := &g.figures[i][g.choice[i]]
		y[i] = lineStep*g.line[i] + try*(g.line[i]/3)
		top = min(top, float64(y[i])+f.extent.Top)
	}
	for i := range g.nodes {
		f := &g.figures[i][g.choice[i]]
		x[i] = columns[g.column[i]] + margin + try
		y[i] += margin + try - int(math.Floor(top))
		width = max(width, float64(x[i])+f.extent.Right)
		height = max(height, float64(y[i])+f.extent.Bottom)
	}
	paper := newGrid(int(math.Ceil(width))+margin+try, int(math.Ceil(height))+margin+try)
	nets := make([]*net, len(g.names))
	for n := range nets {
		nets[n] = &net{node: n}
	}
	for i, on := range g.nodes {
		f := &g.figures[i][g.choice[i]]
		for _, b := range f.solids {
			paper.fill(b.moved(float64(x[i]), float64(y[i])))
		}
		for k, n := range on {
			if n == g.ground {
				continue
			}
			q := f.pins[k]
			cell := paper.cell(x[i]+q.x, y[i]+q.y)
			paper.owner[cell] = int16(n + 1)
			nets[n].pins = append(nets[n].pins, cell)
			nets[n].out = append(nets[n].out, [2]int8{int8(q.dx), int8(q.dy)})
		}
	}
	keep := func() {
		for _, n := range nets {
			for i, c := range n.pins {
				paper.kept[c+int(n.out[i][0])+int(n.out[i][1])*paper.width] = int16(n.node + 1)
			}
		}
	}
	if failed := paper.wireAll(slices.Clone(nets), keep); failed != nil {
		return nil, 0, failed
	}
	cost := paper.hard(nets)
	for i := range g.nodes {
		cost += g.pull(i)
	}
	d := &Drawing{Name: g.circuit.Name, Width: float64(paper.width), Height: float64(paper.height)}
	for i := range g.nodes {
		d.Parts = append(d.Parts, g.figure(i, float64(x[i]), float64(y[i])))
	}
	for _, n := range nets {
		d.Nodes = append(d.Nodes, g.wires(n, paper, d.Parts))
	}
	return d, cost, nil
}

// figure gives a part as it stands.
func (g *placing) figure(i int, x, y float64) Figure {
	f := &g.figures[i][g.choice[i]]
	part := &g.circuit.Parts[i]
	out := Figure{Part: i, Name: part.Name, Title: part.title()}
	move := func(p XY) XY { return XY{p.X + x, p.Y + y} }
	for _, s := range f.mark.strokes {
		out.Strokes = append(out.Strokes, s.turned(func(p XY) XY { return move(f.place(p)) }))
	}
	for _, t := range append(f.pose.texts(), f.texts...) {
		t.At = move(t.At)
		out.Texts = append(out.Texts, t)
	}
	out.Box = f.body.moved(x, y)
	for _, p := range f.pins {
		at := move(XY{float64(p.x), float64(p.y)})
		out.Pins = append(out.Pins, at)
		out.Box = out.Box.union(Box{at.X, at.Y, at.X, at.Y})
	}
	for _, b := range f.solids {
		out.Areas = append(out.Areas, b.moved(x, y))
	}
	if f.bar != (Box{}) {
		out.Bar = f.bar.moved(x, y)
	}
	return out
}

// title says what a part is, in words, and between which nodes it lies.
func (p *Part) title() string {
	text := p.Name + ", " + p.Kind
	for _, l := range p.Lines {
		text += ", " + l
	}
	for i, n := range p.Nodes {
		text += map[bool]string{true: ": ", false: ", "}[i == 0] + n
	}
	return text
}

// trim moves the drawing to the edge and cuts off what is empty.
func (d *Drawing) trim() {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := range d.Parts {
		for _, a := range d.Parts[i].Areas {
			b = b.union(a)
		}
		for _, p := range d.Parts[i].Pins {
			b = b.union(Box{p.X, p.Y, p.X, p.Y})
		}
	}
	for _, n := range d.Nodes {
		for _, l := range n.Lines {
			b = b.union(Box{min(l[0].X, l[1].X), min(l[0].Y, l[1].Y), max(l[0].X, l[1].X), max(l[0].Y, l[1].Y)})
		}
		for _, t := range n.Tags {
			b = b.union(t.Box)
		}
	}
	dx, dy := 1.5-math.Floor(b.Left), 1.5-math.Floor(b.Top)
	d.Width, d.Height = math.Ceil(b.Right)+dx+1.5, math.Ceil(b.Bottom)+dy+1.5
	move := func(p XY) XY { return XY{p.X + dx, p.Y + dy} }
	places := func(list []XY) {
		for i := range list {
			list[i] = move(list[i])
		}
	}
	for i := range d.Parts {
		p := &d.Parts[i]
		places(p.Pins)
		for k := range p.Strokes {
			p.Strokes[k] = p.Strokes[k].turned(move)
		}
		for k := range p.Texts {
			p.Texts[k].At = move(p.Texts[k].At)
		}
		p.Box = p.Box.moved(dx, dy)
		for k := range p.Areas {
			p.Areas[k] = p.Areas[k].moved(dx, dy)
		}
		if p.Bar != (Box{}) {
			p.Bar = p.Bar.moved(dx, dy)
		}
	}
	for i := range d.Nodes {
		n := &d.Nodes[i]
		for k := range n.Lines {
			places(n.Lines[k][:])
		}
		places(n.Dots)
		places(n.Marks)
		places(n.Ends)
		for k := range n.Tags {
			t := &n.Tags[k]
			t.At, t.Box = move(t.At), t.Box.moved(dx, dy)
			for j := range t.Texts {
				t.Texts[j].At = move(t.Texts[j].At)
			}
		}
	}
}
