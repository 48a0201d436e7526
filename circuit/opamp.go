package circuit

import "math"

// An OpAmp amplifies the difference of its inputs. An inner voltage u follows
// it through one pole and as fast as the slew rate allows; it stops at the
// rails; the output stage has a resistance and a current limit:
//
//	τ du/dt = sat(A (v+ - v-) - u),  τ = A/(2π GBW),  |du/dt| <= slew rate
//	v(out) = u + Ro i,  |i| <= limit,  negative rail <= u <= positive rail
//
// i is the current into the output. With five nodes the rails are those of the
// supply pins, less the headroom, and the output current is drawn from them;
// with three they are the stated voltages. Bends are rounded over 10 mV.
//
// Macromodel after G. R. Boyle et al., "Macromodeling of integrated circuit
// operational amplifiers", IEEE J. Solid-State Circuits 9 (1974) 353-364,
// reduced to what a data sheet states.
type OpAmp struct {
	Ideal            bool    // infinite gain, no limits: the inputs are held equal
	Gain             float64 // open loop at rest; 200000 when zero
	GainBandwidth    float64 // hertz; 0 means no pole
	SlewRate         float64 // V/s; 0 means no limit
	InputResistance  float64 // ohm between the inputs; 0 means infinite
	OutputResistance float64 // ohm; 0 means none
	Offset           float64 // volt, adds to the + input
	PositiveRail     float64 // volt; ignored when both rails are zero
	NegativeRail     float64 // volt
	Headroom         float64 // volt that the output stays away from each rail
	CurrentLimit     float64 // ampere; 0 means none
	SupplyCurrent    float64 // ampere from one supply pin to the other
}

func (OpAmp) pins() []string {
	return []string{"in+", "in-", "out", "[supply+]", "[supply-]"}
}

func (o OpAmp) wire(w *wiring) (device, error) {
	fallback(&o.Gain, 200000)
	if err := w.check(above("gain", o.Gain, 0), least("gain-bandwidth", o.GainBandwidth, 0), least("slew rate", o.SlewRate, 0),
		least("input resistance", o.InputResistance, 0), least("output resistance", o.OutputResistance, 0), anything("offset", o.Offset),
		least("headroom", o.Headroom, 0), least("current limit", o.CurrentLimit, 0), least("span of the rails", o.PositiveRail-o.NegativeRail, 0)); err != nil {
		return nil, err
	}
	d := &opamp{OpAmp: o, plus: w.pin[0], minus: w.pin[1], store: store{k: -1}}
	d.out = w.rigid(w.pin[2], 0, "output current")
	d.op, d.om = w.slot(d.out.i, d.plus), w.slot(d.out.i, d.minus)
	w.link(conducts, w.pin[2], 0)
	if o.InputResistance > 0 {
		d.input = w.pair(d.plus, d.minus)
		w.link(conducts, d.plus, d.minus)
	}
	if len(w.pin) == 4 {
		return nil, w.check(want{"number of nodes", 4, false, "3, or 5 with both supply pins"})
	}
	d.powered = len(w.pin) == 5
	d.clamped = d.powered || o.PositiveRail != 0 || o.NegativeRail != 0
	if d.powered {
		d.high, d.low = w.pin[3], w.pin[4]
		d.hi, d.li = w.slot(d.high, d.out.i), w.slot(d.low, d.out.i)
		w.link(conducts, d.high, d.low)
	}
	if !o.Ideal {
		d.u = w.inner("inner voltage")
		d.uu, d.up, d.um = w.slot(d.u, d.u), w.slot(d.u, d.plus), w.slot(d.u, d.minus)
		d.uh, d.ul, d.ou = w.slot(d.u, d.high), w.slot(d.u, d.low), w.slot(d.out.i, d.u)
		if o.GainBandwidth > 0 {
			d.store = w.store(d.u, 0)
		}
		if d.clamped {
			d.over, d.under = junction{swing: clampWidth, last: -1}, junction{swing: clampWidth, last: -1}
			w.s.bends = append(w.s.bends, bend{&d.over, d.u, d.high}, bend{&d.under, d.low, d.u})
		}
		if o.CurrentLimit > 0 {
			d.most, d.least = junction{swing: limitWidth * o.CurrentLimit, last: -o.CurrentLimit}, junction{swing: limitWidth * o.CurrentLimit, last: -o.CurrentLimit}
			w.s.bends = append(w.s.bends, bend{&d.most, d.out.i, 0}, bend{&d.least, d.out.i, 0})
		}
	}
	return d, nil
}

type opamp struct {
	OpAmp
	plus, minus, high, low int
	out                    rigid
	op, om, hi, li         int
	input                  pair
	u                      int
	uu, up, um, uh, ul, ou int
	store                  store
	powered, clamped       bool
	// The bends at the rails and at the current limits, as far as Newton's method
	// minds them.
	over, under, most, least junction
}

