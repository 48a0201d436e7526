package schematic

import (
	"cmp"
	"math"
	"slices"
)

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
	g.columns += 2 // in reserve: what takes part in one rail stands side by side
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
	// Voltages draw by their sign, and a little by their order: 325 V and 5 V
	// would leave nothing between.
	levels := slices.Clone(g.volts)
	slices.Sort(levels)
	levels = slices.CompactFunc(levels, func(a, b float64) bool { return b-a < 0.05 })
	zero, _ := slices.BinarySearch(levels, -0.05)
	const spread = 0.4 // of the page, for what is above ground and for what is below
	g.height = make([]float64, len(g.names))
	for n := range g.names {
		k, _ := slices.BinarySearch(levels, g.volts[n]-0.05)
		at := spread
		switch {
		case g.volts[n] > 0.05 && len(levels) > zero+1:
			at = spread * float64(len(levels)-1-k) / float64(len(levels)-1-zero)
		case g.volts[n] < -0.05 && zero > 0:
			at = 1 - spread*float64(k)/float64(zero)
		}
		g.height[n] = at * float64(g.lines-3)
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
		const farthest = 99
		row := s.Row
		if !(row >= 1) {
			row = 1
		}
		g.column[i] = min(max(s.Column, 1), farthest) - 1
		g.line[i] = int(math.Round((min(row, farthest)-1)*4)) + 2
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
