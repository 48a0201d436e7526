package circuit

import "math"

// A Relay moves its contacts with the current of its coil: the common contact
// leaves the normally closed one for the normally open one when the current
// reaches pull-in, and falls back when it drops below drop-out.
//
// The coil is L di/dt + R i = v. The time the armature takes is not modelled.
type Relay struct {
	CoilResistance    float64 // ohm, greater than 0
	CoilInductance    float64 // henry; 0 means none
	PullIn            float64 // ampere, greater than 0
	DropOut           float64 // ampere; a third of pull-in when zero
	ContactResistance float64 // ohm; 0.05 when zero
}

func (Relay) pins() []string {
	return []string{"coil 1", "coil 2", "common", "normally open", "[normally closed]"}
}

func (r Relay) wire(w *wiring) (device, error) {
	fallback(&r.DropOut, r.PullIn/3)
	fallback(&r.ContactResistance, 0.05)
	if err := w.check(above("coil resistance", r.CoilResistance, 0), least("coil inductance", r.CoilInductance, 0), above("pull-in current", r.PullIn, 0),
		within("drop-out current", r.DropOut, 0, r.PullIn), above("contact resistance", r.ContactResistance, 0)); err != nil {
		return nil, err
	}
	d := &relay{Relay: r, store: store{k: -1}}
	w.link(conducts, w.pin[0], w.pin[1])
	d.coil = w.rigid(w.pin[0], w.pin[1], "coil current")
	if r.CoilInductance > 0 {
		d.store = w.store(0, d.coil.i)
	}
	d.contacts = append(d.contacts, newContact(w, "working contact", w.pin[2], w.pin[3], r.ContactResistance, 0))
	if len(w.pin) > 4 {
		d.contacts = append(d.contacts, newContact(w, "resting contact", w.pin[2], w.pin[4], r.ContactResistance, 0))
	}
	d.setMode(0)
	return d, nil
}

type relay struct {
	Relay
	coil     rigid
	store    store
	contacts []contact // normally open, normally closed
	pulled   bool
}

func (d *relay) stamp(m *stamper) {
	d.coil.join(m.g)
	d.coil.fall(m.g, d.CoilResistance)
	if d.store.k >= 0 {
		m.capacity(d.store, d.coil.i, 0, d.coil.ii, d.CoilInductance)
	}
	for i := range d.contacts {
		d.contacts[i].on = d.ContactResistance
		d.contacts[i].stamp(m)
	}
}

func (d *relay) open(number int) bool { return number > 0 && d.contacts[number-1].gapped() }
func (d *relay) mode() int            { return b2i(d.pulled) }
func (d *relay) setMode(m int) {
	d.pulled = m == 1
	for i := range d.contacts {
		d.contacts[i].closed = d.pulled == (i == 0)
	}
}

func (d *relay) guard(p *point) float64 {
	i := math.Abs(p.x[d.coil.i])
	if d.pulled {
		return d.DropOut - i
	}
	return i - d.PullIn
}

func (d *relay) flip(*point) { d.setMode(1 - d.mode()) }

func (d *relay) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.coil.i], -p.x[d.coil.i]
	for i := range d.contacts {
		c := p.x[d.contacts[i].i]
		into[2] += c
		into[3+i] -= c
	}
}

func (d *relay) dissipation(p *point) float64 {
	heat := d.CoilResistance * p.x[d.coil.i] * p.x[d.coil.i]
	for i := range d.contacts {
		heat += d.ContactResistance * p.x[d.contacts[i].i] * p.x[d.contacts[i].i]
	}
	return heat
}

func (d *relay) parameters() []Parameter {
	list := []Parameter{{Name: "coil resistance", at: &d.CoilResistance}, {Name: "contact resistance", at: &d.ContactResistance}}
	if d.store.k >= 0 {
		list = append(list, Parameter{Name: "coil inductance", at: &d.CoilInductance})
	}
	return list
}
