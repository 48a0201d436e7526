package circuit

import "math"

// A Lamp is a tungsten filament. Its resistance rises with its temperature,
// which follows from its heat balance:
//
//	R = Rcold (T/T0)^a,   C dT/dt = v²/R - k (T⁴ - T0⁴)
//
// Cold resistance and radiation follow from the rated voltage and current
// unless they are given. Exponent 1.2 and 2800 K in service: H. A. Jones,
// I. Langmuir, "The characteristics of tungsten filaments as functions of
// temperature", General Electric Review 30 (1927) (from memory). Radiation:
// law of Stefan and Boltzmann.
type Lamp struct {
	RatedVoltage       float64 // volt
	RatedCurrent       float64 // ampere
	ServiceTemperature float64 // kelvin at the rated voltage; 2800 when zero
	ColdResistance     float64 // ohm; from the ratings when zero
	Ambient            float64 // kelvin, at which it is cold; 300 when zero
	Exponent           float64 // of the resistance; 1.2 when zero
	Radiation          float64 // k in W/K⁴; from the ratings when zero
	HeatCapacity       float64 // C in J/K; 20 ms of rated power per 2500 K when zero
}

func (Lamp) pins() []string { return []string{"1", "2"} }

func (l Lamp) wire(w *wiring) (device, error) {
	fallback(&l.ServiceTemperature, 2800)
	fallback(&l.Ambient, 300)
	fallback(&l.Exponent, 1.2)
	if l.ColdResistance == 0 && l.RatedCurrent > 0 {
		l.ColdResistance = l.RatedVoltage / l.RatedCurrent * math.Pow(l.ServiceTemperature/l.Ambient, -l.Exponent)
	}
	if l.Radiation == 0 {
		l.Radiation = l.RatedVoltage * l.RatedCurrent / (math.Pow(l.ServiceTemperature, 4) - math.Pow(l.Ambient, 4))
	}
	fallback(&l.HeatCapacity, 0.02*l.RatedVoltage*l.RatedCurrent/2500)
	if err := w.check(above("cold resistance", l.ColdResistance, 0), above("radiation", l.Radiation, 0), above("heat capacity", l.HeatCapacity, 0),
		above("ambient temperature", l.Ambient, 0), above("exponent", l.Exponent, 0)); err != nil {
		return nil, err
	}
	w.link(conducts, w.pin[0], w.pin[1])
	d := &lamp{Lamp: l, pair: w.pair(w.pin[0], w.pin[1]), rise: w.unknown(temperature, "temperature rise")}
	d.store = w.store(d.rise, 0)
	d.tt, d.ta, d.tb = w.slot(d.rise, d.rise), w.slot(d.rise, d.a), w.slot(d.rise, d.b)
	d.at, d.bt = w.slot(d.a, d.rise), w.slot(d.b, d.rise)
	return d, nil
}

type lamp struct {
	Lamp
	pair
	rise               int // kelvin above ambient
	store              store
	tt, ta, tb, at, bt int
	last               float64
}

func (d *lamp) stamp(m *stamper) { m.capacity(d.store, d.rise, d.tt, 0, d.HeatCapacity) }

// resistance at a temperature, and its relative change per kelvin.
func (d *lamp) resistance(kelvin float64) (r, change float64) {
	return d.ColdResistance * math.Pow(kelvin/d.Ambient, d.Exponent), d.Exponent / kelvin
}

func (d *lamp) load(p *point) {
	v, guess := d.across(p.x), d.Ambient+p.x[d.rise]
	kelvin := max(guess, 0.3*d.Ambient)
	if p.eager && !p.first {
		kelvin = min(max(kelvin, d.last/1.5), d.last*1.5)
	}
	d.last = kelvin
	r, change := d.resistance(kelvin)
	i, power := v/r, v*v/r
	// While the temperature is still far off, current and temperature are
	// found in turn, not together.
	far := kelvin != guess
	p.held = p.held || far
	ahead := guess - kelvin
	d.flow(p, i, 1/r)
	if !far {
		p.g[d.at] -= i * change
		p.g[d.bt] += i * change
	}
	cool := d.Radiation * (math.Pow(kelvin, 4) - math.Pow(d.Ambient, 4))
	slope := 4*d.Radiation*math.Pow(kelvin, 3) + power*change
	p.f[d.rise] += cool - power + slope*ahead
	p.g[d.tt] += slope
	p.g[d.ta] -= 2 * i
	p.g[d.tb] += 2 * i
}

func (d *lamp) temperature() (int, float64) { return d.rise, d.Ambient }

func (d *lamp) currents(p *point, into []float64) {
	r, _ := d.resistance(d.Ambient + p.x[d.rise])
	into[0] = d.across(p.x) / r
	into[1] = -into[0]
}

func (d *lamp) parameters() []Parameter {
	return []Parameter{{Name: "cold resistance", at: &d.ColdResistance}, {Name: "radiation", at: &d.Radiation}, {Name: "heat capacity", at: &d.HeatCapacity}}
}
