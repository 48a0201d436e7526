package sparse

// triangularBlocks groups the columns into the smallest blocks that can be
// solved one after the other. It returns the columns in an order in which the
// matrix is block upper triangular, and where each block starts in it, followed
// by n. A node held by a grounded source, or one that only senses, becomes a
// block of its own and costs next to nothing.
//
// rowOf pairs every column with a row, as [maximumTransversal] does. Order and
// blockStart are given as empty slices; room is scratch for 6n.
//
// Source: R. Tarjan, "Depth-first search and linear graph algorithms", SIAM
// Journal on Computing 1 (1972), pages 146-160: strongly connected components.
// They are completed in an order in which a component reaches only earlier
// ones, which is the order wanted.
func triangularBlocks(order, blockStart, start, rows, rowOf []int32, room ints) (columns, starts []int32) {
	n := len(rowOf)
	columnOf := room.take(n)
	for j, i := range rowOf {
		columnOf[i] = int32(j)
	}
	const unseen = -1
	number := room.take(n) // order of discovery; n once the component is complete
	lowest := room.take(n) // smallest number reachable within the component
	try := room.take(n)
	for j := range n {
		number[j] = unseen
	}
	path := room.take(n)[:0]
	open := room.take(n)[:0] // seen, component not complete
	count := int32(0)
	for root := range int32(n) {
		if number[root] != unseen {
			continue
		}
		for next := root; ; {
			if next >= 0 { // a new column
				number[next], lowest[next], try[next] = count, count, start[next]
				count++
				path, open = append(path, next), append(open, next)
			}
			if len(path) == 0 {
				break
			}
			j := path[len(path)-1]
			next = -1
			low, at, end := lowest[j], try[j], start[j+1]
			for ; at < end; at++ {
				column := columnOf[rows[at]]
				if number[column] == unseen {
					next = column
					break
				}
				low = min(low, number[column])
			}
			lowest[j], try[j] = low, at
			if next >= 0 {
				continue
			}
			path = path[:len(path)-1]
			if len(path) > 0 {
				above := path[len(path)-1]
				lowest[above] = min(lowest[above], lowest[j])
			}
			if lowest[j] != number[j] {
				continue
			}
			blockStart = append(blockStart, int32(len(order)))
			for {
				member := open[len(open)-1]
				open = open[:len(open)-1]
				number[member] = int32(n)
				order = append(order, member)
				if member == j {
					break
				}
			}
		}
	}
	return order, append(blockStart, int32(n))
}
