package schematic

import (
	"math"
	"slices"
)

// number gives each pin a number and notes where it is.
func (g *placing) number() {
	g.first = make([]int, len(g.nodes))
	g.on = make([][]int, len(g.names))
	for i, on := range g.nodes {
		g.first[i] = len(g.at)
		for _, n := range on {
			g.on[n] = append(g.on[n], len(g.at))
			g.at = append(g.at, spot{})
		}
		g.locate(i)
	}
}

// locate notes where the pins of a part are.
func (g *placing) locate(i int) {
	x, y := g.column[i]*columnStep, g.line[i]*lineStep
	for k := range g.figures[i][g.choice[i]].pins {
		q := &g.figures[i][g.choice[i]].pins[k]
		g.at[g.first[i]+k] = spot{int32(x + q.x), int32(y + q.y), int32(x + q.x + 2*q.dx), int32(y + q.y + 2*q.dy)}
	}
}

// wire is the cost of the wires of a node: how far its pins lie apart, upwards
// more than sideways, and how many bends it may take.
func (g *placing) wire(n int) float64 {
	if n == g.ground || len(g.on[n]) < 2 {
		return 0
	}
	const few = 6
	left, right, top, bottom := int32(math.MaxInt32), int32(-math.MaxInt32), int32(math.MaxInt32), int32(-math.MaxInt32)
	bends := int32(0)
	for k, pin := range g.on[n] {
		s := &g.at[pin]
		left, right, top, bottom = min(left, s.outX), max(right, s.outX), min(top, s.outY), max(bottom, s.outY)
		if k > 0 && k < few {
			before := &g.at[g.on[n][k-1]]
			if s.x != before.x && s.y != before.y {
				bends++
			}
		}
	}
	return float64(right-left) + 1.3*float64(bottom-top) + 4*float64(bends)
}

// pull is what draws a part to where the flow and the voltages want it.
func (g *placing) pull(i int) float64 {
	cost := 4 * math.Abs(float64(g.column[i])-g.want[i])
	f := &g.figures[i][g.choice[i]]
	for k, n := range g.nodes[i] {
		if n != g.ground {
			weight := 0.25
			if g.known[n] {
				weight = 0.8
			}
			cost += weight * math.Abs(float64(g.line[i])+float64(f.pins[k].y)/lineStep-g.height[n])
		}
	}
	return cost + 2*f.cost + g.squeezed(i)
}

// squeezed is what it costs that wires must get out between a part and the one
// right above or below it: their ends face each other and are not one node.
func (g *placing) squeezed(i int) float64 {
	const dear = 9
	cost := 0.0
	f := &g.figures[i][g.choice[i]]
	column := g.taken[g.column[i]]
	for _, down := range []int{-1, 1} {
		edge := g.line[i] + f.first
		if down > 0 {
			edge = g.line[i] + f.last
		}
		own := g.facing(i, down)
		if own < 0 {
			continue
		}
		for l := edge + down; l >= 0 && l < len(column) && (l-edge)*down <= 2; l += down {
			if j := int(column[l]) - 1; j >= 0 {
				if other := g.facing(j, -down); other >= 0 && other != own {
					cost += dear
				}
				break
			}
		}
	}
	return cost
}

// facing gives the node of the pin of an upright part that faces up (-1) or down
// (1) in the middle of its column; -1 when there is none, or ground.
func (g *placing) facing(i, down int) int {
	f := &g.figures[i][g.choice[i]]
	for k := range f.pins {
		if q := &f.pins[k]; q.dy == down && q.x == 0 && g.nodes[i][k] != g.ground {
			return g.nodes[i][k]
		}
	}
	return -1
}

// cost is the part's share of the whole.
func (g *placing) cost(i int) float64 {
	sum := g.pull(i)
	for _, n := range g.touched[i] {
		sum += g.length[n]
	}
	return sum
}

