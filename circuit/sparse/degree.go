package sparse

import "math"

// order returns an order of elimination that keeps the factors of the graph that
// has been loaded sparse, good until the next graph is loaded. Groups of
// unknowns that are eliminated alike come out next to each other, and every
// group before the group that it updates (a postorder of the assembly tree);
// but first come unknowns with few neighbours, as [quotientGraph.chains] takes
// them, and last those with very many.
//
// Source: P. R. Amestoy, T. A. Davis, I. S. Duff, "An approximate minimum
// degree ordering algorithm", SIAM Journal on Matrix Analysis and Applications
// 17 (1996), pages 886-905: the quotient graph, approximate degrees,
// aggressive absorption, mass elimination and indistinguishable unknowns.
//
// Fill says how many values L will hold below its diagonal if the pivots stay
// on the diagonal.
func (g *quotientGraph) order() (order []int32, fill int) {
	g.setDenseAside()
	order = g.chains()
	if g.eliminated < g.n {
		g.enlistAll()
		for g.eliminated < g.n {
			g.eliminate(g.leastDegree())
		}
		order = g.postorder(order)
	}
	return append(order, g.dense...), g.fill
}

// setDenseAside takes out the variables that are next to so many that they are
// best eliminated last.
func (g *quotientGraph) setDenseAside() {
	n := int32(g.n)
	tooFull := int32(max(16, 10*math.Sqrt(float64(n)))) // as the source's authors recommend
	for i := range g.nodes[:n] {
		if v := &g.nodes[i]; v.length > tooFull {
			v.size = 0
			g.dense = append(g.dense, int32(i))
		}
	}
	g.eliminated += len(g.dense)
}

// enlistAll prepares for elimination by degree and lists all variables that are
// left, those last that chains has touched, in the order in which it has.
func (g *quotientGraph) enlistAll() {
	n := int32(g.n)
	g.stamp, g.least = 2, n
	for head := n; head < 2*n+2; head++ {
		g.rings[head] = neighbours{next: head, prev: head}
	}
	for i := n - 1; i >= 0; i-- {
		g.bucket[i] = -1
		v := &g.nodes[i]
		v.parent, v.mark, v.elements, v.degree = -1, 1, 0, v.length
		if v.size > 0 && v.last < g.touched {
			g.enlist(i)
		}
	}
	for t, i := range g.queue[g.touched:] {
		if g.nodes[i].size > 0 && g.nodes[i].last == g.touched+int32(t) {
			g.enlist(i)
		}
	}
}

// list returns which list a variable belongs to: that of its degree, except
// that degrees 0 to 2 share one. Eliminating an unknown with two neighbours
// connects them and costs no more than that; see [quotientGraph.chains].
func (v *node) list() int32 { return max(v.degree, 2) }

// enlist puts variable i at the end of the list of its degree.
func (g *quotientGraph) enlist(i int32) {
	d := g.nodes[i].list()
	g.least = min(g.least, d)
	ring := g.rings
	head := d + int32(g.n)
	last := ring[head].prev
	ring[i] = neighbours{next: head, prev: last}
	ring[last].next, ring[head].prev = i, i
}

// delist takes variable i out of the list of its degree.
func (g *quotientGraph) delist(i int32) {
	at := g.rings[i]
	g.rings[at.prev].next, g.rings[at.next].prev = at.next, at.prev
}

// leastDegree removes and returns a variable of the smallest degree.
func (g *quotientGraph) leastDegree() int32 {
	for {
		head := g.least + int32(g.n)
		if i := g.rings[head].next; i != head {
			g.delist(i)
			return i
		}
		g.least++
	}
}

// eliminate turns variable e into an element.
func (g *quotientGraph) eliminate(e int32) {
	pivots := g.nodes[e].size
	g.nodes[e].size = -pivots
	g.eliminated += int(pivots)
	g.formClique(e)
	g.countOutside(e)
	g.updateMembers(e)
	g.nextStamp(int32(g.n))
	g.mergeAlike(e)
	g.finish(e)
}

// formClique gathers the list of the new element e: the variables next to it
// and those of the elements next to it, which it absorbs.
func (g *quotientGraph) formClique(e int32) {
	from, degree := len(g.lists), int32(0)
	own := &g.nodes[e]
	list := g.lists[own.start:][:own.length]
	for _, i := range list[:own.elements] {
		old := &g.nodes[i]
		degree += g.gather(g.lists[old.start:][:old.length])
		old.parent, old.mark = e, 0
	}
	degree += g.gather(list[own.elements:])
	own.start, own.length, own.elements, own.degree = int32(from), int32(len(g.lists)-from), isElement, degree
}

// gather moves the variables of a list that are not yet in the new clique from
// the lists of degrees into it, and returns how many unknowns they stand for.
func (g *quotientGraph) gather(list []int32) (unknowns int32) {
	lists, nodes := g.lists, g.nodes
	for _, i := range list {
		v := &nodes[i]
		if v.size > 0 {
			unknowns += v.size
			v.size = -v.size
			lists = append(lists, i)
			g.delist(i)
		}
	}
	g.lists = lists
	return unknowns
}

