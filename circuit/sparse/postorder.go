package sparse

// postorder appends the unknowns to order, each element's after those of the
// elements it has absorbed, the one with the largest clique just before it.
func (g *quotientGraph) postorder(order []int32) []int32 {
	// Group the unknowns by the element with which they were eliminated.
	n := g.n
	firstOwn, nextOwn := g.bucket, g.bucketNext
	firstChild, nextChild := g.head, g.next
	for i := range n {
		firstOwn[i], firstChild[i] = -1, -1
	}
	for i := int32(n) - 1; i >= 0; i-- {
		if g.isElement[i] {
			continue
		}
		e := g.parent[i]
		for e >= 0 && !g.isElement[e] {
			e = g.parent[e]
		}
		for j := i; e >= 0 && g.parent[j] != e; { // shorten the way for the next
			j, g.parent[j] = g.parent[j], e
		}
		if e >= 0 {
			nextOwn[i], firstOwn[e] = firstOwn[e], i
		}
	}
	for i := int32(n) - 1; i >= 0; i-- {
		if p := g.parent[i]; g.isElement[i] && p >= 0 {
			// The child with the largest clique is kept at the head of the list,
			// and the list is read onto a stack, so that it is visited last.
			if c := firstChild[p]; c >= 0 && g.degree[c] > g.degree[i] {
				nextChild[i], nextChild[c] = nextChild[c], i
			} else {
				nextChild[i], firstChild[p] = c, i
			}
		}
	}
	stack := g.prev[:0]
	for root := range int32(n) {
		if !g.isElement[root] || g.parent[root] >= 0 {
			continue
		}
		stack = append(stack, root)
		for len(stack) > 0 {
			e := stack[len(stack)-1]
			if c := firstChild[e]; c >= 0 {
				for firstChild[e] = -1; c >= 0; c = nextChild[c] {
					stack = append(stack, c)
				}
				continue
			}
			stack = stack[:len(stack)-1]
			order = append(order, e)
			for i := firstOwn[e]; i >= 0; i = nextOwn[i] {
				order = append(order, i)
			}
		}
	}
	return order
}
