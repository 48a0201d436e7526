package sparse

import (
	"math"
	"testing"
)

func TestSmallSystem(t *testing.T) {
	p := NewPattern(3)
	var v []float64
	set := func(r, c int, x float64) {
		s := p.Entry(r, c)
		for len(v) <= s {
			v = append(v, 0)
		}
		v[s] += x
	}
	set(0, 0, 2)
	set(0, 1, -1)
	set(1, 0, -1)
	set(1, 1, 3)
	set(0, 2, 1)
	set(2, 0, 1)
	p.Freeze()
	lu, err := Factor(p, v)
	if err != nil {
		t.Fatal(err)
	}
	b := []float64{2*5 - 7 + 1, -5 + 21, 5}
	lu.Solve(b)
	for i, want := range []float64{5, 7, 1} {
		if math.Abs(b[i]-want) > 1e-12 {
			t.Errorf("x[%d] = %g, want %g", i, b[i], want)
		}
	}
	b = []float64{2*5 - 7 + 1, -5 + 21, 5}
	lu.SolveTransposed(b)
	for i, want := range []float64{5, 7, 1} {
		if math.Abs(b[i]-want) > 1e-12 {
			t.Errorf("transposed x[%d] = %g, want %g", i, b[i], want)
		}
	}
}
