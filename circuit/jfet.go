package circuit

// A JFET is a junction field-effect transistor under the square law: with the
// gate at the source it passes its saturated drain current, and none once the
// gate is reverse biased by the cut-off voltage. Its gate passes no current.
// See [MOSFET] for the law and its source; here k = 2 Idss / Vp².
type JFET struct {
	Polarity              Polarity
	SaturatedCurrent      float64 // Idss in ampere; 5 mA when zero
	CutOff                float64 // Vp, its size in volt; 2.5 when zero
	OutputSlope           float64 // λ in 1/V; 0 means a flat characteristic
	GateSourceCapacitance float64 // farad; 0 means none
	GateDrainCapacitance  float64 // farad; 0 means none
}

func (JFET) pins() []string { return []string{"drain", "gate", "source"} }

func (j JFET) wire(w *wiring) (device, error) {
	fallback(&j.SaturatedCurrent, 5e-3)
	fallback(&j.CutOff, 2.5)
	if err := w.check(within("polarity", float64(j.Polarity), 0, 1), above("saturated drain current", j.SaturatedCurrent, 0), above("cut-off voltage", j.CutOff, 0),
		least("output slope", j.OutputSlope, 0), least("gate-source capacitance", j.GateSourceCapacitance, 0),
		least("gate-drain capacitance", j.GateDrainCapacitance, 0)); err != nil {
		return nil, err
	}
	return &jfet{JFET: j, channel: newChannel(w, j.Polarity, j.GateSourceCapacitance, j.GateDrainCapacitance)}, nil
}

type jfet struct {
	JFET
	channel
}

func (d *jfet) k() float64 { return 2 * d.SaturatedCurrent / (d.CutOff * d.CutOff) }

func (d *jfet) stamp(m *stamper) {
	d.channel.stamp(m, d.GateSourceCapacitance, d.GateDrainCapacitance)
}

func (d *jfet) load(p *point) { d.channel.load(p, d.k(), d.OutputSlope, -d.CutOff) }

func (d *jfet) currents(p *point, into []float64) {
	d.channel.currents(p, into, d.k(), d.OutputSlope, -d.CutOff)
}

func (d *jfet) dissipation(p *point) float64 {
	id, _, _, _ := d.law(p.x, d.k(), d.OutputSlope, -d.CutOff)
	return id * (p.x[d.d] - p.x[d.s])
}

func (d *jfet) parameters() []Parameter {
	return []Parameter{{Name: "saturated drain current", at: &d.SaturatedCurrent}, {Name: "cut-off voltage", at: &d.CutOff}}
}
