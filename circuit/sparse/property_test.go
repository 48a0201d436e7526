package sparse_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/bench/networks"
	"halfsplit/circuit/sparse"
)

// network draws a network of up to 60 unknowns.
func network(t *rapid.T) *networks.System {
	kind := rapid.SampledFrom(networks.Kinds).Draw(t, "kind")
	n := rapid.IntRange(10, 60).Draw(t, "n")
	return networks.Make(kind, n, rapid.Uint64Range(0, 1000).Draw(t, "number"))
}

func vector(n int, number uint64) []float64 {
	r := rand.New(rand.NewPCG(number, 17))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// distance is the largest difference of two vectors, relative to the largest
// element.
func distance[T sparse.Scalar](x, y []T) float64 {
	a, b := flat(x), flat(y)
	difference, size := 0.0, 0.0
	for i := range a {
		difference = max(difference, math.Abs(a[i]-b[i]))
		size = max(size, math.Abs(a[i]), math.Abs(b[i]))
	}
	if size == 0 {
		return 0
	}
	return difference / size
}

// TestOrderDoesNotMatter: exchanging rows, columns and the order in which
// coefficients are named exchanges the solution and nothing else.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := network(t)
		number := rapid.Uint64().Draw(t, "order")
		r := rand.New(rand.NewPCG(number, 1))
		rows, columns, slots := r.Perm(s.Size), r.Perm(s.Size), r.Perm(len(s.Rows))

		plain, err := sparse.Factor(pattern(s), s.Values)
		if err != nil {
			t.Fatal(err)
		}
		mixed := newMatrix[complex128](s.Size)
		for _, k := range slots {
			mixed.add(rows[s.Rows[k]], columns[s.Columns[k]], s.Values[k])
		}
		other, err := sparse.Factor(mixed.pattern, mixed.values)
		if err != nil {
			t.Fatal(err)
		}
		x, y := make([]complex128, s.Size), make([]complex128, s.Size)
		for i, v := range vector(s.Size, number) {
			x[i] = complex(v, 1)
			y[rows[i]] = x[i]
		}
		plain.SolveRefined(s.Values, x)
		other.SolveRefined(mixed.values, y)
		back := make([]complex128, s.Size)
		for j := range back {
			back[j] = y[columns[j]]
		}
		rcond := plain.ReciprocalCondition(s.Values)
		if d := distance(x, back); d > 1e-14/rcond {
			t.Errorf("solutions differ by %.1e (condition %.1e)", d, 1/rcond)
		}
	})
}

// TestTransposeIdentity: y·(A⁻¹b) = (A⁻ᵀy)·b.
func TestTransposeIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := network(t)
		number := rapid.Uint64().Draw(t, "vectors")
		lu, err := sparse.Factor(pattern(s), s.Real())
		if err != nil {
			t.Fatal(err)
		}
		b, y := vector(s.Size, number), vector(s.Size, number+1)
		x, z := append([]float64(nil), b...), append([]float64(nil), y...)
		lu.Solve(x)
		lu.SolveTransposed(z)
		left, right, size := 0.0, 0.0, 0.0
		for i := range b {
			left += y[i] * x[i]
			right += z[i] * b[i]
			size += math.Abs(y[i]*x[i]) + math.Abs(z[i]*b[i])
		}
		if rcond := lu.ReciprocalCondition(s.Real()); math.Abs(left-right) > 1e-14/rcond*size {
			t.Errorf("%g and %g differ by %.1e of the terms (condition %.1e)", left, right, math.Abs(left-right)/size, 1/rcond)
		}
	})
}

// TestRefactorEqualsFactor: refactoring gives what a fresh factorization gives,
// and a clone made before keeps the old values. Where pivots cancel, because of
// a transistor or of a source across a resistor, new values may need new pivots.
func TestRefactorEqualsFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := network(t)
		number := rapid.Uint64().Draw(t, "values")
		p, old := pattern(s), s.Real()
		lu, err := sparse.Factor(p, old)
		if err != nil {
			t.Fatal(err)
		}
		clone := lu.Clone()
		r := rand.New(rand.NewPCG(number, 2))
		values := make([]float64, len(old))
		for k, v := range old {
			values[k] = v
			if s.Rows[k] == s.Columns[k] && v != 0 { // stay regular: raise diagonals only
				values[k] *= 1 + 9*r.Float64()
			}
		}
		fresh, err := sparse.Factor(p, values)
		if err != nil {
			t.Fatal(err)
		}
		var degraded *sparse.Degraded
		if err := lu.Refactor(values); errors.As(err, &degraded) {
			lu = fresh
		} else if err != nil {
			t.Fatal(err)
		}
		first, err := sparse.Factor(p, old)
		if err != nil {
			t.Fatal(err)
		}
		b := vector(s.Size, number)
		solve := func(lu *sparse.LU[float64], values []float64) []float64 {
			x := append([]float64(nil), b...)
			lu.SolveRefined(values, x)
			return x
		}
		if d := distance(solve(lu, values), solve(fresh, values)); d > 1e-14/fresh.ReciprocalCondition(values) {
			t.Errorf("refactored and fresh solutions differ by %.1e", d)
		}
		if diff := cmp.Diff(solve(first, old), solve(clone, old)); diff != "" {
			t.Errorf("the clone has changed:\n%s", diff)
		}
	})
}

