package circuit

import "math"

// A PhasorSlope is how strongly a phasor follows a parameter.
type PhasorSlope struct {
	Parameter
	Value complex128 // derivative of the phasor by the parameter, in SI units
}

// Sensitivities gives the derivative of the phasor of a quantity at the
// frequency of index i by every parameter, by the adjoint method:
//
//	Yᵀ Λ = w,  dy/dp = ∂w/∂p X - Λᵀ (dY/dp) X
//
// A parameter changes Y both directly and by moving the operating point, on
// which the small-signal values of transistors and diodes depend. The second
// way takes one more solution of the transposed equations at rest.
func (r *Response) Sensitivities(i int, q Quantity) ([]PhasorSlope, error) {
	s, op := r.s, r.op
	if _, err := r.Value(i, q); err != nil {
		return nil, err
	}
	rd, err := s.resolve(q)
	if err != nil {
		return nil, err
	}
	omega := 2 * math.Pi * r.Frequencies[i]
	a, err := s.newLinearised(op)
	if err != nil {
		return nil, err
	}
	if err := a.factor(omega); err != nil {
		return nil, err
	}
	adjoint := make([]complex128, len(s.unknowns))
	for _, w := range s.weights(rd, op, omega) {
		adjoint[w.u] += w.value
	}
	adjoint[0] = 0
	a.lu.SolveTransposed(adjoint[1:])
	x := r.x[i]

	// share is -Λᵀ Y X, and w X, of one device at a point.
	p := s.copyOf(&op.p)
	moved := *op
	share := func(device int) complex128 {
		s.alone(device, &p)
		sum := complex128(0)
		for k := 1; k < len(s.row); k++ {
			if p.g[k] != 0 || p.c[k] != 0 {
				sum -= adjoint[s.row[k]] * complex(p.g[k], omega*p.c[k]) * x[s.col[k]]
			}
		}
		if rd.kind == readCurrent && rd.device == device {
			moved.p = s.copyOf(&p)
			s.restamp()
			for _, w := range s.weights(rd, &moved, omega) {
				sum += w.value * x[w.u]
			}
		}
		return sum
	}
	re, im, err := r.throughBias(&p, share)
	if err != nil {
		return nil, err
	}
	var list []PhasorSlope
	for _, parameter := range s.Parameters() {
		var direct, bias [2]float64 // real and imaginary part
		for part := range direct {
			direct[part] = s.byParameter(parameter, func() float64 { return pick(share(parameter.device), part) })
			bias[part] = s.byParameter(parameter, func() float64 {
				s.alone(parameter.device, &p)
				sum := 0.0
				for u := 1; u < len(p.f); u++ {
					sum -= [2][]float64{re, im}[part][u] * p.f[u]
				}
				return sum
			})
		}
		list = append(list, PhasorSlope{parameter, complex(direct[0]+bias[0], direct[1]+bias[1])})
	}
	s.restamp()
	return list, nil
}

// pick is the real or the imaginary part.
func pick(z complex128, part int) float64 {
	if part == 0 {
		return real(z)
	}
	return imag(z)
}

// throughBias is the adjoint of the operating point: how the phasor follows
// each equation at rest, real and imaginary part.
func (r *Response) throughBias(p *point, share func(device int) complex128) (re, im []float64, err error) {
	s, op := r.s, r.op
	re, im = make([]float64, len(s.unknowns)), make([]float64, len(s.unknowns))
	for device, d := range s.devices {
		if _, ok := d.(loader); !ok {
			continue
		}
		seen := map[int]bool{0: true}
		for _, u := range s.own[device] {
			if seen[u] {
				continue
			}
			seen[u] = true
			h := 10 * s.nudge(u, op.p.x[u])
			p.x[u] = op.p.x[u] + h
			high := share(device)
			p.x[u] = op.p.x[u] - h
			low := share(device)
			p.x[u] = op.p.x[u]
			slope := (high - low) / complex(2*h, 0)
			re[u] += real(slope)
			im[u] += imag(slope)
		}
	}
	if err := s.transposed(op, re); err != nil {
		return nil, nil, err
	}
	return re, im, s.transposed(op, im)
}
