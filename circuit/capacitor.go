package circuit

// A Capacitor stores charge: q = C v, i = dq/dt. A real one has a series
// resistance (ESR), which rises as an electrolytic dries out, and a leakage
// across its plates.
//
// Equivalent circuit: series resistance as in IEC 60384-1, section on tangent
// of loss angle; leakage as a parallel resistance.
type Capacitor struct {
	Capacitance       float64 // farad, greater than 0
	SeriesResistance  float64 // ESR in ohm; 0 means none
	LeakageResistance float64 // ohm, parallel; 0 means no leakage
	InitialVoltage    float64 // volt at time zero of a cold start
}

func (Capacitor) pins() []string { return []string{"+", "-"} }

func (c Capacitor) wire(w *wiring) (device, error) {
	if err := w.check(above("capacitance", c.Capacitance, 0), least("series resistance", c.SeriesResistance, 0),
		least("leakage resistance", c.LeakageResistance, 0), anything("initial voltage", c.InitialVoltage)); err != nil {
		return nil, err
	}
	d := &capacitor{Capacitor: c}
	plate := w.pin[0]
	if c.SeriesResistance > 0 {
		plate = w.inner("plate")
		d.series = w.pair(w.pin[0], plate)
	}
	d.pair = w.pair(plate, w.pin[1])
	d.store = w.store(plate, w.pin[1])
	w.link(stores, w.pin[0], w.pin[1])
	if c.LeakageResistance > 0 {
		w.link(conducts, w.pin[0], w.pin[1])
	}
	return d, nil
}

type capacitor struct {
	Capacitor
	pair
	series pair
	store  store
}

func (d *capacitor) stamp(m *stamper) {
	m.capacitor(d.store, &d.pair, d.Capacitance)
	if d.SeriesResistance > 0 {
		d.series.conduct(m.g, 1/d.SeriesResistance)
	}
	if d.LeakageResistance > 0 {
		d.conduct(m.g, 1/d.LeakageResistance)
	}
}

func (d *capacitor) start(q []float64) { q[d.store.k] += d.Capacitance * d.InitialVoltage }

func (d *capacitor) currents(p *point, into []float64) {
	i := p.rate[d.store.k]
	if d.LeakageResistance > 0 {
		i += d.across(p.x) / d.LeakageResistance
	}
	into[0], into[1] = i, -i
}

func (d *capacitor) dissipation(p *point) float64 {
	heat := 0.0
	if d.SeriesResistance > 0 {
		v := d.series.across(p.x)
		heat += v * v / d.SeriesResistance
	}
	if d.LeakageResistance > 0 {
		v := d.across(p.x)
		heat += v * v / d.LeakageResistance
	}
	return heat
}

func (d *capacitor) parameters() []Parameter {
	list := []Parameter{{Name: "capacitance", at: &d.Capacitance}}
	if d.SeriesResistance > 0 {
		list = append(list, Parameter{Name: "series resistance", at: &d.SeriesResistance})
	}
	if d.LeakageResistance > 0 {
		list = append(list, Parameter{Name: "leakage resistance", at: &d.LeakageResistance})
	}
	return list
}
