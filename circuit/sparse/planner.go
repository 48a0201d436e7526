package sparse

import "slices"

// planner makes a plan out of the outcome of an elimination.
type planner struct {
	*analysis
	*structure
	plan     plan
	fronts   []front // in the order of elimination, single pivots included
	position []int32 // position that each pivot had in the analysis
	pivotOf  []int32 // pivot of each row, in the plan's own numbering

	kept, scratch ints // what becomes part of the plan, and what does not
}

// newPlan writes out the elimination that s describes.
func newPlan(a *analysis, s *structure) *plan {
	fill := len(s.lowerRow) + len(s.upperAt)
	p := &planner{
		analysis: a, structure: s, plan: plan{n: s.n},
		kept:    make(ints, 3*s.n+1+fill+2*len(a.slots)),
		scratch: make(ints, 10*s.n+2+fill),
	}
	p.formFronts()
	p.arrange()
	p.layOut()
	p.findPlaces()
	return &p.plan
}

// A front of few pivots that changes few values is not worth its while and is
// dissolved into single pivots. Both bounds were found by measurement.
const (
	fewPivots = 4
	fewValues = 40
)

// formFronts groups the pivots.
func (p *planner) formFronts() {
	lower := p.scratch.take(len(p.lowerRow))
	for at, row := range p.lowerRow {
		lower[at] = p.structure.pivotOf[row]
	}
	start, right := p.upperByRow()
	below := func(k int32) []int32 { return lower[p.lowerStart[k]:p.lowerStart[k+1]] }
	beside := func(k int32) []int32 { return right[start[k]:start[k+1]] }
	p.fronts = make([]front, 0, p.n)
	p.plan.lists = p.kept.take(len(p.lowerRow) + len(right))[:0]
	add := func(first, last int32) {
		rows, columns := below(last), beside(last)
		p.fronts = append(p.fronts, front{
			first: first, width: last + 1 - first, below: int32(len(rows)), beside: int32(len(columns)),
			lists: int32(len(p.plan.lists)),
		})
		p.plan.lists = append(append(p.plan.lists, rows...), columns...)
	}
	for b := range len(p.blockStart) - 1 {
		for k := p.blockStart[b]; k < p.blockStart[b+1]; k++ {
			first := k
			for k+1 < p.blockStart[b+1] && joins(below(k), below(k+1), k+1) && joins(beside(k), beside(k+1), k+1) {
				k++
			}
			if k+1-first < fewPivots && len(below(k))*len(beside(k)) <= fewValues {
				for ; first < k; first++ {
					add(first, first)
				}
			}
			add(first, k)
		}
	}
}

// upperByRow lists U by rows: for each pivot, the later pivots in its row.
func (p *planner) upperByRow() (start, columns []int32) {
	start, next := p.scratch.take(p.n+1), p.scratch.take(p.n)
	for _, k := range p.upperAt {
		start[k+1]++
	}
	for k := range p.n {
		start[k+1] += start[k]
	}
	copy(next, start)
	columns = p.scratch.take(len(p.upperAt))
	for j := range int32(p.n) {
		for _, k := range p.upperAt[p.upperStart[j]:p.upperStart[j+1]] {
			columns[next[k]] = j
			next[k]++
		}
	}
	return start, columns
}

// joins reports whether list consists of pivot and the members of next. Since
// elimination fills in, all of list but pivot is in next as soon as pivot is in
// list; so it is enough to compare lengths.
func joins(list, next []int32, pivot int32) bool {
	return len(list) == len(next)+1 && slices.Contains(list, pivot)
}

