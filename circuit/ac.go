package circuit

import (
	"context"
	"fmt"
	"math"

	"halfsplit/circuit/sparse"
)

// A Response is how a circuit passes small signals, at a list of frequencies.
type Response struct {
	Frequencies []float64 // hertz
	s           *Solver
	op          *OperatingPoint
	x           [][]complex128 // solution at each frequency, ground first
}

// AC follows small signals through the circuit, linearised at an operating
// point of this solver. The sources of the signals are those with an AC
// magnitude. Frequencies are in hertz and at least 0.
func (s *Solver) AC(ctx context.Context, op *OperatingPoint, frequencies []float64) (*Response, error) {
	a, err := s.newLinearised(op)
	if err != nil {
		return nil, err
	}
	resp := &Response{Frequencies: append([]float64(nil), frequencies...), s: s, op: op}
	for _, f := range frequencies {
		if err := ctx.Err(); err != nil {
			return resp, err
		}
		if !(f >= 0) || math.IsInf(f, 0) {
			return resp, fmt.Errorf("a frequency of %g Hz; it must be 0 or more", f)
		}
		if err := a.factor(2 * math.Pi * f); err != nil {
			return resp, err
		}
		x := make([]complex128, len(s.unknowns))
		a.excite(x)
		a.lu.Solve(x[1:])
		resp.x = append(resp.x, x)
	}
	return resp, nil
}

// linearised is the complex system Y = G + jωC of a circuit at rest.
type linearised struct {
	s     *Solver
	op    *OperatingPoint
	y     []complex128
	lu    *sparse.LU[complex128]
	omega float64
}

func (s *Solver) newLinearised(op *OperatingPoint) (*linearised, error) {
	if op == nil || op.s != s {
		return nil, fmt.Errorf("the operating point belongs to another solver")
	}
	s.setModes(op.modes)
	s.point.still = true
	s.tie(false)
	return &linearised{s: s, op: op, y: make([]complex128, len(s.row))}, nil
}

// factor prepares the system for an angular frequency.
func (a *linearised) factor(omega float64) error {
	s := a.s
	a.omega = omega
	for k := range a.y {
		a.y[k] = complex(a.op.p.g[k], omega*a.op.p.c[k])
	}
	if omega == 0 {
		s.tie(true)
	}
	for _, u := range s.ties {
		a.y[s.unknowns[u].diag] += trickle
	}
	if a.op.Shunted {
		for _, u := range s.volts {
			a.y[s.unknowns[u].diag] += trickle
		}
	}
	if a.lu != nil && a.lu.Refactor(a.y[1:]) == nil {
		return nil
	}
	lu, err := sparse.Factor(s.pattern, a.y[1:])
	if err != nil {
		var singular *sparse.Singular
		if asSingular(err, &singular) {
			return s.noSolution(singular.Column + 1)
		}
		return err
	}
	a.lu = lu
	return nil
}

// excite adds the small signals to a right-hand side.
func (a *linearised) excite(b []complex128) {
	for _, d := range a.s.devices {
		if e, ok := d.(exciter); ok {
			e.excite(b)
		}
	}
	b[0] = 0
}

// Value is the phasor of a quantity at the frequency of index i. Powers and
// temperatures have none.
func (r *Response) Value(i int, q Quantity) (complex128, error) {
	rd, err := r.s.resolve(q)
	if err != nil {
		return 0, err
	}
	if i < 0 || i >= len(r.x) {
		return 0, fmt.Errorf("there is no frequency number %d; there are %d", i, len(r.x))
	}
	if rd.kind != readVoltage && rd.kind != readCurrent {
		return 0, fmt.Errorf("the %v has no phasor; ask for a voltage or a current", q)
	}
	w := r.s.weights(rd, r.op, 2*math.Pi*r.Frequencies[i])
	sum := complex128(0)
	for _, t := range w {
		sum += t.value * r.x[i][t.u]
	}
	if rd.kind == readCurrent {
		if d, ok := r.s.devices[rd.device].(*currentSource); ok {
			phase := phasor(d.AC, d.ACPhase)
			if rd.pin == 1 {
				phase = -phase
			}
			sum += phase
		}
	}
	return sum, nil
}

// weighted is the derivative of a reading by one unknown.
type weighted struct {
	u     int
	value complex128
}

// weights gives the derivative of a reading by each unknown at an angular
// frequency. For the current into a pin with a node of its own it is what the
// part writes into Kirchhoff's law there; else it is found by moving each
// unknown of that part a little.
func (s *Solver) weights(r reading, op *OperatingPoint, omega float64) []weighted {
	if r.kind == readVoltage {
		return []weighted{{r.a, 1}, {r.b, -1}}
	}
	p := s.copyOf(&op.p)
	if r.kind == readCurrent && s.apart(r.device, r.pin) {
		return s.share(r, &p, omega)
	}
	var list []weighted
	done := map[int]bool{0: true}
	for _, u := range s.own[r.device] {
		if done[u] {
			continue
		}
		done[u] = true
		h := s.nudge(u, op.p.x[u])
		var value [2]float64
		var q [2][]float64
		for side, sign := range [2]float64{1, -1} {
			p.x[u] = op.p.x[u] + sign*h
			s.evaluate(&p)
			q[side] = append([]float64(nil), p.q...)
			value[side] = s.read(r, &p)
		}
		p.x[u] = op.p.x[u]
		slope := complex((value[0]-value[1])/(2*h), 0)
		// A changing charge is a current as well: jω dq/dx, seen by the reading
		// as it depends on the rates.
		for k := range q[0] {
			dq := (q[0][k] - q[1][k]) / (2 * h)
			if dq == 0 {
				continue
			}
			p.rate[k] = 1
			with := s.read(r, &p)
			p.rate[k] = 0
			without := s.read(r, &p)
			slope += complex(0, omega*dq*(with-without))
		}
		if slope != 0 {
			list = append(list, weighted{u, slope})
		}
	}
	return list
}

// apart reports whether a pin has a node that no other pin of the part shares.
func (s *Solver) apart(device, pin int) bool {
	node := s.own[device][pin]
	for i, u := range s.own[device][:s.pins[device]] {
		if i != pin && u == node {
			return false
		}
	}
	return node != 0
}

// share is what a part writes into Kirchhoff's law at the node of one pin.
func (s *Solver) share(r reading, p *point, omega float64) []weighted {
	s.alone(r.device, p)
	node := int32(s.own[r.device][r.pin])
	var list []weighted
	for k := 1; k < len(s.row); k++ {
		if s.row[k] == node && (p.g[k] != 0 || p.c[k] != 0) {
			list = append(list, weighted{int(s.col[k]), complex(p.g[k], omega*p.c[k])})
		}
	}
	return list
}

// nudge is how far to move an unknown for a derivative.
func (s *Solver) nudge(u int, x float64) float64 {
	switch s.unknowns[u].nature {
	case current:
		return 1e-6 * max(math.Abs(x), 1e-3)
	case temperature:
		return 1e-3
	}
	return 1e-5
}

// copyOf copies a point at rest.
func (s *Solver) copyOf(from *point) point {
	p := s.newPoint()
	p.t, p.scale, p.still = from.t, from.scale, from.still
	copy(p.x, from.x)
	copy(p.q, from.q)
	copy(p.rate, from.rate)
	copy(p.g, from.g)
	copy(p.c, from.c)
	return p
}
