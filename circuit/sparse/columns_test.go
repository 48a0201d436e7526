package sparse_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfsplit/bench/networks"
	"halfsplit/circuit/sparse"
)

// TestBeforeAndAfterThePlan: what an LU says does not depend on whether the
// first Refactor, which makes the plan, has been called.
func TestBeforeAndAfterThePlan(t *testing.T) {
	for _, kind := range networks.Kinds {
		for _, size := range []int{10, 60, 400} {
			s := networks.Make(kind, size, 5)
			t.Run(s.Name+" real", func(t *testing.T) { beforeAndAfter(t, s, s.Real()) })
			t.Run(s.Name+" complex", func(t *testing.T) { beforeAndAfter(t, s, s.Values) })
		}
	}
}

func beforeAndAfter[T sparse.Scalar](t *testing.T, s *networks.System, values []T) {
	fresh, err := sparse.Factor(pattern(s), values)
	if err != nil {
		t.Fatal(err)
	}
	planned := fresh.Clone()
	if err := planned.Refactor(values); err != nil {
		t.Fatal(err)
	}
	if fresh.Size() != planned.Size() {
		t.Errorf("%d values before, %d after", fresh.Size(), planned.Size())
	}
	condition := fresh.ReciprocalCondition(values)
	near := func(what string, a, b float64) {
		if !(math.Abs(a/b-1) < 1e-6) {
			t.Errorf("%s: %g before, %g after", what, a, b)
		}
	}
	near("reciprocal condition", condition, planned.ReciprocalCondition(values))
	near("growth", fresh.Growth(values), planned.Growth(values))
	for name, solve := range map[string]func(lu *sparse.LU[T], b []T){
		"Solve":           (*sparse.LU[T]).Solve,
		"SolveTransposed": (*sparse.LU[T]).SolveTransposed,
		"SolveRefined":    func(lu *sparse.LU[T], b []T) { lu.SolveRefined(values, b) },
	} {
		a, r := make([]T, s.Size), rand.New(rand.NewPCG(7, 7))
		for i := range a {
			a[i] = random[T](r)
		}
		b := slices.Clone(a)
		solve(fresh, a)
		solve(planned, b)
		if d := distance(a, b); !(d < 1e-13/condition) {
			t.Errorf("%s: solutions differ by %.1e at a condition of %.1e", name, d, 1/condition)
		}
	}
}
