package sparse

import (
	"fmt"
	"math"
)

const (
	// A pivot off the preferred place is taken only when the preferred one is
	// smaller than this part of the largest candidate. Source: T. A. Davis and
	// E. Palamadai Natarajan, "Algorithm 907", ACM Transactions on Mathematical
	// Software 37 (2010), article 36: circuits keep their sparsity when the
	// diagonal is strongly preferred.
	pivotThreshold = 1e-3

	// The preferred pivot is also taken when it passes that test as it is, not
	// weighed by row: the conductance of a node that hangs on milliohms, but
	// itself is left with microsiemens, is as good a pivot as any. It must then
	// be above this part of the largest coefficient of its column, lest it be
	// what cancellation has left of rounding.
	noiseThreshold = 1e3 * singularThreshold

	// A column whose largest candidate is below this part of its largest
	// coefficient has been cancelled down to rounding: four units in the last
	// place.
	singularThreshold = 4 * 0x1p-52

	// Refactor gives up when a multiplier is this much larger than [Factor]
	// would have allowed.
	degradedBy = 1e3
)

// Factor chooses an order of pivots for the values and factors the matrix. A
// pattern that has not been frozen is frozen by it.
//
// Pivots are chosen by size relative to the largest coefficient of their row,
// so that a row in milliohms and one in gigohms are weighed alike. The error is
// a *[Singular] when the matrix has no inverse, and says where. A matrix that
// is merely very near to singular is factored; [LU.ReciprocalCondition] tells.
func Factor[T Scalar](p *Pattern, values []T) (*LU[T], error) {
	if len(values) != p.Slots() {
		return nil, fmt.Errorf("sparse: Factor: %d values for a pattern of %d slots", len(values), p.Slots())
	}
	p.Freeze()
	if p.analysis.singular != nil {
		s := *p.analysis.singular
		return nil, &s
	}
	e := newElimination(p.n, p.analysis, values)
	if err := e.eliminate(); err != nil {
		return nil, err
	}
	return &LU[T]{pattern: p, fresh: e.columns, work: e.column}, nil
}

// elimination is the state of the first factorization: a column at a time, each
// found by solving a triangular system with the columns before it.
//
// Source: J. R. Gilbert and T. Peierls, "Sparse partial pivoting in time
// proportional to arithmetic operations", SIAM Journal on Scientific and
// Statistical Computing 9 (1988), pages 862-874: which earlier columns take
// part is found by depth-first search. S. C. Eisenstat and J. W. H. Liu,
// "Exploiting structural symmetry in a sparse partial pivoting code", SIAM
// Journal on Scientific Computing 14 (1993), pages 253-257: the search may skip
// the part of a column that is also found through a later one.
type elimination[T Scalar] struct {
	*columns[T]
	values []T
	pruned []int32 // end of the part of a column of L to be searched

	// Scratch.
	column []T // the column being computed, by row of the matrix
	seen   []int32
	path   []int32
	try    []int32
	order  []int32 // the earlier columns that take part, filled from the end
}

func newElimination[T Scalar](n int, a *analysis, values []T) elimination[T] {
	// Room for the fill expected, and somewhat more in case pivots are taken
	// from elsewhere.
	fill := a.fill + a.fill/8 + 16
	lists := make(ints, 9*n+2+2*fill)
	vectors := make([]T, 2*n+2*fill+len(a.slots)-a.within)
	e := elimination[T]{
		columns: &columns[T]{
			analysis: a,
			structure: structure{
				n: n, pivotOf: lists.take(n), rowOf: lists.take(n), weight: make([]float64, n),
				lowerStart: lists.take(n + 1), lowerRow: lists.take(fill)[:0],
				upperStart: lists.take(n + 1), upperAt: lists.take(fill)[:0],
			},
			inverses: vectors[n:][:n:n], lower: vectors[2*n:][:0:fill], upper: vectors[2*n+fill:][:0:fill],
			coupling: vectors[2*n+2*fill:],
		},
		values: values, pruned: lists.take(n),
		column: vectors[:n:n], seen: lists.take(n), path: lists.take(n), try: lists.take(n), order: lists.take(n),
	}
	for i := range n {
		e.pivotOf[i], e.seen[i] = -1, -1
	}
	coupling := e.coupling
	for k, from := range a.start[:n] {
		to, end := a.beyond[k], a.start[k+1]
		slots := a.slots[from:to]
		for t, row := range a.rows[from:to] {
			e.weight[row] = max(e.weight[row], size(values[slots[t]]))
		}
		for _, slot := range a.slots[to:end] {
			coupling[0], coupling = values[slot], coupling[1:]
		}
	}
	for i, w := range e.weight {
		if w > 0 {
			e.weight[i] = 1 / w
		}
	}
	return e
}

