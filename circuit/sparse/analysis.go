package sparse

import "slices"

// analysis is what the pattern alone determines: the blocks, the order of the
// columns, and the row that each column would take as its pivot if size did
// not matter. Positions k count along the order of elimination.
type analysis struct {
	blockStart []int32 // first position of each block, then n
	columnAt   []int32 // column at each position
	preferred  []int32 // row preferred as its pivot

	// The coefficients of the column at position k, as rows and slots: from
	// start[k] those of its own block, from beyond[k] to start[k+1] those of
	// earlier blocks.
	start, beyond []int32
	rows, slots   []int32

	within int // coefficients inside the blocks

	fill int // values of L below the diagonal if the preferred rows are taken

	// Where no choice of values could make the matrix regular: a row and a
	// column left without a partner. Nothing above is set then.
	singular *Singular
}

// analyse finds the order of elimination for a pattern.
func analyse(n int, rowOfSlot, columnOfSlot []int32) *analysis {
	start, rows, slots := byColumn(n, rowOfSlot, columnOfSlot)
	rowOf := maximumTransversal(n, start, rows)
	if s := unpaired(rowOf); s != nil {
		return &analysis{singular: s}
	}
	order, blockStart := triangularBlocks(n, start, rows, rowOf)
	lists := make(ints, 4*n+1+2*len(rows))
	a := &analysis{blockStart: blockStart, columnAt: order, preferred: lists.take(n)}

	at := lists.take(n) // position of each row's column
	for k, j := range order {
		at[rowOf[j]] = int32(k)
	}
	a.fill = orderBlocks(order, blockStart, start, rows, at)
	for k, j := range order {
		a.preferred[k] = rowOf[j]
		at[rowOf[j]] = int32(k)
	}

	a.start, a.beyond = lists.take(n+1), lists.take(n)
	a.rows, a.slots = lists.take(len(rows)), lists.take(len(rows))
	b, to := 0, int32(0)
	for k, j := range order {
		if int32(k) == blockStart[b+1] {
			b++
		}
		a.start[k] = to
		end := start[j+1] - start[j] + to // coefficients of earlier blocks go to the end
		beyond := end
		for p := start[j]; p < start[j+1]; p++ {
			if at[rows[p]] >= blockStart[b] {
				a.rows[to], a.slots[to] = rows[p], slots[p]
				to++
				a.within++
			} else {
				beyond--
				a.rows[beyond], a.slots[beyond] = rows[p], slots[p]
			}
		}
		a.beyond[k], to = beyond, end
	}
	a.start[n] = to
	return a
}

// byColumn sorts slots by column.
func byColumn(n int, rowOfSlot, columnOfSlot []int32) (start, rows, slots []int32) {
	lists := make(ints, 2*n+1+2*len(rowOfSlot))
	start = lists.take(n + 1)
	for _, j := range columnOfSlot {
		start[j+1]++
	}
	for j := range n {
		start[j+1] += start[j]
	}
	next := lists.take(n)
	copy(next, start)
	rows, slots = lists.take(len(rowOfSlot)), lists.take(len(rowOfSlot))
	for s, j := range columnOfSlot {
		rows[next[j]], slots[next[j]] = rowOfSlot[s], int32(s)
		next[j]++
	}
	return start, rows, slots
}

// unpaired names a column without a row and a row without a column, if any.
func unpaired(rowOf []int32) *Singular {
	column := slices.Index(rowOf, -1)
	if column < 0 {
		return nil
	}
	taken := make([]bool, len(rowOf))
	for _, i := range rowOf {
		if i >= 0 {
			taken[i] = true
		}
	}
	return &Singular{Row: slices.Index(taken, false), Column: column, Structural: true}
}