// arrange sorts the fronts of each block into groups, single pivots first, and
// renumbers the pivots accordingly.
func (p *planner) arrange() {
	pl := &p.plan
	frontOf := p.scratch.take(p.n)
	for f := range p.fronts {
		for c := range p.fronts[f].width {
			frontOf[p.fronts[f].first+c] = int32(f)
		}
	}
	level := p.scratch.take(len(p.fronts)) // the length of the longest chain of fronts before this one
	sorted := make([]front, 0, len(p.fronts))
	p.position = p.scratch.take(p.n)[:0]
	pl.groups = make([]group, 0, min(p.n, 50))
	var count []int32
	for b := 0; b < len(p.blockStart)-1; b++ {
		from := frontOf[p.blockStart[b]]
		for b+2 < len(p.blockStart) && p.blockStart[b+1]-p.blockStart[b] == 1 && p.blockStart[b+2]-p.blockStart[b+1] == 1 {
			b++
		}
		to := int32(len(p.fronts))
		if p.blockStart[b+1] < int32(p.n) {
			to = frontOf[p.blockStart[b+1]]
		}
		s := section{first: int32(len(p.position)), end: p.blockStart[b+1], firstGroup: int32(len(pl.groups)), triangular: p.blockStart[b]+1 == p.blockStart[b+1]}
		// Count the fronts of each level, those that are single pivots apart.
		count = count[:0]
		for f := from; f < to; f++ {
			fr := &p.fronts[f]
			for _, k := range pl.lists[fr.lists:][:fr.below+fr.beside] {
				level[frontOf[k]] = max(level[frontOf[k]], level[f]+1)
			}
			for len(count) < 2*int(level[f])+2 {
				count = append(count, 0)
			}
			count[p.rank(f, level)]++
		}
		total := int32(len(sorted))
		for r := range count {
			count[r], total = total, total+count[r]
		}
		sorted = sorted[:total]
		for f := from; f < to; f++ {
			r := p.rank(f, level)
			sorted[count[r]] = p.fronts[f]
			count[r]++
		}
		for r := 0; r < len(count); r += 2 { // count now has the ends
			begin := from
			if r > 0 {
				begin = count[r-1]
			}
			pl.groups = append(pl.groups, group{first: begin, fronts: count[r], endFront: count[r+1]})
		}
		for f := from; f < to; f++ {
			fr := &sorted[f]
			was := fr.first
			fr.first = int32(len(p.position))
			for c := range fr.width {
				p.position = append(p.position, was+c)
			}
		}
		s.endGroup = int32(len(pl.groups))
		pl.sections = append(pl.sections, s)
	}
	p.fronts = sorted
	p.renumber()
}

// rank orders the fronts of a block: by level, single pivots first.
func (p *planner) rank(f int32, level []int32) int32 {
	if p.fronts[f].single() {
		return 2 * level[f]
	}
	return 2*level[f] + 1
}

// renumber applies the new order to everything that names a pivot.
func (p *planner) renumber() {
	pl := &p.plan
	pivot := p.scratch.take(p.n) // by old number
	pl.rowAt, pl.columnAt, pl.growth = p.kept.take(p.n), p.kept.take(p.n), make([]float64, p.n)
	for k, was := range p.position {
		pivot[was] = int32(k)
		pl.rowAt[k], pl.columnAt[k], pl.growth[k] = p.rowOf[was], p.columnAt[was], p.growth(was)
	}
	p.pivotOf = p.scratch.take(p.n)
	for i, k := range p.structure.pivotOf {
		p.pivotOf[i] = pivot[k]
	}
	for at, k := range pl.lists {
		pl.lists[at] = pivot[k]
	}
}

// growth returns the largest multiplier that [LU.Refactor] is to tolerate for a
// pivot. Multipliers of lighter rows than the pivot's own may be larger.
func (p *planner) growth(pivot int32) float64 {
	own := p.weight[p.rowOf[pivot]]
	lightest := own
	for _, row := range p.lowerRow[p.lowerStart[pivot]:p.lowerStart[pivot+1]] {
		lightest = min(lightest, p.weight[row])
	}
	return degradedBy / pivotThreshold * max(1, own/lightest)
}

