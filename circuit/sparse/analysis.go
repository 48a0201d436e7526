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
	entries := len(rowOfSlot)
	room, kept := make(ints, 10*n+1+2*entries), make(ints, 5*n+2+2*entries)
	start, rows, slots := room.take(n+1), room.take(entries), room.take(entries)
	byColumn(start, rows, slots, rowOfSlot, columnOfSlot, room)
	rowOf := room.take(n)
	maximumTransversal(rowOf, start, rows, room)
	if s := unpaired(rowOf); s != nil {
		return &analysis{singular: s}
	}
	at := room.take(n) // position of each row's column
	order, blockStart := triangularBlocks(kept.take(n)[:0], kept.take(n + 1)[:0], start, rows, rowOf, room)
	a := &analysis{blockStart: blockStart, columnAt: order, preferred: kept.take(n)}

	for k, j := range order {
		at[rowOf[j]] = int32(k)
	}
	a.fill = orderBlocks(order, blockStart, start, rows, at)
	for k, j := range order {
		a.preferred[k] = rowOf[j]
		at[rowOf[j]] = int32(k)
	}

	a.start, a.beyond = kept.take(n+1), kept.take(n)
	a.rows, a.slots = kept.take(len(rows)), kept.take(len(rows))
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

// byColumn sorts slots by column. Room is scratch for n.
func byColumn(start, rows, slots, rowOfSlot, columnOfSlot []int32, room ints) {
	for _, j := range columnOfSlot {
		start[j+1]++
	}
	n := len(start) - 1
	for j := range n {
		start[j+1] += start[j]
	}
	next := room.take(n)
	copy(next, start)
	for s, j := range columnOfSlot {
		at := next[j]
		rows[at], slots[at] = rowOfSlot[s], int32(s)
		next[j] = at + 1
	}
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
