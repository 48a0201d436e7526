package circuit

import "math"

// A Regulator is a three-terminal series regulator, fixed or adjustable, for
// positive voltages or (with Negative) for negative ones. It holds its output
// a fixed voltage above its common pin, as long as the input is higher by the
// dropout, the current stays below the limit and the chip does not get too hot:
//
//	v(out, common) = lower of  Vset + (v(in, out) - 5 V) / rejection - Ro i
//	                 and       v(in, common) - dropout
//	i <= limit,  which folds back with v(in, out) and fades out over 10 K below
//	the shutdown temperature;  i >= 0: it does not sink current
//	Cth dT/dt = P - (T - ambient) / Rth
//
// All bends are rounded. A model of the data-sheet figures (dropout, load and
// line regulation, short-circuit current, thermal shutdown), common practice.
type Regulator struct {
	Negative          bool
	Output            float64 // Vset in volt, its size, greater than 0; 1.25 for an adjustable one
	Dropout           float64 // volt; 2 when zero
	CurrentLimit      float64 // ampere; 1.5 when zero
	FoldbackVoltage   float64 // v(in, out) in volt above which the limit falls, to half at twice this; 0 means never
	OutputResistance  float64 // load regulation in ohm; 10 mΩ when zero
	QuiescentCurrent  float64 // ampere from input to common; 5 mA when zero
	Rejection         float64 // line regulation and ripple rejection in decibel; 60 when zero
	ThermalResistance float64 // chip to surroundings in K/W; 0 means that heat is not followed
	ThermalCapacity   float64 // J/K; 5 when zero
	ShutdownAt        float64 // kelvin; 423 when zero
}

func (Regulator) pins() []string { return []string{"in", "out", "common"} }

func (r Regulator) wire(w *wiring) (device, error) {
	fallback(&r.Dropout, 2)
	fallback(&r.CurrentLimit, 1.5)
	fallback(&r.OutputResistance, 10e-3)
	fallback(&r.QuiescentCurrent, 5e-3)
	fallback(&r.Rejection, 60)
	fallback(&r.ThermalCapacity, 5)
	fallback(&r.ShutdownAt, 423)
	if err := w.check(above("output voltage", r.Output, 0), above("dropout", r.Dropout, 0), above("current limit", r.CurrentLimit, 0),
		least("fold-back voltage", r.FoldbackVoltage, 0), above("output resistance", r.OutputResistance, 0), above("quiescent current", r.QuiescentCurrent, 0),
		above("rejection", r.Rejection, 0), least("thermal resistance", r.ThermalResistance, 0), above("thermal capacity", r.ThermalCapacity, 0),
		above("shutdown temperature above the surroundings", r.ShutdownAt-w.s.set.Temperature, 0)); err != nil {
		return nil, err
	}
	d := &regulator{Regulator: r, in: w.pin[0], out: w.pin[1], common: w.pin[2], ambient: w.s.set.Temperature, sign: 1}
	if r.Negative {
		d.sign = -1
	}
	d.pass = w.rigid(d.in, d.out, "output current")
	d.dropping, d.full = junction{swing: dropWidth, last: -1}, junction{swing: 1, last: -20}
	w.s.bends = append(w.s.bends, bend{&d.dropping, d.in, d.common}, bend{&d.full, d.pass.i, 0})
	d.ic = w.slot(d.pass.i, d.common)
	d.supply = w.pair(d.in, d.common)
	w.link(conducts, d.in, d.out)
	w.link(conducts, d.in, d.common)
	if r.ThermalResistance > 0 {
		d.rise = w.unknown(temperature, "temperature rise")
		d.store = w.store(d.rise, 0)
		d.tt, d.it = w.slot(d.rise, d.rise), w.slot(d.pass.i, d.rise)
		d.ta, d.tb, d.tc, d.ti = w.slot(d.rise, d.in), w.slot(d.rise, d.out), w.slot(d.rise, d.common), w.slot(d.rise, d.pass.i)
	}
	return d, nil
}

// dropWidth is the width of the bend where the regulator drops out, in volt.
const dropWidth = 20e-3

type regulator struct {
	// The bends where it drops out and at the limit, as far as Newton's method
	// minds them.
	dropping, full junction

	Regulator
	in, out, common int
	pass            rigid // current from in to out
	ic              int
	supply          pair
	rise            int
	store           store
	tt, it          int
	ta, tb, tc, ti  int
	ambient, sign   float64
}

