package schematic

import (
	"cmp"
	"math"
	"slices"
)

// A grid is the paper that wires are drawn on: places one unit apart. A wire
// goes from place to place; two wires may cross where both go straight on.
type grid struct {
	width, height int
	solid         []bool  // something stands there
	owner         []int16 // the node, counted from 1, whose pin is there
	kept          []int16 // the node that needs the place to leave a pin
	flat, upright []int16 // the node whose wire goes through to the sides, up and down
	held          []bool  // a wire ends, bends or branches there, and must not be crossed
	search
}

// search is what the search for a way needs, kept from one to the next.
type search struct {
	stamp int32
	seen  []int32
	best  []int32
	from  []int32
	heap  []step
}

// A step is a place with the direction that it was reached in.
type step struct{ cost, state int32 }

// The directions of a wire: right, down, left, up.
var (
	stepX = [4]int{1, 0, -1, 0}
	stepY = [4]int{0, 1, 0, -1}
)

// Costs of a way.
const (
	costStep  = 10
	costBend  = 35
	costCross = 60
	costClose = 1 // beside something
)

func newGrid(width, height int) *grid {
	n := width * height
	return &grid{width: width, height: height, solid: make([]bool, n), owner: make([]int16, n), kept: make([]int16, n), flat: make([]int16, n), upright: make([]int16, n), held: make([]bool, n),
		search: search{seen: make([]int32, 4*n), best: make([]int32, 4*n), from: make([]int32, 4*n)}}
}

// cell is the number of a place.
func (g *grid) cell(x, y int) int { return y*g.width + x }

// fill marks the places that an area takes.
func (g *grid) fill(b Box) {
	const skin = 0.45
	for y := max(0, int(math.Ceil(b.Top-skin))); y <= min(g.height-1, int(math.Floor(b.Bottom+skin))); y++ {
		for x := max(0, int(math.Ceil(b.Left-skin))); x <= min(g.width-1, int(math.Floor(b.Right+skin))); x++ {
			g.solid[g.cell(x, y)] = true
		}
	}
}

// A net is a node with its pins on the grid and the wires found for it.
type net struct {
	node  int
	pins  []int     // cells
	ways  [][]int   // each a row of cells
	tree  []int     // cells that its wires touch
	bound [4]int    // left, top, right, bottom of the tree
	out   [][2]int8 // the directions in which the pins leave
}

// lay lays the wires of a node. It tells whether all pins are reached.
func (g *grid) lay(n *net) bool {
	n.ways, n.tree = nil, nil
	id := int16(n.node + 1)
	if len(n.pins) < 2 {
		return true
	}
	n.bound = [4]int{math.MaxInt32, math.MaxInt32, -1, -1}
	left := make([]int, len(n.pins))
	for i := range left {
		left[i] = i
	}
	// Begin with the two pins that are nearest to each other.
	near, a, b := math.MaxInt32, 0, 1
	for i := range n.pins {
		for j := i + 1; j < len(n.pins); j++ {
			if d := g.apart(n.pins[i], n.pins[j]); d < near {
				near, a, b = d, i, j
			}
		}
	}
	g.join(n, n.pins[a])
	left = slices.DeleteFunc(left, func(i int) bool { return i == a })
	next := b
	for {
		way := g.find(n.pins[next], n, id)
		if way == nil {
			return false
		}
		g.draw(n, way, id)
		left = slices.DeleteFunc(left, func(i int) bool { return i == next })
		if len(left) == 0 {
			return true
		}
		near = math.MaxInt32
		for _, i := range left {
			for _, c := range n.tree {
				if d := g.apart(n.pins[i], c); d < near {
					near, next = d, i
				}
			}
		}
	}
}

// apart is the distance of two places along the grid.
func (g *grid) apart(a, b int) int {
	dx, dy := a%g.width-b%g.width, a/g.width-b/g.width
	return max(dx, -dx) + max(dy, -dy)
}

