package circuit

// A Potentiometer is a track with a wiper. Position 0 is at the first end.
//
//	R(1, wiper) = Re + p R,   R(wiper, 2) = Re + (1 - p) R,   in series Rw at the wiper
//
// Plain division of the track; end and wiper resistance as in IEC 60393-1.
type Potentiometer struct {
	Resistance      float64 // ohm, end to end, greater than 0
	Position        float64 // from 0 to 1
	EndResistance   float64 // ohm at each end; a thousandth of the track when zero
	WiperResistance float64 // ohm; 0 means none
}

func (Potentiometer) pins() []string { return []string{"1", "wiper", "2"} }

func (t Potentiometer) wire(w *wiring) (device, error) {
	fallback(&t.EndResistance, t.Resistance/1000)
	if err := w.check(above("resistance", t.Resistance, 0), within("position", t.Position, 0, 1), above("end resistance", t.EndResistance, 0),
		least("wiper resistance", t.WiperResistance, 0)); err != nil {
		return nil, err
	}
	d := &potentiometer{Potentiometer: t}
	tap := w.pin[1]
	if t.WiperResistance > 0 {
		tap = w.inner("tap")
		d.wiper = w.pair(tap, w.pin[1])
	}
	d.upper, d.lower = w.pair(w.pin[0], tap), w.pair(tap, w.pin[2])
	w.link(conducts, w.pin[0], w.pin[1])
	w.link(conducts, w.pin[1], w.pin[2])
	return d, nil
}

type potentiometer struct {
	Potentiometer
	upper, lower, wiper pair
}

// split is the conductance of both parts of the track.
func (d *potentiometer) split() (upper, lower float64) {
	return 1 / (d.EndResistance + d.Position*d.Resistance), 1 / (d.EndResistance + (1-d.Position)*d.Resistance)
}

func (d *potentiometer) stamp(m *stamper) {
	upper, lower := d.split()
	d.upper.conduct(m.g, upper)
	d.lower.conduct(m.g, lower)
	if d.WiperResistance > 0 {
		d.wiper.conduct(m.g, 1/d.WiperResistance)
	}
}

func (d *potentiometer) currents(p *point, into []float64) {
	upper, lower := d.split()
	into[0], into[2] = d.upper.across(p.x)*upper, -d.lower.across(p.x)*lower
	into[1] = -into[0] - into[2]
}

func (d *potentiometer) dissipation(p *point) float64 {
	upper, lower := d.split()
	u, l := d.upper.across(p.x), d.lower.across(p.x)
	heat := u*u*upper + l*l*lower
	if d.WiperResistance > 0 {
		v := d.wiper.across(p.x)
		heat += v * v / d.WiperResistance
	}
	return heat
}

func (d *potentiometer) parameters() []Parameter {
	list := []Parameter{{Name: "resistance", at: &d.Resistance}, {Name: "position", at: &d.Position}}
	if d.WiperResistance > 0 {
		list = append(list, Parameter{Name: "wiper resistance", at: &d.WiperResistance})
	}
	return list
}
