package circuit

import "math"

// A VoltageSource holds the voltage from its first pin to its second, whatever
// the current; behind a resistance when it has one. The current counts from +
// to - inside the source, so a battery that delivers shows a negative one.
type VoltageSource struct {
	DC         float64 // volt at rest, and always when there is no wave
	Wave       Wave    // how it changes with time; nil means not at all
	AC         float64 // magnitude for small-signal analysis, volt
	ACPhase    float64 // degrees
	Resistance float64 // internal, in ohm; 0 means none
}

func (VoltageSource) pins() []string { return []string{"+", "-"} }

func (v VoltageSource) wire(w *wiring) (device, error) {
	if err := w.check(anything("voltage", v.DC), anything("AC magnitude", v.AC), anything("AC phase", v.ACPhase),
		least("resistance", v.Resistance, 0)); err != nil {
		return nil, err
	}
	d := &voltageSource{VoltageSource: v, rigid: w.rigid(w.pin[0], w.pin[1], "current")}
	if v.Resistance > 0 {
		w.link(conducts, d.a, d.b)
	} else {
		w.link(fixes, d.a, d.b)
	}
	return d, d.prepare(w, v.DC, v.Wave)
}

type voltageSource struct {
	VoltageSource
	rigid
	schedule
}

func (d *voltageSource) stamp(m *stamper) {
	d.join(m.g)
	d.fall(m.g, d.Resistance)
}

func (d *voltageSource) drive(p *point) { p.f[d.i] -= p.scale * d.value(p.t, d.DC) }

func (d *voltageSource) currents(p *point, into []float64) {
	into[0], into[1] = p.x[d.i], -p.x[d.i]
}

func (d *voltageSource) dissipation(p *point) float64 {
	return d.Resistance * p.x[d.i] * p.x[d.i]
}

func (d *voltageSource) parameters() []Parameter {
	list := []Parameter{{Name: "voltage", at: &d.DC}}
	if d.Resistance > 0 {
		list = append(list, Parameter{Name: "resistance", at: &d.Resistance})
	}
	return list
}

// excite adds the small signal to the right-hand side.
func (d *voltageSource) excite(b []complex128) { b[d.i] += phasor(d.AC, d.ACPhase) }

// A CurrentSource drives a current from its first pin through itself to its
// second, whatever the voltage.
type CurrentSource struct {
	DC      float64 // ampere at rest, and always when there is no wave
	Wave    Wave    // how it changes with time; nil means not at all
	AC      float64 // magnitude for small-signal analysis, ampere
	ACPhase float64 // degrees
}

func (CurrentSource) pins() []string { return []string{"from", "to"} }

func (c CurrentSource) wire(w *wiring) (device, error) {
	if err := w.check(anything("current", c.DC), anything("AC magnitude", c.AC), anything("AC phase", c.ACPhase)); err != nil {
		return nil, err
	}
	d := &currentSource{CurrentSource: c, a: w.pin[0], b: w.pin[1]}
	return d, d.prepare(w, c.DC, c.Wave)
}

type currentSource struct {
	CurrentSource
	schedule
	a, b int
}

func (d *currentSource) stamp(*stamper) {}

func (d *currentSource) drive(p *point) {
	i := p.scale * d.value(p.t, d.DC)
	p.f[d.a] += i
	p.f[d.b] -= i
}

func (d *currentSource) currents(p *point, into []float64) {
	i := p.scale * d.value(p.t, d.DC)
	into[0], into[1] = i, -i
}

func (d *currentSource) dissipation(*point) float64 { return 0 }

func (d *currentSource) parameters() []Parameter {
	return []Parameter{{Name: "current", at: &d.DC}}
}

func (d *currentSource) excite(b []complex128) {
	i := phasor(d.AC, d.ACPhase)
	b[d.a] -= i
	b[d.b] += i
}

// phasor is a magnitude and a phase in degrees as a complex number.
func phasor(magnitude, degrees float64) complex128 {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return complex(magnitude*cos, magnitude*sin)
}

// An exciter is a source of small signals.
type exciter interface{ excite(b []complex128) }

// schedule follows the wave of a source from piece to piece.
type schedule struct {
	wave    Wave
	piece   segment
	resting bool
}

func (s *schedule) prepare(w *wiring, _ float64, wave Wave) error {
	if wave == nil {
		return nil
	}
	s.wave, s.resting = wave, true
	return wave.check(w)
}

// value is the wave at time t, or steady when there is none.
func (s *schedule) value(t, steady float64) float64 {
	switch {
	case s.wave == nil:
		return steady
	case s.resting:
		return s.wave.rest()
	}
	return s.piece.at(t)
}

func (s *schedule) rewind() {
	if s.wave != nil {
		s.piece = s.wave.segment(0)
	}
}

func (s *schedule) due() float64 {
	if s.wave == nil {
		return math.Inf(1)
	}
	return s.piece.until
}

func (s *schedule) advance(t float64) {
	if s.wave != nil {
		s.piece = s.wave.segment(t)
	}
}

func (s *schedule) atRest(resting bool) { s.resting = resting }
