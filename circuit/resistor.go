package circuit

// A Resistor obeys Ohm's law: i = v / R. Its resistance moves with
// temperature as R(T) = R (1 + k (T - 300.15 K)).
//
// Ohm's law: any textbook. The linear temperature coefficient is how data
// sheets of resistors state it (IEC 60115-1).
type Resistor struct {
	Resistance             float64 // ohm, greater than 0
	TemperatureCoefficient float64 // per kelvin; 0 means none
}

func (Resistor) pins() []string { return []string{"1", "2"} }

func (r Resistor) wire(w *wiring) (device, error) {
	if err := w.check(above("resistance", r.Resistance, 0), anything("temperature coefficient", r.TemperatureCoefficient)); err != nil {
		return nil, err
	}
	w.link(conducts, w.pin[0], w.pin[1])
	d := &resistor{Resistor: r, pair: w.pair(w.pin[0], w.pin[1]), warmth: w.s.set.Temperature - 300.15}
	return d, w.check(above("resistance at this temperature", 1/d.conductance(), 0))
}

type resistor struct {
	Resistor
	pair
	warmth float64 // kelvin above the reference
}

func (d *resistor) conductance() float64 {
	return 1 / (d.Resistance * (1 + d.TemperatureCoefficient*d.warmth))
}

func (d *resistor) stamp(m *stamper) { d.conduct(m.g, d.conductance()) }

func (d *resistor) currents(p *point, into []float64) {
	i := d.across(p.x) * d.conductance()
	into[0], into[1] = i, -i
}

func (d *resistor) parameters() []Parameter {
	return []Parameter{{Name: "resistance", at: &d.Resistance}}
}
