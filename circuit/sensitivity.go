package circuit

import (
	"fmt"
	"math"
)

// A Parameter is a value of a part that a tolerance or a fault may change.
type Parameter struct {
	Part, Name string // such as "R1", "resistance"
	at         *float64
	device     int
}

// Value is the present value, in SI units.
func (p Parameter) Value() float64 { return *p.at }

// Parameters lists every parameter of every part.
func (s *Solver) Parameters() []Parameter {
	var all []Parameter
	for i, d := range s.devices {
		for _, q := range d.parameters() {
			q.Part, q.device = s.partOf[i], i
			all = append(all, q)
		}
	}
	return all
}

// parameter finds one by part and name.
func (s *Solver) parameter(part, name string) (Parameter, error) {
	at, ok := s.deviceOf[part]
	if !ok {
		return Parameter{}, s.circuit.unknownPart(part)
	}
	var names []string
	for _, q := range s.devices[at].parameters() {
		if q.Name == name {
			q.Part, q.device = part, at
			return q, nil
		}
		names = append(names, q.Name)
	}
	return Parameter{}, fmt.Errorf("part %s has no parameter %q; it has %q", part, name, names)
}

// Set changes one parameter of one part in this solver, for the analyses that
// follow. The value is in SI units and must be a number that the part allows.
func (s *Solver) Set(part, name string, value float64) error {
	q, err := s.parameter(part, name)
	if err != nil {
		return err
	}
	if math.IsNaN(value) || math.IsInf(value, 0) || *q.at > 0 && value <= 0 {
		return fmt.Errorf("part %s: %s cannot be %g", part, name, value)
	}
	before := q.Value()
	s.put(q, value)
	for _, d := range s.dependent(q.device) {
		if c, ok := d.(*coupling); ok {
			if err = c.set.split(); err != nil {
				s.put(q, before)
				err = fmt.Errorf("part %s: %s cannot be %g: %w", part, name, value, err)
			}
		}
	}
	s.restamp()
	return err
}

// put sets a parameter and what is derived from it, but for the stamps.
func (s *Solver) put(q Parameter, value float64) {
	*q.at = value
	if k, ok := s.devices[q.device].(keeper); ok {
		k.renew()
	}
}

// A Slope is how strongly a quantity follows a parameter.
type Slope struct {
	Parameter
	Value    float64 // derivative of the quantity by the parameter, in SI units
	Relative float64 // change of the quantity for a change of the parameter by its own value
}

// Sensitivities gives the derivative of a quantity at an operating point by
// every parameter of every part, from one solution of the transposed equations
// (adjoint method: S. W. Director, R. A. Rohrer, "The generalized adjoint
// network and network sensitivities", IEEE Trans. Circuit Theory 16 (1969)
// 318-323):
//
//	J λ' = dy/dx,  dy/dp = ∂y/∂p - λ' ∂f/∂p
//
// ∂f/∂p of each part is a central difference of that part alone. Switching
// parts are held in their modes.
func (s *Solver) Sensitivities(op *OperatingPoint, q Quantity) ([]Slope, error) {
	r, err := s.resolve(q)
	if err != nil {
		return nil, err
	}
	if op == nil || op.s != s {
		return nil, fmt.Errorf("the operating point belongs to another solver")
	}
	gradient := make([]float64, len(s.unknowns))
	for _, w := range s.gradient(r, op) {
		gradient[w.u] += real(w.value)
	}
	if err := s.transposed(op, gradient); err != nil {
		return nil, err
	}
	p := s.copyOf(&op.p)
	var list []Slope
	for _, parameter := range s.Parameters() {
		slope := s.byParameter(parameter, func() float64 {
			s.alone(parameter.device, &p)
			sum := 0.0
			for u := 1; u < len(p.f); u++ {
				sum -= gradient[u] * p.f[u]
			}
			if r.kind != readVoltage && r.kind != readTemperature && r.device == parameter.device {
				sum += s.read(r, &p)
			}
			return sum
		})
		list = append(list, Slope{parameter, slope, slope * parameter.Value()})
	}
	return list, nil
}

// gradient is the derivative of any reading by each unknown.
func (s *Solver) gradient(r reading, op *OperatingPoint) []weighted {
	if r.kind == readTemperature {
		u, _ := s.devices[r.device].(thermometer).temperature()
		return []weighted{{u, 1}}
	}
	return s.weights(r, op, 0)
}

// transposed solves Jᵀ λ = b at an operating point, in place.
func (s *Solver) transposed(op *OperatingPoint, b []float64) error {
	s.setModes(op.modes)
	s.point.still = true
	s.tie(true)
	if op.Shunted {
		s.shunt = trickle
	}
	s.jacobian(&op.p, 0)
	s.shunt = 0
	if err := s.factor(); err != nil {
		return err
	}
	s.factored = nan
	b[0] = 0
	s.lu.SolveTransposed(b[1:])
	return nil
}

// byParameter is the central difference of f by a parameter, which is left as
// it was. The step balances rounding against curvature; where a value is zero
// it is absolute.
func (s *Solver) byParameter(q Parameter, f func() float64) float64 {
	value := q.Value()
	h := 1e-5 * math.Abs(value)
	if h == 0 {
		h = 1e-7
	}
	s.put(q, value+h)
	high := f()
	s.put(q, value-h)
	low := f()
	s.put(q, value)
	return (high - low) / (2 * h)
}

// alone evaluates one part, and the couplings that depend on it, as if nothing
// else were there: its share of f, of the charges and of their derivatives.
func (s *Solver) alone(device int, p *point) {
	clear(p.f)
	clear(p.q)
	clear(p.g)
	clear(p.c)
	p.first, p.eager, p.held = false, false, false
	m := stamper{g: p.g, c: p.c}
	parts := s.dependent(device)
	for _, d := range parts {
		d.stamp(&m)
	}
	p.g[0], p.c[0] = 0, 0
	for k, g := range p.g {
		if g != 0 {
			p.f[s.row[k]] += g * p.x[s.col[k]]
		}
	}
	for _, t := range m.terms {
		p.q[t.k] += t.value * p.x[t.u]
	}
	for _, d := range parts {
		if v, ok := d.(driver); ok {
			v.drive(p)
		}
		if v, ok := d.(loader); ok {
			v.load(p)
		}
	}
}

// dependent lists a device and those whose terms follow from its values.
func (s *Solver) dependent(at int) []device {
	switch d := s.devices[at].(type) {
	case *inductor:
		if d.set != nil {
			return []device{d, d.set.lead}
		}
	case *coupling:
		return []device{d.set.lead}
	}
	return []device{s.devices[at]}
}
