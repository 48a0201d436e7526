package metrology_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/metrology"
)

// A linear calculation is propagated exactly, whatever the scale of its
// inputs: from picofarads to megohms.
func TestPropagateLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "inputs")
		factors, inputs, want := make([]float64, n), make([]metrology.Input, n), 0.0
		for i := range inputs {
			scale := math.Pow(10, float64(rapid.IntRange(-12, 7).Draw(t, "decade")))
			factors[i] = rapid.Float64Range(-3, 3).Draw(t, "factor") / scale
			inputs[i] = metrology.Input{Value: scale * rapid.Float64Range(-10, 10).Draw(t, "value"), U: scale * rapid.Float64Range(0.01, 1).Draw(t, "u")}
			want = math.Hypot(want, factors[i]*inputs[i].U)
		}
		got := must(metrology.Propagate(func(x []float64) float64 {
			sum := 0.0
			for i, v := range x {
				sum += factors[i] * v
			}
			return sum
		}, inputs, nil))
		if math.Abs(got.U-want) > 1e-8*(want+1) || got.DOF != 0 {
			t.Fatalf("u = %.12g, want %.12g", got.U, want)
		}
	})
}

// Second-order terms against closed forms: for a product of independent
// inputs the variance has exactly u₁²u₂² more (Goodman, On the exact variance
// of products, 1960), and for a square of a normal quantity at zero it is 2u⁴.
//
// Outside: L. A. Goodman, "On the exact variance of products", Journal of the American
// Statistical Association 55 (1960); closed forms. Within: 1e-9, at large values 1e-5.
func TestSecondOrder(t *testing.T) {
	product := func(x []float64) float64 { return x[0] * x[1] }
	got := must(metrology.SecondOrder(product, []metrology.Input{{Value: 5, U: 0.2}, {Value: 2, U: 0.3}}))
	if want := 0.04 * 0.09; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("product: %g, want %g", got, want)
	}
	square := func(x []float64) float64 { return x[0] * x[0] }
	inputs := []metrology.Input{{Value: 0, U: 0.5}}
	got = must(metrology.SecondOrder(square, inputs))
	if want := 2 * math.Pow(0.5, 4); math.Abs(got/want-1) > 1e-12 {
		t.Errorf("square: %g, want %g", got, want)
	}
	if first := must(metrology.Propagate(square, inputs, nil)); first.U > 1e-12 {
		t.Errorf("first order sees u = %g at the bottom of a parabola", first.U)
	}
	// A cube brings the third derivative in: var(x³) at m is 9m⁴u² + 36m²u⁴ +
	// 15u⁶, of which the middle term is of second order.
	cube := func(x []float64) float64 { return x[0] * x[0] * x[0] }
	got = must(metrology.SecondOrder(cube, []metrology.Input{{Value: 2, U: 0.001}}))
	if want := 36 * 4 * 1e-12; math.Abs(got/want-1) > 1e-5 {
		t.Errorf("cube: %g, want %g", got, want)
	}
}

// Welch–Satterthwaite lies between the fewest degrees of freedom and their
// sum, and the uncertainty is that of Quadrature.
func TestCombine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var parts []metrology.Component
		var us []float64
		least, sum := math.Inf(1), 0.0
		for range rapid.IntRange(1, 6).Draw(t, "parts") {
			c := metrology.Component{U: rapid.Float64Range(1e-150, 1).Draw(t, "u"), DOF: float64(rapid.IntRange(1, 50).Draw(t, "dof"))}
			parts, us = append(parts, c), append(us, c.U)
			least, sum = min(least, c.DOF), sum+c.DOF
		}
		u, dof, err := metrology.Combine(parts...)
		if err != nil || u != metrology.Quadrature(us...) || dof < least || dof > sum*(1+1e-12) {
			t.Fatalf("u = %g, %g degrees of freedom of %g to %g, %v", u, dof, least, sum, err)
		}
	})
	if u, dof, err := metrology.Combine(); u != 0 || dof != 0 || err != nil {
		t.Errorf("an empty budget gives %g, %g, %v", u, dof, err)
	}
	for dof, want := range map[float64]float64{16.66: 16, 18.9987: 19, 18.94: 18, 0: 0, 1: 1, 1e300: 1e300} {
		if got := metrology.TruncateDOF(dof); got != want {
			t.Errorf("%g degrees of freedom are cut to %g, want %g", dof, got, want)
		}
	}
}

