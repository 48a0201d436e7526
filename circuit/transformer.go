package circuit

import "math"

// A Winding is one of a [Transformer].
type Winding struct {
	Turns      float64 // number, or any figure in proportion to it; greater than 0
	Resistance float64 // of the wire, in ohm; 0 means none
	Leakage    float64 // leakage inductance of this winding, in henry; 0 means none
}

// A Transformer has windings on one core. Each takes two nodes, the dotted end
// first, in the order of the windings. All share the flux of the core:
//
//	λj = Nj Φ + Lj ij,  Φ = (Lm / N1²) Σ Nk ik,  vj = Rj ij + dλj/dt
//
// Because the inductances come from one core and from leakages that are not
// negative, the energy ½ iᵀ L i never is, and with no leakage the ampere-turns
// are continuous while single currents may jump from winding to winding.
//
// Equivalent circuit: common core with a leakage per winding, as in
// E. C. Snelling, "Soft Ferrites: Properties and Applications", chapter on
// transformers (from memory).
type Transformer struct {
	Magnetizing float64 // inductance of the first winding on the core, in henry, greater than 0
	Windings    []Winding
}

func (t Transformer) pins() []string {
	names := []string{}
	for i := range t.Windings {
		names = append(names, string(rune('1'+i))+" dot", string(rune('1'+i)))
	}
	return names
}

func (t Transformer) wire(w *wiring) (device, error) {
	if err := w.check(above("magnetizing inductance", t.Magnetizing, 0), least("number of windings", float64(len(t.Windings)), 1)); err != nil {
		return nil, err
	}
	t.Windings = append([]Winding(nil), t.Windings...)
	d := &transformer{Transformer: t}
	for j, wind := range t.Windings {
		if err := w.check(above("turns", wind.Turns, 0), least("resistance", wind.Resistance, 0), least("leakage", wind.Leakage, 0)); err != nil {
			return nil, err
		}
		branch := w.rigid(w.pin[2*j], w.pin[2*j+1], "winding current")
		d.branches = append(d.branches, branch)
		d.stores = append(d.stores, w.store(0, branch.i))
		if wind.Resistance > 0 {
			w.link(conducts, branch.a, branch.b)
		} else {
			w.link(winds, branch.a, branch.b)
		}
	}
	for _, row := range d.branches {
		for _, column := range d.branches {
			d.slots = append(d.slots, w.slot(row.i, column.i))
		}
	}
	return d, nil
}

type transformer struct {
	Transformer
	branches []rigid
	stores   []store
	slots    []int
}

func (d *transformer) stamp(m *stamper) {
	first := d.Windings[0].Turns
	for j := range d.branches {
		d.branches[j].join(m.g)
		d.branches[j].fall(m.g, d.Windings[j].Resistance)
		for k := range d.branches {
			l := d.Magnetizing * d.Windings[j].Turns * d.Windings[k].Turns / (first * first)
			if j == k {
				l += d.Windings[j].Leakage
			}
			m.capacity(d.stores[j], d.branches[k].i, 0, d.slots[j*len(d.branches)+k], l)
		}
	}
}

func (d *transformer) currents(p *point, into []float64) {
	for j := range d.branches {
		into[2*j], into[2*j+1] = p.x[d.branches[j].i], -p.x[d.branches[j].i]
	}
}

func (d *transformer) dissipation(p *point) float64 {
	heat := 0.0
	for j, wind := range d.Windings {
		heat += wind.Resistance * math.Pow(p.x[d.branches[j].i], 2)
	}
	return heat
}

func (d *transformer) parameters() []Parameter {
	list := []Parameter{{Name: "magnetizing inductance", at: &d.Magnetizing}}
	for j := range d.Windings {
		wind, number := &d.Windings[j], string(rune('1'+j))
		list = append(list, Parameter{Name: "turns of winding " + number, at: &wind.Turns})
		if wind.Resistance > 0 {
			list = append(list, Parameter{Name: "resistance of winding " + number, at: &wind.Resistance})
		}
		if wind.Leakage > 0 {
			list = append(list, Parameter{Name: "leakage of winding " + number, at: &wind.Leakage})
		}
	}
	return list
}