// join adds a place to the tree of a node.
func (g *grid) join(n *net, c int) {
	x, y := c%g.width, c/g.width
	n.tree = append(n.tree, c)
	n.bound = [4]int{min(n.bound[0], x), min(n.bound[1], y), max(n.bound[2], x), max(n.bound[3], y)}
}

// draw notes a way as a wire of a node.
func (g *grid) draw(n *net, way []int, id int16) {
	n.ways = append(n.ways, way)
	for i, c := range way {
		horizontal := i > 0 && way[i-1]/g.width == c/g.width || i+1 < len(way) && way[i+1]/g.width == c/g.width
		vertical := i > 0 && way[i-1]%g.width == c%g.width || i+1 < len(way) && way[i+1]%g.width == c%g.width
		if horizontal {
			g.flat[c] = id
		}
		if vertical {
			g.upright[c] = id
		}
		if i == 0 || i+1 == len(way) || horizontal && vertical {
			g.held[c] = true
		}
		g.join(n, c)
	}
}

// find looks for the cheapest way from a pin to what a node's wires touch
// already.
func (g *grid) find(from int, n *net, id int16) []int {
	g.stamp++
	g.heap = g.heap[:0]
	inTree := func(c int) bool {
		return (g.flat[c] == id || g.upright[c] == id || len(n.ways) == 0 && c == n.tree[0])
	}
	if inTree(from) { // a wire goes through the pin already
		g.held[from] = true
		return []int{from}
	}
	guess := func(c int) int32 {
		x, y := c%g.width, c/g.width
		d := max(0, n.bound[0]-x, x-n.bound[2]) + max(0, n.bound[1]-y, y-n.bound[3])
		return int32(d * costStep)
	}
	reach := func(c, d int, cost int32, back int32) {
		state := int32(4*c + d)
		if g.seen[state] == g.stamp && g.best[state] <= cost {
			return
		}
		g.seen[state], g.best[state], g.from[state] = g.stamp, cost, back
		g.push(step{cost + guess(c), state})
	}
	for d := range 4 {
		if c, cost, ok := g.ahead(from, d, id, -1); ok {
			reach(c, d, cost, -1)
		}
	}
	for len(g.heap) > 0 {
		s := g.pop()
		state := int(s.state)
		c, d := state/4, state%4
		cost := g.best[state]
		if s.cost > cost+guess(c) {
			continue
		}
		if inTree(c) && g.free(c, id) {
			way := []int{c}
			for at := g.from[state]; at >= 0; at = g.from[at] {
				way = append(way, int(at)/4)
			}
			way = append(way, from)
			slices.Reverse(way)
			return way
		}
		for turn := range 4 {
			if turn == (d+2)%4 {
				continue
			}
			if next, more, ok := g.ahead(c, turn, id, d); ok {
				reach(next, turn, cost+more, int32(state))
			}
		}
	}
	return nil
}

// free tells whether no other node's wire is at a place.
func (g *grid) free(c int, id int16) bool {
	return (g.flat[c] == 0 || g.flat[c] == id) && (g.upright[c] == 0 || g.upright[c] == id)
}

// ahead takes one step from a place in a direction, reached in direction was (-1 at
// the pin), and gives its cost.
func (g *grid) ahead(c, d int, id int16, was int) (next int, cost int32, ok bool) {
	if was >= 0 && was != d && !g.free(c, id) { // no bend on another wire
		return 0, 0, false
	}
	x, y := c%g.width+stepX[d], c/g.width+stepY[d]
	if x < 0 || y < 0 || x >= g.width || y >= g.height {
		return 0, 0, false
	}
	next = g.cell(x, y)
	owner := g.owner[next]
	if owner != 0 && owner != id || owner == 0 && g.solid[next] {
		return 0, 0, false
	}
	if k := g.kept[next]; k != 0 && k != id {
		return 0, 0, false
	}
	same, other := g.flat[next], g.upright[next]
	if d%2 == 1 {
		same, other = other, same
	}
	if same != 0 && same != id || other != 0 && other != id && g.held[next] {
		return 0, 0, false
	}
	cost = costStep
	if other != 0 && other != id {
		cost += costCross
	}
	if was >= 0 && was != d {
		cost += costBend
	}
	if g.beside(next) {
		cost += costClose
	}
	return next, cost, true
}

