package schematic

import (
	"cmp"
	"math"
	"slices"
)

// choices gives the figures that a part may be drawn as, the usual first.
func (p *plan) choices(i int, room bool) []figure {
	part := &p.circuit.Parts[i]
	m := markOf(part, p.near[i])
	on := p.nodes[i]
	grounds := make([]bool, len(on))
	grounded := false
	for k, n := range on {
		grounds[k] = n == p.ground
		grounded = grounded || grounds[k]
	}
	var list []figure
	add := func(way Way, mirror bool, cost float64) {
		f := dress(m, way, mirror, part, grounds, room)
		f.cost = cost
		list = append(list, f)
	}
	if s := part.Spot; s != nil && s.Way != AnyWay {
		add(s.Way, s.Mirror, 0)
		return list
	}
	first, last := on[0], on[len(on)-1]
	if len(on) == 3 && (m.pins[1].dx == 0) { // the third pin is the gate
		last = on[1]
	}
	kind := p.kinds[i]
	switch {
	case m.natural == Down && len(on) == 2:
		high, low := Down, Up // the ways with the higher node on top
		if p.volts[first] < p.volts[last] {
			high, low = Up, Down
		}
		with, against := Right, Left // the ways with the flow
		if p.rank[first] > p.rank[last] {
			with, against = Left, Right
		}
		upright, lying := 1.5, 0.0
		switch {
		case isSource(kind) || kind == "load":
			upright, lying = 0, 25
		case grounded:
			upright, lying = 0, 15
		case isSeries(kind):
			upright, lying = 4, 0
		case p.rail[first] || p.rail[last]:
			upright, lying = 0, 4
		case isCapacitor(kind):
			upright, lying = 3, 0
		case math.Abs(p.volts[first]-p.volts[last]) > 0.2*p.span:
			upright, lying = 0, 3
		}
		add(high, false, upright)
		turned := 10.0
		switch {
		case grounded && p.volts[first] <= 0 && p.volts[last] <= 0:
			turned = 7
		case grounded || isSource(kind):
			turned = 25
		}
		add(low, false, upright+turned)
		add(with, false, lying)
		add(against, false, lying+12)
	case m.natural == Down:
		high, low := Down, Up
		if p.volts[first] < p.volts[last] {
			high, low = Up, Down
		}
		with, against := Right, Left
		if p.rank[first] > p.rank[last] {
			with, against = Left, Right
		}
		left, right := high == Up, high != Up // mirrored, so that the third pin is on the left, on the right
		lying := 7.0
		if kind == "power transistor" {
			lying = 4
		}
		if grounded {
			lying = 15
		}
		add(high, left, 0)
		add(high, right, 2)
		add(low, !left, 8)
		add(low, !right, 9)
		add(with, false, lying)
		add(with, true, lying)
		add(against, false, lying+4)
		add(against, true, lying+4)
	default:
		turn := 2.0
		switch kind {
		case "op-amp", "comparator":
			turn = 0.5
		case "transformer", "bridge", "regulator":
			turn = 12 // the dots and the plus belong on top, the common pin below
		}
		add(Right, false, 0)
		add(Right, true, turn)
		add(Left, false, 20)
		add(Left, true, 20)
	}
	if s := part.Spot; s != nil && s.Mirror {
		for k := range list {
			if !list[k].mirror {
				list[k].cost += 100
			}
		}
	}
	slices.SortStableFunc(list, func(a, b figure) int { return cmp.Compare(a.cost, b.cost) })
	return list
}

// columnStep is about how far columns lie apart, before it is known what stands
// in them.
const columnStep = 13

// A placing is a placement that is being improved.
type placing struct {
	*plan
	figures [][]figure
	choice  []int // of each part, which of its figures
	column  []int
	line    []int
	fixed   []bool
	columns int
	lines   int
	taken   [][]int16 // of each column, the part on each line, counted from 1
	want    []float64 // of each part, the column that it is drawn to by the flow
	height  []float64 // of each node, the line that it is drawn to by its voltage
	length  []float64 // of each node, the cost of its wires
	touched [][]int   // of each part, its nodes once each, without ground
	first   []int     // of each part, the number of its first pin among all pins
	on      [][]int   // of each node, the numbers of its pins
	at      []spot    // of each pin, where it is
	random  uint64
}

// A spot is a pin with the place that a wire leaves it to.
type spot struct{ x, y, outX, outY int32 }

// next gives the next of a row of numbers below n that look random and are the
// same each time.
func (g *placing) next(n int) int {
	g.random ^= g.random << 13
	g.random ^= g.random >> 7
	g.random ^= g.random << 17
	return int(g.random % uint64(n))
}

// place finds a place for every part, beginning a row of numbers that look
// random with the one given. Figures are the choices of each part.
func place(p *plan, figures [][]figure, random uint64) *placing {
	n := len(p.nodes)
	g := &placing{plan: p, random: random, figures: figures, choice: make([]int, n), column: make([]int, n), line: make([]int, n), fixed: make([]bool, n)}
	cells, tallest, hinted := 0, 0, false
	for i := range n {
		f := &g.figures[i][0]
		cells += f.last - f.first + 2
		tallest = max(tallest, f.last-f.first+1)
		var on []int
		for _, m := range p.nodes[i] {
			if m != p.ground && !slices.Contains(on, m) {
				on = append(on, m)
			}
		}
		g.touched = append(g.touched, on)
		hinted = hinted || p.circuit.Parts[i].Spot != nil
	}
	// A drawing about one and a half times as wide as high, half of it empty.
	g.lines = max(tallest+4, int(math.Sqrt(float64(cells)*1.6*columnStep/lineStep/1.5)))
	g.columns = max(2, (cells*8/5+g.lines-1)/g.lines)
	g.aims()
	g.hints()
	g.taken = make([][]int16, g.columns)
	for c := range g.taken {
		g.taken[c] = make([]int16, g.lines)
	}
	g.begin()
	g.number()
	g.length = make([]float64, len(p.names))
	for m := range p.names {
		g.length[m] = g.wire(m)
	}
	g.improve()
	g.squeeze()
	return g
}

