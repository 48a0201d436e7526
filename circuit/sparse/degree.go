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

// quotientGraph is the state of the elimination. Each index is first a variable
// (an unknown still to be eliminated, standing for size unknowns that are
// alike) and becomes an element when eliminated (the clique of the variables
// that its elimination connects).
//
// The list of a variable holds elements first, then variables; the list of an
// element holds variables. All lists live in one slice: a list that shrinks
// does so in place, and that of a new element goes to the end.
type quotientGraph struct {
	n, eliminated int
	fill          int
	lists         []int32
	start         []int32 // where the list of an index starts
	length        []int32 // and how long it is
	elements      []int32 // how many of its first members are elements
	size          []int32 // unknowns a variable stands for; 0 when absorbed; negative while in the pivot's list
	degree        []int32 // approximate external degree; for an element the size of its clique
	parent        []int32 // the index that has absorbed this one, or -1
	isElement     []bool
	mark          []int32 // for an element: 0 when absorbed, else counts relative to stamp
	stamp         int32
	head, tail    []int32 // first and last variable of each list of degrees
	next, prev    []int32 // neighbours in that list
	least         int32
	bucket        []int32 // first variable of each hash value
	bucketNext    []int32
	hash          []int32
	dense         []int32 // variables next to too many to be worth ordering: eliminated last
	queue         []int32 // variables that chains has seen, in the order in which it has; from touched, neighbours of those taken
	touched       int32
	last          []int32 // the last place of each variable in queue: earlier ones do not count
	ordered       []int32 // the unknowns in the order of elimination
}

// newQuotientGraph makes room for graphs of up to n variables, and expects up
// to that many edges, each counted from both ends.
func newQuotientGraph(n, edges int) *quotientGraph {
	block := make(ints, 20*n+4)
	part := func() []int32 { return block.take(n) }
	return &quotientGraph{
		lists: make([]int32, 0, 2*edges+n), dense: part()[:0], ordered: part()[:0],
		start: part(), length: part(), elements: part(), size: part(), degree: part(), parent: part(),
		mark: part(), head: block.take(n + 2), next: part(), prev: part(), bucket: part(), hash: part(),
		tail: block.take(n + 2), bucketNext: part(), isElement: make([]bool, n), queue: block.take(3 * n), last: part(),
	}
}

// begin empties the graph for one of n variables. The caller then appends the
// neighbours of each to lists, without the variable itself and each edge from
// both ends, and says in start and length where they are.
func (g *quotientGraph) begin(n int) {
	g.n, g.eliminated, g.fill = n, 0, 0
	g.lists, g.dense, g.ordered = g.lists[:0], g.dense[:0], g.ordered[:0]
	for i := range n {
		g.size[i] = 1
	}
}