// layOut gives every front its place among the values.
func (p *planner) layOut() {
	pl := &p.plan
	pl.links = make([]link, 0, len(pl.lists))
	updates, targets := int32(0), int32(0)
	for at := range pl.groups {
		g := &pl.groups[at]
		singles, fronts := p.fronts[g.first:g.fronts], p.fronts[g.fronts:g.endFront]
		g.inverses, g.links, g.updates = pl.length, int32(len(pl.links)), updates
		g.first = 0
		if len(singles) > 0 {
			g.first = singles[0].first
		}
		next := pl.length + int32(len(singles))
		g.lower = next
		for i := range singles {
			f := &singles[i]
			f.square, f.lower = pl.length+int32(i), next
			next += f.below
			for _, k := range pl.rows(f) {
				pl.links = append(pl.links, link{own: f.first, other: k})
			}
		}
		g.upper = next
		for i := range singles {
			f := &singles[i]
			f.right, f.targets = next, updates
			next += f.beside
			updates += f.below * f.beside
			for _, k := range pl.columns(f) {
				pl.links = append(pl.links, link{own: f.first, other: k})
			}
		}
		g.end, g.endUpdate = next, updates
		pl.length = next
		g.fronts = int32(len(pl.fronts))
		for i := range fronts {
			f := &fronts[i]
			f.square, f.lower, f.right, f.targets = pl.length, pl.length+f.width, pl.length+f.width*f.height(), targets
			pl.length = f.right + f.width*f.beside
			targets += f.below * f.beside
			pl.fronts = append(pl.fronts, *f)
		}
		g.endFront = int32(len(pl.fronts))
	}
	pl.updates, pl.targets = make([]update, updates), make([]int32, targets)
	pl.coupling = pl.length
	pl.couplingStart = p.kept.take(p.n + 1)
	for k, at := range p.position {
		pl.couplingStart[k] = pl.length - pl.coupling
		pl.length += p.start[at+1] - p.beyond[at]
	}
	pl.couplingStart[p.n] = pl.length - pl.coupling
}

// findPlaces goes through the columns; with the places of one column's rows at
// hand, it writes down what changes in that column and the places of its
// coefficients.
func (p *planner) findPlaces() {
	pl := &p.plan
	// The fronts that change each column, and as which of their columns; where
	// holds the place of each row in the present column.
	type change struct{ front, index int32 }
	start, next, where := p.scratch.take(p.n+1), p.scratch.take(p.n), p.scratch.take(p.n)
	for f := range p.fronts {
		for _, j := range pl.columns(&p.fronts[f]) {
			start[j+1]++
		}
	}
	for j := range p.n {
		start[j+1] += start[j]
	}
	copy(next, start)
	changes := make([]change, start[p.n])
	for f := range p.fronts {
		for index, j := range pl.columns(&p.fronts[f]) {
			changes[next[j]] = change{int32(f), int32(index)}
			next[j]++
		}
	}

	pl.place = p.kept.take(len(p.slots))
	pl.couplingAt = p.kept.take(int(pl.length - pl.coupling))[:0]
	for at := range p.fronts {
		own := &p.fronts[at]
		for c := range own.width {
			j := own.first + c
			left := changes[start[j]:start[j+1]]
			for _, ch := range left {
				f := &p.fronts[ch.front]
				for r := range f.width {
					where[f.first+r] = f.right + ch.index*f.width + r
				}
			}
			for r := range own.width {
				where[own.first+r] = own.square + c*own.height() + r
			}
			for t, row := range pl.rows(own) {
				where[row] = own.lower + c*own.height() + int32(t)
			}
			for _, ch := range left {
				f := &p.fronts[ch.front]
				from := f.targets + ch.index*f.below
				if f.single() {
					list := pl.updates[from:][:f.below]
					for t, row := range pl.rows(f) {
						list[t] = update{target: where[row], lower: f.lower + int32(t), upper: f.right + ch.index}
					}
				} else {
					list := pl.targets[from:][:f.below]
					for t, row := range pl.rows(f) {
						list[t] = where[row]
					}
				}
			}
			was := p.position[j]
			for at := p.start[was]; at < p.beyond[was]; at++ {
				pl.place[p.slots[at]] = where[p.pivotOf[p.rows[at]]]
			}
			for at := p.beyond[was]; at < p.start[was+1]; at++ {
				pl.place[p.slots[at]] = pl.coupling + int32(len(pl.couplingAt))
				pl.couplingAt = append(pl.couplingAt, p.pivotOf[p.rows[at]])
			}
		}
	}
}
