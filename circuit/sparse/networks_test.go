package sparse_test

import (
	"fmt"
	"math/cmplx"
	"testing"

	"halfsplit/bench/networks"
	"halfsplit/circuit/sparse"
)

// pattern returns the frozen pattern of a network.
func pattern(s *networks.System) *sparse.Pattern {
	p := sparse.NewPattern(s.Size)
	for k := range s.Rows {
		p.Entry(s.Rows[k], s.Columns[k])
	}
	p.Freeze()
	return p
}

// toComplex widens a vector, so that one check serves both fields.
func toComplex[T sparse.Scalar](x []T) []complex128 {
	c := make([]complex128, len(x))
	for i, v := range x {
		switch v := any(v).(type) {
		case float64:
			c[i] = complex(v, 0)
		case complex128:
			c[i] = v
		}
	}
	return c
}

// residual returns the largest |A x - b| over the rows, each relative to the
// largest term of the row. For a transposed system, rows and columns change
// places.
func residual[T sparse.Scalar](rows, columns []int, values, x, b []T) float64 {
	a, y, r := toComplex(values), toComplex(x), toComplex(b)
	largest := make([]float64, len(r))
	for i := range r {
		largest[i] = cmplx.Abs(r[i])
	}
	for k, v := range a {
		term := v * y[columns[k]]
		r[rows[k]] -= term
		largest[rows[k]] = max(largest[rows[k]], cmplx.Abs(term))
	}
	worst := 0.0
	for i := range r {
		if r[i] != 0 {
			worst = max(worst, cmplx.Abs(r[i])/largest[i])
		}
	}
	return worst
}

func TestNetworks(t *testing.T) {
	for _, kind := range networks.Kinds {
		for _, n := range []int{10, 11, 50, 317, 2000} {
			t.Run(fmt.Sprintf("%s-%d", kind, n), func(t *testing.T) {
				s := networks.Make(kind, n, 7)
				checkNetwork(t, s, s.Real())
				checkNetwork(t, s, s.Values)
			})
		}
	}
}

func checkNetwork[T sparse.Scalar](t *testing.T, s *networks.System, values []T) {
	t.Helper()
	const limit = 1e-9 // pivots are chosen for sparsity first; KLU leaves as much on boards of 5,000
	lu, err := sparse.Factor(pattern(s), values)
	if err != nil {
		t.Fatal(err)
	}
	b, x := make([]T, s.Size), make([]T, s.Size)
	for i := range b {
		b[i] = T(1 + 0*b[i])
		if i%3 == 0 {
			b[i] = -2
		}
	}
	check := func(what string, rows, columns []int) {
		if r := residual(rows, columns, values, x, b); !(r < limit) {
			t.Errorf("%s: residual %.1e, want below %.0e", what, r, limit)
		}
	}
	copy(x, b)
	lu.Solve(x)
	check("solve", s.Rows, s.Columns)
	copy(x, b)
	lu.SolveTransposed(x)
	check("solve transposed", s.Columns, s.Rows)

	// Other values, and back again.
	for k := range values {
		values[k] *= 3
	}
	if err := lu.Refactor(values); err != nil {
		t.Fatal(err)
	}
	copy(x, b)
	lu.Solve(x)
	check("solve after refactoring", s.Rows, s.Columns)
}
