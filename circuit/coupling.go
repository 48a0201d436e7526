package circuit

import (
	"fmt"
	"math"
)

// A Coupling makes two inductors share flux: each adds M times the current of
// the other to its linkage, with M = k √(L1 L2). The dots are at the first
// pins. A coupling has no pins of its own.
//
// Mutual inductance: any textbook. The energy ½ iᵀ L i of a set of windings
// may not be negative, which bounds k by 1 for two, and more tightly for more;
// windings of more than two are best described as a [Transformer], which keeps
// the bound by itself.
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
	var l [2]*inductor
	for i, name := range []string{c.First, c.Second} {
		at, ok := w.s.deviceOf[name]
		if !ok {
			return nil, w.s.circuit.unknownPart(name)
		}
		if l[i], ok = w.s.devices[at].(*inductor); !ok {
			return nil, fmt.Errorf("part %s is not an inductor, so nothing couples to it", name)
		}
	}
	if l[0] == l[1] {
		return nil, fmt.Errorf("couples inductor %s to itself", c.First)
	}
	return &coupling{Coupling: c, l: l, slot: [2]int{w.slot(l[0].i, l[1].i), w.slot(l[1].i, l[0].i)}}, nil
}

type coupling struct {
	Coupling
	l    [2]*inductor
	slot [2]int
}

func (d *coupling) mutual() float64 {
	return d.Factor * math.Sqrt(d.l[0].Inductance*d.l[1].Inductance)
}

func (d *coupling) stamp(m *stamper) {
	mutual := d.mutual()
	m.capacity(d.l[0].store, d.l[1].i, 0, d.slot[0], mutual)
	m.capacity(d.l[1].store, d.l[0].i, 0, d.slot[1], mutual)
}

func (d *coupling) start(q []float64) {
	q[d.l[0].store.k] += d.mutual() * d.l[1].InitialCurrent
	q[d.l[1].store.k] += d.mutual() * d.l[0].InitialCurrent
}

func (d *coupling) currents(*point, []float64) {}

func (d *coupling) parameters() []Parameter {
	return []Parameter{{Name: "coupling factor", at: &d.Factor}}
}
