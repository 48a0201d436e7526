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
	lists, start, length := g.lists, g.start[:g.n], g.length[:g.n]
	last, queue := g.last, g.queue[:0]
	for i := int32(g.n) - 1; i >= 0; i-- {
		last[i] = -1
		if length[i] <= 2 && g.size[i] > 0 {
			last[i] = int32(len(queue))
			queue = append(queue, i)
		}
	}
	g.touched = int32(len(queue))
	alone := int32(-1) // an unknown without neighbours but those of the one just taken
	for at := 0; at < len(queue) || alone >= 0; {
		i := alone
		if i < 0 {
			i = queue[at]
			at++
			if last[i] != int32(at)-1 || length[i] > 2 {
				continue
			}
		}
		alone = -1
		own := lists[start[i]:][:length[i]]
		switch len(own) {
		case 1:
			a := own[0]
			if length[a] > rail {
				continue
			}
			exchange(lists[start[a]:][:length[a]], i, -1)
			length[a]--
		case 2:
			a, b := own[0], own[1]
			if length[a] > rail || length[b] > rail {
				continue
			}
			if exchange(lists[start[a]:][:length[a]], i, b) {
				exchange(lists[start[b]:][:length[b]], i, a)
			} else { // a and b were neighbours before
				exchange(lists[start[b]:][:length[b]], i, -1)
				length[a]--
				length[b]--
			}
		}
		last[i], g.size[i] = -1, 0
		g.fill += len(own)
		g.ordered = append(g.ordered, i)
		for _, a := range own {
			last[a] = int32(len(queue))
			queue = append(queue, a)
			if int(length[a]) == len(own)-1 {
				alone = a
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
