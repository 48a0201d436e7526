package schematic

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// A tracing reads a drawing as somebody would who sees nothing but lines, dots,
// pins and ground marks.
type tracing struct {
	lines [][2]XY
	group []int
}

func (t *tracing) find(i int) int {
	for t.group[i] != i {
		i = t.group[i]
	}
	return i
}

// on tells whether a place lies on a line, its ends included.
func on(p XY, l [2]XY) bool {
	return p.X >= min(l[0].X, l[1].X) && p.X <= max(l[0].X, l[1].X) && p.Y >= min(l[0].Y, l[1].Y) && p.Y <= max(l[0].Y, l[1].Y)
}

// trace finds which pins hang together: lines join where one of them ends on the
// other and where there is a dot; where both go on without, they cross. All ground marks are one. It gives, for
// each pin of each part, the number of its group; -1 where no line begins.
func trace(d *Drawing) [][]int {
	t := &tracing{}
	var marks, dots []XY
	for _, n := range d.Nodes {
		dots = append(dots, n.Dots...)
		t.lines = append(t.lines, n.Lines...)
		marks = append(marks, n.Marks...)
	}
	for i := range t.lines {
		t.group = append(t.group, i)
	}
	join := func(i, j int) { t.group[t.find(i)] = t.find(j) }
	for i, a := range t.lines {
		for j, b := range t.lines {
			if i != j && (on(a[0], b) || on(a[1], b)) {
				join(i, j)
			}
		}
	}
	for _, dot := range dots {
		first := -1
		for i, l := range t.lines {
			if on(dot, l) && first >= 0 {
				join(i, first)
			} else if on(dot, l) {
				first = i
			}
		}
	}
	grounded := -1
	for i, l := range t.lines {
		if slices.ContainsFunc(marks, func(m XY) bool { return on(m, l) }) {
			if grounded >= 0 {
				join(i, grounded)
			}
			grounded = i
		}
	}
	pins := make([][]int, len(d.Parts))
	for i := range d.Parts {
		for _, p := range d.Parts[i].Pins {
			found := -1
			for k, l := range t.lines {
				if on(p, l) {
					if found >= 0 {
						join(k, found)
					}
					found = k
				}
			}
			pins[i] = append(pins[i], found)
		}
	}
	for i := range pins {
		for k, n := range pins[i] {
			if n >= 0 {
				pins[i][k] = t.find(n)
			}
		}
	}
	return pins
}

// faults lists what is wrong with a drawing of a circuit: a part that is not
// there, a connection that is not in the netlist, one that is missing, and
// whatever lies on something else.
func faults(c *Circuit, d *Drawing) []string {
	var list []string
	add := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	if len(d.Parts) != len(c.Parts) {
		add("%d parts of %d are drawn", len(d.Parts), len(c.Parts))
		return list
	}
	groups, node := map[int]string{}, map[string]int{}
	traced := trace(d)
	for i, p := range c.Parts {
		if d.Parts[i].Name != p.Name || len(d.Parts[i].Pins) != len(p.Nodes) || len(d.Parts[i].Strokes) == 0 {
			add("part %q is not drawn with its pins", p.Name)
			continue
		}
		for k, name := range p.Nodes {
			g := traced[i][k]
			if g < 0 {
				add("pin %d of %q has no wire", k, p.Name)
				continue
			}
			if other, seen := groups[g]; seen && other != name {
				add("node %q touches node %q at part %q", name, other, p.Name)
			}
			if other, seen := node[name]; seen && other != g {
				add("node %q is in pieces at part %q", name, p.Name)
			}
			groups[g], node[name] = name, g
		}
	}
	for name := range node {
		if !slices.ContainsFunc(d.Nodes, func(w Wires) bool { return w.Name == name && len(w.Lines) > 0 }) {
			add("node %q is not drawn", name)
		}
	}
	list = append(list, lying(d)...)
	return append(list, dotted(d)...)
}

// inside is an area without its edge.
func inside(b Box) Box {
	const edge = 0.02
	return Box{b.Left + edge, b.Top + edge, b.Right - edge, b.Bottom - edge}
}

// lying lists what lies on something else.
func lying(d *Drawing) []string {
	var list []string
	type area struct {
		of  string
		box Box
	}
	var areas []area
	for _, p := range d.Parts {
		for _, a := range p.Areas {
			areas = append(areas, area{"part " + p.Name, a})
		}
	}
	parts := len(areas)
	for _, n := range d.Nodes {
		for i, t := range n.Tags {
			areas = append(areas, area{fmt.Sprintf("text %d of node %s", i, n.Name), t.Box})
		}
	}
	for i, a := range areas {
		if a.box.Left < 0 || a.box.Top < 0 || a.box.Right > d.Width || a.box.Bottom > d.Height {
			list = append(list, a.of+" is outside the paper")
		}
		for j, b := range areas[:i] {
			if a.of != b.of && inside(a.box).Meets(inside(b.box)) {
				list = append(list, a.of+" lies on "+b.of)
			}
			_ = j
		}
	}
	for _, n := range d.Nodes {
		for _, l := range n.Lines {
			line := Box{min(l[0].X, l[1].X), min(l[0].Y, l[1].Y), max(l[0].X, l[1].X), max(l[0].Y, l[1].Y)}
			for i, a := range areas {
				if n.Ground && i < parts { // its lines belong to the parts
					continue
				}
				b := inside(a.box)
				if line.Left < b.Right && line.Right > b.Left && line.Top < b.Bottom && line.Bottom > b.Top && b.Left < b.Right && b.Top < b.Bottom {
					list = append(list, fmt.Sprintf("the wire of %s from %v to %v runs through %s", n.Name, l[0], l[1], a.of))
				}
			}
		}
	}
	return list
}

