package density

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// level is a density of one reading, normal around a mean with unit deviation.
func level(t *testing.T, mean float64) *Density {
	t.Helper()
	// Two samples a hair apart: all the spread is that of the meter.
	return of(t, cloud(t, [][]float64{{mean - 1e-9}, {mean + 1e-9}}), []int{0}, []float64{1}, 1)
}

// Two levels with the same spread: the log-odds of the one against the other are
// (μ1-μ2)(x - (μ1+μ2)/2)/σ² more than before (R. O. Duda, P. E. Hart, D. G. Stork,
// "Pattern Classification", 2nd ed., section 2.6.1).
//
// Outside: R. O. Duda, P. E. Hart, D. G. Stork, "Pattern Classification", 2nd ed.,
// section 2.6.1. Within: 1e-6.
func TestPosterior(t *testing.T) {
	high, low := level(t, 12), level(t, 9)
	for _, x := range []float64{8, 10.5, 11, 14} {
		p, err := Posterior([]float64{1, 3}, []*Density{high, low}, []float64{x})
		if err != nil {
			t.Fatal(err)
		}
		want := 3*(x-10.5) + math.Log(1.0/3)
		if got := math.Log(p[0] / p[1]); math.Abs(got-want) > 1e-6 {
			t.Errorf("at %g V: log-odds %.9g, want %.9g", x, got, want)
		}
	}
}

// Far beyond every hypothesis, where every density underflows, the nearest still
// wins, and a prior of 0 stays 0.
func TestPosteriorFarAway(t *testing.T) {
	p, err := Posterior([]float64{1, 1, 0}, []*Density{level(t, 12), level(t, 9), level(t, 900)}, []float64{1000})
	if err != nil {
		t.Fatal(err)
	}
	if p[0] < 0.999 || p[2] != 0 {
		t.Errorf("posterior %v, want all on the first", p)
	}
}

// A reading that is no number says nothing.
func TestPosteriorWithoutReading(t *testing.T) {
	for _, values := range [][]float64{{math.NaN()}, {math.Inf(1)}, {1, 2}, {}} {
		p, err := Posterior([]float64{1, 3}, []*Density{level(t, 12), level(t, 9)}, values)
		if err != nil || p[0] != 0.25 || p[1] != 0.75 {
			t.Errorf("after %v: %v, %v; want the priors 0.25 and 0.75", values, p, err)
		}
	}
}

func TestRefusals(t *testing.T) {
	two := cloud(t, [][]float64{{1, 2}, {2, 3}, {3, 5}})
	same := cloud(t, [][]float64{{1, 1}, {2, 2}, {3, 3}})
	for _, test := range []struct {
		name string
		do   func() error
		say  string
	}{
		{"one sample", func() error { _, err := New([][]float64{{1}}); return err }, "at least 2"},
		{"no readings", func() error { _, err := New([][]float64{{}, {}}); return err }, "no readings"},
		{"ragged", func() error { _, err := New([][]float64{{1}, {1, 2}}); return err }, "sample 1 has 2 readings"},
		{"not a number", func() error { _, err := New([][]float64{{1}, {math.NaN()}}); return err }, "sample 1: reading 0 is NaN"},
		{"no columns", func() error { _, err := two.Of(nil, nil); return err }, "at least one reading"},
		{"uncertainties missing", func() error { _, err := two.Of([]int{0, 1}, []float64{1}); return err }, "2 readings with 1 uncertainties"},
		{"no such reading", func() error { _, err := two.Of([]int{2}, []float64{1}); return err }, "no reading 2"},
		{"twice", func() error { _, err := two.Of([]int{1, 1}, []float64{1, 1}); return err }, "named twice"},
		{"perfect meter", func() error { _, err := two.Of([]int{1}, []float64{0}); return err }, "greater than 0"},
		{"width", func() error { _, err := two.OfWidth([]int{1}, []float64{1}, 1.5); return err }, "at most 1"},
		{"width, perfect meter", func() error { _, err := two.OfWidth([]int{1}, []float64{-1}, 1); return err }, "greater than 0"},
		{"the same reading", func() error { _, err := same.Of([]int{0, 1}, []float64{1e-12, 1e-12}); return err }, "leave one out"},
		{"priors missing", func() error { _, err := Posterior([]float64{1}, nil, nil); return err }, "1 priors for 0"},
		{"negative prior", func() error { _, err := Posterior([]float64{-1}, []*Density{nil}, nil); return err }, "prior of -1"},
		{"no prior", func() error { _, err := Posterior([]float64{0}, []*Density{nil}, nil); return err }, "add up to 0"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if err := test.do(); err == nil || !strings.Contains(err.Error(), test.say) {
				t.Errorf("error %v; want one that says %q", err, test.say)
			}
		})
	}
}

// The order of readings, and where their zero is, do not matter; a unit k times
// smaller divides the density by k.
func TestUnits(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		value := rapid.Float64Range(-3, 3)
		rows := rapid.SliceOfN(rapid.SliceOfN(value, 2, 2), 3, 12).Draw(r, "rows")
		u := rapid.SliceOfN(rapid.Float64Range(0.05, 2), 2, 2).Draw(r, "u")
		x := rapid.SliceOfN(value, 2, 2).Draw(r, "x")
		width := rapid.Float64Range(0.05, 1).Draw(r, "width")
		shift, scale := value.Draw(r, "shift"), rapid.Float64Range(0.1, 10).Draw(r, "scale")
		other := make([][]float64, len(rows))
		for i, row := range rows {
			other[i] = []float64{row[1]*scale + shift, row[0]}
		}
		a, err := New(rows)
		if err != nil {
			r.Fatal(err)
		}
		b, err := New(other)
		if err != nil {
			r.Fatal(err)
		}
		d, err := a.OfWidth([]int{0, 1}, u, width)
		if err != nil {
			r.Fatal(err)
		}
		e, err := b.OfWidth([]int{0, 1}, []float64{u[1] * scale, u[0]}, width)
		if err != nil {
			r.Fatal(err)
		}
		got, want := e.Log([]float64{x[1]*scale + shift, x[0]}), d.Log(x)-math.Log(scale)
		if math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
			r.Fatalf("%.12g in other units, %.12g expected", got, want)
		}
	})
}
