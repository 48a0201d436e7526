package schematic

import (
	"math"
	"slices"
)

// wires collects what is drawn of a node: lines joined where they go straight
// on, dots where three or more meet.
func (g *placing) wires(n *net, paper *grid, parts []Figure) Wires {
	w := Wires{Name: g.names[n.node], Title: "node " + g.names[n.node], Ground: n.node == g.ground}
	if w.Ground {
		for i := range parts {
			f := &g.figures[i][g.choice[i]]
			for _, m := range f.grounds {
				at := parts[i].Pins[0]
				dx, dy := at.X-float64(f.pins[0].x), at.Y-float64(f.pins[0].y)
				for k := 1; k < len(m.wire); k++ {
					w.Lines = append(w.Lines, [2]XY{{m.wire[k-1].X + dx, m.wire[k-1].Y + dy}, {m.wire[k].X + dx, m.wire[k].Y + dy}})
				}
				if !math.IsNaN(m.at.X) {
					w.Marks = append(w.Marks, XY{m.at.X + dx, m.at.Y + dy})
				}
			}
		}
		w.Dots = meeting(w.Lines, nil)
		return w
	}
	place := func(c int) XY { return XY{float64(c % paper.width), float64(c / paper.width)} }
	edges := map[[2]int]bool{}
	for _, way := range n.ways {
		for i := 1; i < len(way); i++ {
			edges[[2]int{min(way[i-1], way[i]), max(way[i-1], way[i])}] = true
		}
	}
	if len(n.pins) == 1 { // an open end
		c := n.pins[0]
		end := c + int(n.out[0][0]) + int(n.out[0][1])*paper.width
		edges[[2]int{min(c, end), max(c, end)}] = true
		w.Ends = append(w.Ends, place(end))
	}
	degree := map[int]int{}
	straight := func(c, d int) bool { // a wire goes on from c by d
		return edges[[2]int{min(c, c+d), max(c, c+d)}]
	}
	var keys [][2]int
	for e := range edges {
		keys = append(keys, e)
		degree[e[0]]++
		degree[e[1]]++
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	for _, e := range keys {
		d := e[1] - e[0]
		if straight(e[0]-d, d) && (d != 1 || e[0]%paper.width > 0) {
			continue // within a line
		}
		to := e[1]
		for straight(to, d) {
			to += d
		}
		w.Lines = append(w.Lines, [2]XY{place(e[0]), place(to)})
	}
	for _, c := range n.pins {
		degree[c]++
	}
	var dots []int
	for c, k := range degree {
		if k > 2 {
			dots = append(dots, c)
		}
	}
	slices.Sort(dots)
	for _, c := range dots {
		w.Dots = append(w.Dots, place(c))
	}
	return w
}

// meeting finds where three lines or more meet, counting the pins.
func meeting(lines [][2]XY, pins []XY) []XY {
	count := map[XY]int{}
	for _, l := range lines {
		count[l[0]]++
		count[l[1]]++
	}
	for _, p := range pins {
		count[p]++
	}
	var dots []XY
	for at, n := range count {
		if n > 2 {
			dots = append(dots, at)
		}
	}
	slices.SortFunc(dots, func(a, b XY) int {
		if a.Y != b.Y {
			return int(math.Copysign(1, a.Y-b.Y))
		}
		return int(math.Copysign(1, a.X-b.X))
	})
	return dots
}
