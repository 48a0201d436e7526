package sparse

import "sync"

// columns are the factors as [Factor] finds them: one column after the other,
// with the rows numbered as in the matrix. One solution can be had from them at
// once; who wants more gets a [plan] made from them by the first
// [LU.Refactor].
type columns[T Scalar] struct {
	*analysis
	structure
	lower, upper []T // values of L and U, for each of lowerRow and upperAt
	inverses     []T // of the pivots
	coupling     []T // coefficients that lie in earlier blocks, column after column

	once sync.Once
	plan *plan
}

// structure says where the factors are not zero, and which pivots were chosen.
type structure struct {
	n       int
	pivotOf []int32   // pivot of each row, or -1
	rowOf   []int32   // row of each pivot
	weight  []float64 // 1 / largest coefficient of each row, in its block

	// Column k of L has the rows lowerRow[lowerStart[k]:lowerStart[k+1]] of the
	// matrix, without the unit diagonal. Column k of U has the pivots
	// upperAt[upperStart[k]:upperStart[k+1]], without the diagonal.
	lowerStart, lowerRow []int32
	upperStart, upperAt  []int32
}

// planned returns the plan, which all clones of an [LU] share.
func (c *columns[T]) planned() *plan {
	c.once.Do(func() { c.plan = newPlan(c.analysis, &c.structure) })
	return c.plan
}

// size counts the values.
func (c *columns[T]) size() int {
	return len(c.lower) + len(c.upper) + len(c.inverses) + len(c.coupling)
}

// lowerColumn returns column k of L.
func (c *columns[T]) lowerColumn(k int32) (rows []int32, values []T) {
	rows = c.lowerRow[c.lowerStart[k]:c.lowerStart[k+1]]
	return rows, c.lower[c.lowerStart[k]:][:len(rows)]
}

// upperColumn returns column k of U above the diagonal.
func (c *columns[T]) upperColumn(k int32) (pivots []int32, values []T) {
	pivots = c.upperAt[c.upperStart[k]:c.upperStart[k+1]]
	return pivots, c.upper[c.upperStart[k]:][:len(pivots)]
}

// solve does the work of [LU.Solve]; w is scratch.
func (c *columns[T]) solve(w, b []T) {
	copy(w, b)
	coupling := len(c.coupling)
	for block := len(c.blockStart) - 2; block >= 0; block-- {
		from, to := c.blockStart[block], c.blockStart[block+1]
		for k := from; k < to; k++ {
			v := w[c.rowOf[k]]
			rows, values := c.lowerColumn(k)
			for t, row := range rows {
				w[row] -= values[t] * v
			}
		}
		for k := to - 1; k >= from; k-- {
			v := w[c.rowOf[k]] * c.inverses[k]
			b[c.columnAt[k]] = v
			pivots, values := c.upperColumn(k)
			for t, p := range pivots {
				w[c.rowOf[p]] -= values[t] * v
			}
			rows := c.rows[c.beyond[k]:c.start[k+1]]
			coupling -= len(rows)
			for t, row := range rows {
				w[row] -= c.coupling[coupling+t] * v
			}
		}
	}
}

// solveTransposed does the work of [LU.SolveTransposed]; w is scratch.
func (c *columns[T]) solveTransposed(w, b []T) {
	coupling := 0
	for block := range len(c.blockStart) - 1 {
		from, to := c.blockStart[block], c.blockStart[block+1]
		for k := from; k < to; k++ {
			sum := b[c.columnAt[k]]
			rows := c.rows[c.beyond[k]:c.start[k+1]]
			for t, row := range rows {
				sum -= c.coupling[coupling+t] * w[row]
			}
			coupling += len(rows)
			pivots, values := c.upperColumn(k)
			for t, p := range pivots {
				sum -= values[t] * w[c.rowOf[p]]
			}
			w[c.rowOf[k]] = sum * c.inverses[k]
		}
		for k := to - 1; k >= from; k-- {
			sum := w[c.rowOf[k]]
			rows, values := c.lowerColumn(k)
			for t, row := range rows {
				sum -= values[t] * w[row]
			}
			w[c.rowOf[k]] = sum
		}
	}
	copy(b, w)
}

// largest enters the size of the largest coefficient that each column of the
// matrix has in its block into before, and that of the largest value of U into
// after, both in the caller's numbering.
func (c *columns[T]) largest(coefficients []T, before, after []float64) {
	for k, j := range c.columnAt {
		for _, s := range c.slots[c.start[k]:c.beyond[k]] {
			before[j] = max(before[j], size(coefficients[s]))
		}
		after[j] = size(inverse(c.inverses[k]))
		_, values := c.upperColumn(int32(k))
		for _, v := range values {
			after[j] = max(after[j], size(v))
		}
	}
}
