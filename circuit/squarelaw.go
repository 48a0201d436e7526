package circuit

// squareLaw is the drain current of a field-effect channel, and its derivatives
// by overdrive (gate voltage above threshold) and drain-source voltage:
//
//	cut off  id = 0                                  vov <= 0
//	triode   id = k (vov - vds/2) vds (1 + λ vds)    vds < vov
//	beyond   id = k/2 vov² (1 + λ vds)
//
// W. Shockley, "A unipolar field-effect transistor", Proc. IRE 40 (1952)
// 1365-1376, in the square-law form of H. Shichman, D. A. Hodges, "Modeling
// and simulation of insulated-gate field-effect transistor switching
// circuits", IEEE J. Solid-State Circuits 3 (1968) 285-289.
func squareLaw(k, lambda, vov, vds float64) (id, gm, gds float64) {
	if vov <= 0 {
		return 0, 0, 0
	}
	tilt := 1 + lambda*vds
	if vds < vov {
		core := k * (vov - vds/2) * vds
		return core * tilt, k * vds * tilt, k*(vov-vds)*tilt + core*lambda
	}
	core := k / 2 * vov * vov
	return core * tilt, k * vov * tilt, core * lambda
}

// channel is a field-effect channel between three unknowns, with its
// capacitances; drain and source change places when the voltage does.
type channel struct {
	d, g, s  int
	sign     float64
	slot     [3][3]int // by drain, gate, source
	gs, gd   pair
	gsq, gdq store
}

func newChannel(w *wiring, polarity Polarity, cgs, cgd float64) channel {
	c := channel{d: w.pin[0], g: w.pin[1], s: w.pin[2], sign: polarity.sign(), gsq: store{k: -1}, gdq: store{k: -1}}
	for i, row := range w.pin[:3] {
		for j, column := range w.pin[:3] {
			c.slot[i][j] = w.slot(row, column)
		}
	}
	w.link(conducts, c.d, c.s)
	if cgs > 0 {
		c.gs, c.gsq = w.pair(c.g, c.s), w.store(c.g, c.s)
		w.link(stores, c.g, c.s)
	}
	if cgd > 0 {
		c.gd, c.gdq = w.pair(c.g, c.d), w.store(c.g, c.d)
		w.link(stores, c.g, c.d)
	}
	return c
}

// stamp adds the capacitances.
func (c *channel) stamp(m *stamper, cgs, cgd float64) {
	if c.gsq.k >= 0 {
		m.capacitor(c.gsq, &c.gs, cgs)
	}
	if c.gdq.k >= 0 {
		m.capacitor(c.gdq, &c.gd, cgd)
	}
}

// law is the current into the drain and its derivatives by gate, drain and
// source voltage.
func (c *channel) law(x []float64, k, lambda, threshold float64) (id, byGate, byDrain, bySource float64) {
	vds := c.sign * (x[c.d] - x[c.s])
	if vds >= 0 {
		i, gm, gds := squareLaw(k, lambda, c.sign*(x[c.g]-x[c.s])-threshold, vds)
		return c.sign * i, gm, gds, -gm - gds
	}
	i, gm, gds := squareLaw(k, lambda, c.sign*(x[c.g]-x[c.d])-threshold, -vds)
	return -c.sign * i, -gm, gm + gds, -gds
}

func (c *channel) load(p *point, k, lambda, threshold float64) {
	id, byGate, byDrain, bySource := c.law(p.x, k, lambda, threshold)
	p.f[c.d] += id
	p.f[c.s] -= id
	for i, sign := range [3]float64{1, 0, -1} {
		if sign != 0 {
			p.g[c.slot[i][0]] += sign * byDrain
			p.g[c.slot[i][1]] += sign * byGate
			p.g[c.slot[i][2]] += sign * bySource
		}
	}
}

// currents adds the current into drain, gate and source.
func (c *channel) currents(p *point, into []float64, k, lambda, threshold float64) {
	id, _, _, _ := c.law(p.x, k, lambda, threshold)
	into[0] += id
	into[2] -= id
	if c.gsq.k >= 0 {
		into[1] += p.rate[c.gsq.k]
		into[2] -= p.rate[c.gsq.k]
	}
	if c.gdq.k >= 0 {
		into[1] += p.rate[c.gdq.k]
		into[0] -= p.rate[c.gdq.k]
	}
}
