package circuit

import "math"

// Polarity tells npn from pnp, and n-channel from p-channel.
type Polarity int

const (
	N Polarity = iota // npn, n-channel
	P                 // pnp, p-channel
)

// sign is +1 for N and -1 for P.
func (p Polarity) sign() float64 {
	if p == P {
		return -1
	}
	return 1
}

// A Bipolar transistor follows Ebers and Moll in the transport form, with the
// Early effect, the fall of gain above the knee current and charge storage
// after Gummel and Poon:
//
//	icc = Is (exp(vbe/Vt) - exp(vbc/Vt)) / qb
//	ib  = Is/βf (exp(vbe/Vt) - 1) + Is/βr (exp(vbc/Vt) - 1)
//	ic  = icc - Is/βr (exp(vbc/Vt) - 1)
//	qb  = q1/2 (1 + √(1 + 4 q2)),  1/q1 = 1 - vbc/Va,  q2 = Is (exp(vbe/Vt) - 1)/Ik
//	charge b-e = tf if + depletion,  b-c = tr Is (exp(vbc/Vt) - 1) + depletion
//
// with tf = 1/(2π ft) and if = Is (exp(vbe/Vt) - 1) / qb, the part of icc that
// comes from the emitter. (Were it all of icc, a transistor driven backwards
// would hold less charge the harder it conducts, and run away.) For a pnp all
// voltages and currents are reversed.
//
// Sources: J. J. Ebers, J. L. Moll, "Large-signal behavior of junction
// transistors", Proc. IRE 42 (1954) 1761-1772; H. K. Gummel, H. C. Poon, "An
// integral charge control model of bipolar transistors", Bell System Technical
// Journal 49 (1970) 827-852; J. M. Early, "Effects of space-charge layer
// widening in junction transistors", Proc. IRE 40 (1952) 1401-1406.
type Bipolar struct {
	Polarity             Polarity
	Gain                 float64 // forward current gain βf; 100 when zero
	ReverseGain          float64 // βr; 2 when zero
	SaturationCurrent    float64 // ampere; from BaseEmitterDrop when zero
	BaseEmitterDrop      float64 // volt at 1 mA of collector current; 0.65 when zero
	EarlyVoltage         float64 // volt; 0 means no Early effect
	KneeCurrent          float64 // ampere at which the gain has begun to fall; 0 means it never does
	TransitionFrequency  float64 // hertz; 0 means no stored charge
	StorageTime          float64 // seconds in saturation; 0 means none
	EmitterCapacitance   float64 // base to emitter, farad at no voltage; 0 means none
	CollectorCapacitance float64 // base to collector, farad at no voltage; 0 means none
}

func (Bipolar) pins() []string { return []string{"collector", "base", "emitter"} }

// withDefaults fills in the zero fields.
func (q Bipolar) withDefaults() Bipolar {
	fallback(&q.Gain, 100)
	fallback(&q.ReverseGain, 2)
	fallback(&q.BaseEmitterDrop, 0.65)
	if q.SaturationCurrent == 0 {
		q.SaturationCurrent = 1e-3 / math.Expm1(q.BaseEmitterDrop/thermalVoltage(300.15))
	}
	return q
}

func (q Bipolar) wire(w *wiring) (device, error) {
	q = q.withDefaults()
	if err := q.check(w); err != nil {
		return nil, err
	}
	return newBipolar(w, q, w.pin[0], w.pin[1], w.pin[2]), nil
}

func (q Bipolar) check(w *wiring) error {
	return w.check(within("polarity", float64(q.Polarity), 0, 1), above("gain", q.Gain, 0), above("reverse gain", q.ReverseGain, 0),
		above("saturation current", q.SaturationCurrent, 0), least("Early voltage", q.EarlyVoltage, 0), least("knee current", q.KneeCurrent, 0),
		least("transition frequency", q.TransitionFrequency, 0), least("storage time", q.StorageTime, 0),
		least("emitter capacitance", q.EmitterCapacitance, 0), least("collector capacitance", q.CollectorCapacitance, 0))
}

