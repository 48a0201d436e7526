package sparse_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"halfsplit/circuit/sparse"
)

func TestSingular(t *testing.T) {
	tests := []struct {
		name       string
		build      func(m *matrix[float64])
		size       int
		structural bool
		rows, cols []int // the names that would be right
	}{
		{
			name: "a node without a part", size: 3, structural: true,
			build: func(m *matrix[float64]) { m.conductance(0, 2, 1); m.conductance(0, -1, 1) },
			rows:  []int{1}, cols: []int{1},
		},
		{
			name: "two equations for one unknown", size: 3, structural: true,
			build: func(m *matrix[float64]) { m.add(0, 0, 1); m.add(1, 0, 1); m.add(2, 1, 1); m.add(2, 2, 1) },
			rows:  []int{0, 1}, cols: []int{1, 2},
		},
		{
			name: "a coefficient that is zero", size: 2,
			build: func(m *matrix[float64]) { m.add(0, 0, 1); m.add(1, 1, 0) },
			rows:  []int{1}, cols: []int{1},
		},
		{
			name: "two nodes joined to each other only", size: 5,
			build: func(m *matrix[float64]) {
				m.conductance(0, -1, 1)
				m.conductance(0, 1, 2)
				m.conductance(1, 4, 2)
				m.conductance(2, 3, 0.1)
				m.conductance(4, 1, 0.3)
			},
			rows: []int{2, 3}, cols: []int{2, 3},
		},
		{
			name: "an island of many nodes with awkward values", size: 9,
			build: func(m *matrix[float64]) {
				for k := range 8 {
					m.conductance(k, (k+1)%8, 0.1*float64(k+1))
					m.conductance(k, (k+3)%8, 1/(3+float64(k)))
				}
				m.conductance(8, -1, 1)
			},
			rows: []int{0, 1, 2, 3, 4, 5, 6, 7}, cols: []int{0, 1, 2, 3, 4, 5, 6, 7},
		},
		{
			name: "a loop of voltage sources through ground", size: 5, structural: true,
			build: func(m *matrix[float64]) {
				m.conductance(0, 1, 1e-3)
				m.conductance(0, -1, 1)
				m.source(2, 0, 1)
				m.source(3, 1, -1)
				m.source(4, 0, -1)
			},
			rows: []int{2, 3, 4}, cols: []int{0, 1, 2, 3, 4},
		},
		{
			name: "a loop of voltage sources above ground", size: 6,
			build: func(m *matrix[float64]) {
				for k := range 3 {
					m.conductance(k, -1, 0.3)
					m.source(3+k, k, (k+1)%3)
				}
			},
			rows: []int{3, 4, 5}, cols: []int{3, 4, 5},
		},
		{
			name: "equal rows", size: 3,
			build: func(m *matrix[float64]) {
				for j := range 3 {
					m.add(0, j, float64(j+1)/3)
					m.add(1, j, float64(j+1)/3)
					m.add(2, j, float64(j*j)+1)
				}
			},
			rows: []int{0, 1}, cols: []int{0, 1, 2},
		},
	}
	contains := func(list []int, x int) bool {
		for _, v := range list {
			if v == x {
				return true
			}
		}
		return false
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			m := newMatrix[float64](test.size)
			test.build(m)
			_, err := sparse.Factor(m.pattern, m.values)
			var s *sparse.Singular
			if !errors.As(err, &s) {
				t.Fatalf("error %v, want *Singular", err)
			}
			if s.Structural != test.structural || !contains(test.rows, s.Row) || !contains(test.cols, s.Column) {
				t.Errorf("got %+v, want structural %v, row among %v, column among %v", *s, test.structural, test.rows, test.cols)
			}
			if s.Error() == "" {
				t.Error("no message")
			}
		})
	}
}

// TestNotANumber: a value that is no number must not pass for a pivot.
func TestNotANumber(t *testing.T) {
	m := newMatrix[float64](2)
	m.conductance(0, 1, 1)
	m.conductance(0, -1, 1)
	lu := m.factor(t)
	m.values[0] = math.NaN()
	var s *sparse.Singular
	if _, err := sparse.Factor(m.pattern, m.values); !errors.As(err, &s) {
		t.Errorf("Factor: error %v, want *Singular", err)
	}
	var d *sparse.Degraded
	if err := lu.Refactor(m.values); !errors.As(err, &d) {
		t.Errorf("Refactor: error %v, want *Degraded", err)
	}
}

