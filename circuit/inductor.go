package circuit

// An Inductor stores flux linkage: λ = L i, v = R i + dλ/dt. Inductors are
// coupled with a [Coupling] or come wound together in a [Transformer].
//
// Faraday's law: any textbook.
type Inductor struct {
	Inductance     float64 // henry, greater than 0
	Resistance     float64 // of the wire, in ohm; 0 means none
	InitialCurrent float64 // ampere at time zero of a cold start
}

func (Inductor) pins() []string { return []string{"1", "2"} }

func (l Inductor) wire(w *wiring) (device, error) {
	if err := w.check(above("inductance", l.Inductance, 0), least("resistance", l.Resistance, 0),
		anything("initial current", l.InitialCurrent)); err != nil {
		return nil, err
	}
	d := &inductor{Inductor: l, rigid: w.rigid(w.pin[0], w.pin[1], "current")}
	d.store = w.store(0, d.i)
	if l.Resistance > 0 {
		w.link(conducts, d.a, d.b)
	} else {
		w.link(winds, d.a, d.b)
	}
	return d, nil
}

type inductor struct {
	Inductor
	rigid
	store store
	set   *coupled // the inductors that it shares flux with, which then stand for its own
}

func (d *inductor) stamp(m *stamper) {
	d.join(m.g)
	d.fall(m.g, d.Resistance)
	if d.set == nil {
		m.capacity(d.store, d.i, 0, d.ii, d.Inductance)
	}
}

func (d *inductor) start(q []float64) {
	if d.set == nil {
		q[d.store.k] += d.Inductance * d.InitialCurrent
	}
}

func (d *inductor) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.i], -p.x[d.i]
}

func (d *inductor) dissipation(p *point) float64 {
	return d.Resistance * p.x[d.i] * p.x[d.i]
}

func (d *inductor) parameters() []Parameter {
	list := []Parameter{{Name: "inductance", at: &d.Inductance}}
	if d.Resistance > 0 {
		list = append(list, Parameter{Name: "resistance", at: &d.Resistance})
	}
	return list
}
