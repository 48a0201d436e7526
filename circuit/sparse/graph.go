package sparse

// quotientGraph is the state of an elimination that is only thought, to find a
// good order. Each index is first a variable (an unknown still to be eliminated,
// standing for size unknowns that are alike) and becomes an element when
// eliminated (the clique of the variables that its elimination connects).
//
// The list of a variable holds elements first, then variables; the list of an
// element holds variables. All lists live in one slice: a list that shrinks
// does so in place, and that of a new element goes to the end.
type quotientGraph struct {
	n, eliminated int
	fill          int
	nodes         []node
	lists         []int32
	stamp         int32
	rings         []neighbours // lists of the variables of each degree; the head of that of degree d is at n+d
	least         int32        // no variable is of a smaller degree
	bucket        []int32      // first variable of each hash value
	dense         []int32      // variables next to too many to be worth ordering: eliminated last
	queue         []int32      // variables that chains has seen, in the order in which it has; from touched, neighbours of those taken
	touched       int32
	ordered       []int32 // the unknowns in the order of elimination
}

// node is a variable or an element of the graph.
type node struct {
	start, length int32 // its list
	elements      int32 // how many of its first members are elements; isElement for an element
	size          int32 // unknowns a variable stands for; 0 when absorbed; negative while in the pivot's list
	degree        int32 // approximate external degree; for an element the size of its clique
	parent        int32 // the index that has absorbed this one, or -1
	mark          int32 // for an element: 0 when absorbed, else counts relative to stamp
	hash          int32
	bucketNext    int32
	last          int32 // its last place in the queue of chains: earlier ones do not count
}

const isElement = -1

// neighbours are the next and the previous one in a list that is closed to a
// ring.
type neighbours struct{ next, prev int32 }

// newQuotientGraph makes an empty graph for up to n variables. Its lists take
// what room has beyond 6n.
func newQuotientGraph(n int, room ints) quotientGraph {
	return quotientGraph{
		nodes: make([]node, n), rings: make([]neighbours, 2*n+2), bucket: room.take(n),
		dense: room.take(n)[:0], queue: room.take(3 * n), ordered: room.take(n)[:0], lists: room[:0],
	}
}

// begin empties the graph for one of n variables. The caller then appends the
// neighbours of each to lists, without the variable itself and each edge from
// both ends, and says with setList where they are.
func (g *quotientGraph) begin(n int) {
	g.n, g.eliminated, g.fill = n, 0, 0
	g.lists, g.dense, g.ordered = g.lists[:0], g.dense[:0], g.ordered[:0]
}

// setList says that the neighbours of variable i are in lists[from:to].
func (g *quotientGraph) setList(i, from, to int) {
	v := &g.nodes[i]
	v.start, v.length, v.size = int32(from), int32(to-from), 1
}
