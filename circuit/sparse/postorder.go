package sparse

// postorder appends the unknowns to order, each element's after those of the
// elements it has absorbed, the one with the largest clique just before it.
func (g *quotientGraph) postorder(order []int32) []int32 {
	// Elimination is over, so what nodes have of lists can serve for others:
	// the unknowns eliminated with an element, and the elements it has absorbed.
	nodes, rings := g.nodes[:g.n], g.rings[:g.n]
	firstOwn := func(e int32) *int32 { return &nodes[e].hash }
	nextOwn := func(i int32) *int32 { return &nodes[i].bucketNext }
	firstChild := func(e int32) *int32 { return &rings[e].prev }
	nextChild := func(e int32) *int32 { return &rings[e].next }
	for i := range nodes {
		nodes[i].hash, rings[i].prev = -1, -1
	}
	last := int32(len(nodes)) - 1
	for i := last; i >= 0; i-- {
		if nodes[i].elements == isElement {
			continue
		}
		e := nodes[i].parent
		for e >= 0 && nodes[e].elements != isElement {
			e = nodes[e].parent
		}
		for j := i; e >= 0 && nodes[j].parent != e; { // shorten the way for the next
			j, nodes[j].parent = nodes[j].parent, e
		}
		if e >= 0 {
			*nextOwn(i), *firstOwn(e) = *firstOwn(e), i
		}
	}
	for i := last; i >= 0; i-- {
		if p := nodes[i].parent; nodes[i].elements == isElement && p >= 0 {
			// The child with the largest clique is kept at the head of the list,
			// and the list is read onto a stack, so that it is visited last.
			if c := *firstChild(p); c >= 0 && nodes[c].degree > nodes[i].degree {
				*nextChild(i), *nextChild(c) = *nextChild(c), i
			} else {
				*nextChild(i), *firstChild(p) = c, i
			}
		}
	}
	stack := g.bucket[:0]
	for root := range last + 1 {
		if nodes[root].elements != isElement || nodes[root].parent >= 0 {
			continue
		}
		stack = append(stack, root)
		for len(stack) > 0 {
			e := stack[len(stack)-1]
			if c := *firstChild(e); c >= 0 {
				for *firstChild(e) = -1; c >= 0; c = *nextChild(c) {
					stack = append(stack, c)
				}
				continue
			}
			stack = stack[:len(stack)-1]
			order = append(order, e)
			for i := *firstOwn(e); i >= 0; i = *nextOwn(i) {
				order = append(order, i)
			}
		}
	}
	return order
}