// improve moves parts about, at first wherever they may stand, later only where
// that is better: annealing, with a fixed row of numbers.
func (g *placing) improve() {
	var free []int
	for i := range g.nodes {
		if !g.fixed[i] || len(g.figures[i]) > 1 {
			free = append(free, i)
		}
	}
	if len(free) == 0 {
		return
	}
	rounds := min(800*len(free), 14000)
	heat, cold := 35.0, 0.4
	fall := math.Pow(cold/heat, 1/float64(rounds))
	for range rounds {
		i := free[g.next(len(free))]
		column, line, choice := g.column[i], g.line[i], g.choice[i]
		toColumn, toLine, toChoice := column, line, choice
		what := g.next(8)
		switch {
		case g.fixed[i] || what == 0:
			toChoice = g.next(len(g.figures[i]))
		case what < 3:
			toColumn += g.next(5) - 2
			toLine += g.next(9) - 4
		case what < 4:
			toColumn, toLine = g.next(g.columns), g.next(g.lines)
		default: // beside a neighbour
			if len(g.touched[i]) == 0 {
				continue
			}
			n := g.touched[i][g.next(len(g.touched[i]))]
			e := g.pins[n][g.next(len(g.pins[n]))]
			if what < 6 {
				toChoice = g.next(len(g.figures[i]))
			}
			toColumn = g.column[e.part] + g.next(3) - 1
			own := 0
			for k, m := range g.nodes[i] {
				if m == n {
					own = g.figures[i][toChoice].pins[k].y / lineStep
				}
			}
			toLine = g.line[e.part] + g.figures[e.part][g.choice[e.part]].pins[e.pin].y/lineStep - own
			if toColumn == g.column[e.part] {
				toLine += g.next(7) - 3
			}
		}
		if !g.fits(i, toChoice, toColumn, toLine) {
			if what < 4 {
				g.swap(i, toColumn, toLine, heat)
			}
			heat *= fall
			continue
		}
		before := g.cost(i)
		g.set(i, 0)
		g.column[i], g.line[i], g.choice[i] = toColumn, toLine, toChoice
		g.measure(i)
		if !g.accept(g.cost(i)-before, heat) {
			g.column[i], g.line[i], g.choice[i] = column, line, choice
			g.measure(i)
		}
		g.set(i, int16(i+1))
		heat *= fall
	}
}

// measure works out the wires of a part's nodes again.
func (g *placing) measure(i int) {
	g.locate(i)
	for _, n := range g.touched[i] {
		g.length[n] = g.wire(n)
	}
}

// accept tells whether a change is taken.
func (g *placing) accept(worse, heat float64) bool {
	const hopeless = 12 // times the heat
	return worse <= 0 || worse < hopeless*heat && float64(g.next(1<<20))/(1<<20) < math.Exp(-worse/heat)
}

// swap lets a part change places with the one that stands where it would go.
func (g *placing) swap(i, column, line int, heat float64) {
	if column < 0 || column >= g.columns || line < 0 || line >= g.lines {
		return
	}
	j := int(g.taken[column][line]) - 1
	if j < 0 || j == i || g.fixed[i] || g.fixed[j] {
		return
	}
	exchange := func() {
		g.column[i], g.column[j] = g.column[j], g.column[i]
		g.line[i], g.line[j] = g.line[j], g.line[i]
	}
	both := func() float64 {
		sum := g.pull(i) + g.pull(j)
		for _, n := range g.touched[i] {
			sum += g.length[n]
		}
		for _, n := range g.touched[j] {
			if !slices.Contains(g.touched[i], n) {
				sum += g.length[n]
			}
		}
		return sum
	}
	before := both()
	g.set(i, 0)
	g.set(j, 0)
	exchange()
	fits := g.fits(i, g.choice[i], g.column[i], g.line[i])
	if fits {
		g.set(i, int16(i+1))
		fits = g.fits(j, g.choice[j], g.column[j], g.line[j])
		g.set(i, 0)
	}
	if fits {
		g.locate(j)
		g.measure(i)
		g.measure(j)
		fits = g.accept(both()-before, heat)
	}
	if !fits {
		exchange()
		g.locate(j)
		g.measure(i)
		g.measure(j)
	}
	g.set(i, int16(i+1))
	g.set(j, int16(j+1))
}
