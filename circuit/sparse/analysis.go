package sparse

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
	a := &analysis{blockStart: blockStart, columnAt: order, preferred: make([]int32, n)}

	at := make([]int32, n) // position of each row's column
	for k, j := range order {
		at[rowOf[j]] = int32(k)
	}
	for b := range len(blockStart) - 1 {
		if from, to := blockStart[b], blockStart[b+1]; to-from > 2 {
			orderBlock(order[from:to], from, start, rows, at)
		}
	}
	for k, j := range order {
		a.preferred[k] = rowOf[j]
		at[rowOf[j]] = int32(k)
	}

	a.start, a.beyond = make([]int32, n+1), make([]int32, n)
	a.rows, a.slots = make([]int32, 0, len(rows)), make([]int32, 0, len(rows))
	b := 0
	for k, j := range order {
		if int32(k) == blockStart[b+1] {
			b++
		}
		a.start[k] = int32(len(a.rows))
		for p := start[j]; p < start[j+1]; p++ {
			if at[rows[p]] >= blockStart[b] {
				a.rows, a.slots = append(a.rows, rows[p]), append(a.slots, slots[p])
			}
		}
		a.beyond[k] = int32(len(a.rows))
		for p := start[j]; p < start[j+1]; p++ {
			if at[rows[p]] < blockStart[b] {
				a.rows, a.slots = append(a.rows, rows[p]), append(a.slots, slots[p])
			}
		}
	}
	a.start[n] = int32(len(a.rows))
	return a
}

// byColumn sorts slots by column.
func byColumn(n int, rowOfSlot, columnOfSlot []int32) (start, rows, slots []int32) {
	start = make([]int32, n+1)
	for _, j := range columnOfSlot {
		start[j+1]++
	}
	for j := range n {
		start[j+1] += start[j]
	}
	next := append([]int32(nil), start[:n]...)
	rows, slots = make([]int32, len(rowOfSlot)), make([]int32, len(rowOfSlot))
	for s, j := range columnOfSlot {
		rows[next[j]], slots[next[j]] = rowOfSlot[s], int32(s)
		next[j]++
	}
	return start, rows, slots
}

// unpaired names a column without a row and a row without a column, if any.
func unpaired(rowOf []int32) *Singular {
	taken := make([]bool, len(rowOf))
	column := -1
	for j, i := range rowOf {
		if i >= 0 {
			taken[i] = true
		} else if column < 0 {
			column = j
		}
	}
	if column < 0 {
		return nil
	}
	for i := range taken {
		if !taken[i] {
			return &Singular{Row: i, Column: column, Structural: true}
		}
	}
	return nil
}

// orderBlock puts the columns of one block into an order of little fill. The
// block begins at position from; at gives the position of each row's column.
func orderBlock(block []int32, from int32, start, rows, at []int32) {
	m := int32(len(block))
	// The pattern of the block plus its transpose, each edge from both ends,
	// with duplicates, which are then removed.
	first := make([]int32, m+1)
	edges := func(emit func(i, j int32)) {
		for j, column := range block {
			for _, row := range rows[start[column]:start[column+1]] {
				if i := at[row] - from; i >= 0 && i != int32(j) {
					emit(i, int32(j))
				}
			}
		}
	}
	edges(func(i, j int32) { first[i+1]++; first[j+1]++ })
	for i := range m {
		first[i+1] += first[i]
	}
	next := append([]int32(nil), first[:m]...)
	neighbours := make([]int32, first[m])
	edges(func(i, j int32) {
		neighbours[next[i]], neighbours[next[j]] = j, i
		next[i]++
		next[j]++
	})
	met := make([]int32, m)
	to := int32(0)
	for i := range m {
		begin, end := first[i], first[i+1]
		first[i] = to
		for _, j := range neighbours[begin:end] {
			if met[j] != i+1 {
				met[j] = i + 1
				neighbours[to] = j
				to++
			}
		}
	}
	first[m] = to
	columns := append([]int32(nil), block...)
	for k, j := range minimumDegree(int(m), first, neighbours[:to]) {
		block[k] = columns[j]
	}
}
