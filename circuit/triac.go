package circuit

import "math"

// A Triac conducts either way once its gate has been triggered either way,
// until its current falls below the holding current:
//
//	gate:  i = 0 while |v(gate, main 1)| < Vgt, then |v| = Vgt
//	off:   i = 0;  fires when |gate current| reaches Igt and |v(main 2, main 1)| > Von
//	on:    v = ±Von + r i;  ends when |i| < Ih and the gate no longer drives, or i turns
//
// Straight-line model of the data-sheet figures (IEC 60747-6), as [Thyristor].
type Triac struct {
	GateVoltage     float64 // Vgt in volt; 0.8 when zero
	GateCurrent     float64 // Igt in ampere; 25 mA when zero
	HoldingCurrent  float64 // Ih in ampere; 25 mA when zero
	OnVoltage       float64 // Von in volt; 1 when zero
	SlopeResistance float64 // r in ohm; 0.05 when zero
}

func (Triac) pins() []string { return []string{"main 2", "main 1", "gate"} }

func (t Triac) wire(w *wiring) (device, error) {
	fallback(&t.GateCurrent, 25e-3)
	fallback(&t.HoldingCurrent, 25e-3)
	fallback(&t.OnVoltage, 1)
	like := Thyristor(t).withDefaults()
	if err := like.check(w); err != nil {
		return nil, err
	}
	w.link(conducts, w.pin[0], w.pin[1])
	w.link(fixes, w.pin[2], w.pin[1])
	return &triac{Thyristor: like, main: w.rigid(w.pin[0], w.pin[1], "current"), gate: w.rigid(w.pin[2], w.pin[1], "gate current")}, nil
}

type triac struct {
	Thyristor
	main, gate rigid
	way, push  int // direction of the main and of the gate current: -1, 0, 1
}

func (d *triac) stamp(m *stamper) {
	for _, b := range [2]struct {
		*rigid
		way int
		r   float64
	}{{&d.main, d.way, d.SlopeResistance}, {&d.gate, d.push, 0}} {
		b.join(m.g)
		if b.way != 0 {
			b.fall(m.g, b.r)
		} else {
			m.g[b.ii]++
		}
	}
}

func (d *triac) drive(p *point) {
	p.f[d.main.i] -= float64(d.way) * d.OnVoltage
	p.f[d.gate.i] -= float64(d.push) * d.GateVoltage
}

func (d *triac) open(number int) bool {
	if number == 0 {
		return d.way == 0
	}
	return d.push == 0
}

func (d *triac) mode() int                { return 3*((d.way+3)%3) + (d.push+3)%3 }
func (d *triac) conducting(mode int) bool { return mode/3 != 0 }
func (d *triac) setMode(m int) {
	d.way, d.push = (m/3+1)%3-1, (m%3+1)%3-1
}

func (d *triac) gateGuard(p *point) float64 {
	if d.push != 0 {
		return -float64(d.push) * p.x[d.gate.i]
	}
	return math.Abs(p.x[d.gate.a]-p.x[d.gate.b]) - d.GateVoltage
}

func (d *triac) mainGuard(p *point) float64 {
	if d.way != 0 {
		return release(float64(d.way)*p.x[d.main.i], d.HoldingCurrent, d.GateCurrent-math.Abs(p.x[d.gate.i]))
	}
	return min(math.Abs(p.x[d.gate.i])-d.GateCurrent, math.Abs(p.x[d.main.a]-p.x[d.main.b])-d.OnVoltage)
}

func (d *triac) guard(p *point) float64 { return max(d.gateGuard(p), d.mainGuard(p)) }

func (d *triac) flip(p *point) {
	gate, main := d.gateGuard(p), d.mainGuard(p)
	if main > 0 {
		d.way = turn(d.way, p.x[d.main.a]-p.x[d.main.b])
	}
	if gate > 0 {
		d.push = turn(d.push, p.x[d.gate.a]-p.x[d.gate.b])
	}
}

// turn ends a direction, or takes that of the voltage.
func turn(way int, v float64) int {
	switch {
	case way != 0:
		return 0
	case v > 0:
		return 1
	}
	return -1
}

func (d *triac) currents(p *point, into []float64) {
	into[0], into[2] = p.x[d.main.i], p.x[d.gate.i]
	into[1] = -into[0] - into[2]
}

func (d *triac) parameters() []Parameter {
	return []Parameter{{Name: "on voltage", at: &d.OnVoltage}, {Name: "slope resistance", at: &d.SlopeResistance},
		{Name: "gate voltage", at: &d.GateVoltage}, {Name: "gate current", at: &d.GateCurrent}, {Name: "holding current", at: &d.HoldingCurrent}}
}
