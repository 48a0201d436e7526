package circuit

import (
	"fmt"
	"math"
)

// A Coupling makes two inductors share flux: each adds M times the current of
// the other to its linkage, with M = k √(L1 L2). The dots are at the first
// pins. A coupling has no pins of its own.
//
// The energy ½ iᵀ L i of a set of windings may not be negative, which bounds k
// by 1 for two, and more tightly for more; what is beyond is an error. At the
// bound, k = 1, the windings share all of their flux and their currents may
// jump, as with a [Transformer] that has no leakage.
//
// Mutual inductance: any textbook.
type Coupling struct {
	First, Second string  // names of the two inductors
	Factor        float64 // coupling factor k, from -1 to 1
}

func (Coupling) pins() []string { return nil }
func (Coupling) late()          {}

func (c Coupling) wire(w *wiring) (device, error) {
	if err := w.check(within("coupling factor", c.Factor, -1, 1)); err != nil {
		return nil, err
	}
	d := &coupling{Coupling: c}
	for i, name := range []string{c.First, c.Second} {
		at, ok := w.s.deviceOf[name]
		if !ok {
			return nil, w.s.circuit.unknownPart(name)
		}
		if d.l[i], ok = w.s.devices[at].(*inductor); !ok {
			return nil, fmt.Errorf("part %s is not an inductor, so nothing couples to it", name)
		}
	}
	if d.l[0] == d.l[1] {
		return nil, fmt.Errorf("couples inductor %s to itself", c.First)
	}
	return d, nil
}

type coupling struct {
	Coupling
	l   [2]*inductor
	set *coupled
}

// bind gathers the set of inductors that hang together by couplings, once.
func (d *coupling) bind(s *Solver) error {
	if d.set != nil {
		return nil
	}
	set := &coupled{lead: d}
	for grown := true; grown; {
		grown = false
		for _, other := range s.devices {
			c, ok := other.(*coupling)
			if !ok || c.set != nil || len(set.couplings) > 0 && c.l[0].set != set && c.l[1].set != set || len(set.couplings) == 0 && c != d {
				continue
			}
			c.set, grown = set, true
			set.couplings = append(set.couplings, c)
			for _, l := range c.l {
				if l.set == nil {
					l.set = set
					set.inductors = append(set.inductors, l)
				}
			}
		}
	}
	set.wire(s, d)
	return set.split()
}

// Only the first coupling of a set speaks for it.
func (d *coupling) stamp(m *stamper) {
	if d.set.lead == d {
		d.set.stamp(m)
	}
}

func (d *coupling) start(q []float64) {
	if d.set.lead == d {
		d.set.start(q)
	}
}

func (d *coupling) currents(*point, []float64) {}

func (d *coupling) parameters() []Parameter {
	return []Parameter{{Name: "coupling factor", at: &d.Factor}}
}

// coupled is a set of inductors that share flux. Their inductances are split
// into one core for each inductor, L = U D Uᵀ with ones on the diagonal of the
// triangle U: core m links inductor m and those after it, with U[k][m] turns for
// each turn of inductor m. What has been shared with the cores before is gone
// from it, so that fully coupled windings have one core and nothing left, and
// no difference of two like fluxes is ever taken (Cholesky's method without
// roots: G. H. Golub, C. F. Van Loan, "Matrix Computations", section on the
// LDLᵀ factorization).
type coupled struct {
	lead      *coupling // the coupling that stamps it
	couplings []*coupling
	inductors []*inductor
	cores     []rigid // flux of each core as an inductance from an inner node to ground
	up, down  [][]int // slots of inductor k at core m, and of core m in the equation of k
	left      [][]float64
	ratios    [][]float64 // U, by inductor and core
	own       []float64   // D
}

// wire makes the cores.
func (c *coupled) wire(s *Solver, d *coupling) {
	n := len(c.inductors)
	w := &wiring{s: s, name: s.partOf[s.deviceAt(d)]}
	c.own = make([]float64, n)
	for m, l := range c.inductors {
		node := w.inner(fmt.Sprintf("voltage of core %d", m+1))
		core := w.rigid(node, 0, fmt.Sprintf("magnetizing current of core %d", m+1))
		c.cores = append(c.cores, core)
		l.store.minus = core.i // its flux is that of its core
		s.stores[l.store.k] = l.store
		c.ratios, c.left = append(c.ratios, make([]float64, n)), append(c.left, make([]float64, n))
	}
	for _, l := range c.inductors {
		var up, down []int
		for _, core := range c.cores {
			up, down = append(up, w.slot(core.a, l.i)), append(down, w.slot(l.i, core.a))
		}
		c.up, c.down = append(c.up, up), append(c.down, down)
	}
}

// split works out the cores from the inductances and coupling factors. The error
// says which of them no windings can have; the cores then go on beyond the bound,
// as a difference for a sensitivity needs.
func (c *coupled) split() error {
	n := len(c.inductors)
	for k, a := range c.inductors {
		clear(c.left[k])
		clear(c.ratios[k])
		c.left[k][k] = a.Inductance
		for _, d := range c.couplings {
			for m, b := range c.inductors {
				if d.l[0] == a && d.l[1] == b || d.l[0] == b && d.l[1] == a {
					c.left[k][m] += d.Factor * math.Sqrt(a.Inductance*b.Inductance)
				}
			}
		}
	}
	const rounding = 1e-9
	var wrong error
	for m := range n {
		whole := c.inductors[m].Inductance
		c.own[m], c.ratios[m][m] = c.left[m][m], 1
		if c.own[m] < -rounding*whole && wrong == nil {
			wrong = fmt.Errorf("no windings can be coupled like this: the coupling factors of %s with those before it would store less energy than none; make them smaller", c.name(m))
		}
		if math.Abs(c.own[m]) < rounding*whole {
			c.own[m] = 0
		}
		for k := m + 1; k < n; k++ {
			if c.own[m] != 0 {
				c.ratios[k][m] = c.left[k][m] / c.own[m]
			} else if rest := c.left[k][m]; math.Abs(rest) > 1e-5*math.Sqrt(whole*c.inductors[k].Inductance) && wrong == nil {
				wrong = fmt.Errorf("no windings can be coupled like this: %s shares all of its flux with those before it, which %s does not follow; make the coupling factors agree", c.name(m), c.name(k))
			}
		}
		for k := m + 1; k < n; k++ {
			for j := m + 1; j < n; j++ {
				c.left[k][j] -= c.ratios[k][m] * c.ratios[j][m] * c.own[m]
			}
		}
	}
	return wrong
}

// name is the name of an inductor of the set, as its couplings call it.
func (c *coupled) name(k int) string {
	for _, d := range c.couplings {
		for i, l := range d.l {
			if l == c.inductors[k] {
				return [2]string{d.First, d.Second}[i]
			}
		}
	}
	return ""
}

func (c *coupled) stamp(m *stamper) {
	_ = c.split() // what cannot be was refused when it was set
	for at := range c.cores {
		core := &c.cores[at]
		core.join(m.g)
		core.fall(m.g, 0)
		m.capacity(c.inductors[at].store, core.i, 0, core.ii, c.own[at])
		for k := at; k < len(c.inductors); k++ {
			m.g[c.up[k][at]] -= c.ratios[k][at]
			m.g[c.down[k][at]] -= c.ratios[k][at]
		}
	}
}

func (c *coupled) start(q []float64) {
	for m, core := range c.inductors {
		for k := m; k < len(c.inductors); k++ {
			q[core.store.k] += c.own[m] * c.ratios[k][m] * c.inductors[k].InitialCurrent
		}
	}
}
