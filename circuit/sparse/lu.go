package sparse

import "fmt"

// LU holds the factors of a matrix. It is not safe for concurrent use: each
// goroutine needs a [LU.Clone] of its own.
type LU[T Scalar] struct {
	pattern *Pattern
	*plan
	values []T // the flat slice that plan describes
	work   []T // a vector in the order of pivots

	residual []T // a vector for SolveRefined, in the order of rows
}

func newLU[T Scalar](p *Pattern, pl *plan) *LU[T] {
	n, length := pl.n, int(pl.length)
	all := make([]T, length+2*n)
	return &LU[T]{
		pattern: p, plan: pl,
		values: all[:length:length], work: all[length:][:n:n], residual: all[length+n:],
	}
}

// Clone returns a copy with values of its own. What both share never changes,
// so the two may be used by different goroutines.
func (lu *LU[T]) Clone() *LU[T] {
	c := newLU[T](lu.pattern, lu.plan)
	copy(c.values, lu.values)
	return c
}

// Size returns how many values the factors hold, fill-in included.
func (lu *LU[T]) Size() int { return int(lu.length) }

// checkLength panics when a vector does not fit the matrix.
func checkLength(operation string, have, want int) {
	if have != want {
		panic(fmt.Sprintf("sparse: %s: vector of length %d for a matrix of size %d", operation, have, want))
	}
}

// checkValues panics when a list of values does not fit the pattern.
func checkValues(operation string, have, want int) {
	if have != want {
		panic(fmt.Sprintf("sparse: %s: %d values for a pattern of %d slots", operation, have, want))
	}
}
