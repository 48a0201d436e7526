package schematic

import (
	"cmp"
	"math"
	"slices"
)

// A desk knows what lies where, so that texts find free places.
type desk struct {
	areas []Box
	wire  []bool  // which of them are wires, which a dashed line may cross
	rows  [][]int // of each band of height bandHeight, the areas that touch it
}

const bandHeight = 4

func (k *desk) add(b Box, wire bool) {
	k.areas = append(k.areas, b)
	k.wire = append(k.wire, wire)
	for r := max(0, int(b.Top)/bandHeight); r <= max(0, int(b.Bottom)/bandHeight); r++ {
		for len(k.rows) <= r {
			k.rows = append(k.rows, nil)
		}
		k.rows[r] = append(k.rows[r], len(k.areas)-1)
	}
}

// free tells whether an area holds nothing yet.
func (k *desk) free(b Box) bool {
	for r := max(0, int(b.Top)/bandHeight); r <= max(0, int(b.Bottom)/bandHeight) && r < len(k.rows); r++ {
		for _, i := range k.rows[r] {
			if k.areas[i].Meets(b) {
				return false
			}
		}
	}
	return true
}

// open tells whether a straight line from one place to another meets wires at
// the most.
func (k *desk) open(from, to XY) bool {
	n := math.Ceil(math.Hypot(to.X-from.X, to.Y-from.Y) * 3)
	for i := 1.0; i < n; i++ {
		x, y := from.X+(to.X-from.X)*i/n, from.Y+(to.Y-from.Y)*i/n
		r := max(0, int(y)/bandHeight)
		if r >= len(k.rows) {
			continue
		}
		for _, a := range k.rows[r] {
			if b := k.areas[a]; !k.wire[a] && x > b.Left-.1 && x < b.Right+.1 && y > b.Top-.1 && y < b.Bottom+.1 {
				return false
			}
		}
	}
	return true
}

// lineBox is the area of a line, a little wider than it.
func lineBox(l [2]XY) Box {
	const skin = 0.2
	return Box{min(l[0].X, l[1].X) - skin, min(l[0].Y, l[1].Y) - skin, max(l[0].X, l[1].X) + skin, max(l[0].Y, l[1].Y) + skin}
}

// tags writes at each node its name, its test points and what is read there.
func (g *plan) tags(d *Drawing, over *Overlay) {
	k := &desk{}
	for i := range d.Parts {
		for _, a := range d.Parts[i].Areas {
			k.add(a, false)
		}
	}
	for _, n := range d.Nodes {
		for _, l := range n.Lines {
			k.add(lineBox(l), true)
		}
		for _, e := range n.Ends {
			k.add(Box{e.X - .5, e.Y - .5, e.X + .5, e.Y + .5}, false)
		}
	}
	points := map[string][]string{}
	probe := map[string]bool{}
	for _, p := range g.circuit.Points {
		probe[p.Node] = true
		if p.Name != "" && !slices.Contains(points[p.Node], p.Name) {
			points[p.Node] = append(points[p.Node], p.Name)
		}
	}
	type job struct {
		node  int
		texts []Text
		must  bool
		probe bool
		flag  bool
	}
	var jobs []job
	for i := range d.Nodes {
		n := &d.Nodes[i]
		if n.Ground {
			continue
		}
		var texts []Text
		j := job{node: i, probe: probe[n.Name], must: probe[n.Name] || len(n.Ends) > 0}
		for _, p := range points[n.Name] {
			if p == n.Name {
				continue
			}
			for _, line := range wrapped(p, 18, 2) {
				texts = append(texts, Text{Text: line, Class: "point"})
			}
		}
		for _, line := range wrapped(n.Name, 18, 2) {
			texts = append(texts, Text{Text: line, Class: "node"})
		}
		if over != nil {
			if r, ok := over.Nodes[n.Name]; ok {
				n.Reading = &r
				for _, line := range r.Lines {
					texts = append(texts, Text{Text: line, Class: "reading"})
				}
				j.must, j.flag = true, r.Flag
			}
		}
		j.texts = texts
		jobs = append(jobs, j)
	}
	// What must be written comes first, the largest before the rest.
	slices.SortStableFunc(jobs, func(a, b job) int {
		if a.must != b.must {
			return map[bool]int{true: -1, false: 1}[a.must]
		}
		return cmp.Compare(len(b.texts), len(a.texts))
	})
	for _, j := range jobs {
		n := &d.Nodes[j.node]
		t, ok := k.tag(n, j.texts)
		if !ok && j.must {
			t = k.apart(n, j.texts)
			ok = true
		}
		if !ok {
			continue
		}
		t.Point, t.Flag = j.probe || j.flag, j.flag
		k.add(t.Box, false)
		n.Tags = append(n.Tags, t)
	}
}