// setDenseAside takes out the variables that are next to so many that they are
// best eliminated last.
func (g *quotientGraph) setDenseAside() {
	n := int32(g.n)
	tooFull := int32(max(16, 10*math.Sqrt(float64(n)))) // as the source's authors recommend
	for i, length := range g.length[:n] {
		if length > tooFull {
			g.size[i] = 0
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
	for d := range n + 2 {
		g.head[d] = -1
	}
	for i := n - 1; i >= 0; i-- {
		g.bucket[i], g.parent[i], g.mark[i], g.isElement[i] = -1, -1, 1, false
		g.elements[i], g.degree[i] = 0, g.length[i]
		if g.size[i] > 0 && g.last[i] < g.touched {
			g.enlist(i)
		}
	}
	for t, i := range g.queue[g.touched:] {
		if g.size[i] > 0 && g.last[i] == g.touched+int32(t) {
			g.enlist(i)
		}
	}
}

// list returns which list variable i belongs to: that of its degree, except
// that degrees 0 to 2 share one. Eliminating an unknown with two neighbours
// connects them and costs no more than that, and taking chains of such unknowns
// from everywhere instead of from their ends makes for many short chains of
// pivots that wait for each other instead of few long ones.
func (g *quotientGraph) list(i int32) int32 { return max(g.degree[i], 2) }

// enlist puts variable i in the list of its degree.
func (g *quotientGraph) enlist(i int32) {
	d := g.list(i)
	g.next[i], g.prev[i] = -1, g.tail[d]
	if g.head[d] >= 0 {
		g.next[g.tail[d]] = i
	} else {
		g.head[d] = i
		g.prev[i] = -1
	}
	g.tail[d] = i
	g.least = min(g.least, d)
}

// delist takes variable i out of the list of its degree.
func (g *quotientGraph) delist(i int32) {
	if g.prev[i] >= 0 {
		g.next[g.prev[i]] = g.next[i]
	} else {
		g.head[g.list(i)] = g.next[i]
	}
	if g.next[i] >= 0 {
		g.prev[g.next[i]] = g.prev[i]
	} else {
		g.tail[g.list(i)] = g.prev[i]
	}
}

// leastDegree removes and returns a variable of the smallest degree.
func (g *quotientGraph) leastDegree() int32 {
	for g.head[g.least] < 0 {
		g.least++
	}
	i := g.head[g.least]
	g.delist(i)
	return i
}

// eliminate turns variable e into an element.
func (g *quotientGraph) eliminate(e int32) {
	pivots := g.size[e]
	g.size[e] = -pivots
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
	from, degree := int32(len(g.lists)), int32(0)
	at := g.start[e]
	for _, old := range g.lists[at : at+g.elements[e]] {
		degree += g.gather(g.members(old))
		g.parent[old], g.mark[old] = e, 0
	}
	degree += g.gather(g.lists[at+g.elements[e] : at+g.length[e]])
	g.isElement[e] = true
	g.start[e], g.length[e], g.elements[e] = from, int32(len(g.lists))-from, 0
	g.degree[e] = degree
}

// gather moves the variables of a list that are not yet in the new clique from
// the lists of degrees into it, and returns how many unknowns they stand for.
func (g *quotientGraph) gather(list []int32) (unknowns int32) {
	lists, sizes := g.lists, g.size
	for _, i := range list {
		if size := sizes[i]; size > 0 {
			unknowns += size
			sizes[i] = -size
			lists = append(lists, i)
			g.delist(i)
		}
	}
	g.lists = lists
	return unknowns
}

// members is the list of element e.
func (g *quotientGraph) members(e int32) []int32 {
	return g.lists[g.start[e] : g.start[e]+g.length[e]]
}

// countOutside leaves in mark, relative to stamp, for every element that
// touches the clique of e, how many unknowns it has outside that clique.
func (g *quotientGraph) countOutside(e int32) {
	marks, stamp := g.mark, g.stamp
	for _, i := range g.members(e) {
		size := -g.size[i]
		for _, other := range g.lists[g.start[i]:][:g.elements[i]] {
			if m := marks[other]; m >= stamp {
				marks[other] = m - size
			} else if m != 0 {
				marks[other] = g.degree[other] + stamp - size
			}
		}
	}
}

// updateMembers drops from the list of each member of e what e now stands for,
// puts e in, and finds the first part of its new degree and a hash of its list.
func (g *quotientGraph) updateMembers(e int32) {
	sizes, marks, stamp := g.size, g.mark, g.stamp
	for _, i := range g.members(e) {
		first := g.start[i]
		list := g.lists[first:][:g.length[i]]
		elements := int(g.elements[i])
		to, degree, hash := 0, int32(0), uint32(0)
		for _, other := range list[:elements] {
			m := marks[other]
			if m == 0 {
				continue
			}
			if outside := m - stamp; outside > 0 {
				degree += outside
				hash += uint32(other)
				list[to] = other
				to++
			} else { // wholly inside e
				g.parent[other], marks[other] = e, 0
			}
		}
		kept := to
		for _, other := range list[elements:] {
			if size := sizes[other]; size > 0 {
				degree += size
				hash += uint32(other)
				list[to] = other
				to++
			}
		}
		if degree == 0 { // nothing outside e: eliminated along with it
			size := -g.size[i]
			g.parent[i] = e
			g.degree[e] -= size
			g.size[e] -= size
			g.eliminated += int(size)
			g.size[i] = 0
			continue
		}
		// e goes first; the list has lost at least one member, so there is room.
		list[to] = list[kept]
		list[kept] = list[0]
		list[0] = e
		g.elements[i] = int32(kept) + 1
		g.length[i] = int32(to) + 1
		g.degree[i] = min(g.degree[i], degree)
		h := int32(hash % uint32(g.n))
		g.hash[i] = h
		g.bucketNext[i], g.bucket[h] = g.bucket[h], i
	}
}

// mergeAlike joins members of e whose lists have become equal.
func (g *quotientGraph) mergeAlike(e int32) {
	for _, member := range g.members(e) {
		if g.size[member] == 0 {
			continue
		}
		h := g.hash[member]
		i := g.bucket[h]
		g.bucket[h] = -1
		for ; i >= 0; i = g.bucketNext[i] {
			if g.bucketNext[i] < 0 {
				break
			}
			list := g.lists[g.start[i]+1 : g.start[i]+g.length[i]]
			for _, m := range list {
				g.mark[m] = g.stamp
			}
			before := i
			for j := g.bucketNext[i]; j >= 0; j = g.bucketNext[j] {
				if g.alike(i, j) {
					g.parent[j] = i
					g.size[i] += g.size[j]
					g.size[j] = 0
					g.bucketNext[before] = g.bucketNext[j]
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
	if g.length[i] != g.length[j] || g.elements[i] != g.elements[j] {
		return false
	}
	for _, m := range g.lists[g.start[j]+1 : g.start[j]+g.length[j]] {
		if g.mark[m] != g.stamp {
			return false
		}
	}
	return true
}

// finish completes the degrees of the members of e and lists them again.
func (g *quotientGraph) finish(e int32) {
	to := g.start[e]
	for _, i := range g.members(e) {
		size := -g.size[i]
		if size == 0 {
			continue
		}
		g.size[i] = size
		degree := g.degree[i] + g.degree[e] - size
		g.degree[i] = min(degree, int32(g.n-g.eliminated)-size)
		g.enlist(i)
		g.lists[to] = i
		to++
	}
	g.length[e] = to - g.start[e]
	g.size[e] = -g.size[e]
	pivots := int(g.size[e])
	g.fill += pivots*(pivots-1)/2 + pivots*int(g.degree[e])
	if g.length[e] == 0 {
		g.mark[e] = 0
	}
}

// nextStamp moves stamp beyond every mark in use.
func (g *quotientGraph) nextStamp(by int32) {
	if g.stamp < math.MaxInt32-2*by-2*int32(g.n) {
		g.stamp += by
		return
	}
	for i := range g.mark[:g.n] {
		if g.mark[i] != 0 {
			g.mark[i] = 1
		}
	}
	g.stamp = 2
}
