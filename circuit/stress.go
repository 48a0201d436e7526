package circuit

import "math"

// A Rating is what a part is made for. Zero means not stated.
type Rating struct {
	Power   float64 // watt
	Voltage float64 // volt, between any two pins
	Current float64 // ampere, into any pin
}

// A Stress is what a part bears, and how that compares with its rating.
type Stress struct {
	Part        string
	Dissipation float64 // watt turned into heat; the mean over a trace
	Voltage     float64 // greatest between any two pins, volt
	Current     float64 // greatest into any pin, ampere
	// The same as a share of the rating; 0 where no rating is stated, and
	// over 1 where the part is overloaded.
	OfPower, OfVoltage, OfCurrent float64
}

// Worst is the largest of the three shares.
func (s Stress) Worst() float64 { return max(s.OfPower, s.OfVoltage, s.OfCurrent) }

// Stress lists what each part bears at the operating point, in the order in
// which the parts were added.
func (o *OperatingPoint) Stress() []Stress {
	o.s.setModes(o.modes)
	var list []Stress
	for _, p := range o.s.circuit.parts {
		b := bearing{device: o.s.deviceOf[p.name]}
		b.take(o.s, &o.p)
		list = append(list, b.stress(p, b.heat))
	}
	return list
}

// bearing collects what one part bears over several points.
type bearing struct {
	device           int
	heat             float64 // at the last point
	voltage, current float64 // greatest so far
}

// take adds a point.
func (b *bearing) take(s *Solver, p *point) {
	b.heat = s.read(reading{kind: readDissipation, device: b.device}, p)
	pins := s.own[b.device][:s.pins[b.device]]
	into := s.now[:len(pins)]
	clear(into)
	s.devices[b.device].currents(p, into)
	for i, u := range pins {
		b.current = max(b.current, math.Abs(into[i]))
		for _, v := range pins[:i] {
			b.voltage = max(b.voltage, math.Abs(p.x[u]-p.x[v]))
		}
	}
}

// stress compares with the rating of the part.
func (b *bearing) stress(p placed, heat float64) Stress {
	share := func(value, rated float64) float64 {
		if rated > 0 {
			return value / rated
		}
		return 0
	}
	return Stress{Part: p.name, Dissipation: heat, Voltage: b.voltage, Current: b.current,
		OfPower: share(heat, p.rating.Power), OfVoltage: share(b.voltage, p.rating.Voltage), OfCurrent: share(b.current, p.rating.Current)}
}
