package circuit

import "math"

// A Reference is an adjustable shunt reference: it draws current from its
// cathode as soon as its reference pin is above Vref, and so holds it there:
//
//	i = G max(v(ref, anode) - Vref, 0) s(v(cathode, anode)) + Imin s,   i <= limit
//
// s rises from 0 at no voltage to 1 above the 2 V that the chip needs to
// work. The bend at Vref is rounded over 2 mV. A model of the data-sheet
// figures (reference voltage, transconductance, minimum cathode current,
// reference input current), common practice.
type Reference struct {
	Voltage          float64 // Vref in volt; 2.495 when zero
	Transconductance float64 // G in A/V; 4 when zero
	MinimumCurrent   float64 // Imin in ampere; 0.4 mA when zero
	CurrentLimit     float64 // ampere; 0.15 when zero
	InputCurrent     float64 // into the reference pin, ampere; 2 µA when zero
}

func (Reference) pins() []string { return []string{"cathode", "anode", "ref"} }

func (r Reference) wire(w *wiring) (device, error) {
	fallback(&r.Voltage, 2.495)
	fallback(&r.Transconductance, 4)
	fallback(&r.MinimumCurrent, 0.4e-3)
	fallback(&r.CurrentLimit, 0.15)
	fallback(&r.InputCurrent, 2e-6)
	if err := w.check(above("reference voltage", r.Voltage, 0), above("transconductance", r.Transconductance, 0), above("minimum current", r.MinimumCurrent, 0),
		above("current limit", r.CurrentLimit, r.MinimumCurrent), above("input current", r.InputCurrent, 0)); err != nil {
		return nil, err
	}
	d := &reference{Reference: r, main: w.pair(w.pin[0], w.pin[1]), ref: w.pair(w.pin[2], w.pin[1])}
	d.backward = newJunction(1e-12, 1.5*0.02585)
	d.wake = junction{swing: wakeWidth, knee: d.Voltage}
	w.s.bends = append(w.s.bends, bend{&d.backward, w.pin[1], w.pin[0]}, bend{&d.wake, w.pin[2], w.pin[1]})
	d.kr, d.ar = w.slot(w.pin[0], w.pin[2]), w.slot(w.pin[1], w.pin[2])
	w.link(conducts, w.pin[0], w.pin[1])
	w.link(conducts, w.pin[2], w.pin[1])
	return d, nil
}

type reference struct {
	Reference
	main, ref pair
	kr, ar    int
	backward  junction // from anode to cathode, the substrate of the chip
	wake      junction // the bend at the reference voltage, as far as Newton's method minds it
}

// wakeWidth is the width of that bend, in volt.
const wakeWidth = 2e-3

func (d *reference) stamp(*stamper) {}

// law is the cathode current and its derivatives by cathode and reference
// voltage.
func (d *reference) law(v, ref float64) (i, byV, byRef float64) {
	drive, slope := hinge(ref-d.Voltage, wakeWidth)
	asked, askedSlope := d.Transconductance*drive, d.Transconductance*slope
	over, overSlope := hinge(asked-d.CurrentLimit, d.CurrentLimit*0.02)
	asked, askedSlope = asked-over, askedSlope*(1-overSlope)
	// The chip wakes between 0 and 2 V; backwards it conducts as a diode does.
	s := math.Tanh(v)
	byS := 1 - s*s
	if v < 0 {
		i, byV = d.backward.at(-v)
		return d.MinimumCurrent*s - i, byV + d.MinimumCurrent*byS, 0
	}
	lift := s * s
	return asked*lift + d.MinimumCurrent*s, asked*2*s*byS + d.MinimumCurrent*byS, askedSlope * lift
}

func (d *reference) load(p *point) {
	guess := d.main.across(p.x)
	v := -d.backward.reach(p, -guess)
	d.wake.knee, d.wake.last = d.Voltage, d.ref.across(p.x)
	i, byV, byRef := d.law(v, d.wake.last)
	d.main.flow(p, i+byV*(guess-v), byV)
	p.g[d.kr] += byRef
	p.g[d.ar] -= byRef
	p.g[d.main.ab] -= byRef
	p.g[d.main.bb] += byRef
	t := math.Tanh(d.ref.across(p.x))
	d.ref.flow(p, d.InputCurrent*t, d.InputCurrent*(1-t*t))
}

func (d *reference) currents(p *point, into []float64) {
	i, _, _ := d.law(d.main.across(p.x), d.ref.across(p.x))
	r := d.InputCurrent * math.Tanh(d.ref.across(p.x))
	into[0], into[1], into[2] = i, -i-r, r
}

func (d *reference) parameters() []Parameter {
	return []Parameter{{Name: "reference voltage", at: &d.Voltage}, {Name: "transconductance", at: &d.Transconductance},
		{Name: "minimum current", at: &d.MinimumCurrent}, {Name: "input current", at: &d.InputCurrent}}
}