// aims works out where the flow and the voltages draw the parts.
func (g *placing) aims() {
	most := 1.0
	for n := range g.names {
		most = max(most, g.rank[n])
	}
	g.want = make([]float64, len(g.nodes))
	for i, on := range g.nodes {
		sum, count := 0.0, 0.0
		for _, n := range on {
			if n != g.ground {
				sum += g.rank[n]
				count++
			}
		}
		if count > 0 {
			g.want[i] = sum / count / most * float64(g.columns-1)
		}
		if isSource(g.kinds[i]) {
			g.want[i] = 0
		}
	}
	// Voltages draw by their order alone: 325 V and 5 V would leave nothing between.
	levels := slices.Clone(g.volts)
	slices.Sort(levels)
	levels = slices.CompactFunc(levels, func(a, b float64) bool { return b-a < 0.05 })
	g.height = make([]float64, len(g.names))
	for n := range g.names {
		g.height[n] = float64(g.lines-3) / 2
		if last := len(levels) - 1; last > 0 {
			k, _ := slices.BinarySearch(levels, g.volts[n]-0.05)
			g.height[n] = float64(last-min(k, last)) / float64(last) * float64(g.lines-3)
		}
	}
}

// hints fixes the parts that are told where to stand, and makes room for them.
func (g *placing) hints() {
	for i := range g.nodes {
		s := g.circuit.Parts[i].Spot
		if s == nil {
			continue
		}
		g.fixed[i] = true
		g.column[i] = max(0, s.Column-1)
		g.line[i] = max(0, int(math.Round((s.Row-1)*4))) + 2
		g.columns = max(g.columns, g.column[i]+1)
		g.lines = max(g.lines, g.line[i]+g.figures[i][0].last+2)
	}
}

// fits tells whether part i may stand in a column and on a line.
func (g *placing) fits(i, choice, column, line int) bool {
	f := &g.figures[i][choice]
	if column < 0 || column >= g.columns || line+f.first < 0 || line+f.last >= g.lines {
		return false
	}
	for _, other := range g.taken[column][line+f.first : line+f.last+1] {
		if other != 0 && other != int16(i+1) {
			return false
		}
	}
	return true
}

// set writes into the table where a part stands.
func (g *placing) set(i int, value int16) {
	f := &g.figures[i][g.choice[i]]
	row := g.taken[g.column[i]][g.line[i]+f.first : g.line[i]+f.last+1]
	for k := range row {
		row[k] = value
	}
}

// begin places every part near where the flow and the voltages draw it.
func (g *placing) begin() {
	order := make([]int, len(g.nodes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if g.fixed[a] != g.fixed[b] {
			if g.fixed[a] {
				return -1
			}
			return 1
		}
		size := func(i int) int { f := &g.figures[i][0]; return f.last - f.first }
		return cmp.Compare(size(b), size(a))
	})
	for _, i := range order {
		column, line := g.column[i], float64(g.line[i])
		if !g.fixed[i] {
			column = int(g.want[i])
			line = float64(g.lines)
			for _, n := range g.nodes[i] {
				line = min(line, g.height[n])
			}
		}
		for !g.nearest(i, column, int(line)) {
			g.lines += 4
			for c := range g.taken {
				g.taken[c] = append(g.taken[c], 0, 0, 0, 0)
			}
		}
		g.set(i, int16(i+1))
	}
}

// nearest puts a part on the free place nearest to the one wanted; one that is
// told where to stand stays in its column.
func (g *placing) nearest(i, column, line int) bool {
	best := math.Inf(1)
	for c := range g.columns {
		if g.fixed[i] && c != column {
			continue
		}
		for l := range g.lines {
			d := math.Abs(float64(c-column))*columnStep + math.Abs(float64(l-line))*lineStep
			if d < best && g.fits(i, 0, c, l) {
				best, g.column[i], g.line[i] = d, c, l
			}
		}
	}
	return !math.IsInf(best, 1)
}

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
			weight := 0.3
			if g.known[n] {
				weight = 1
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
	rounds := min(800*len(free), 18000)
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
	return worse <= 0 || float64(g.next(1<<20))/(1<<20) < math.Exp(-worse/heat)
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

// squeeze takes out columns and lines in which nothing stands.
func (g *placing) squeeze() {
	columns, lines := map[int]bool{}, make([]bool, g.lines)
	for i := range g.nodes {
		columns[g.column[i]] = true
		f := &g.figures[i][g.choice[i]]
		for l := f.first; l <= f.last; l++ {
			lines[g.line[i]+l] = true
		}
	}
	newColumn, count := make([]int, g.columns), 0
	for c := range newColumn {
		newColumn[c] = count
		if columns[c] {
			count++
		}
	}
	newLine, kept := make([]int, g.lines), 0
	for l := range newLine {
		newLine[l] = kept
		if lines[l] {
			kept++
		}
	}
	for i := range g.nodes {
		g.column[i] = newColumn[g.column[i]]
		f := &g.figures[i][g.choice[i]]
		g.line[i] = newLine[g.line[i]+f.first] - f.first
	}
	g.columns, g.lines = count, kept
}
