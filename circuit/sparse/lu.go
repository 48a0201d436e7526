package sparse

import (
	"fmt"
	"slices"
)

// LU holds the factors of a matrix. It is not safe for concurrent use: each
// goroutine needs a [LU.Clone] of its own.
type LU[T Scalar] struct {
	pattern *Pattern
	fresh   *columns[T] // the factors as Factor left them, until the first Refactor
	*plan               // how Refactor and the solves go from then on
	values  []T         // the flat slice that plan describes
	work    []T         // a vector in the order of pivots

	residual []T // a vector for SolveRefined, in the order of rows
}

// follow leaves the columns for the plan made from them.
func (lu *LU[T]) follow() {
	lu.plan, lu.fresh = lu.fresh.planned(), nil
	lu.values = make([]T, lu.length)
}

// Clone returns a copy with values of its own. What both share never changes,
// so the two may be used by different goroutines.
func (lu *LU[T]) Clone() *LU[T] {
	return &LU[T]{
		pattern: lu.pattern, fresh: lu.fresh, plan: lu.plan,
		values: slices.Clone(lu.values), work: make([]T, len(lu.work)),
	}
}

// Size returns how many values the factors hold, fill-in included.
func (lu *LU[T]) Size() int {
	if lu.fresh != nil {
		return lu.fresh.size()
	}
	return int(lu.length)
}

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
