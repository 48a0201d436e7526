package sparse

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Scalar is the type of a coefficient: real for direct current and transients,
// complex for alternating current.
type Scalar interface{ float64 | complex128 }

// Singular is the error of [Factor] for a matrix that has no inverse. Row and
// Column say where elimination got stuck: the equation and the unknown, in the
// caller's numbering, for which no pivot was left.
type Singular struct {
	Row, Column int
	Structural  bool // true when no choice of values could help
}

// Error names the row and the column.
func (s *Singular) Error() string {
	return fmt.Sprintf("sparse: singular matrix: no pivot for row %d, column %d", s.Row, s.Column)
}

// Degraded is the error of [LU.Refactor] for values under which a pivot of the
// recorded order has become too small. Calling [Factor] chooses new pivots.
type Degraded struct {
	Row, Column int
}

// Error names the row and the column of the pivot.
func (d *Degraded) Error() string {
	return fmt.Sprintf("sparse: pivot in row %d, column %d has become too small: factor again", d.Row, d.Column)
}

// LU holds the factors of a matrix. It is not safe for concurrent use: each
// goroutine needs a [LU.Clone] of its own.
type LU[T Scalar] struct {
	p    *Pattern
	a    []T
	perm []int
	work []T
}

// Factor chooses an order of pivots for the values and factors the matrix.
// The error is a *[Singular] when the matrix has no inverse.
func Factor[T Scalar](p *Pattern, values []T) (*LU[T], error) {
	if len(values) != p.Slots() {
		return nil, fmt.Errorf("sparse: Factor: %d values for a pattern of %d slots", len(values), p.Slots())
	}
	p.Freeze()
	lu := &LU[T]{p: p, a: make([]T, p.n*p.n), perm: make([]int, p.n), work: make([]T, p.n)}
	if err := lu.factor(values); err != nil {
		return nil, err
	}
	return lu, nil
}

func magnitude[T Scalar](x T) float64 {
	switch x := any(x).(type) {
	case float64:
		return math.Abs(x)
	case complex128:
		return cmplx.Abs(x)
	}
	panic("unreachable")
}

func (lu *LU[T]) factor(values []T) error {
	n, a := lu.p.n, lu.a
	clear(a)
	for s, v := range values {
		a[int(lu.p.rows[s])*n+int(lu.p.cols[s])] = v
	}
	for i := range lu.perm {
		lu.perm[i] = i
	}
	for k := range n {
		best, at := 0.0, k
		for i := k; i < n; i++ {
			if m := magnitude(a[i*n+k]); m > best {
				best, at = m, i
			}
		}
		if best < 1e-300 {
			return &Singular{Row: lu.perm[k], Column: k}
		}
		if at != k {
			lu.perm[k], lu.perm[at] = lu.perm[at], lu.perm[k]
			for j := range n {
				a[k*n+j], a[at*n+j] = a[at*n+j], a[k*n+j]
			}
		}
		for i := k + 1; i < n; i++ {
			if a[i*n+k] == 0 {
				continue
			}
			l := a[i*n+k] / a[k*n+k]
			a[i*n+k] = l
			for j := k + 1; j < n; j++ {
				a[i*n+j] -= l * a[k*n+j]
			}
		}
	}
	return nil
}

// Refactor factors the matrix for new values with the pivots chosen by
// [Factor]. When one of them has become too small the error is a *[Degraded]:
// the factors are then unusable and the caller must call Factor again.
func (lu *LU[T]) Refactor(values []T) error {
	if err := lu.factor(values); err != nil {
		s := err.(*Singular)
		return &Degraded{Row: s.Row, Column: s.Column}
	}
	return nil
}

// Solve replaces the right-hand side b of A x = b by x.
func (lu *LU[T]) Solve(b []T) {
	n, a, w := lu.p.n, lu.a, lu.work
	for i := range n {
		s := b[lu.perm[i]]
		for j := range i {
			s -= a[i*n+j] * w[j]
		}
		w[i] = s
	}
	for i := n - 1; i >= 0; i-- {
		s := w[i]
		for j := i + 1; j < n; j++ {
			s -= a[i*n+j] * w[j]
		}
		w[i] = s / a[i*n+i]
	}
	copy(b, w)
}

// SolveTransposed replaces the right-hand side b of Aᵀ x = b by x. The
// transpose is plain, not conjugated, for complex values too.
func (lu *LU[T]) SolveTransposed(b []T) {
	n, a, w := lu.p.n, lu.a, lu.work
	for j := range n {
		s := b[j]
		for i := range j {
			s -= a[i*n+j] * w[i]
		}
		w[j] = s / a[j*n+j]
	}
	for j := n - 1; j >= 0; j-- {
		s := w[j]
		for i := j + 1; i < n; i++ {
			s -= a[i*n+j] * w[i]
		}
		w[j] = s
	}
	for i := range n {
		b[lu.perm[i]] = w[i]
	}
}

// Clone returns an independent copy that shares only what never changes.
func (lu *LU[T]) Clone() *LU[T] {
	c := *lu
	c.a = append([]T(nil), lu.a...)
	c.perm = append([]int(nil), lu.perm...)
	c.work = make([]T, lu.p.n)
	return &c
}
