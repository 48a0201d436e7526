package circuit

// A StraightDiode is a rectifier drawn with a ruler: no current below its
// forward drop, a straight slope above. It is quick and exact where a rectifier
// only has to switch, as in a supply of many volts:
//
//	off: i = 0 while v < Vf;   on: v = Vf + r i while i > 0
//
// Piecewise-linear model: L. O. Chua, P.-M. Lin, "Computer-Aided Analysis of
// Electronic Circuits" (1975), chapter on piecewise-linear networks (from memory).
type StraightDiode struct {
	ForwardDrop     float64 // volt; 0 means ideal
	SlopeResistance float64 // ohm; 0 means ideal
}

func (StraightDiode) pins() []string { return []string{"anode", "cathode"} }

func (s StraightDiode) wire(w *wiring) (device, error) {
	if err := w.check(least("forward drop", s.ForwardDrop, 0), least("slope resistance", s.SlopeResistance, 0)); err != nil {
		return nil, err
	}
	d := &straightDiode{StraightDiode: s, rigid: w.rigid(w.pin[0], w.pin[1], "current")}
	if s.SlopeResistance > 0 {
		w.link(conducts, d.a, d.b)
	} else {
		w.link(fixes, d.a, d.b)
	}
	return d, nil
}

type straightDiode struct {
	StraightDiode
	rigid
	on bool
}

func (d *straightDiode) stamp(m *stamper) {
	d.join(m.g)
	if d.on {
		d.fall(m.g, d.SlopeResistance)
	} else {
		m.g[d.ii]++
	}
}

func (d *straightDiode) drive(p *point) {
	if d.on {
		p.f[d.i] -= d.ForwardDrop
	}
}

func (d *straightDiode) open(int) bool { return !d.on }

func (d *straightDiode) breakLoop() bool {
	was := d.on
	d.on = false
	return was
}

func (d *straightDiode) mode() int {
	if d.on {
		return 1
	}
	return 0
}
func (d *straightDiode) setMode(m int) { d.on = m == 1 }

func (d *straightDiode) guard(p *point) float64 {
	if d.on {
		return -p.x[d.i]
	}
	return p.x[d.a] - p.x[d.b] - d.ForwardDrop
}

func (d *straightDiode) flip(*point) { d.on = !d.on }

func (d *straightDiode) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.i], -p.x[d.i]
}

func (d *straightDiode) parameters() []Parameter {
	return []Parameter{{Name: "forward drop", at: &d.ForwardDrop}, {Name: "slope resistance", at: &d.SlopeResistance}}
}