// eliminate goes through the columns, block after block. When a column turns
// out to depend on those before it, the others are eliminated all the same:
// the row that is left in the end is one that depends on the other rows. (The
// first dependent column and the last dependent row are meant. What depends on
// what inside a block in the middle need not do so in the whole matrix.)
func (e *elimination[T]) eliminate() error {
	var singular *Singular
	for b := range len(e.blockStart) - 1 {
		from, to := e.blockStart[b], e.blockStart[b+1]
		dependent := int32(-1)
		for k := from; k < to; k++ {
			e.compute(k, e.search(k))
			if e.choose(k) {
				e.prune(k)
			} else if dependent < 0 {
				dependent = k
			}
		}
		if dependent < 0 {
			continue
		}
		if singular == nil {
			singular = &Singular{Column: int(e.columnAt[dependent])}
		}
		row := e.preferred[dependent]
		for k := from; e.pivotOf[row] >= 0; k++ {
			row = e.preferred[k]
		}
		singular.Row = int(row)
	}
	if singular != nil {
		return singular
	}
	return nil
}

// search puts the coefficients of column k into column and finds which of its
// rows will not be zero. Those without a pivot are appended to lowerRow; the
// pivots of the others are left in order[top:], each before those it updates.
func (e *elimination[T]) search(k int32) (top int32) {
	top = int32(e.n)
	lowerRow, pivotOf, seen, path, try := e.lowerRow, e.pivotOf, e.seen, e.path, e.try
	values, column := e.values, e.column
	from, to := e.start[k], e.beyond[k]
	slots := e.slots[from:to]
	for t, root := range e.rows[from:to] {
		column[root] = values[slots[t]]
		if seen[root] == k {
			continue
		}
		seen[root] = k
		p := pivotOf[root]
		if p < 0 {
			lowerRow = append(lowerRow, root)
			continue
		}
		depth := 0
		path[0], try[0] = p, e.lowerStart[p]
		for depth >= 0 {
			p := path[depth]
			at, end := try[depth], e.pruned[p]
			for ; at < end; at++ {
				row := lowerRow[at]
				if seen[row] == k {
					continue
				}
				seen[row] = k
				next := pivotOf[row]
				if next < 0 {
					lowerRow = append(lowerRow, row)
					continue
				}
				try[depth] = at + 1
				depth++
				path[depth], try[depth] = next, e.lowerStart[next]
				break
			}
			if at == end {
				depth--
				top--
				e.order[top] = p
			}
		}
	}
	e.lowerRow = lowerRow
	return top
}

// compute finds the values of column k. Those of U are appended to upper; the
// rest stays in column.
func (e *elimination[T]) compute(k, top int32) {
	x := e.column
	order := e.order[top:]
	if len(order) > 0 {
		upper := e.upper
		for _, p := range order {
			row := e.rowOf[p]
			u := x[row]
			x[row] = 0
			upper = append(upper, u)
			rows, values := e.lowerColumn(p)
			values = values[:len(rows)]
			for t, row := range rows {
				x[row] -= values[t] * u
			}
		}
		e.upper = upper
		e.upperAt = append(e.upperAt, order...)
	}
	e.upperStart[k+1] = int32(len(e.upperAt))
}