// newBipolar wires a transistor between three unknowns.
func newBipolar(w *wiring, q Bipolar, c, b, e int) *bipolar {
	d := &bipolar{Bipolar: q, c: c, b: b, e: e, kelvin: w.s.set.Temperature}
	for i, row := range [3]int{c, b, e} {
		for j, column := range [3]int{c, b, e} {
			d.slot[i][j] = w.slot(row, column)
		}
	}
	w.s.bends = append(w.s.bends, bend{&d.emitter, b, e}, bend{&d.collector, b, c})
	d.be, d.bc = store{k: -1}, store{k: -1}
	if q.TransitionFrequency > 0 || q.EmitterCapacitance > 0 {
		d.be = w.bentStore(b, e, [3]int{c, b, e})
	}
	if q.StorageTime > 0 || q.CollectorCapacitance > 0 {
		d.bc = w.bentStore(b, c, [3]int{c, b, e})
	}
	w.link(conducts, b, e)
	w.link(conducts, c, e)
	return d
}

type bipolar struct {
	Bipolar
	c, b, e int
	slot    [3][3]int // by collector, base, emitter
	be, bc  store
	kelvin  float64
	// derived
	sign, vt, transit float64
	emitter           junction
	collector         junction
}

func (d *bipolar) renew() {
	d.sign, d.vt = d.Polarity.sign(), thermalVoltage(d.kelvin)
	saturation := saturationAt(d.SaturationCurrent, 1, d.kelvin)
	last := [2]float64{d.emitter.last, d.collector.last}
	d.emitter, d.collector = newJunction(saturation, d.vt), newJunction(saturation, d.vt)
	d.emitter.last, d.collector.last = last[0], last[1]
	d.transit = 0
	if d.TransitionFrequency > 0 {
		d.transit = 1 / (2 * math.Pi * d.TransitionFrequency)
	}
}

// flows are the currents of a transistor and their derivatives by the two
// junction voltages.
type flows struct {
	icc, ibe, ibc      float64
	iccE, iccC, gE, gC float64 // d icc/d vbe, d icc/d vbc, d ibe/d vbe, d ibc/d vbc
	forward, iE, iC    float64 // the part of icc from the emitter, and its derivatives
}

// law works out the currents at two junction voltages.
func (d *bipolar) law(vbe, vbc float64) (f flows) {
	iff, gf := d.emitter.at(vbe)
	irr, gr := d.collector.at(vbc)
	f.ibe, f.gE = iff/d.Gain, gf/d.Gain
	f.ibc, f.gC = irr/d.ReverseGain, gr/d.ReverseGain
	f.icc, f.iccE, f.iccC = iff-irr, gf, -gr
	f.forward, f.iE = iff, gf
	if d.EarlyVoltage == 0 && d.KneeCurrent == 0 {
		return f
	}
	q1, q1C := 1.0, 0.0
	if d.EarlyVoltage > 0 {
		// 1/q1 = 1 - vbc/Va, kept from passing zero by a smooth floor at 0.1
		inverse, slope := hinge(1-vbc/d.EarlyVoltage-0.1, 0.02)
		inverse += 0.1
		q1 = 1 / inverse
		q1C = slope / d.EarlyVoltage / (inverse * inverse)
	}
	root, rootE := 1.0, 0.0
	if d.KneeCurrent > 0 {
		q2 := max(iff, -0.2*d.KneeCurrent) / d.KneeCurrent
		root = math.Sqrt(1 + 4*q2)
		if iff > -0.2*d.KneeCurrent {
			rootE = 2 * gf / d.KneeCurrent / root
		}
	}
	qb := q1 * (1 + root) / 2
	qbE, qbC := q1*rootE/2, q1C*(1+root)/2
	f.icc /= qb
	f.iccE = (f.iccE - f.icc*qbE) / qb
	f.iccC = (f.iccC - f.icc*qbC) / qb
	f.forward /= qb
	f.iE, f.iC = (gf-f.forward*qbE)/qb, -f.forward*qbC/qb
	return f
}

func (d *bipolar) stamp(*stamper) {}

