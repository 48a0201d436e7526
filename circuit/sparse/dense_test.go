package sparse_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"halfsplit/circuit/sparse"
)

// matrix is a sparse matrix under construction.
type matrix[T sparse.Scalar] struct {
	pattern *sparse.Pattern
	values  []T
}

func newMatrix[T sparse.Scalar](n int) *matrix[T] {
	return &matrix[T]{pattern: sparse.NewPattern(n)}
}

func (m *matrix[T]) add(row, column int, v T) {
	slot := m.pattern.Entry(row, column)
	for len(m.values) <= slot {
		m.values = append(m.values, 0)
	}
	m.values[slot] += v
}

// conductance puts g between nodes a and b; -1 is ground.
func (m *matrix[T]) conductance(a, b int, g T) {
	for _, at := range [][2]int{{a, a}, {b, b}} {
		if at[0] >= 0 {
			m.add(at[0], at[1], g)
		}
	}
	if a >= 0 && b >= 0 {
		m.add(a, b, -g)
		m.add(b, a, -g)
	}
}

// source makes unknown k the current of a voltage source between a and b.
func (m *matrix[T]) source(k, a, b int) {
	for _, end := range []struct {
		node int
		sign T
	}{{a, 1}, {b, -1}} {
		if end.node >= 0 {
			m.add(end.node, k, end.sign)
			m.add(k, end.node, end.sign)
		}
	}
}

func (m *matrix[T]) factor(t testing.TB) *sparse.LU[T] {
	t.Helper()
	m.pattern.Freeze()
	lu, err := sparse.Factor(m.pattern, m.values)
	if err != nil {
		t.Fatal(err)
	}
	return lu
}

// dense returns the matrix as a dense real one; a complex matrix of size n
// becomes a real one of size 2n that acts on real parts followed by imaginary
// parts.
func (m *matrix[T]) dense() *mat.Dense {
	n := m.pattern.Size()
	values := toComplex(m.values)
	var zero T
	_, isComplex := any(zero).(complex128)
	size := n
	if isComplex {
		size = 2 * n
	}
	d := mat.NewDense(size, size, nil)
	for s, v := range values {
		i, j := m.pattern.Position(s)
		d.Set(i, j, real(v))
		if isComplex {
			d.Set(i, j+n, -imag(v))
			d.Set(i+n, j, imag(v))
			d.Set(i+n, j+n, real(v))
		}
	}
	return d
}

// random returns a random number of type T, real and imaginary part from a
// normal distribution.
func random[T sparse.Scalar](r *rand.Rand) T {
	var x T
	switch p := any(&x).(type) {
	case *float64:
		*p = r.NormFloat64()
	case *complex128:
		*p = complex(r.NormFloat64(), r.NormFloat64())
	}
	return x
}

// scatter returns a random matrix with about the given number of coefficients
// in each row. Its structure is regular (a hidden permutation is in it), but
// its diagonal is as empty as the rest.
func scatter[T sparse.Scalar](n int, each float64, r *rand.Rand) *matrix[T] {
	m := newMatrix[T](n)
	for i, j := range r.Perm(n) {
		m.add(i, j, random[T](r))
	}
	for range int(each * float64(n)) {
		m.add(r.IntN(n), r.IntN(n), random[T](r))
	}
	return m
}

// flat lays a vector out as dense expects it.
func flat[T sparse.Scalar](x []T) []float64 {
	c := toComplex(x)
	var zero T
	_, isComplex := any(zero).(complex128)
	f := make([]float64, 0, 2*len(x))
	for _, v := range c {
		f = append(f, real(v))
	}
	if isComplex {
		for _, v := range c {
			f = append(f, imag(v))
		}
	}
	return f
}

// TestAgainstDense compares with the dense LU factorization of
// gonum.org/v1/gonum/mat, an independent implementation.
func TestAgainstDense(t *testing.T) {
	for n := 1; n <= 80; n += 1 + n/8 {
		for _, each := range []float64{0, 0.5, 2, 6} {
			t.Run(fmt.Sprintf("real-%d-%g", n, each), func(t *testing.T) { againstDense[float64](t, n, each) })
			t.Run(fmt.Sprintf("complex-%d-%g", n, each), func(t *testing.T) { againstDense[complex128](t, n, each) })
		}
	}
}