// choose picks the pivot of column k among the rows without one, and closes the
// column of L. It returns false, and leaves that column empty, when there is
// none.
func (e *elimination[T]) choose(k int32) bool {
	x, rows := e.column, e.lowerRow[e.lowerStart[k]:]
	preferred, at, best := e.preferred[k], -1, 0.0
	for t, row := range rows {
		best = max(best, size(x[row])*e.weight[row])
		if row == preferred {
			at = t
		}
	}
	// No coefficient of the matrix weighs more than one, so if best is above
	// the threshold, it is above that share of the largest.
	if at < 0 || !(best > 2*singularThreshold) || !(size(x[preferred])*e.weight[preferred] >= pivotThreshold*best) {
		if at = e.compare(k, rows); at < 0 {
			for _, row := range rows {
				x[row] = 0
			}
			e.lowerRow = e.lowerRow[:e.lowerStart[k]]
			e.lowerStart[k+1], e.pruned[k] = e.lowerStart[k], e.lowerStart[k]
			return false
		}
	}
	row := rows[at]
	factor := inverse(x[row])
	x[row] = 0
	e.rowOf[k], e.pivotOf[row], e.inverses[k] = row, k, factor
	last := len(rows) - 1
	rows[at] = rows[last]
	rows = rows[:last]
	sound := true
	lower := e.lower
	for _, row := range rows {
		v := x[row] * factor
		x[row] = 0
		sound = sound && size(v) <= math.MaxFloat64 // else it is no number
		lower = append(lower, v)
	}
	e.lower = lower
	e.lowerRow = e.lowerRow[:len(e.lowerRow)-1]
	e.lowerStart[k+1] = int32(len(e.lowerRow))
	e.pruned[k] = e.lowerStart[k+1]
	return sound
}

// compare goes about choosing among the rows of column k with more care, when
// the preferred one is missing or small. It returns the index of the best, or
// -1 when all have been cancelled down to rounding.
func (e *elimination[T]) compare(k int32, rows []int32) int {
	x := e.column
	largest := 0.0 // coefficient of the matrix in this column, weighed by row
	for at := e.start[k]; at < e.beyond[k]; at++ {
		largest = max(largest, size(e.values[e.slots[at]])*e.weight[e.rows[at]])
	}
	best, at := 0.0, -1 // by weighed size
	plain := 0.0        // largest size as it is
	preferred := -1
	for t, row := range rows {
		m, w := size(x[row]), e.weight[row]
		plain = max(plain, m)
		if m*w > best {
			best, at = m*w, t
		}
		if row == e.preferred[k] {
			preferred = t
		}
	}
	if at < 0 || !(best > singularThreshold*largest) {
		return -1
	}
	if preferred >= 0 {
		row := rows[preferred]
		m := size(x[row])
		if weighed := m * e.weight[row]; weighed >= pivotThreshold*best ||
			m >= pivotThreshold*plain && weighed >= noiseThreshold*largest {
			return preferred
		}
	}
	return at
}

// prune shortens the search through the columns that took part in column k and
// have its pivot row in them: what they have below is in column k as well.
func (e *elimination[T]) prune(k int32) {
	pivotRow := e.rowOf[k]
	for _, p := range e.upperAt[e.upperStart[k]:e.upperStart[k+1]] {
		from, to := e.lowerStart[p], e.lowerStart[p+1]
		if e.pruned[p] != to { // shortened before
			continue
		}
		rows, values := e.lowerRow[from:to], e.lower[from:to]
		found := false
		for _, row := range rows {
			if row == pivotRow {
				found = true
				break
			}
		}
		if !found {
			continue
		}
		head, tail := 0, len(rows)
		for head < tail {
			if e.pivotOf[rows[head]] >= 0 {
				head++
			} else {
				tail--
				rows[head], rows[tail] = rows[tail], rows[head]
				values[head], values[tail] = values[tail], values[head]
			}
		}
		e.pruned[p] = from + int32(tail)
	}
}