// setText sets lines of text at a place: left, above and below are given by the
// corner that x and y mean.
func setText(texts []Text, left, top float64) (list []Text, b Box) {
	b = Box{left, top, left, top}
	for i, t := range texts {
		t.Anchor = "start"
		t.At = XY{left, top + textHeight + lineHeight*float64(i)}
		list = append(list, t)
		b = b.union(t.box())
	}
	return list, b
}

// tag finds a place right beside a wire of the node: above a level one, else
// below it, else beside an upright one. The longest wires come first.
func (k *desk) tag(n *Wires, texts []Text) (Tag, bool) {
	_, size := setText(texts, 0, 0)
	w, h := size.Right, size.Bottom
	lines := slices.Clone(n.Lines)
	long := func(l [2]XY) float64 { return math.Abs(l[0].X-l[1].X) + math.Abs(l[0].Y-l[1].Y) }
	slices.SortStableFunc(lines, func(a, b [2]XY) int { return cmp.Compare(long(b), long(a)) })
	try := func(left, top float64, at XY) (Tag, bool) {
		list, b := setText(texts, left, top)
		if top < 0 || left < 0 || !k.free(Box{b.Left - .3, b.Top, b.Right + .3, b.Bottom}) {
			return Tag{}, false
		}
		return Tag{Texts: list, Box: b, At: at}, true
	}
	for _, e := range n.Ends { // beside an open end
		for _, at := range []XY{{e.X + .8, e.Y - h/2}, {e.X - .8 - w, e.Y - h/2}, {e.X - w/2, e.Y - .8 - h}, {e.X - w/2, e.Y + .8}} {
			if t, ok := try(at.X, at.Y, e); ok {
				return t, true
			}
		}
	}
	const off = 0.4
	for _, below := range []bool{false, true} {
		for _, l := range lines {
			if l[0].Y != l[1].Y {
				continue
			}
			left, right := min(l[0].X, l[1].X), max(l[0].X, l[1].X)
			for x := left - 1; x <= right; x += 0.5 {
				if x+w > right+2 && x > left {
					break
				}
				top := l[0].Y - off - h
				if below {
					top = l[0].Y + off
				}
				at := XY{min(max(math.Round(x+.5), left), right), l[0].Y}
				if t, ok := try(x, top, at); ok {
					return t, true
				}
			}
		}
	}
	for _, l := range lines {
		if l[0].X != l[1].X {
			continue
		}
		top, bottom := min(l[0].Y, l[1].Y), max(l[0].Y, l[1].Y)
		for y := top; y <= bottom; y += 0.5 {
			at := XY{l[0].X, min(max(math.Round(y+.5), top), bottom)}
			if t, ok := try(l[0].X+off+.1, y-.3, at); ok {
				return t, true
			}
			if t, ok := try(l[0].X-off-.1-w, y-.3, at); ok {
				return t, true
			}
		}
	}
	return Tag{}, false
}

// apart finds the nearest free place for what must be written, wherever it is; a
// dashed line leads there, across wires at the most.
func (k *desk) apart(n *Wires, texts []Text) Tag {
	_, size := setText(texts, 0, 0)
	w, h := size.Right, size.Bottom
	var from []XY
	for _, l := range n.Lines {
		from = append(from, l[0], l[1], XY{math.Round((l[0].X+l[1].X)/2 + .1), math.Round((l[0].Y+l[1].Y)/2 + .1)})
	}
	const crowded = 30 // then a line across texts is better than none
	for r := 1.0; ; r++ {
		best, found := Tag{}, math.Inf(1)
		for _, at := range from {
			for dx := -r; dx <= r; dx++ {
				for dy := -r; dy <= r; dy++ {
					if max(math.Abs(dx), math.Abs(dy)) != r {
						continue
					}
					left, top := at.X+dx, at.Y+dy
					if dx < 0 {
						left -= w
					}
					if dy < 0 {
						top -= h
					}
					list, b := setText(texts, left, top)
					far := math.Hypot(dx, dy)
					if left < 0 || top < 0 || far >= found || !k.free(Box{b.Left - .3, b.Top - .3, b.Right + .3, b.Bottom + .3}) {
						continue
					}
					to := XY{min(max(at.X, b.Left), b.Right), min(max(at.Y, b.Top), b.Bottom)}
					if r > crowded || k.open(at, to) {
						best, found = Tag{Texts: list, Box: b, At: at, Leader: true}, far
					}
				}
			}
		}
		if !math.IsInf(found, 1) {
			return best
		}
	}
}