func (d *bipolar) load(p *point) {
	guessE, guessC := d.sign*(p.x[d.b]-p.x[d.e]), d.sign*(p.x[d.b]-p.x[d.c])
	vbe, vbc := d.emitter.reach(p, guessE), d.collector.reach(p, guessC)
	f := d.law(vbe, vbc)
	dE, dC := guessE-vbe, guessC-vbc
	ic := f.icc - f.ibc + f.iccE*dE + (f.iccC-f.gC)*dC
	ib := f.ibe + f.ibc + f.gE*dE + f.gC*dC
	p.f[d.c] += d.sign * ic
	p.f[d.b] += d.sign * ib
	p.f[d.e] -= d.sign * (ic + ib)
	d.spread(p.g, f.iccE, f.iccC-f.gC, f.gE, f.gC)
	if d.be.k >= 0 {
		q, c := depletion(d.EmitterCapacitance, vbe)
		cE, cC := c+d.transit*f.iE, d.transit*f.iC
		p.q[d.be.k] += d.sign * (q + d.transit*f.forward + cE*dE + cC*dC)
		p.bows[d.be.k] = [3]float64{-cC, cE + cC, -cE}
		d.hold(p.c, 2, cE, cC)
	}
	if d.bc.k >= 0 {
		q, c := depletion(d.CollectorCapacitance, vbc)
		c += d.StorageTime * f.gC * d.ReverseGain
		p.q[d.bc.k] += d.sign * (q + d.StorageTime*f.ibc*d.ReverseGain + c*dC)
		p.bows[d.bc.k] = [3]float64{-c, c, 0}
		d.hold(p.c, 0, 0, c)
	}
}

// spread writes the derivatives of collector and base current by the two
// junction voltages, vbe and vbc, into the rows of all three pins.
func (d *bipolar) spread(g []float64, cE, cC, bE, bC float64) {
	rows := [3][2]float64{{cE, cC}, {bE, bC}, {-cE - bE, -cC - bC}}
	for i, r := range rows {
		g[d.slot[i][0]] -= r[1]
		g[d.slot[i][1]] += r[0] + r[1]
		g[d.slot[i][2]] -= r[0]
	}
}

// hold writes the derivatives of a charge between base and another pin.
func (d *bipolar) hold(c []float64, pin int, cE, cC float64) {
	for _, row := range [2]struct {
		at   int
		sign float64
	}{{1, 1}, {pin, -1}} {
		c[d.slot[row.at][0]] -= row.sign * cC
		c[d.slot[row.at][1]] += row.sign * (cE + cC)
		c[d.slot[row.at][2]] -= row.sign * cE
	}
}

func (d *bipolar) currents(p *point, into []float64) {
	f := d.law(d.sign*(p.x[d.b]-p.x[d.e]), d.sign*(p.x[d.b]-p.x[d.c]))
	into[0], into[1] = d.sign*(f.icc-f.ibc), d.sign*(f.ibe+f.ibc)
	into[2] = -into[0] - into[1]
	if d.be.k >= 0 {
		into[1] += p.rate[d.be.k]
		into[2] -= p.rate[d.be.k]
	}
	if d.bc.k >= 0 {
		into[1] += p.rate[d.bc.k]
		into[0] -= p.rate[d.bc.k]
	}
}

func (d *bipolar) dissipation(p *point) float64 {
	vbe, vbc := d.sign*(p.x[d.b]-p.x[d.e]), d.sign*(p.x[d.b]-p.x[d.c])
	f := d.law(vbe, vbc)
	return f.icc*(vbe-vbc) + f.ibe*vbe + f.ibc*vbc
}

func (d *bipolar) parameters() []Parameter {
	list := []Parameter{{Name: "gain", at: &d.Gain}, {Name: "reverse gain", at: &d.ReverseGain}, {Name: "saturation current", at: &d.SaturationCurrent}}
	for _, more := range []Parameter{{Name: "Early voltage", at: &d.EarlyVoltage}, {Name: "knee current", at: &d.KneeCurrent},
		{Name: "transition frequency", at: &d.TransitionFrequency}, {Name: "storage time", at: &d.StorageTime},
		{Name: "emitter capacitance", at: &d.EmitterCapacitance}, {Name: "collector capacitance", at: &d.CollectorCapacitance}} {
		if *more.at > 0 {
			list = append(list, more)
		}
	}
	return list
}
