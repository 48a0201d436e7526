package circuit

// An Optocoupler is a light-emitting diode that lights a phototransistor. The
// light acts as a base current, so that the transistor saturates as any other:
//
//	ib = CTR × i(LED) / β,  then as a [Bipolar] with its base left open
//
// Its bandwidth is that of the base charge, ft = β × bandwidth. The large
// junctions that catch the light have 5 and 10 pF (common practice). Current
// transfer ratio and bandwidth as in data sheets (IEC 60747-5-5).
type Optocoupler struct {
	TransferRatio float64 // collector current over LED current; 1 when zero, 100 %
	ForwardDrop   float64 // of the LED in volt at 10 mA; 1.2 when zero
	Bandwidth     float64 // hertz; 0 means no lag
	Leakage       float64 // dark current in ampere; 10 nA when zero
}

func (Optocoupler) pins() []string { return []string{"anode", "cathode", "collector", "emitter"} }

// photoGain is the gain of the phototransistor; only its product with the
// light matters.
const photoGain = 200

func (o Optocoupler) wire(w *wiring) (device, error) {
	fallback(&o.TransferRatio, 1)
	fallback(&o.ForwardDrop, 1.2)
	fallback(&o.Leakage, 10e-9)
	if err := w.check(above("transfer ratio", o.TransferRatio, 0), above("forward drop", o.ForwardDrop, 0), least("bandwidth", o.Bandwidth, 0), above("dark current", o.Leakage, 0)); err != nil {
		return nil, err
	}
	diodeWiring := *w
	diodeWiring.pin = w.pin[:2]
	led, err := Diode{ForwardDrop: o.ForwardDrop, Ideality: 2}.wire(&diodeWiring)
	if err != nil {
		return nil, err
	}
	w.links = diodeWiring.links
	d := &optocoupler{Optocoupler: o, led: led.(*diode)}
	base := w.inner("base")
	q := Bipolar{Gain: photoGain, TransitionFrequency: photoGain * o.Bandwidth, EarlyVoltage: 100, EmitterCapacitance: 5e-12, CollectorCapacitance: 10e-12}.withDefaults()
	d.photo = newBipolar(w, q, w.pin[2], base, w.pin[3])
	d.lit = [2]int{w.slot(base, w.pin[0]), w.slot(base, w.pin[1])}
	d.from = [2]int{w.slot(w.pin[2], w.pin[0]), w.slot(w.pin[2], w.pin[1])}
	return d, nil
}

type optocoupler struct {
	Optocoupler
	led       *diode
	photo     *bipolar
	lit, from [2]int
}

func (d *optocoupler) renew() {
	d.led.renew()
	d.photo.renew()
}

func (d *optocoupler) stamp(*stamper) {}

// light is the base current for a voltage of the LED. It comes out of the
// collector, as photons free charge in that junction.
func (d *optocoupler) light(v float64) (i, g float64) {
	return d.glow(d.led.law(v))
}

// glow is the same for a current of the LED and its derivative.
func (d *optocoupler) glow(current, slope float64) (i, g float64) {
	share := d.TransferRatio / photoGain
	if current < 0 {
		return d.Leakage / photoGain, 0
	}
	return share*current + d.Leakage/photoGain, share * slope
}

func (d *optocoupler) load(p *point) {
	d.led.load(p)
	d.photo.load(p)
	guess := d.led.across(p.x)
	i, g := d.glow(d.led.i, d.led.g)
	i += g * (guess - d.led.at)
	p.f[d.photo.b] -= i
	p.f[d.photo.c] += i
	for k, sign := range [2]float64{1, -1} {
		p.g[d.lit[k]] -= sign * g
		p.g[d.from[k]] += sign * g
	}
}

func (d *optocoupler) currents(p *point, into []float64) {
	d.led.currents(p, into[:2])
	var photo [3]float64
	d.photo.currents(p, photo[:])
	i, _ := d.light(d.led.across(p.x))
	into[2], into[3] = photo[0]+i, photo[2]
}

func (d *optocoupler) dissipation(p *point) float64 {
	i, _ := d.light(d.led.across(p.x))
	return d.led.dissipation(p) + d.photo.dissipation(p) + i*(p.x[d.photo.c]-p.x[d.photo.b])
}

func (d *optocoupler) parameters() []Parameter {
	return []Parameter{{Name: "transfer ratio", at: &d.TransferRatio}, {Name: "LED saturation current", at: &d.led.SaturationCurrent}, {Name: "dark current", at: &d.Leakage}}
}
