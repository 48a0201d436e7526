package circuit

import "fmt"

// A Winding is one of a [Transformer].
type Winding struct {
	Turns      float64 // number, or any figure in proportion to it; greater than 0
	Resistance float64 // of the wire, in ohm; 0 means none
	Leakage    float64 // leakage inductance of this winding, in henry; 0 means none
}

// A Transformer has windings on one core. Each takes two nodes, the dotted end
// first, in the order of the windings. All share the flux of the core, which is
// told by the magnetizing current, as the first winding would carry it alone:
//
//	vj = Rj ij + Lj dij/dt + nj e,  e = Lm dim/dt,  nj = Nj / N1
//	Σ nj ij = im + e / Rc
//
// The flux of the core is an unknown of its own, and the windings meet in the
// balance of ampere-turns. So windings without leakage, which share all of their
// flux, are as good a part as any: what is continuous is the magnetizing
// current, while the current may jump from one winding to another, as it does
// where the rectifier of one takes over from that of the other. (Written with
// inductances alone, λj = Σ Ljk ik, the same windings say one thing twice: each
// has a flux of its own, and the difference of two that are alike drowns in
// rounding.) The energy ½ Lm im² + Σ ½ Lj ij² is never negative.
//
// Equivalent circuit: common core with a leakage per winding and a resistance
// for the loss of the core, as in E. C. Snelling, "Soft Ferrites: Properties and
// Applications", chapter on transformers (from memory).
type Transformer struct {
	Magnetizing float64 // inductance of the first winding on the core, in henry, greater than 0
	// CoreLoss is the resistance across the first winding, in ohm, that stands
	// for what the core turns into heat; 0 means no such loss.
	CoreLoss float64
	Windings []Winding
}

func (t Transformer) pins() []string {
	names := []string{}
	for i := range t.Windings {
		names = append(names, string(rune('1'+i))+" dot", string(rune('1'+i)))
	}
	return names
}

func (t Transformer) wire(w *wiring) (device, error) {
	if err := w.check(above("magnetizing inductance", t.Magnetizing, 0), least("core loss", t.CoreLoss, 0),
		least("number of windings", float64(len(t.Windings)), 1)); err != nil {
		return nil, err
	}
	t.Windings = append([]Winding(nil), t.Windings...)
	core := w.inner("core voltage")
	d := &transformer{Transformer: t, core: w.rigid(core, 0, "magnetizing current"), loss: w.pair(core, 0)}
	d.flux = w.store(0, d.core.i)
	for j, wind := range t.Windings {
		if err := w.check(above("turns", wind.Turns, 0), least("resistance", wind.Resistance, 0), least("leakage", wind.Leakage, 0)); err != nil {
			return nil, err
		}
		one := winding{rigid: w.rigid(w.pin[2*j], w.pin[2*j+1], fmt.Sprintf("current of winding %d", j+1)), leak: store{k: -1}}
		one.up, one.down = w.slot(core, one.i), w.slot(one.i, core)
		if wind.Leakage > 0 {
			one.leak = w.store(0, one.i)
		}
		d.windings = append(d.windings, one)
		if wind.Resistance > 0 {
			w.link(conducts, one.a, one.b)
		} else {
			w.link(winds, one.a, one.b)
		}
	}
	return d, nil
}

// winding is one of a transformer in its place in the equations.
type winding struct {
	rigid
	up, down int   // slots of its current at the core, and of the core in its equation
	leak     store // of its leakage, when it has one
}

type transformer struct {
	Transformer
	core     rigid // the magnetizing inductance, from the core to ground
	loss     pair
	flux     store
	windings []winding
}

// ratio is the turns of a winding over those of the first.
func (d *transformer) ratio(j int) float64 { return d.Windings[j].Turns / d.Windings[0].Turns }

func (d *transformer) stamp(m *stamper) {
	d.core.join(m.g)
	d.core.fall(m.g, 0)
	m.capacity(d.flux, d.core.i, 0, d.core.ii, d.Magnetizing)
	if d.CoreLoss > 0 {
		d.loss.conduct(m.g, 1/d.CoreLoss)
	}
	for j := range d.windings {
		w, n := &d.windings[j], d.ratio(j)
		w.join(m.g)
		w.fall(m.g, d.Windings[j].Resistance)
		m.g[w.up] -= n
		m.g[w.down] -= n
		if w.leak.k >= 0 {
			m.capacity(w.leak, w.i, 0, w.ii, d.Windings[j].Leakage)
		}
	}
}

func (d *transformer) currents(p *point, into []float64) {
	for j := range d.windings {
		i := p.x[d.windings[j].i]
		into[2*j], into[2*j+1] = i, -i
	}
}

func (d *transformer) dissipation(p *point) float64 {
	heat := 0.0
	if d.CoreLoss > 0 {
		heat = p.x[d.core.a] * p.x[d.core.a] / d.CoreLoss
	}
	for j := range d.windings {
		i := p.x[d.windings[j].i]
		heat += d.Windings[j].Resistance * i * i
	}
	return heat
}

func (d *transformer) parameters() []Parameter {
	list := []Parameter{{Name: "magnetizing inductance", at: &d.Magnetizing}}
	if d.CoreLoss > 0 {
		list = append(list, Parameter{Name: "core loss", at: &d.CoreLoss})
	}
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
