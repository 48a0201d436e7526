package sparse

// maximumTransversal pairs as many columns with rows as it can, each pair being
// a coefficient of the pattern, so that these coefficients can all be brought
// to the diagonal by exchanging rows. A source of voltage, for instance, has an
// equation with no coefficient on the diagonal and is paired with one of its
// nodes instead. Coefficients already on the diagonal are preferred, which
// keeps a circuit's matrix nearly symmetric.
//
// It leaves in rowOf the row of each column, or -1 for a column left over.
//
// Source: I. S. Duff, "On algorithms for obtaining a maximum transversal", ACM
// Transactions on Mathematical Software 7 (1981), pages 315-330: depth-first
// search for augmenting paths with a look-ahead for a free row.
//
// Room is scratch for 5n.
func maximumTransversal(rowOf, start, rows []int32, room ints) {
	n := len(rowOf)
	columnOf := room.take(n) // the column a row is paired with, or -1
	for j := range n {
		rowOf[j], columnOf[j] = -1, -1
	}
	for j := range n {
		for _, i := range rows[start[j]:start[j+1]] {
			if int(i) == j {
				rowOf[j], columnOf[i] = i, i
			}
		}
	}

	look := room.take(n) // next coefficient to look ahead at
	try := room.take(n)  // next coefficient to descend along
	seen := room.take(n) // root of the last search that met the column
	path := room.take(n)[:0]
	for j := range n {
		look[j], seen[j] = start[j], -1
	}
	for root := range int32(n) {
		if rowOf[root] >= 0 {
			continue
		}
		path = append(path[:0], root)
		seen[root] = root
		try[root] = start[root]
		free := int32(-1)
	search:
		for len(path) > 0 {
			j := path[len(path)-1]
			for look[j] < start[j+1] {
				i := rows[look[j]]
				look[j]++
				if columnOf[i] < 0 {
					free = i
					break search
				}
			}
			deeper := false
			for try[j] < start[j+1] {
				next := columnOf[rows[try[j]]]
				if seen[next] != root {
					seen[next] = root
					try[next] = start[next]
					path = append(path, next)
					deeper = true
					break
				}
				try[j]++
			}
			if !deeper {
				path = path[:len(path)-1]
				if len(path) > 0 {
					try[path[len(path)-1]]++
				}
			}
		}
		if free < 0 {
			continue
		}
		// Exchange along the path: each column takes the row through which it
		// descended, the last one the free row.
		for at := len(path) - 1; at >= 0; at-- {
			j := path[at]
			taken := rowOf[j]
			rowOf[j], columnOf[free] = free, j
			free = taken
		}
	}
}
