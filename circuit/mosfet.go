package circuit

// A MOSFET is an insulated-gate field-effect transistor of the enhancement
// kind under the square law, with its body diode:
//
//	id = k (vov - vds/2) vds (1 + λ vds)  for vds < vov = vgs - Vt,  else  k/2 vov² (1 + λ vds)
//
// k follows from the on resistance that the data sheet states for a gate
// drive, 1/Ron = k (Vgs - Vt). Source: H. Shichman, D. A. Hodges, "Modeling
// and simulation of insulated-gate field-effect transistor switching
// circuits", IEEE J. Solid-State Circuits 3 (1968) 285-289. The capacitances
// are constant.
type MOSFET struct {
	Polarity               Polarity
	Threshold              float64 // its size in volt; 3 when zero
	OnResistance           float64 // ohm at GateDrive; 0.5 when zero
	GateDrive              float64 // volt at which OnResistance is stated; 10 when zero
	OutputSlope            float64 // λ in 1/V; 0 means a flat characteristic
	BodyDrop               float64 // forward drop of the body diode at 1 A, volt; 0.9 when zero
	GateSourceCapacitance  float64 // farad; 0 means none
	GateDrainCapacitance   float64 // farad; 0 means none
	DrainSourceCapacitance float64 // farad; 0 means none
}

func (MOSFET) pins() []string { return []string{"drain", "gate", "source"} }

func (f MOSFET) wire(w *wiring) (device, error) {
	fallback(&f.Threshold, 3)
	fallback(&f.OnResistance, 0.5)
	fallback(&f.GateDrive, 10)
	fallback(&f.BodyDrop, 0.9)
	if err := w.check(within("polarity", float64(f.Polarity), 0, 1), above("threshold", f.Threshold, 0), above("on resistance", f.OnResistance, 0),
		above("gate drive above threshold", f.GateDrive-f.Threshold, 0), least("output slope", f.OutputSlope, 0), above("body diode drop", f.BodyDrop, 0),
		least("gate-source capacitance", f.GateSourceCapacitance, 0), least("gate-drain capacitance", f.GateDrainCapacitance, 0),
		least("drain-source capacitance", f.DrainSourceCapacitance, 0)); err != nil {
		return nil, err
	}
	d := &mosfet{MOSFET: f, channel: newChannel(w, f.Polarity, f.GateSourceCapacitance, f.GateDrainCapacitance)}
	// The body diode runs from source to drain of an n-channel.
	body := wiring{s: w.s, name: w.name, pin: []int{w.pin[2], w.pin[0]}, links: w.links}
	if f.Polarity == P {
		body.pin[0], body.pin[1] = body.pin[1], body.pin[0]
	}
	junction, err := Diode{ForwardDrop: f.BodyDrop, ForwardCurrent: 1, Ideality: 1.2, JunctionCapacitance: f.DrainSourceCapacitance}.wire(&body)
	if err != nil {
		return nil, err
	}
	d.body = junction.(*diode)
	return d, nil
}

type mosfet struct {
	MOSFET
	channel
	body *diode
}

func (d *mosfet) renew() { d.body.renew() }

func (d *mosfet) k() float64 { return 1 / (d.OnResistance * (d.GateDrive - d.Threshold)) }

func (d *mosfet) stamp(m *stamper) {
	d.channel.stamp(m, d.GateSourceCapacitance, d.GateDrainCapacitance)
	d.body.stamp(m)
}

func (d *mosfet) load(p *point) {
	d.channel.load(p, d.k(), d.OutputSlope, d.Threshold)
	d.body.load(p)
}

func (d *mosfet) currents(p *point, into []float64) {
	d.channel.currents(p, into, d.k(), d.OutputSlope, d.Threshold)
	var body [2]float64
	d.body.currents(p, body[:])
	if d.Polarity == P {
		body[0] = -body[0]
	}
	into[2] += body[0]
	into[0] -= body[0]
}

func (d *mosfet) dissipation(p *point) float64 {
	id, _, _, _ := d.law(p.x, d.k(), d.OutputSlope, d.Threshold)
	return id*(p.x[d.d]-p.x[d.s]) + d.body.dissipation(p)
}

func (d *mosfet) parameters() []Parameter {
	list := []Parameter{{Name: "threshold", at: &d.Threshold}, {Name: "on resistance", at: &d.OnResistance}}
	if d.gsq.k >= 0 {
		list = append(list, Parameter{Name: "gate-source capacitance", at: &d.GateSourceCapacitance})
	}
	if d.gdq.k >= 0 {
		list = append(list, Parameter{Name: "gate-drain capacitance", at: &d.GateDrainCapacitance})
	}
	return list
}