// dotted checks that there is a dot wherever a line ends on another or three
// meet, and nowhere that a foreign line passes.
func dotted(d *Drawing) []string {
	var list []string
	for i, n := range d.Nodes {
		for _, a := range n.Lines {
			if a[0].X != a[1].X && a[0].Y != a[1].Y {
				list = append(list, fmt.Sprintf("a line of %s is not level or upright", n.Name))
			}
			for _, end := range a {
				for _, b := range n.Lines {
					if a != b && on(end, b) && end != b[0] && end != b[1] && !slices.Contains(n.Dots, end) {
						list = append(list, fmt.Sprintf("no dot at %v of %s", end, n.Name))
					}
				}
			}
		}
		for j, m := range d.Nodes {
			if i == j {
				continue
			}
			for _, l := range m.Lines {
				for _, p := range slices.Concat(n.Dots, n.Ends, n.Marks) {
					if on(p, l) {
						list = append(list, fmt.Sprintf("a line of %s passes a dot or mark of %s at %v", m.Name, n.Name, p))
					}
				}
			}
		}
	}
	for _, p := range d.Parts {
		for _, q := range p.Pins {
			for _, n := range d.Nodes {
				ways := 0
				for _, l := range n.Lines {
					switch {
					case q == l[0], q == l[1]:
						ways++
					case on(q, l):
						ways += 2
					}
				}
				if ways > 1 && !slices.Contains(n.Dots, q) {
					list = append(list, fmt.Sprintf("no dot at a pin of %s, at %v of %s", p.Name, q, n.Name))
				}
			}
			if q.X != math.Round(q.X-.5)+.5 || q.Y != math.Round(q.Y-.5)+.5 {
				list = append(list, fmt.Sprintf("a pin of %s is off the grid at %v", p.Name, q))
			}
		}
	}
	return list
}

// sound fails a test when a drawing has faults.
func sound(t interface {
	Helper()
	Fatalf(string, ...any)
}, c *Circuit, d *Drawing) {
	t.Helper()
	if list := faults(c, d); list != nil {
		t.Fatalf("%d faults:\n%s", len(list), strings.Join(list[:min(12, len(list))], "\n"))
	}
}

// The test of the tests: a drawing that is spoilt on purpose is found out.
func TestFaultsAreFound(t *testing.T) {
	c := Circuit{Ground: "gnd", Parts: []Part{
		{Name: "R1", Kind: "resistor", Nodes: []string{"in", "out"}},
		{Name: "R2", Kind: "resistor", Nodes: []string{"out", "gnd"}},
		{Name: "R3", Kind: "resistor", Nodes: []string{"in", "gnd"}},
		{Name: "R4", Kind: "resistor", Nodes: []string{"out", "gnd"}},
		{Name: "R5", Kind: "resistor", Nodes: []string{"out", "gnd"}},
	}}
	for _, s := range []struct {
		name  string
		spoil func(*Drawing)
		want  string
	}{
		{"nothing", func(*Drawing) {}, ""},
		{"a wire is missing", func(d *Drawing) { d.Nodes[1].Lines = nil }, "no wire"},
		{"a wire too many", func(d *Drawing) {
			d.Nodes[0].Lines = append(d.Nodes[0].Lines, [2]XY{d.Nodes[0].Lines[0][0], d.Nodes[1].Lines[0][0]})
		}, "touches"},
		{"a dot is missing", func(d *Drawing) { d.Nodes[1].Dots = nil }, "no dot"},
		{"a part on another", func(d *Drawing) { d.Parts[0].Areas[0] = d.Parts[1].Areas[0] }, "lies on"},
		{"a part is missing", func(d *Drawing) { d.Parts = d.Parts[1:] }, "parts of"},
		{"a text on a wire", func(d *Drawing) {
			l := d.Nodes[0].Lines[0]
			d.Nodes[1].Tags = append(d.Nodes[1].Tags, Tag{Box: Box{l[0].X - .5, l[0].Y - .5, l[0].X + 1, l[0].Y + 1}})
		}, "runs through"},
	} {
		d, err := Draw(c, nil)
		if err != nil {
			t.Fatal(err)
		}
		s.spoil(d)
		got := strings.Join(faults(&c, d), "\n")
		if (got == "") != (s.want == "") || !strings.Contains(got, s.want) {
			t.Errorf("%s: %q", s.name, got)
		}
	}
}