// Pooling groups of one kind gives what one big group would, their means
// being free.
func TestPooled(t *testing.T) {
	a, b := must(metrology.TypeA([]float64{1, 2, 3})), must(metrology.TypeA([]float64{11, 13, 12, 14, 10}))
	deviation, dof, err := metrology.Pooled(a, b)
	// Sums of squares 2 and 10 with 2 and 4 degrees of freedom.
	if err != nil || dof != 6 || !near(deviation, math.Sqrt2, 1e-14) {
		t.Errorf("deviation %g with %g degrees of freedom, %v", deviation, dof, err)
	}
}

// Two loads give back the source that they load.
func TestSourceFromTwo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		volts := rapid.Float64Range(-400, 400).Filter(func(v float64) bool { return math.Abs(v) > 1e-3 }).Draw(t, "volts")
		source := rapid.Float64Range(1e3, 1e7).Draw(t, "source")
		first := rapid.Float64Range(1e4, 1e6).Draw(t, "first")
		second := first * rapid.Float64Range(2, 100).Draw(t, "ratio")
		read := func(meter float64) float64 {
			return volts * must(metrology.VoltmeterLoading(metrology.Resistance{Ohms: source}, metrology.Resistance{Ohms: meter})).Ratio()
		}
		v, r, err := metrology.SourceFromTwo(read(first), first, read(second), second)
		if err != nil || math.Abs(v/volts-1) > 1e-6 || math.Abs(r/source-1) > 1e-6 {
			t.Fatalf("%g V behind %g Ω, %v; want %g V behind %g Ω", v, r, err, volts, source)
		}
	})
}

// The uncertainty of a correction for loading, by hand and by propagation of
// its formula.
func TestLoadingUncertainty(t *testing.T) {
	l := must(metrology.VoltmeterLoading(metrology.Resistance{Ohms: 1e6, U: 3e4}, metrology.Resistance{Ohms: 1e7, U: 1e5}))
	value, u := l.Correct(-4)
	p := must(metrology.Propagate(func(x []float64) float64 { return -4 * (1 + x[0]/x[1]) },
		[]metrology.Input{{Value: 1e6, U: 3e4}, {Value: 1e7, U: 1e5}}, nil))
	if !near(value, p.Value, 1e-12) || math.Abs(u/p.U-1) > 1e-9 {
		t.Errorf("%g ± %g, want %g ± %g", value, u, p.Value, p.U)
	}
	if none := (metrology.Loading{}); none.Factor() != 1 || none.Error() != 0 || none.UFactor() != 0 || none.Ratio() != 1 {
		t.Errorf("no load at all gives %+v", none)
	}
}

// A line through points that lie on one has no scatter, and its correction
// runs through them.
func TestCalibrationLineExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-1, 1).Draw(t, "a"), rapid.Float64Range(-1, 1).Draw(t, "b")
		reference := rapid.Float64Range(-10, 10).Draw(t, "reference")
		x := []float64{0, 1, 2.5, 7, 10}
		y := make([]float64, len(x))
		for i := range x {
			y[i] = a + b*(x[i]-reference)
		}
		line := must(metrology.FitCalibration(x, y, reference))
		if math.Abs(line.Intercept-a) > 1e-12 || math.Abs(line.Slope-b) > 1e-12 || line.Deviation > 1e-12 || line.DOF != 3 {
			t.Fatalf("%+v; want %g and %g", line, a, b)
		}
		if c := line.Correction(20); math.Abs(c.Value-(a+b*(20-reference))) > 1e-10 || c.U > 1e-10 {
			t.Fatalf("correction at 20 is %+v", c)
		}
	})
}

// Correlation has no scale: nanovolts and gigavolts that move together are
// correlated alike, and a quantity that does not move with none.
func TestSimultaneousHasNoScale(t *testing.T) {
	a, b := []float64{1, 2, 4, 3}, []float64{2, 3, 9, 4}
	// r by hand: Σdxdy/√(Σdx²·Σdy²) with means 2.5 and 4.5.
	want := 11 / math.Sqrt(5*29)
	for _, scale := range []float64{1e-120, 1e-9, 1, 1e9, 1e120} {
		scaled := make([]float64, len(a))
		for i, v := range a {
			scaled[i] = scale * v
		}
		inputs, r, err := metrology.Simultaneous(scaled, b, []float64{7, 7, 7, 7})
		if err != nil || !near(r[0][1], want, 1e-12) || r[1][0] != r[0][1] || r[0][2] != 0 || r[2][2] != 1 {
			t.Errorf("scale %g: %v, %v; want %g", scale, r, err, want)
		}
		if inputs[2].U != 0 || inputs[0].DOF != 3 {
			t.Errorf("scale %g: %+v", scale, inputs)
		}
	}
}