// beside tells whether something stands right beside a place.
func (g *grid) beside(c int) bool {
	for d := range 4 {
		n := c + stepX[d] + stepY[d]*g.width
		if n >= 0 && n < len(g.solid) && g.solid[n] {
			return true
		}
	}
	return false
}

// push and pop keep the cheapest step first.
func (g *grid) push(s step) {
	g.heap = append(g.heap, s)
	i := len(g.heap) - 1
	for i > 0 {
		up := (i - 1) / 2
		if g.heap[up].cost <= s.cost {
			break
		}
		g.heap[i] = g.heap[up]
		i = up
	}
	g.heap[i] = s
}

func (g *grid) pop() step {
	top := g.heap[0]
	last := g.heap[len(g.heap)-1]
	g.heap = g.heap[:len(g.heap)-1]
	if len(g.heap) == 0 {
		return top
	}
	i := 0
	for {
		down := 2*i + 1
		if down >= len(g.heap) {
			break
		}
		if down+1 < len(g.heap) && g.heap[down+1].cost < g.heap[down].cost {
			down++
		}
		if g.heap[down].cost >= last.cost {
			break
		}
		g.heap[i] = g.heap[down]
		i = down
	}
	g.heap[i] = last
	return top
}

// clear takes all wires off the grid.
func (g *grid) clear() {
	clear(g.flat)
	clear(g.upright)
	clear(g.held)
}

// wireAll lays the wires of all nodes, short ones first; a node that finds no
// way is tried again before the others. It gives the nodes without a way.
func (g *grid) wireAll(nets []*net, keep func()) (failed []int) {
	slices.SortStableFunc(nets, func(a, b *net) int { return cmp.Compare(g.span(a), g.span(b)) })
	for range 4 {
		g.clear()
		clear(g.kept)
		keep()
		failed = nil
		var stuck, fine []*net
		for _, n := range nets {
			if g.lay(n) {
				fine = append(fine, n)
			} else {
				stuck = append(stuck, n)
				failed = append(failed, n.node)
			}
			if len(n.pins) < 2 {
				continue // its open end stays there
			}
			for i, c := range n.pins {
				x, y := c%g.width+int(n.out[i][0]), c/g.width+int(n.out[i][1])
				g.kept[g.cell(x, y)] = 0
			}
		}
		if failed == nil {
			return nil
		}
		copy(nets, append(stuck, fine...))
	}
	return failed
}

// span is how far the pins of a node lie apart.
func (g *grid) span(n *net) int {
	left, right, top, bottom := math.MaxInt32, 0, math.MaxInt32, 0
	for _, c := range n.pins {
		x, y := c%g.width, c/g.width
		left, right, top, bottom = min(left, x), max(right, x), min(top, y), max(bottom, y)
	}
	return right - left + bottom - top
}

// hard says how hard wires are to follow: their length, bends and crossings.
func (g *grid) hard(nets []*net) float64 {
	const bend, crossing = 5, 15
	cost := 0.0
	for c, id := range g.flat {
		if id != 0 && g.upright[c] != 0 && g.upright[c] != id {
			cost += crossing
		}
	}
	for _, n := range nets {
		for _, way := range n.ways {
			cost += float64(len(way) - 1)
			for i := 2; i < len(way); i++ {
				if way[i]-way[i-1] != way[i-1]-way[i-2] {
					cost += bend
				}
			}
		}
	}
	return cost
}
