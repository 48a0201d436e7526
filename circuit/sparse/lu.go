package sparse

import (
	"fmt"
	"math"
	"unsafe"
)

// Scalar is the type of a coefficient: real for direct current and transients,
// complex for alternating current.
type Scalar interface{ float64 | complex128 }

// LU holds the factors of a matrix. It is not safe for concurrent use: each
// goroutine needs a [LU.Clone] of its own.
type LU[T Scalar] struct {
	pattern *Pattern
	*plan
	values []T // the flat slice that plan describes
	work   []T // one vector, in the order of pivots
}

func newLU[T Scalar](p *Pattern, pl *plan) *LU[T] {
	return &LU[T]{pattern: p, plan: pl, values: make([]T, pl.length), work: make([]T, pl.n)}
}

// Clone returns a copy with values of its own. What both share never changes,
// so the two may be used by different goroutines.
func (lu *LU[T]) Clone() *LU[T] {
	c := newLU[T](lu.pattern, lu.plan)
	copy(c.values, lu.values)
	return c
}

// Singular is the error of [Factor] for a matrix that has no inverse. Row and
// Column say where elimination got stuck: the equation and the unknown, in the
// caller's numbering, for which no pivot was left.
type Singular struct {
	Row, Column int
	Structural  bool // true when no values whatever could help: the pattern itself is at fault
}

// Error names the row and the column.
func (s *Singular) Error() string {
	if s.Structural {
		return fmt.Sprintf("sparse: singular matrix: whatever its values, no coefficient can serve as pivot for row %d and column %d", s.Row, s.Column)
	}
	return fmt.Sprintf("sparse: singular matrix: nothing is left of row %d, column %d after elimination", s.Row, s.Column)
}

// Degraded is the error of [LU.Refactor] for values under which a pivot of the
// recorded order has become too small. Calling [Factor] chooses new pivots.
type Degraded struct {
	Row, Column int
}

// Error names the row and the column of the pivot.
func (d *Degraded) Error() string {
	return fmt.Sprintf("sparse: the pivot of row %d, column %d has become too small: factor again", d.Row, d.Column)
}

// checkLength panics when a vector does not fit the matrix.
func checkLength(operation string, have, want int) {
	if have != want {
		panic(fmt.Sprintf("sparse: %s: vector of length %d for a matrix of size %d", operation, have, want))
	}
}

// size measures a value: its magnitude, or for a complex one the sum of the
// magnitudes of its parts, which is as good for comparing and quicker. It looks
// at the bytes because a type switch would cost more than all the arithmetic
// around it; the test is decided when the code is compiled.
func size[T Scalar](x T) float64 {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return math.Abs(*(*float64)(unsafe.Pointer(&x)))
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	return math.Abs(real(c)) + math.Abs(imag(c))
}

// inverse returns 1/x. For a complex value it does without the care for infinite
// operands that the language's division takes.
//
// Source: R. L. Smith, "Algorithm 116: Complex division", Communications of the
// ACM 5 (1962), page 435.
func inverse[T Scalar](x T) T {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return 1 / x
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	re, im := real(c), imag(c)
	if math.Abs(re) >= math.Abs(im) {
		ratio := im / re
		scale := 1 / (re + im*ratio)
		c = complex(scale, -ratio*scale)
	} else {
		ratio := re / im
		scale := 1 / (re*ratio + im)
		c = complex(ratio*scale, -scale)
	}
	return *(*T)(unsafe.Pointer(&c))
}

// Size returns how many values the factors hold, fill-in included.
func (lu *LU[T]) Size() int { return int(lu.length) }
