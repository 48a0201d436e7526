package sparse

import "slices"

// plan is the elimination written out for one order of pivots: everything that
// [LU.Refactor] and the solves need, except the values. It never changes and
// is shared by all clones of an [LU].
//
// # Fronts
//
// Pivots are numbered from zero in the order of elimination. Consecutive pivots
// whose columns of L and rows of U reach the same later pivots form a front.
// The front of pivots first..first+width-1 changes as many later rows as below
// says and as many later columns as beside says. Its share of the factors is
// two dense pieces, side by side in one flat slice of values:
//
//	panel  width columns of width+below values each: the square of the
//	       front's own pivots (U above the diagonal, L below it, the inverse
//	       of the pivot on it), then the rows of L below;
//	right  beside columns of width values each: the rows of U to the right.
//
// So inside a front no index is looked up at all. Eliminating it changes below
// by beside values in later fronts; targets says where in the flat slice each
// of them is, column after column. That list is what makes a refactorization a
// plain walk.
//
// # Blocks
//
// When the pattern falls into blocks (see [triangularBlocks]), each block is
// factored by itself and the coefficients above the diagonal blocks are kept as
// they are, column by column, in coupling*; solves use them from the last
// block to the first.
type plan struct {
	n        int
	rowAt    []int32   // row of each pivot
	columnAt []int32   // column of each pivot
	growth   []float64 // largest multiplier tolerated for each pivot
	place    []int32   // index in the flat slice of each slot's value
	length   int32     // of the flat slice

	fronts     []front
	lists      []int32 // later rows and columns, front after front
	targets    []int32 // front after front
	blockFront []int32 // first front of each block, then the number of fronts

	couplingStart []int32 // by column pivot
	couplingAt    []int32 // row pivot of each coupling coefficient
	couplingFrom  int32   // index of the first one's value
}

// front is a group of pivots that are eliminated together; see [plan].
type front struct {
	first, width  int32
	below, beside int32 // numbers of later rows and later columns
	values        int32 // index of the panel among the values
	lists         int32 // index of the later rows in plan.lists; the later columns follow
	targets       int32 // index in plan.targets
}

// rows are the later pivots whose rows front f changes.
func (pl *plan) rows(f *front) []int32 { return pl.lists[f.lists:][:f.below] }

// columns are the later pivots whose columns front f changes.
func (pl *plan) columns(f *front) []int32 { return pl.lists[f.lists+f.below:][:f.beside] }

// height is the number of rows of the panel.
func (f *front) height() int32 { return f.width + f.below }

// right is the index of the right piece among the values.
func (f *front) right() int32 { return f.values + f.width*f.height() }

// newPlan writes out the elimination that s describes. It takes over the slices
// of s.
func newPlan(a *analysis, s *structure) *plan {
	pl := &plan{n: s.n, rowAt: s.rowOf, columnAt: a.columnAt, growth: s.growth}
	for at, row := range s.lowerRow {
		s.lowerRow[at] = s.pivotOf[row]
	}
	pl.formFronts(a.blockStart, s)
	pl.addCoupling(a)
	pl.findPlaces(a, s)
	return pl
}

// formFronts groups the pivots and lays out the values.
func (pl *plan) formFronts(blockStart []int32, s *structure) {
	rightStart, right := s.upperByRow()
	lowerOf := func(k int32) []int32 { return s.lowerRow[s.lowerStart[k]:s.lowerStart[k+1]] }
	rightOf := func(k int32) []int32 { return right[rightStart[k]:rightStart[k+1]] }
	pl.blockFront = make([]int32, 0, len(blockStart))
	pl.fronts = make([]front, 0, s.n)
	pl.lists = make([]int32, 0, len(s.lowerRow)+len(right))
	targets := int32(0)
	for b := range len(blockStart) - 1 {
		pl.blockFront = append(pl.blockFront, int32(len(pl.fronts)))
		for k := blockStart[b]; k < blockStart[b+1]; k++ {
			first := k
			rows, columns := lowerOf(k), rightOf(k)
			for k+1 < blockStart[b+1] {
				nextRows, nextColumns := lowerOf(k+1), rightOf(k+1)
				if !joins(rows, nextRows, k+1) || !joins(columns, nextColumns, k+1) {
					break
				}
				rows, columns = nextRows, nextColumns
				k++
			}
			f := front{
				first: first, width: k + 1 - first, below: int32(len(rows)), beside: int32(len(columns)),
				values: pl.length, lists: int32(len(pl.lists)), targets: targets,
			}
			pl.lists = append(append(pl.lists, rows...), columns...)
			pl.length += f.width * (f.width + f.below + f.beside)
			targets += f.below * f.beside
			pl.fronts = append(pl.fronts, f)
		}
	}
	pl.blockFront = append(pl.blockFront, int32(len(pl.fronts)))
	pl.targets = make([]int32, targets)
}