// TestConductancesNeedNoNewPivots: with conductances only, no pivot ever
// cancels, whatever the new values.
func TestConductancesNeedNoNewPivots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "nodes")
		number := rapid.Uint64().Draw(t, "values")
		build := func(number uint64) *matrix[float64] {
			values := rand.New(rand.NewPCG(number, 4))
			places := rand.New(rand.NewPCG(1, 5))
			m := newMatrix[float64](n)
			for k := range n {
				for _, other := range []int{k - 1, places.IntN(n+1) - 1, places.IntN(n+1) - 1} {
					if other != k {
						m.conductance(k, other, math.Pow(10, -3+6*values.Float64()))
					}
				}
			}
			m.pattern.Freeze()
			return m
		}
		m := build(number)
		lu, err := sparse.Factor(m.pattern, m.values)
		if err != nil {
			t.Fatal(err)
		}
		other := build(number + 1)
		if err := lu.Refactor(other.values); err != nil {
			t.Fatal(err)
		}
		b := vector(n, number)
		x := append([]float64(nil), b...)
		lu.Solve(x)
		var rows, columns []int
		for k := range other.values {
			i, j := other.pattern.Position(k)
			rows, columns = append(rows, i), append(columns, j)
		}
		if r := residual(rows, columns, other.values, x, b); !(r < 1e-12) {
			t.Errorf("residual %.1e, want below 1e-12", r)
		}
	})
}

// TestUpdate: a solution with changed parts equals that of the changed matrix
// factored anew.
func TestUpdate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := network(t)
		number := rapid.Uint64().Draw(t, "changes")
		rank := rapid.IntRange(0, 4).Draw(t, "rank")
		r := rand.New(rand.NewPCG(number, 3))
		lu, err := sparse.Factor(pattern(s), s.Values)
		if err != nil {
			t.Fatal(err)
		}
		changed := newMatrix[complex128](s.Size)
		for k, v := range s.Values {
			changed.add(s.Rows[k], s.Columns[k], v)
		}
		var u, v []sparse.Vector[complex128]
		for range rank {
			a, b, c, d := r.IntN(s.Size), r.IntN(s.Size), r.IntN(s.Size), r.IntN(s.Size)
			g := complex(math.Pow(10, 3-9*r.Float64()), 0)
			u = append(u, sparse.Vector[complex128]{Index: []int{a, b}, Values: []complex128{g, -g}})
			v = append(v, sparse.Vector[complex128]{Index: []int{c, d}, Values: []complex128{1, -1}})
			changed.add(a, c, g)
			changed.add(a, d, -g)
			changed.add(b, c, -g)
			changed.add(b, d, g)
		}
		fresh, err := sparse.Factor(changed.pattern, changed.values)
		var singular *sparse.Singular
		if errors.As(err, &singular) {
			return // chance has made a singular matrix
		}
		condition := 1 / lu.ReciprocalCondition(s.Values)
		newCondition := 1 / fresh.ReciprocalCondition(changed.values)
		up, err := lu.Update(u, v)
		if errors.As(err, &singular) {
			if condition*newCondition < 1e8 {
				t.Errorf("refused with conditions %.1e and %.1e", condition, newCondition)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		b := make([]complex128, s.Size)
		for i := range b {
			b[i] = random[complex128](r)
		}
		x, y := append([]complex128(nil), b...), append([]complex128(nil), b...)
		up.Solve(x)
		fresh.SolveRefined(changed.values, y)
		if d := distance(x, y); d > 1e-13*(condition+newCondition) && d > 1e-13*condition*newCondition {
			t.Errorf("solutions differ by %.1e (conditions %.1e, %.1e)", d, condition, newCondition)
		}
	})
}

