package prediction

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/signal"
)

// someReads draws readings of the dividers, right or wrong.
func someReads(t *rapid.T) []Read {
	var list []Read
	for range rapid.IntRange(0, 8).Draw(t, "readings") {
		of := Observable{Node: rapid.SampledFrom([]string{"in", "a", "b"}).Draw(t, "node")}
		of.Aspect = rapid.SampledFrom([]Aspect{Level, Level, Level, Ripple, RMS}).Draw(t, "aspect")
		if of.Aspect == Level && of.Node == "a" && rapid.Bool().Draw(t, "between") {
			of.To = "b"
		}
		r := Read{Of: of, Value: rapid.Float64Range(-20, 20).Draw(t, "value"), U: rapid.Float64Range(0, 0.5).Draw(t, "u")}
		if rapid.IntRange(0, 4).Draw(t, "bounded") == 0 {
			r.Low, r.High = r.Value, r.Value+1
		}
		list = append(list, r)
	}
	return list
}

// The density of readings does not depend on their order, is never nothing, and is
// the same whether a reading is told with others or after them: p(x, y) =
// p(x) p(y | x), as far as the readings fit.
func TestDensityProperties(t *testing.T) {
	p := predictor(t, Settings{}, dividers()...)
	f := foretold(t, p, Bench{})
	rapid.Check(t, func(t *rapid.T) {
		list := someReads(t)
		density := f.LogDensity(list)
		if math.IsNaN(density) || math.IsInf(density, 0) {
			t.Fatalf("%+v has a log-density of %g", list, density)
		}
		turned := rapid.Permutation(list).Draw(t, "turned")
		if other := f.LogDensity(turned); math.Abs(other-density) > 1e-6*(1+math.Abs(density)) {
			t.Errorf("in another order %g, else %g", other, density)
		}
		for _, of := range p.live.Of {
			before, spread, _ := f.Ways[0].Predict(of, nil)
			after, narrowed, ok := f.Ways[0].Predict(of, list)
			if !ok || math.IsNaN(after) || !(narrowed <= spread*(1+1e-9)) {
				t.Errorf("%v: %g ± %g before, %g ± %g after", of, before, spread, after, narrowed)
			}
		}
	})
}

// Whatever a rail should be, the states of a node add up to one.
func TestStatesAddUp(t *testing.T) {
	p := predictor(t, Settings{}, dividers()...)
	f := foretold(t, p, Bench{})
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-20, 20).Draw(t, "low")
		r := Rail{Expectation: signal.Expectation{Low: low, High: low + rapid.Float64Range(0, 5).Draw(t, "width")}, Ripple: rapid.Float64Range(0, 1).Draw(t, "ripple")}
		r.Nominal = (r.Low + r.High) / 2
		if rapid.Bool().Draw(t, "one-sided") {
			r.High = math.Inf(1)
		}
		s := f.State("a", r)
		sum := 0.0
		for _, x := range s {
			if x < 0 || math.IsNaN(x) {
				t.Fatalf("%+v gives %v", r, s)
			}
			sum += x
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("%+v adds up to %g", r, sum)
		}
	})
	if f.State("nowhere", Rail{}).Said() {
		t.Error("a node that is not there has a state")
	}
}

// Every act of every part of the example supply of the P6 can be foretold with its
// power off, and none fails for want of a solution.
func TestEveryActOff(t *testing.T) {
	p := quick(t)
	for _, placed := range p.drawn.Parts {
		for _, a := range placed.Acts() {
			f := foretold(t, p, Bench{Off: true}, Trouble{Part: placed.Name, Act: a})
			if f.Ways[0].Why != "" {
				t.Errorf("%s %v: %s", placed.Name, a, f.Ways[0].Why)
			}
		}
	}
}

// Draws are normal, opposite in pairs, and unlike for different parts.
func TestDraws(t *testing.T) {
	var sum, square, product, n float64
	for i := range 40 {
		a := knob{part: "R1", parameter: string(rune('a' + i))}
		b := knob{part: "R2", parameter: string(rune('a' + i))}
		for k := range 100 {
			x, y := a.draw(k), b.draw(k)
			if k%2 == 1 && x != -a.draw(k-1) {
				t.Fatal("samples are not opposite in pairs")
			}
			sum, square, product, n = sum+x, square+x*x, product+x*y, n+1
		}
	}
	if math.Abs(square/n-1) > 0.1 || math.Abs(product/n) > 0.06 || math.Abs(sum/n) > 1e-9 {
		t.Errorf("mean %g, variance %g, covariance of different parts %g", sum/n, square/n, product/n)
	}
}
