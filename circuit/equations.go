package circuit

// point is a place at which the equations are evaluated: a guess x of the
// unknowns at a time t, and what the parts have to say there. Unknown 0 is
// ground and slot 0 belongs to it; both are bins for what concerns nobody.
type point struct {
	x     []float64 // unknowns
	t     float64   // time
	scale float64   // share of the independent sources, 1 but for source stepping
	still bool      // an operating point: nothing changes with time
	first bool      // first evaluation of a solve: junctions start from x
	eager bool      // junctions may not run ahead of their limit
	held  bool      // set by a part that evaluated itself elsewhere than at x

	f    []float64    // static part of each equation
	q    []float64    // charge or flux of each element
	rate []float64    // dq/dt of each element
	g, c []float64    // derivatives of f, and of the charges, by slot
	bows [][3]float64 // derivatives of each bent charge by the unknowns it follows
}

// A device is a part that has been wired into the equations.
type device interface {
	// stamp writes the linear terms, whenever a value or a mode has changed.
	stamp(m *stamper)
	// currents gives the current into each pin at a solution.
	currents(p *point, into []float64)
	// parameters lists the values that a tolerance or a fault may change.
	parameters() []Parameter
}

// A loader is a device with terms that depend on x beyond a product.
type loader interface{ load(p *point) }

// A driver is a device whose terms depend on time: an independent source.
type driver interface{ drive(p *point) }

// A starter is a device that remembers how charged it is when all is cold.
type starter interface{ start(q []float64) }

// A keeper is a device with settings derived from its parameters; renew works
// them out again after one has changed.
type keeper interface{ renew() }

// A timed device changes at instants known beforehand.
type timed interface {
	rewind()             // to the time just after zero
	due() float64        // the next such instant, +Inf when there is none
	advance(t float64)   // pass the instant
	atRest(resting bool) // for an operating point: as before time zero
}

// A switching device is always in one of a few modes.
type switching interface {
	mode() int
	setMode(m int)
	// guard is positive when the present mode no longer holds at p. It is
	// continuous within a mode.
	guard(p *point) float64
	// flip goes to the mode that should hold instead.
	flip(p *point)
}

// A watcher is a switching device that acts when something passes a level, and
// must have seen it on the near side first.
type watcher interface{ watch(p *point) }

// A dissipator is a device whose heat is not simply the power it takes in.
type dissipator interface {
	dissipation(p *point) float64
}

// pair holds the four slots of something between two unknowns.
type pair struct {
	a, b           int
	aa, ab, ba, bb int
}

// conduct adds a conductance between the two nodes.
func (k *pair) conduct(m []float64, g float64) {
	m[k.aa] += g
	m[k.bb] += g
	m[k.ab] -= g
	m[k.ba] -= g
}

// across is the voltage from the first node to the second.
func (k *pair) across(x []float64) float64 { return x[k.a] - x[k.b] }

// flow adds a current from the first node to the second, and its derivative by
// the voltage across.
func (k *pair) flow(p *point, i, g float64) {
	p.f[k.a] += i
	p.f[k.b] -= i
	k.conduct(p.g, g)
}

// rigid holds the slots of a branch whose current is an unknown of its own:
// the current leaves node a, enters node b, and the branch has an equation.
type rigid struct {
	a, b, i            int
	ai, bi, ia, ib, ii int
}

// join writes the current into Kirchhoff's law at both nodes.
func (k *rigid) join(g []float64) {
	g[k.ai]++
	g[k.bi]--
}

// fall writes v(a) - v(b) - r i into the equation of the branch.
func (k *rigid) fall(g []float64, r float64) {
	g[k.ia]++
	g[k.ib]--
	g[k.ii] -= r
}

// store is an element of charge between two equations, or of flux in one.
type store struct {
	k           int    // number of the element
	plus, minus int    // equations in which its rate appears
	bent        bool   // the charge is not in proportion to the voltage
	of          [3]int // unknowns that a bent charge follows, 0 where there are fewer
}

// term is a linear term of the charge of an element.
type term struct {
	k, u  int
	value float64
}

// stamper collects the linear terms.
type stamper struct {
	g, c  []float64
	terms []term
}

// capacity adds value * x(u) to the charge of an element whose equations hold
// the slots plus and minus in the column of u.
func (m *stamper) capacity(s store, u, plus, minus int, value float64) {
	m.terms = append(m.terms, term{s.k, u, value})
	m.c[plus] += value
	m.c[minus] -= value
}

// capacitor adds the linear charge of a capacitance between two nodes.
func (m *stamper) capacitor(s store, k *pair, value float64) {
	m.capacity(s, k.a, k.aa, k.ba, value)
	m.capacity(s, k.b, k.ab, k.bb, -value)
}
