package sparse

// chains eliminates unknowns with at most two neighbours until none is left,
// and returns them in that order. Filters, cables and strings of resistors
// consist of little else. Eliminating an unknown with two neighbours joins
// these, so no list ever becomes longer, and it costs next to nothing to keep
// the graph itself up to date.
//
// The unknown that has waited longest is taken first, and the neighbours of the
// one just taken wait anew. So chains are taken apart everywhere at once
// instead of from their ends, which makes for many short chains of pivots that
// wait for each other instead of few long ones.
func (g *quotientGraph) chains() []int32 {
	// An unknown next to a rail is left alone: it would take long to find in
	// the rail's list.
	const rail = 32
	nodes, lists, queue := g.nodes[:g.n], g.lists, g.queue[:0]
	for i := len(nodes) - 1; i >= 0; i-- {
		v := &nodes[i]
		v.last = -1
		if v.length <= 2 && v.size > 0 {
			v.last = int32(len(queue))
			queue = append(queue, int32(i))
		}
	}
	g.touched = int32(len(queue))
	alone := int32(-1) // an unknown without neighbours but those of the one just taken
	for at := 0; at < len(queue) || alone >= 0; {
		i := alone
		if i < 0 {
			i = queue[at]
			at++
			if v := &nodes[i]; v.last != int32(at)-1 || v.length > 2 {
				continue
			}
		}
		alone = -1
		v := &nodes[i]
		own := lists[v.start:][:v.length]
		switch len(own) {
		case 1:
			a := &nodes[own[0]]
			if a.length > rail {
				continue
			}
			exchange(lists[a.start:][:a.length], i, -1)
			a.length--
		case 2:
			a, b := &nodes[own[0]], &nodes[own[1]]
			if a.length > rail || b.length > rail {
				continue
			}
			if exchange(lists[a.start:][:a.length], i, own[1]) {
				exchange(lists[b.start:][:b.length], i, own[0])
			} else { // a and b were neighbours before
				exchange(lists[b.start:][:b.length], i, -1)
				a.length--
				b.length--
			}
		}
		v.last, v.size = -1, 0
		g.fill += len(own)
		g.ordered = append(g.ordered, i)
		for _, j := range own {
			a := &nodes[j]
			a.last = int32(len(queue))
			queue = append(queue, j)
			if int(a.length) == len(own)-1 {
				alone = j
			}
		}
	}
	g.queue = queue
	g.eliminated += len(g.ordered)
	return g.ordered
}

// exchange puts another in the place of i. When another is negative or there
// already, it returns false; the list is then without i, and one shorter.
func exchange(list []int32, i, another int32) bool {
	place, there := 0, another < 0
	for t, m := range list {
		if m == i {
			place = t
		}
		there = there || m == another
	}
	if !there {
		list[place] = another
		return true
	}
	list[place] = list[len(list)-1]
	return false
}