func TestUpdateRefuses(t *testing.T) {
	m := newMatrix[float64](3)
	m.conductance(0, -1, 1)
	m.conductance(0, 1, 0.5)
	m.conductance(1, 2, 0.25)
	m.conductance(2, -1, 0.125)
	lu := m.factor(t)
	type vectors = []sparse.Vector[float64]
	tests := []struct {
		name string
		u, v vectors
	}{
		{"unequal numbers", vectors{{}}, nil},
		{"index too large", vectors{{Index: []int{3}, Values: []float64{1}}}, vectors{{}}},
		{"index negative", vectors{{}}, vectors{{Index: []int{-1}, Values: []float64{1}}}},
		{"unequal lengths", vectors{{}}, vectors{{Index: []int{1}}}},
	}
	for _, test := range tests {
		var s *sparse.Singular
		if _, err := lu.Update(test.u, test.v); err == nil || errors.As(err, &s) {
			t.Errorf("%s: error %v, want one about the vectors", test.name, err)
		}
	}
	// Opening both ways from node 2 leaves it in the air.
	between := func(a, b int, g float64) (u, v sparse.Vector[float64]) {
		return sparse.Vector[float64]{Index: []int{a, b}, Values: []float64{g, -g}},
			sparse.Vector[float64]{Index: []int{a, b}, Values: []float64{1, -1}}
	}
	u0, v0 := between(1, 2, -0.25)
	ground := sparse.Vector[float64]{Index: []int{2}, Values: []float64{1}}
	opened := sparse.Vector[float64]{Index: []int{2}, Values: []float64{-0.125}}
	var s *sparse.Singular
	if _, err := lu.Update(vectors{u0, opened}, vectors{v0, ground}); !errors.As(err, &s) {
		t.Errorf("error %v, want *Singular", err)
	} else if s.Row == 0 || s.Column == 0 {
		t.Errorf("%v: want node 1 or 2", s)
	}
}

// TestClonesInParallel has goroutines refactor and solve with clones of one
// factorization.
func TestClonesInParallel(t *testing.T) {
	s := networks.Make("board", 200, 3)
	lu, err := sparse.Factor(pattern(s), s.Real())
	if err != nil {
		t.Fatal(err)
	}
	results := make([][]float64, 8)
	var wait sync.WaitGroup
	for i := range results {
		clone := lu.Clone()
		wait.Go(func() {
			values := s.Real()
			for k := range values {
				values[k] *= float64(i + 1)
			}
			if err := clone.Refactor(values); err != nil {
				t.Error(err)
			}
			results[i] = vector(s.Size, 4)
			clone.Solve(results[i])
		})
	}
	wait.Wait()
	for i, x := range results {
		for j := range x {
			x[j] *= float64(i + 1)
		}
		if d := distance(x, results[0]); d > 1e-9 {
			t.Errorf("clone %d: solution differs by %.1e", i, d)
		}
	}
}

// TestNoAllocation: what is repeated does not allocate.
func TestNoAllocation(t *testing.T) {
	s := networks.Make("board", 300, 3)
	values := s.Real()
	lu, err := sparse.Factor(pattern(s), values)
	if err != nil {
		t.Fatal(err)
	}
	z, err := sparse.Factor(pattern(s), s.Values)
	if err != nil {
		t.Fatal(err)
	}
	change := []sparse.Vector[float64]{{Index: []int{5}, Values: []float64{1e-3}}}
	up, err := lu.Update(change, change)
	if err != nil {
		t.Fatal(err)
	}
	b, c := vector(s.Size, 1), make([]complex128, s.Size)
	steps := map[string]func(){
		"Refactor": func() {
			if err := lu.Refactor(values); err != nil {
				t.Fatal(err)
			}
		},
		"complex Refactor": func() {
			if err := z.Refactor(s.Values); err != nil {
				t.Fatal(err)
			}
		},
		"Solve":                   func() { lu.Solve(b) },
		"complex Solve":           func() { z.Solve(c) },
		"SolveTransposed":         func() { lu.SolveTransposed(b) },
		"complex SolveTransposed": func() { z.SolveTransposed(c) },
		"SolveRefined":            func() { lu.SolveRefined(values, b) },
		"Updated.Solve":           func() { up.Solve(b) },
	}
	for name, step := range steps {
		if n := testing.AllocsPerRun(10, step); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}