func (d *regulator) stamp(m *stamper) {
	d.pass.join(m.g)
	if d.rise > 0 {
		m.g[d.tt] += 1 / d.ThermalResistance
		m.capacity(d.store, d.rise, d.tt, 0, d.ThermalCapacity)
	}
}

func (d *regulator) load(p *point) {
	in, out := d.sign*(p.x[d.in]-p.x[d.common]), d.sign*(p.x[d.out]-p.x[d.common])
	i := d.sign * p.x[d.pass.i]
	over := in - out
	d.quiescent(p, in)

	// What the output would be without load limits: the lower of set point and
	// input less dropout.
	line := math.Pow(10, -d.Rejection/20)
	wish := d.Output + line*(over-5)
	room := in - d.Dropout
	d.dropping.last = wish - room
	excess, slope := hinge(wish-room, dropWidth)
	target := wish - excess
	byWish, byRoom := 1-slope, slope

	// Beyond the limit, and below nothing, the output gives way.
	limit, limitByOver, limitByHeat := d.limit(p, over)
	steep, bend := 1000/d.CurrentLimit, d.CurrentLimit*2e-3
	d.full.swing, d.full.last = bend, i-limit
	beyond, beyondSlope := hinge(i-limit, bend)
	trickling := d.CurrentLimit * 1e-5 // what it sinks before it gives way
	below, belowSlope := hinge(-i-20*trickling, trickling)
	shut, shutSlope := steep*beyond, steep*beyondSlope
	idle, idleSlope := 10*steep*below, 10*steep*belowSlope

	// Equation: out - target + Ro i + shut - idle = 0, in sign.
	p.f[d.pass.i] += d.sign * (out - target + d.OutputResistance*i + shut - idle)
	byOver := -byWish*line - shutSlope*limitByOver
	p.g[d.pass.ia] += -byRoom + byOver
	p.g[d.pass.ib] += 1 - byOver
	p.g[d.ic] += byRoom - 1
	p.g[d.pass.ii] += d.OutputResistance + shutSlope + idleSlope
	if d.rise > 0 {
		p.g[d.it] -= d.sign * shutSlope * limitByHeat
		p.f[d.rise] -= over*i + in*d.QuiescentCurrent
		p.g[d.ta] -= d.sign * (i + d.QuiescentCurrent)
		p.g[d.tc] += d.sign * d.QuiescentCurrent
		p.g[d.tb] += d.sign * i
		p.g[d.ti] -= d.sign * over
	}
}

// quiescent is the current of the chip itself, which fades below 1 V.
func (d *regulator) quiescent(p *point, in float64) {
	t := math.Tanh(in)
	d.supply.flow(p, d.sign*d.QuiescentCurrent*t, d.QuiescentCurrent*(1-t*t))
}

// limit is the current limit, and its derivatives by the voltage across and by
// the temperature.
func (d *regulator) limit(p *point, over float64) (limit, byOver, byHeat float64) {
	limit = d.CurrentLimit
	if d.FoldbackVoltage > 0 {
		high, slope := hinge(over-d.FoldbackVoltage, 0.5)
		share := 1 / (1 + high/d.FoldbackVoltage)
		byOver = -limit * share * share * slope / d.FoldbackVoltage
		limit *= share
	}
	if d.rise > 0 {
		hot, hotSlope := hinge(p.x[d.rise]+d.ambient-d.ShutdownAt+10, 0.5)
		rest, restSlope := hinge(1-hot/10, 0.02)
		byOver *= rest
		byHeat = -limit * restSlope * hotSlope / 10
		limit *= rest
	}
	return limit, byOver, byHeat
}

func (d *regulator) temperature() (int, float64) { return d.rise, d.ambient }

func (d *regulator) currents(p *point, into []float64) {
	q := d.sign * d.QuiescentCurrent * math.Tanh(d.sign*d.supply.across(p.x))
	i := p.x[d.pass.i]
	into[0], into[1], into[2] = i+q, -i, -q
}

func (d *regulator) parameters() []Parameter {
	list := []Parameter{{Name: "output voltage", at: &d.Output}, {Name: "dropout", at: &d.Dropout}, {Name: "current limit", at: &d.CurrentLimit},
		{Name: "output resistance", at: &d.OutputResistance}, {Name: "quiescent current", at: &d.QuiescentCurrent}, {Name: "rejection", at: &d.Rejection}}
	if d.rise > 0 {
		list = append(list, Parameter{Name: "thermal resistance", at: &d.ThermalResistance})
	}
	return list
}