// upperByRow lists U by rows: for each pivot, the later pivots in its row.
func (s *structure) upperByRow() (start, columns []int32) {
	start = make([]int32, s.n+1)
	for _, k := range s.upperAt {
		start[k+1]++
	}
	for k := range s.n {
		start[k+1] += start[k]
	}
	next := append([]int32(nil), start[:s.n]...)
	columns = make([]int32, len(s.upperAt))
	for j := range int32(s.n) {
		for _, k := range s.upperAt[s.upperStart[j]:s.upperStart[j+1]] {
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

// addCoupling makes room for the coefficients above the diagonal blocks.
func (pl *plan) addCoupling(a *analysis) {
	pl.couplingFrom = pl.length
	pl.couplingStart = make([]int32, pl.n+1)
	for k := range pl.n {
		pl.couplingStart[k] = pl.length - pl.couplingFrom
		pl.length += a.start[k+1] - a.beyond[k]
	}
	pl.couplingStart[pl.n] = pl.length - pl.couplingFrom
}

// findPlaces goes through the columns; with the places of one column's rows at
// hand, it writes the targets in that column and the places of its
// coefficients.
func (pl *plan) findPlaces(a *analysis, s *structure) {
	// The fronts that change each column, and as which of their columns.
	type change struct{ front, index int32 }
	start := make([]int32, pl.n+1)
	for f := range pl.fronts {
		for _, j := range pl.columns(&pl.fronts[f]) {
			start[j+1]++
		}
	}
	for j := range pl.n {
		start[j+1] += start[j]
	}
	next := append([]int32(nil), start[:pl.n]...)
	changes := make([]change, start[pl.n])
	for f := range pl.fronts {
		for index, j := range pl.columns(&pl.fronts[f]) {
			changes[next[j]] = change{int32(f), int32(index)}
			next[j]++
		}
	}

	pl.place = make([]int32, len(a.slots))
	pl.couplingAt = make([]int32, 0, pl.length-pl.couplingFrom)
	where := make([]int32, pl.n) // place of each row in the present column
	for f := range pl.fronts {
		fr := &pl.fronts[f]
		rows := pl.rows(fr)
		for c := range fr.width {
			j := fr.first + c
			left := changes[start[j]:start[j+1]]
			for _, ch := range left {
				other := &pl.fronts[ch.front]
				place := other.right() + ch.index*other.width
				for k := range other.width {
					where[other.first+k] = place + k
				}
			}
			place := fr.values + c*fr.height()
			for k := range fr.width {
				where[fr.first+k] = place + k
			}
			place += fr.width
			for t, row := range rows {
				where[row] = place + int32(t)
			}
			for _, ch := range left {
				other := &pl.fronts[ch.front]
				list := pl.targets[other.targets+ch.index*other.below:][:other.below]
				for t, row := range pl.rows(other) {
					list[t] = where[row]
				}
			}
			for at := a.start[j]; at < a.beyond[j]; at++ {
				pl.place[a.slots[at]] = where[s.pivotOf[a.rows[at]]]
			}
			for at := a.beyond[j]; at < a.start[j+1]; at++ {
				pl.place[a.slots[at]] = pl.couplingFrom + int32(len(pl.couplingAt))
				pl.couplingAt = append(pl.couplingAt, s.pivotOf[a.rows[at]])
			}
		}
	}
}