// TestDegraded: values for which the old pivots are useless are refused, and
// the factors serve again after a refactorization that succeeds.
func TestDegraded(t *testing.T) {
	build := func(diagonal float64) *matrix[float64] {
		m := newMatrix[float64](3)
		m.add(0, 0, diagonal)
		m.add(0, 1, 1)
		m.add(1, 0, 1)
		m.add(1, 1, diagonal)
		m.add(1, 2, 0.5)
		m.add(2, 1, 0.5)
		m.add(2, 2, 4)
		m.pattern.Freeze()
		return m
	}
	m := build(2)
	lu := m.factor(t)
	for _, diagonal := range []float64{0, 1e-14} {
		values := build(diagonal).values
		err := lu.Refactor(values)
		var d *sparse.Degraded
		if !errors.As(err, &d) {
			t.Fatalf("diagonal %g: error %v, want *Degraded", diagonal, err)
		}
		if d.Error() == "" || d.Row != d.Column || d.Row > 1 {
			t.Errorf("diagonal %g: %v, want row and column 0 or 1", diagonal, d)
		}
		fresh, err := sparse.Factor(m.pattern, values)
		if err != nil {
			t.Fatal(err)
		}
		x := []float64{diagonal + 1, 1 + diagonal + 0.5, 4.5} // A times (1, 1, 1)
		fresh.Solve(x)
		for i := range x {
			if math.Abs(x[i]-1) > 1e-12 {
				t.Errorf("diagonal %g: x = %v, want ones", diagonal, x)
			}
		}
	}
	if err := lu.Refactor(m.values); err != nil {
		t.Fatal(err)
	}
	x := []float64{3, 3.5, 4.5}
	lu.Solve(x)
	for i := range x {
		if math.Abs(x[i]-1) > 1e-12 {
			t.Errorf("x = %v, want ones", x)
		}
	}
}

// TestScales mixes milliohms and gigohms, sources included: the equations must
// be met to rounding after one refinement, and nearly so without.
func TestScales(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for range 50 {
		const nodes, sources = 60, 6
		m := newMatrix[float64](nodes + sources)
		var rows, columns []int
		for k := range nodes {
			m.conductance(k, k-1, math.Pow(10, 3-12*r.Float64()))
			m.conductance(k, r.IntN(nodes+1)-1, math.Pow(10, 3-12*r.Float64()))
		}
		for k := range sources {
			m.source(nodes+k, 10*k+r.IntN(9)+1, []int{-1, 10 * k}[k%2])
		}
		lu := m.factor(t)
		for s := range m.values {
			i, j := m.pattern.Position(s)
			rows, columns = append(rows, i), append(columns, j)
		}
		b := make([]float64, nodes+sources)
		for i := range b {
			b[i] = r.NormFloat64() * 1e-3
		}
		x := append([]float64(nil), b...)
		lu.Solve(x)
		if e := residual(rows, columns, m.values, x, b); !(e < 1e-9) {
			t.Errorf("residual %.1e, want below 1e-9", e)
		}
		copy(x, b)
		lu.SolveRefined(m.values, x)
		if e := residual(rows, columns, m.values, x, b); !(e < 1e-13) {
			t.Errorf("refined residual %.1e, want below 1e-13", e)
		}
		if g := lu.Growth(m.values); !(g < 1e6) {
			t.Errorf("growth %.1e, want below 1e6", g)
		}
	}
}

// TestGrowth: a pivot of 1e-3 beside ones lets values grow a thousandfold.
func TestGrowth(t *testing.T) {
	m := newMatrix[float64](2)
	m.add(0, 0, 1)
	m.add(0, 1, 1)
	m.add(1, 0, 1)
	m.add(1, 1, 3)
	lu := m.factor(t)
	m.values[0] = 1e-3
	if err := lu.Refactor(m.values); err != nil {
		t.Fatal(err)
	}
	// Eliminating the first row leaves 3 - 1/1e-3 = -997, against 3 before.
	// (The order of the two unknowns is free; the other way it does not grow.)
	g := lu.Growth(m.values)
	if math.Abs(g-997.0/3) > 1e-9 && math.Abs(g-1) > 1e-9 {
		t.Errorf("growth %g, want %g or 1", g, 997.0/3)
	}
}
