package circuit

import "math"

// A Diode is a p-n junction, with breakdown when it has a rating for it:
//
//	i = Is (exp(v / n Vt) - 1) - Ibv exp(-(v + Vbr) / (nb Vt))
//
// Its charge is that of the depletion layer and the one stored by the forward
// current, q = t i. The saturation current follows from one forward drop read
// off the data sheet, unless it is given.
//
// Forward law: Shockley 1949 (see [Solver] for the constants). Breakdown as an
// exponential, which fits the slope resistance of a data sheet at its test
// current: common practice. Stored charge: H. K. Gummel's charge-control form,
// as in S. M. Sze, "Physics of Semiconductor Devices".
type Diode struct {
	ForwardDrop         float64 // volt at ForwardCurrent; 0.7 when zero
	ForwardCurrent      float64 // ampere; 0.01 when zero
	Ideality            float64 // n, from 1 to 2 for silicon; 1.8 when zero
	SaturationCurrent   float64 // ampere; from the forward drop when zero
	SeriesResistance    float64 // ohm; 0 means none
	Breakdown           float64 // reverse voltage in volt; 0 means none
	BreakdownCurrent    float64 // ampere at which Breakdown is stated; 1 mA when zero
	BreakdownIdeality   float64 // nb; 1 when zero
	JunctionCapacitance float64 // farad at no voltage; 0 means none
	StorageTime         float64 // seconds; about the recovery time; 0 means none
}

func (Diode) pins() []string { return []string{"anode", "cathode"} }

// withDefaults fills in the zero fields.
func (d Diode) withDefaults(vt float64) Diode {
	fallback(&d.ForwardDrop, 0.7)
	fallback(&d.ForwardCurrent, 0.01)
	fallback(&d.Ideality, 1.8)
	fallback(&d.BreakdownCurrent, 1e-3)
	fallback(&d.BreakdownIdeality, 1)
	if d.SaturationCurrent == 0 {
		d.SaturationCurrent = d.ForwardCurrent / math.Expm1((d.ForwardDrop-d.ForwardCurrent*d.SeriesResistance)/(d.Ideality*vt))
	}
	return d
}

func (d Diode) wire(w *wiring) (device, error) {
	d = d.withDefaults(thermalVoltage(300.15))
	if err := w.check(above("forward drop", d.ForwardDrop, 0), above("forward current", d.ForwardCurrent, 0),
		within("ideality", d.Ideality, 0.5, 10), above("saturation current", d.SaturationCurrent, 0),
		least("series resistance", d.SeriesResistance, 0), least("breakdown", d.Breakdown, 0),
		above("breakdown current", d.BreakdownCurrent, 0), above("breakdown ideality", d.BreakdownIdeality, 0),
		least("junction capacitance", d.JunctionCapacitance, 0), least("storage time", d.StorageTime, 0)); err != nil {
		return nil, err
	}
	v := &diode{Diode: d, kelvin: w.s.set.Temperature}
	inside := w.pin[0]
	if d.SeriesResistance > 0 {
		inside = w.inner("junction")
		v.series = w.pair(w.pin[0], inside)
	}
	v.pair = w.pair(inside, w.pin[1])
	w.s.bends = append(w.s.bends, bend{&v.forward, inside, w.pin[1]})
	v.store = store{k: -1}
	if d.JunctionCapacitance > 0 || d.StorageTime > 0 {
		v.store = w.bentStore(inside, w.pin[1], [3]int{inside, w.pin[1]})
	}
	w.link(conducts, w.pin[0], w.pin[1])
	return v, nil
}

type diode struct {
	Diode
	pair
	series   pair
	store    store
	kelvin   float64
	forward  junction
	reverse  junction // breakdown, counted from -Breakdown downwards
	at, i, g float64  // where it was last loaded, with its current and conductance
}

func (d *diode) renew() {
	vt := thermalVoltage(d.kelvin)
	last := [2]float64{d.forward.last, d.reverse.last}
	d.forward = newJunction(saturationAt(d.SaturationCurrent, d.Ideality, d.kelvin), d.Ideality*vt)
	d.reverse = newJunction(d.BreakdownCurrent, d.BreakdownIdeality*vt)
	d.reverse.knee = 0
	d.forward.last, d.reverse.last = last[0], last[1]
}

// law is the current and conductance at a voltage.
func (d *diode) law(v float64) (i, g float64) {
	i, g = d.forward.at(v)
	if d.Breakdown > 0 {
		i, g = d.avalanche(v, i, g)
	}
	return i, g
}

// avalanche adds the breakdown to a current and conductance.
func (d *diode) avalanche(v, i, g float64) (float64, float64) {
	e, de := exponential(-(v + d.Breakdown) / d.reverse.swing)
	return i - d.BreakdownCurrent*e, g + d.BreakdownCurrent*de/d.reverse.swing
}

func (d *diode) stamp(m *stamper) {
	if d.SeriesResistance > 0 {
		d.series.conduct(m.g, 1/d.SeriesResistance)
	}
}

func (d *diode) load(p *point) {
	guess := d.across(p.x)
	v := d.forward.reach(p, guess)
	if d.Breakdown > 0 {
		v = -d.Breakdown - d.reverse.reach(p, -d.Breakdown-v)
	}
	i, g := d.forward.at(v)
	stored, slope := i, g
	if d.Breakdown > 0 {
		i, g = d.avalanche(v, i, g)
	}
	d.at, d.i, d.g = v, i, g
	d.flow(p, i+g*(guess-v), g)
	if d.store.k >= 0 {
		q, c := depletion(d.JunctionCapacitance, v)
		q, c = q+d.StorageTime*stored, c+d.StorageTime*slope
		p.q[d.store.k] += q + c*(guess-v)
		p.bows[d.store.k] = [3]float64{c, -c}
		d.conduct(p.c, c)
	}
}

func (d *diode) currents(p *point, into []float64) {
	i, _ := d.law(d.across(p.x))
	if d.store.k >= 0 {
		i += p.rate[d.store.k]
	}
	into[0], into[1] = i, -i
}

func (d *diode) dissipation(p *point) float64 {
	v := d.across(p.x)
	i, _ := d.law(v)
	heat := v * i
	if d.SeriesResistance > 0 {
		fall := d.series.across(p.x)
		heat += fall * fall / d.SeriesResistance
	}
	return heat
}

func (d *diode) parameters() []Parameter {
	list := []Parameter{{Name: "saturation current", at: &d.SaturationCurrent}, {Name: "ideality", at: &d.Ideality}}
	if d.SeriesResistance > 0 {
		list = append(list, Parameter{Name: "series resistance", at: &d.SeriesResistance})
	}
	if d.Breakdown > 0 {
		list = append(list, Parameter{Name: "breakdown", at: &d.Breakdown})
	}
	if d.JunctionCapacitance > 0 {
		list = append(list, Parameter{Name: "junction capacitance", at: &d.JunctionCapacitance})
	}
	if d.StorageTime > 0 {
		list = append(list, Parameter{Name: "storage time", at: &d.StorageTime})
	}
	return list
}
