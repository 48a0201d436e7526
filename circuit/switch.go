package circuit

import (
	"fmt"
	"math"
)

// A Condition is something happening: a quantity passing a level upwards, or
// downwards when Falling.
type Condition struct {
	Of      Quantity
	Level   float64
	Falling bool
}

// A Switch is a contact, or an electronic switch drawn as one. It is moved by
// hand (Closed), by the clock (Period and Duty), or by what happens in the
// circuit (CloseWhen and OpenWhen, which may watch different things).
//
//	closed: v = Ron i;   open: i = v / Roff, or i = 0
type Switch struct {
	Closed        bool       // at the beginning
	OnResistance  float64    // ohm; 0 means none
	OffResistance float64    // ohm; 0 means no leakage
	Period        float64    // seconds from closing to closing; 0 means not clocked
	Duty          float64    // share of the period spent closed, between 0 and 1
	Delay         float64    // seconds before the first closing
	CloseWhen     *Condition // closes at the instant this happens
	OpenWhen      *Condition // opens at the instant this happens
}

func (Switch) pins() []string { return []string{"1", "2"} }

func (s Switch) wire(w *wiring) (device, error) {
	if err := w.check(least("on resistance", s.OnResistance, 0), least("off resistance", s.OffResistance, 0),
		least("period", s.Period, 0), within("duty", s.Duty, 0, 1), least("delay", s.Delay, 0)); err != nil {
		return nil, err
	}
	if s.Period > 0 && (s.CloseWhen != nil || s.OpenWhen != nil) {
		return nil, fmt.Errorf("moved by the clock and by a condition; it must be one or the other")
	}
	d := &switchDevice{Switch: s, contact: newContact(w, "contact", w.pin[0], w.pin[1], s.OnResistance, s.OffResistance)}
	d.closed = s.Closed
	return d, nil
}

// contact is a branch that conducts or not.
type contact struct {
	rigid
	on, off float64
	closed  bool
}

// newContact wires a contact and notes its link.
func newContact(w *wiring, what string, a, b int, on, off float64) contact {
	kind := fixes
	if on > 0 {
		kind = conducts
	}
	w.link(kind, a, b)
	return contact{rigid: w.rigid(a, b, "current of the "+what), on: on, off: off}
}

func (c *contact) stamp(m *stamper) {
	c.join(m.g)
	if c.closed {
		c.fall(m.g, c.on)
		return
	}
	m.g[c.ii]++
	if c.off > 0 {
		m.g[c.ia] -= 1 / c.off
		m.g[c.ib] += 1 / c.off
	}
}

// gapped reports whether nothing passes.
func (c *contact) gapped() bool { return !c.closed && c.off == 0 }

type switchDevice struct {
	Switch
	contact
	s            *Solver
	close, opens reading
	armed        bool
	count        float64 // periods begun
	clock        bool    // the clock runs
}

func (d *switchDevice) bind(s *Solver) error {
	d.s = s
	for _, c := range []struct {
		when *Condition
		to   *reading
	}{{d.CloseWhen, &d.close}, {d.OpenWhen, &d.opens}} {
		if c.when == nil {
			continue
		}
		var err error
		if *c.to, err = s.resolve(c.when.Of); err != nil {
			return err
		}
	}
	return nil
}

func (d *switchDevice) initial() int  { return b2i(d.Switch.Closed) }
func (d *switchDevice) open(int) bool { return d.gapped() }
func (d *switchDevice) mode() int     { return b2i(d.closed) }
func (d *switchDevice) setMode(m int) { d.closed, d.armed = m == 1, false }

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// passed is how far the awaited quantity is past its level.
func (d *switchDevice) passed(p *point) float64 {
	when, r := d.CloseWhen, d.close
	if d.closed {
		when, r = d.OpenWhen, d.opens
	}
	if when == nil {
		return -1
	}
	over := d.s.read(r, p) - when.Level
	if when.Falling {
		over = -over
	}
	return over
}

func (d *switchDevice) guard(p *point) float64 {
	if d.Period > 0 || !p.still && !d.armed {
		return -1
	}
	return d.passed(p)
}

func (d *switchDevice) flip(*point) { d.closed, d.armed = !d.closed, false }

func (d *switchDevice) watch(p *point) {
	if d.Period == 0 && !d.armed {
		d.armed = d.passed(p) < 0
	}
}

func (d *switchDevice) rewind() {
	d.count = 0
	if d.Period > 0 {
		d.closed = d.Delay == 0 && d.Duty > 0
	}
}

func (d *switchDevice) due() float64 {
	if d.Period == 0 || d.Duty == 0 && d.count == 0 {
		return math.Inf(1)
	}
	if d.closed && d.Duty < 1 {
		return d.Delay + (d.count+d.Duty)*d.Period
	}
	if d.closed {
		return math.Inf(1)
	}
	if d.count == 0 && d.Delay > 0 && !d.clock {
		return d.Delay
	}
	return d.Delay + (d.count+1)*d.Period
}

func (d *switchDevice) advance(t float64) {
	if d.Period == 0 {
		return
	}
	d.count = math.Floor((t-d.Delay)/d.Period + 1e-9)
	d.closed = (t-d.Delay)/d.Period-d.count < d.Duty-1e-9
	d.clock = true
}

func (d *switchDevice) atRest(resting bool) {
	d.clock = false
	if d.Period > 0 && resting {
		d.closed = d.Switch.Closed
	}
}

func (d *switchDevice) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.i], -p.x[d.i]
}

func (d *switchDevice) parameters() []Parameter {
	var list []Parameter
	if d.on > 0 {
		list = append(list, Parameter{Name: "on resistance", at: &d.on})
	}
	if d.off > 0 {
		list = append(list, Parameter{Name: "off resistance", at: &d.off})
	}
	return list
}
