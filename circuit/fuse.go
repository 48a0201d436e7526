package circuit

// A Fuse is a resistance that is gone once its wire has melted. The wire
// gathers heat as the square of the current and loses it with a time constant:
//
//	dH/dt = i² - H/τ,   melts at H = I²t,   τ = I²t / (m Ir)²
//
// so that a large current melts it at its melting integral, and a current of
// m times the rated one melts it just so, in the end. A blown fuse stays so.
//
// Melting integral: IEC 60127-1. The share m of 1.6 lies between what a
// miniature fuse must carry (1.5) and must not (2.1): common practice.
type Fuse struct {
	Rated           float64 // ampere, greater than 0
	MeltingIntegral float64 // I²t in A²s; 2 s times the square of the rated current when zero, as quick-acting ones have
	Resistance      float64 // ohm; 0.1 V over the rated current when zero
	MeltsAt         float64 // multiple of the rated current that melts it in the end; 1.6 when zero
}

func (Fuse) pins() []string { return []string{"1", "2"} }

func (f Fuse) wire(w *wiring) (device, error) {
	fallback(&f.MeltingIntegral, 2*f.Rated*f.Rated)
	fallback(&f.MeltsAt, 1.6)
	if f.Rated > 0 {
		fallback(&f.Resistance, 0.1/f.Rated)
	}
	if err := w.check(above("rated current", f.Rated, 0), above("melting integral", f.MeltingIntegral, 0), above("resistance", f.Resistance, 0),
		least("melting multiple", f.MeltsAt, 1)); err != nil {
		return nil, err
	}
	d := &fuse{Fuse: f, contact: newContact(w, "wire", w.pin[0], w.pin[1], f.Resistance, 0)}
	d.heat = w.unknown(other, "heat")
	d.hh, d.hi = w.slot(d.heat, d.heat), w.slot(d.heat, d.i)
	d.store = w.store(d.heat, 0)
	d.closed = true
	return d, nil
}

type fuse struct {
	Fuse
	contact
	heat   int // share of the melting integral
	hh, hi int
	store  store
}

func (d *fuse) stamp(m *stamper) {
	d.on = d.Resistance
	d.contact.stamp(m)
	limit := d.MeltsAt * d.Rated
	m.g[d.hh] += limit * limit / d.MeltingIntegral
	m.capacity(d.store, d.heat, d.hh, 0, 1)
}

func (d *fuse) load(p *point) {
	i := p.x[d.i]
	p.f[d.heat] -= i * i / d.MeltingIntegral
	p.g[d.hi] -= 2 * i / d.MeltingIntegral
}

func (d *fuse) initial() int             { return 0 }
func (d *fuse) open(int) bool            { return d.gapped() }
func (d *fuse) mode() int                { return b2i(!d.closed) }
func (d *fuse) setMode(m int)            { d.closed = m == 0 }
func (d *fuse) conducting(mode int) bool { return mode == 0 }

func (d *fuse) guard(p *point) float64 {
	if !d.closed {
		return -1
	}
	return p.x[d.heat] - 1
}

func (d *fuse) flip(*point) { d.closed = false }

func (d *fuse) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.i], -p.x[d.i]
}

func (d *fuse) parameters() []Parameter {
	return []Parameter{{Name: "resistance", at: &d.Resistance}, {Name: "melting integral", at: &d.MeltingIntegral}}
}
