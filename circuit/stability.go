package circuit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Growth tells whether a circuit would stay at an operating point: the rate, in
// 1/s, at which the fastest growing small disturbance grows, and the frequency in
// hertz at which it swings meanwhile. The rate is 0 when every disturbance dies
// away. An oscillator has an operating point too, one that it never keeps.
//
// The disturbances are the natural modes of the linearised circuit, the s for
// which (G + s C) x = 0. With a shift σ they are the eigenvalues of
// (G + σC)⁻¹ C, which are 1/(σ - s) (shift and invert; G. H. Golub, C. F. Van
// Loan, "Matrix Computations", section on generalized eigenproblems). Modes
// faster than 10⁹/s are left out: rounding makes some, and no disturbance of that
// speed is described by the parts.
func (s *Solver) Growth(op *OperatingPoint) (rate, hertz float64, err error) {
	const shift, fastest = 977, 1e9
	if op == nil || op.s != s {
		return 0, 0, errors.New("the operating point belongs to another solver")
	}
	s.setModes(op.modes)
	s.tie(false)
	n := len(s.unknowns) - 1
	g, c := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	for k := 1; k < len(s.row); k++ {
		i, j := int(s.row[k])-1, int(s.col[k])-1
		g.Set(i, j, g.At(i, j)+op.p.g[k]+shift*op.p.c[k])
		c.Set(i, j, c.At(i, j)+op.p.c[k])
	}
	held := s.ties
	if op.Shunted {
		held = s.volts
	}
	for _, u := range held {
		g.Set(u-1, u-1, g.At(u-1, u-1)+trickle)
	}
	var inverted mat.Dense
	var eigen mat.Eigen
	var badly mat.Condition
	if err := inverted.Solve(g, c); err != nil && !(errors.As(err, &badly) && !math.IsInf(float64(badly), 0)) {
		return 0, 0, err
	}
	if !eigen.Factorize(&inverted, mat.EigenNone) {
		return 0, 0, errors.New("the natural modes of the circuit could not be found")
	}
	for _, m := range eigen.Values(nil) {
		if m == 0 {
			continue
		}
		mode := shift - 1/m
		if size := math.Hypot(real(mode), imag(mode)); size < fastest && real(mode) > max(rate, 1, 1e-4*size) {
			rate, hertz = real(mode), math.Abs(imag(mode))/(2*math.Pi)
		}
	}
	return rate, hertz, nil
}

// Mode is that of a switching part in a state: 0 for a fuse that is whole and for
// whatever is open or off. ok is false when no such part was there.
func (st State) Mode(part string) (mode int, ok bool) {
	mode, ok = st.modes[part]
	return mode, ok
}
