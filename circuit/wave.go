package circuit

import (
	"fmt"
	"math"
)

// A Wave is how a source changes with time: [Sine], [Mains], [Pulse] or [Step].
type Wave interface {
	// check reports a value that cannot be.
	check(w *wiring) error
	// rest is the value before time zero, which the operating point sees.
	rest() float64
	// segment returns the smooth piece that begins at time t.
	segment(t float64) segment
}

// segment is a smooth piece of a wave: from + slope (t - start), plus a sine.
type segment struct {
	start, from, slope float64
	swing, omega, turn float64 // swing * sin(omega t + turn)
	until              float64 // where the next piece begins
}

// at is the value at time t.
func (g *segment) at(t float64) float64 {
	v := g.from + g.slope*(t-g.start)
	if g.swing != 0 {
		v += g.swing * math.Sin(g.omega*t+g.turn)
	}
	return v
}

// Sine is offset + peak sin(2π frequency t + phase). Before time zero the
// source rests at the offset.
type Sine struct {
	Offset    float64 // volt or ampere
	Peak      float64 // volt or ampere
	Frequency float64 // hertz, greater than 0
	Phase     float64 // degrees
}

func (s Sine) check(w *wiring) error {
	return w.check(above("frequency", s.Frequency, 0), anything("peak", s.Peak), anything("offset", s.Offset), anything("phase", s.Phase))
}
func (s Sine) rest() float64 { return s.Offset }
func (s Sine) segment(t float64) segment {
	return segment{start: t, from: s.Offset, swing: s.Peak, omega: 2 * math.Pi * s.Frequency, turn: s.Phase * math.Pi / 180, until: math.Inf(1)}
}

// Mains is the line or a winding fed by it, given as a meter reads it.
type Mains struct {
	RMS       float64 // volt
	Frequency float64 // hertz; 50 when zero
	Phase     float64 // degrees at time zero
}

func (m Mains) sine() Sine {
	fallback(&m.Frequency, 50)
	return Sine{Peak: m.RMS * math.Sqrt2, Frequency: m.Frequency, Phase: m.Phase}
}
func (m Mains) check(w *wiring) error     { return m.sine().check(w) }
func (m Mains) rest() float64             { return 0 }
func (m Mains) segment(t float64) segment { return m.sine().segment(t) }

// Step goes from one value to another, at once.
type Step struct {
	From, To float64 // volt or ampere
	At       float64 // second, 0 or later
}

func (s Step) check(w *wiring) error {
	return w.check(least("time of the step", s.At, 0), anything("value", s.From), anything("value", s.To))
}
func (s Step) rest() float64 { return s.From }
func (s Step) segment(t float64) segment {
	if t < s.At {
		return segment{from: s.From, until: s.At}
	}
	return segment{start: t, from: s.To, until: math.Inf(1)}
}

// Pulse goes from Low to High and back, once or over and over.
type Pulse struct {
	Low, High  float64 // volt or ampere
	Delay      float64 // seconds until the first rise begins
	Rise, Fall float64 // seconds; 0 means at once
	Width      float64 // seconds spent at High, greater than 0
	Period     float64 // seconds from rise to rise; 0 means a single pulse
}

func (s Pulse) check(w *wiring) error {
	if err := w.check(least("delay", s.Delay, 0), least("rise", s.Rise, 0), least("fall", s.Fall, 0), above("width", s.Width, 0),
		least("period", s.Period, 0), anything("low", s.Low), anything("high", s.High)); err != nil {
		return err
	}
	if busy := s.Rise + s.Width + s.Fall; s.Period > 0 && busy > s.Period*(1+1e-12) {
		return fmt.Errorf("rise, width and fall take %g s, longer than the period of %g s", busy, s.Period)
	}
	return nil
}
func (s Pulse) rest() float64 { return s.Low }
func (s Pulse) segment(t float64) segment {
	slack := 1e-9 * s.Width
	if t < s.Delay-slack {
		return segment{from: s.Low, until: s.Delay}
	}
	begin := s.Delay
	if s.Period > 0 {
		begin += math.Floor((t-s.Delay+slack)/s.Period) * s.Period
	}
	edges := [4]float64{begin + s.Rise, begin + s.Rise + s.Width, begin + s.Rise + s.Width + s.Fall, begin + s.Period}
	if s.Period == 0 {
		edges[3] = math.Inf(1)
	}
	switch {
	case t < edges[0]-slack:
		return segment{start: begin, from: s.Low, slope: (s.High - s.Low) / s.Rise, until: edges[0]}
	case t < edges[1]-slack:
		return segment{start: t, from: s.High, until: edges[1]}
	case t < edges[2]-slack:
		return segment{start: edges[1], from: s.High, slope: (s.Low - s.High) / s.Fall, until: edges[2]}
	}
	return segment{start: t, from: s.Low, until: edges[3]}
}
