package circuit

// A Comparator is high while its + input is above its - input, low otherwise.
// Its output is a voltage behind a resistance, or an open collector that pulls
// low or lets go.
//
//	goes high at v+ - v- = h/2,  goes low at v+ - v- = -h/2
type Comparator struct {
	High, Low        float64 // volt at the output against ground
	OutputResistance float64 // ohm; 0 means none
	OpenCollector    bool    // high means that it lets go of the output
	Hysteresis       float64 // h in volt; 0 means none
}

func (Comparator) pins() []string { return []string{"in+", "in-", "out"} }

func (c Comparator) wire(w *wiring) (device, error) {
	if err := w.check(anything("high level", c.High), anything("low level", c.Low), least("output resistance", c.OutputResistance, 0), least("hysteresis", c.Hysteresis, 0)); err != nil {
		return nil, err
	}
	d := &comparator{Comparator: c, plus: w.pin[0], minus: w.pin[1]}
	k := fixes
	if c.OutputResistance > 0 {
		k = conducts
	}
	w.link(k, w.pin[2], 0)
	d.out = w.rigid(w.pin[2], 0, "output current")
	return d, nil
}

type comparator struct {
	Comparator
	plus, minus int
	out         rigid
	high        bool
}

// released reports whether the output is let go of.
func (d *comparator) released() bool { return d.high && d.OpenCollector }

func (d *comparator) stamp(m *stamper) {
	m.g[d.out.ai]++
	if d.released() {
		m.g[d.out.ii]++
		return
	}
	d.out.fall(m.g, d.OutputResistance)
}

func (d *comparator) drive(p *point) {
	switch {
	case d.released():
	case d.high:
		p.f[d.out.i] -= d.High
	default:
		p.f[d.out.i] -= d.Low
	}
}

func (d *comparator) open(int) bool { return d.released() }
func (d *comparator) mode() int     { return b2i(d.high) }
func (d *comparator) setMode(m int) { d.high = m == 1 }
func (d *comparator) flip(*point)   { d.high = !d.high }

func (d *comparator) guard(p *point) float64 {
	v := p.x[d.plus] - p.x[d.minus]
	if d.high {
		v = -v
	}
	return v - d.Hysteresis/2
}

func (d *comparator) currents(p *point, into []float64) { into[2] = p.x[d.out.i] }

func (d *comparator) parameters() []Parameter {
	list := []Parameter{{Name: "low level", at: &d.Low}}
	if !d.OpenCollector {
		list = append(list, Parameter{Name: "high level", at: &d.High})
	}
	if d.OutputResistance > 0 {
		list = append(list, Parameter{Name: "output resistance", at: &d.OutputResistance})
	}
	return list
}
