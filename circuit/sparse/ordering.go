package sparse

// ordering puts the columns of one block after the other into an order of
// little fill.
type ordering struct {
	start, rows []int32 // the matrix, by columns
	at          []int32 // position of each row's column

	graph quotientGraph

	// Scratch. The rows of each column of the block, column after column, and
	// the columns of each row, row after row; both counted from zero.
	columnEnd, inColumn []int32
	rowStart, inRow     []int32
	next, met           []int32
	before              []int32 // the block as it was
}

// orderBlocks orders the columns inside each block, which starts where
// blockStart says; at gives the position of each row's column. It returns how
// many values L will have below its diagonal.
func orderBlocks(order, blockStart, start, rows, at []int32) (fill int) {
	largest, most := 0, 0 // unknowns and coefficients of a block
	for b := range len(blockStart) - 1 {
		block := order[blockStart[b]:blockStart[b+1]]
		entries := 0
		for _, j := range block {
			entries += int(start[j+1] - start[j])
		}
		largest, most = max(largest, len(block)), max(most, entries)
	}
	if largest <= 2 {
		return len(order) - (len(blockStart) - 1)
	}
	room := make(ints, 12*largest+1+4*most)
	o := &ordering{
		start: start, rows: rows, at: at,
		columnEnd: room.take(largest), inColumn: room.take(most), rowStart: room.take(largest + 1), inRow: room.take(most),
		next: room.take(largest), met: room.take(largest), before: room.take(largest),
	}
	o.graph = newQuotientGraph(largest, room)
	for b := range len(blockStart) - 1 {
		from, to := blockStart[b], blockStart[b+1]
		if to-from <= 2 {
			fill += int(to-from) - 1
			continue
		}
		fill += o.orderBlock(order[from:to], from)
	}
	return fill
}

// orderBlock orders the block that begins at position from.
func (o *ordering) orderBlock(block []int32, from int32) (fill int) {
	o.load(block, from)
	before := o.before[:len(block)]
	copy(before, block)
	order, fill := o.graph.order()
	for k, j := range order {
		block[k] = before[j]
	}
	return fill
}

// load hands the pattern of the block plus that of its transpose to the graph.
func (o *ordering) load(block []int32, from int32) {
	m := len(block)
	rowStart, next, met := o.rowStart[:m+1], o.next[:m], o.met[:m]
	clear(rowStart)
	clear(met)
	inColumn := o.inColumn[:0]
	for j, column := range block {
		for _, row := range o.rows[o.start[column]:o.start[column+1]] {
			if i := o.at[row] - from; i >= 0 {
				rowStart[i+1]++
				inColumn = append(inColumn, i)
			}
		}
		o.columnEnd[j] = int32(len(inColumn))
	}
	for i := range next {
		next[i] = rowStart[i]
		rowStart[i+1] += rowStart[i]
	}
	begin := int32(0)
	for j, end := range o.columnEnd[:m] {
		for _, i := range inColumn[begin:end] {
			o.inRow[next[i]] = int32(j)
			next[i]++
		}
		begin = end
	}
	g := &o.graph
	g.begin(m)
	lists := g.lists
	begin = 0
	for j, end := range o.columnEnd[:m] {
		j := int32(j)
		met[j] = j + 1
		first := len(lists)
		inRow := o.inRow[rowStart[j]:rowStart[j+1]]
		for len(inRow) > 0 && inRow[0] < j {
			met[inRow[0]] = j + 1
			lists = append(lists, inRow[0])
			inRow = inRow[1:]
		}
		for _, i := range inColumn[begin:end] {
			if met[i] != j+1 {
				met[i] = j + 1
				lists = append(lists, i)
			}
		}
		for _, i := range inRow {
			if met[i] != j+1 {
				lists = append(lists, i)
			}
		}
		g.setList(int(j), first, len(lists))
		begin = end
	}
	g.lists = lists
}