func againstDense[T sparse.Scalar](t *testing.T, n int, each float64) {
	r := rand.New(rand.NewPCG(uint64(n), uint64(each*10)))
	for range 5 {
		m := scatter[T](n, each, r)
		lu := m.factor(t)
		b := make([]T, n)
		for i := range b {
			b[i] = random[T](r)
		}
		var dense mat.LU
		dense.Factorize(m.dense())
		for round := range 4 { // before the plan is made and after, plain and transposed
			transposed := round%2 == 1
			if round == 2 {
				if err := lu.Refactor(m.values); err != nil {
					t.Fatal(err)
				}
			}
			x := append([]T(nil), b...)
			rhs := flat(b)
			if transposed {
				lu.SolveTransposed(x)
				// The transpose in gonum is that of the real form, which is the
				// conjugate transpose: conjugate before and after.
				for i := n; i < len(rhs); i++ {
					rhs[i] = -rhs[i]
				}
			} else {
				lu.Solve(x)
			}
			var want mat.VecDense
			if err := dense.SolveVecTo(&want, transposed, mat.NewVecDense(len(rhs), rhs)); err != nil {
				var c mat.Condition
				if !errors.As(err, &c) || math.IsInf(float64(c), 1) {
					t.Fatal(err)
				}
			}
			got := flat(x)
			difference, size := 0.0, 0.0
			for i, v := range got {
				w := want.AtVec(i)
				if transposed && i >= n {
					w = -w
				}
				difference = max(difference, math.Abs(v-w))
				size = max(size, math.Abs(w))
			}
			// Both sides are exact to rounding times condition; the threshold
			// for pivots allows some growth on ours.
			if limit := 1e-13 * dense.Cond() * size; !(difference <= limit) {
				t.Errorf("round %d: differs from the dense solution by %.1e, allowed %.1e", round, difference, limit)
			}
		}
	}
}

// TestReciprocalCondition compares the estimate with the condition number that
// gonum finds from the full inverse.
func TestReciprocalCondition(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 100 {
		n := 1 + r.IntN(30)
		m := scatter[float64](n, 3, r)
		estimate := m.factor(t).ReciprocalCondition(m.values)
		exact := 1 / mat.Cond(m.dense(), 1)
		if !(estimate >= exact*(1-1e-6)) || estimate > 5*exact {
			t.Errorf("n=%d: estimate %.3g, exact %.3g; want from 1 to 5 times", n, estimate, exact)
		}
	}
	// The Hilbert matrix of size 8: condition 3.387e10 in the norm of the
	// largest column sum (from memory; gonum finds the same).
	m := newMatrix[float64](8)
	for i := range 8 {
		for j := range 8 {
			m.add(i, j, 1/float64(i+j+1))
		}
	}
	c, exact := 1/m.factor(t).ReciprocalCondition(m.values), mat.Cond(m.dense(), 1)
	if math.Abs(c/3.387e10-1) > 0.01 || math.Abs(exact/3.387e10-1) > 0.01 {
		t.Errorf("Hilbert matrix: condition %.4g and %.4g, want 3.387e10", c, exact)
	}
}

// TestComplexReciprocalCondition: multiplying by the imaginary unit changes no
// magnitude.
func TestComplexReciprocalCondition(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 20 {
		m := scatter[float64](12, 3, r)
		c := newMatrix[complex128](12)
		for s, v := range m.values {
			i, j := m.pattern.Position(s)
			c.add(i, j, complex(0, v))
		}
		a, b := m.factor(t).ReciprocalCondition(m.values), c.factor(t).ReciprocalCondition(c.values)
		if math.Abs(a-b) > 1e-9*a {
			t.Errorf("real %.6g, imaginary %.6g: want the same", a, b)
		}
	}
}
