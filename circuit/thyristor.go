package circuit

// A Thyristor blocks until its gate current reaches the trigger current, then
// conducts until its own current falls below the holding current:
//
//	gate:  i = 0 while v(gate, cathode) < Vgt, then v = Vgt while i > 0
//	off:   i = 0;  fires when the gate current reaches Igt and v(anode, cathode) > Von
//	on:    v = Von + r i;  ends when i < Ih and the gate no longer drives, or i < 0
//
// Straight-line model of the data-sheet figures (IEC 60747-6).
type Thyristor struct {
	GateVoltage     float64 // Vgt in volt; 0.8 when zero
	GateCurrent     float64 // Igt in ampere; 5 mA when zero
	HoldingCurrent  float64 // Ih in ampere; 10 mA when zero
	OnVoltage       float64 // Von in volt; 0.9 when zero
	SlopeResistance float64 // r in ohm; 0.05 when zero
}

func (Thyristor) pins() []string { return []string{"anode", "cathode", "gate"} }

// withDefaults fills in the zero fields.
func (t Thyristor) withDefaults() Thyristor {
	fallback(&t.GateVoltage, 0.8)
	fallback(&t.GateCurrent, 5e-3)
	fallback(&t.HoldingCurrent, 10e-3)
	fallback(&t.OnVoltage, 0.9)
	fallback(&t.SlopeResistance, 0.05)
	return t
}

func (t Thyristor) check(w *wiring) error {
	return w.check(above("gate voltage", t.GateVoltage, 0), above("gate current", t.GateCurrent, 0), above("holding current", t.HoldingCurrent, 0),
		above("on voltage", t.OnVoltage, 0), above("slope resistance", t.SlopeResistance, 0))
}

func (t Thyristor) wire(w *wiring) (device, error) {
	t = t.withDefaults()
	if err := t.check(w); err != nil {
		return nil, err
	}
	w.link(conducts, w.pin[0], w.pin[1])
	w.link(fixes, w.pin[2], w.pin[1])
	return &thyristor{Thyristor: t, main: w.rigid(w.pin[0], w.pin[1], "current"), gate: w.rigid(w.pin[2], w.pin[1], "gate current")}, nil
}

type thyristor struct {
	Thyristor
	main, gate rigid
	on, gated  bool
}

func (d *thyristor) stamp(m *stamper) {
	for _, b := range [2]struct {
		*rigid
		on bool
		r  float64
	}{{&d.main, d.on, d.SlopeResistance}, {&d.gate, d.gated, 0}} {
		b.join(m.g)
		if b.on {
			b.fall(m.g, b.r)
		} else {
			m.g[b.ii]++
		}
	}
}

func (d *thyristor) drive(p *point) {
	if d.on {
		p.f[d.main.i] -= d.OnVoltage
	}
	if d.gated {
		p.f[d.gate.i] -= d.GateVoltage
	}
}

func (d *thyristor) open(number int) bool {
	if number == 0 {
		return !d.on
	}
	return !d.gated
}

func (d *thyristor) mode() int                { return 2*b2i(d.on) + b2i(d.gated) }
func (d *thyristor) setMode(m int)            { d.on, d.gated = m&2 != 0, m&1 != 0 }
func (d *thyristor) conducting(mode int) bool { return mode&2 != 0 }

// gateGuard is up when the gate should begin or cease to pass current.
func (d *thyristor) gateGuard(p *point) float64 {
	if d.gated {
		return -p.x[d.gate.i]
	}
	return p.x[d.gate.a] - p.x[d.gate.b] - d.GateVoltage
}

// mainGuard is up when the thyristor should fire or cease to conduct.
func (d *thyristor) mainGuard(p *point) float64 {
	if d.on {
		return release(p.x[d.main.i], d.HoldingCurrent, d.GateCurrent-p.x[d.gate.i])
	}
	return min(p.x[d.gate.i]-d.GateCurrent, p.x[d.main.a]-p.x[d.main.b]-d.OnVoltage)
}

// release is up when a current no longer holds: it has gone, or is below the
// holding current with a gate that lacks some of its own.
func release(current, holding, lack float64) float64 {
	return max(-current, min(holding-current, lack))
}

func (d *thyristor) guard(p *point) float64 { return max(d.gateGuard(p), d.mainGuard(p)) }

func (d *thyristor) flip(p *point) {
	gate, main := d.gateGuard(p), d.mainGuard(p)
	if main > 0 {
		d.on = !d.on
	}
	if gate > 0 {
		d.gated = !d.gated
	}
}

func (d *thyristor) currents(p *point, into []float64) {
	into[0], into[2] = p.x[d.main.i], p.x[d.gate.i]
	into[1] = -into[0] - into[2]
}

func (d *thyristor) parameters() []Parameter {
	return []Parameter{{Name: "on voltage", at: &d.OnVoltage}, {Name: "slope resistance", at: &d.SlopeResistance},
		{Name: "gate voltage", at: &d.GateVoltage}, {Name: "gate current", at: &d.GateCurrent}, {Name: "holding current", at: &d.HoldingCurrent}}
}