// clampWidth is the width of the bends at the rails, in volt, and limitWidth that of
// those at the current limits, as a share of the limit.
const clampWidth, limitWidth = 10e-3, 0.01

// lag is the time constant of the pole.
func (d *opamp) lag() float64 { return d.Gain / (2 * math.Pi * d.GainBandwidth) }

// The equation of u is divided by the gain, which keeps its size near 1.
func (d *opamp) stamp(m *stamper) {
	m.g[d.out.ai]++
	if d.InputResistance > 0 {
		d.input.conduct(m.g, 1/d.InputResistance)
	}
	if d.Ideal {
		m.g[d.op]++
		m.g[d.om]--
		return
	}
	d.out.fall(m.g, d.OutputResistance)
	m.g[d.ou]--
	if d.store.k >= 0 {
		m.capacity(d.store, d.u, d.uu, 0, d.lag()/d.Gain)
	}
	if !d.limited() {
		m.g[d.up]--
		m.g[d.um]++
		m.g[d.uu] += 1 / d.Gain
	}
}

// limited reports whether the pole has a bend.
func (d *opamp) limited() bool { return d.SlewRate > 0 && d.store.k >= 0 }

func (d *opamp) load(p *point) {
	if d.Ideal {
		p.f[d.out.i] += d.Offset
		return
	}
	drive := p.x[d.plus] - p.x[d.minus] + d.Offset
	if !d.limited() {
		p.f[d.u] -= d.Offset
	} else {
		// sat(e) = e/√(1 + (e/E)²) with E the drive that slews
		e, slope := drive-p.x[d.u]/d.Gain, 1.0
		if !p.still {
			limit := d.SlewRate * d.lag() / d.Gain
			root := math.Sqrt(1 + (e/limit)*(e/limit))
			e, slope = e/root, 1/(root*root*root)
		}
		p.f[d.u] -= e
		p.g[d.up] -= slope
		p.g[d.um] += slope
		p.g[d.uu] += slope / d.Gain
	}
	if d.clamped {
		d.clamp(p)
	}
	if d.CurrentLimit > 0 {
		d.limit(p)
	}
	if d.powered {
		// What flows out of the output comes from the positive supply, what
		// flows into it goes to the negative one.
		i := p.x[d.out.i]
		source, slope := hinge(-i, 1e-5)
		p.f[d.high] += source + d.SupplyCurrent
		p.f[d.low] += -i - source - d.SupplyCurrent
		p.g[d.hi] -= slope
		p.g[d.li] += slope - 1
	}
}

// clamp keeps the inner voltage between the rails by a current that rises
// steeply beyond them.
func (d *opamp) clamp(p *point) {
	top, bottom := d.PositiveRail, d.NegativeRail
	if d.powered {
		top, bottom = p.x[d.high], p.x[d.low]
	}
	const steep = 100
	d.over.last, d.under.last = p.x[d.u]-top+d.Headroom, bottom+d.Headroom-p.x[d.u]
	over, overSlope := hinge(d.over.last, clampWidth)
	under, underSlope := hinge(d.under.last, clampWidth)
	p.f[d.u] += steep * (over - under)
	p.g[d.uu] += steep * (overSlope + underSlope)
	if d.powered {
		p.g[d.uh] -= steep * overSlope
		p.g[d.ul] -= steep * underSlope
	}
}

// limit makes the output stage give way beyond its current limit.
func (d *opamp) limit(p *point) {
	resistance, bend := 1000/d.CurrentLimit, d.CurrentLimit*limitWidth
	d.most.swing, d.most.last = bend, p.x[d.out.i]-d.CurrentLimit
	d.least.swing, d.least.last = bend, -p.x[d.out.i]-d.CurrentLimit
	over, overSlope := hinge(d.most.last, bend)
	under, underSlope := hinge(d.least.last, bend)
	p.f[d.out.i] -= resistance * (over - under)
	p.g[d.out.ii] -= resistance * (overSlope + underSlope)
}

func (d *opamp) currents(p *point, into []float64) {
	i := p.x[d.out.i]
	if d.InputResistance > 0 {
		into[0] = d.input.across(p.x) / d.InputResistance
		into[1] = -into[0]
	}
	into[2] = i
	if d.powered {
		source, _ := hinge(-i, 1e-5)
		into[3] = source + d.SupplyCurrent
		into[4] = -i - source - d.SupplyCurrent
	}
}

func (d *opamp) parameters() []Parameter {
	list := []Parameter{{Name: "offset", at: &d.Offset}}
	if d.Ideal {
		return list
	}
	list = append(list, Parameter{Name: "gain", at: &d.Gain})
	for _, more := range []Parameter{{Name: "gain-bandwidth", at: &d.GainBandwidth}, {Name: "slew rate", at: &d.SlewRate},
		{Name: "output resistance", at: &d.OutputResistance}, {Name: "input resistance", at: &d.InputResistance},
		{Name: "current limit", at: &d.CurrentLimit}} {
		if *more.at > 0 {
			list = append(list, more)
		}
	}
	return list
}