// members is the list of element e.
func (g *quotientGraph) members(e int32) []int32 {
	v := &g.nodes[e]
	return g.lists[v.start:][:v.length]
}

// countOutside leaves in mark, relative to stamp, for every element that
// touches the clique of e, how many unknowns it has outside that clique.
func (g *quotientGraph) countOutside(e int32) {
	nodes, stamp := g.nodes, g.stamp
	for _, i := range g.members(e) {
		v := &nodes[i]
		size := -v.size
		for _, j := range g.lists[v.start:][:v.elements] {
			if other := &nodes[j]; other.mark >= stamp {
				other.mark -= size
			} else if other.mark != 0 {
				other.mark = other.degree + stamp - size
			}
		}
	}
}

// updateMembers drops from the list of each member of e what e now stands for,
// puts e in, and finds the first part of its new degree and a hash of its list.
func (g *quotientGraph) updateMembers(e int32) {
	nodes, stamp := g.nodes, g.stamp
	own := &nodes[e]
	for _, i := range g.members(e) {
		v := &nodes[i]
		list := g.lists[v.start:][:v.length]
		to, degree, hash := 0, int32(0), uint32(0)
		for _, j := range list[:v.elements] {
			other := &nodes[j]
			if other.mark == 0 {
				continue
			}
			if outside := other.mark - stamp; outside > 0 {
				degree += outside
				hash += uint32(j)
				list[to] = j
				to++
			} else { // wholly inside e
				other.parent, other.mark = e, 0
			}
		}
		kept := to
		for _, j := range list[v.elements:] {
			size := nodes[j].size
			isLeft := uint32(-size) >> 31 // 1 if size > 0, without a branch that nobody can foresee
			degree += max(size, 0)
			hash += uint32(j) & -isLeft
			list[to] = j
			to += int(isLeft)
		}
		if degree == 0 { // nothing outside e: eliminated along with it
			size := -v.size
			v.parent, v.size = e, 0
			own.degree -= size
			own.size -= size
			g.eliminated += int(size)
			continue
		}
		// e goes first; the list has lost at least one member, so there is room.
		list[to] = list[kept]
		list[kept] = list[0]
		list[0] = e
		v.elements, v.length = int32(kept)+1, int32(to)+1
		v.degree = min(v.degree, degree)
		v.hash = int32(hash % uint32(g.n))
		v.bucketNext, g.bucket[v.hash] = g.bucket[v.hash], i
	}
}

// mergeAlike joins members of e whose lists have become equal.
func (g *quotientGraph) mergeAlike(e int32) {
	for _, member := range g.members(e) {
		if g.nodes[member].size == 0 {
			continue
		}
		h := g.nodes[member].hash
		i := g.bucket[h]
		g.bucket[h] = -1
		for ; i >= 0; i = g.nodes[i].bucketNext {
			if g.nodes[i].bucketNext < 0 {
				break
			}
			list := g.lists[g.nodes[i].start+1 : g.nodes[i].start+g.nodes[i].length]
			for _, m := range list {
				g.nodes[m].mark = g.stamp
			}
			before := i
			for j := g.nodes[i].bucketNext; j >= 0; j = g.nodes[j].bucketNext {
				if g.alike(i, j) {
					g.nodes[j].parent = i
					g.nodes[i].size += g.nodes[j].size
					g.nodes[j].size = 0
					g.nodes[before].bucketNext = g.nodes[j].bucketNext
				} else {
					before = j
				}
			}
			g.nextStamp(1)
		}
	}
}

// alike reports whether the list of j equals that of i, whose members are
// marked.
func (g *quotientGraph) alike(i, j int32) bool {
	if g.nodes[i].length != g.nodes[j].length || g.nodes[i].elements != g.nodes[j].elements {
		return false
	}
	for _, m := range g.lists[g.nodes[j].start+1 : g.nodes[j].start+g.nodes[j].length] {
		if g.nodes[m].mark != g.stamp {
			return false
		}
	}
	return true
}

// finish completes the degrees of the members of e and lists them again.
func (g *quotientGraph) finish(e int32) {
	own := &g.nodes[e]
	members := g.members(e)
	left := int32(g.n - g.eliminated)
	to := 0
	for _, i := range members {
		v := &g.nodes[i]
		if v.size == 0 {
			continue
		}
		v.size = -v.size
		v.degree = min(v.degree+own.degree, left) - v.size
		g.enlist(i)
		members[to] = i
		to++
	}
	own.length, own.size = int32(to), -own.size
	pivots := int(own.size)
	g.fill += pivots*(pivots-1)/2 + pivots*int(own.degree)
	if to == 0 {
		own.mark = 0
	}
}

// nextStamp moves stamp beyond every mark in use.
func (g *quotientGraph) nextStamp(by int32) {
	if g.stamp < math.MaxInt32-2*by-2*int32(g.n) {
		g.stamp += by
		return
	}
	for i := range g.nodes[:g.n] {
		if v := &g.nodes[i]; v.mark != 0 {
			v.mark = 1
		}
	}
	g.stamp = 2
}
