package prediction

import (
	"context"
	"math"
	"testing"
)

// divider is 10 V over two resistors of 1 kΩ ±5 %.
func divider(t testing.TB) *Predictor {
	return predictor(t, Settings{ModelError: -1},
		with(written("supply", "dc source", "10 V", "top", "gnd")),
		within(0.05, written("R1", "resistor", "1k", "top", "middle")),
		within(0.05, written("R2", "resistor", "1k", "middle", "gnd")))
}

// Two resistors off by u each, and a supply off by s: the middle is off by
// V/2 √(u²/2 + s²) (JCGM 100:2008, 5.1.2), with u = 5 %/√3 (4.3.7) and s = 1.5 %;
// drawing ends at 2.5 deviations, which takes 4.4 % off (normal distribution cut on
// both sides: 1 - 2·2.5·φ(2.5)/(2Φ(2.5)-1) of the variance).
//
// Outside: JCGM 100:2008, 4.3.7 and 5.1.2. Within: 6 % of the deviation.
func TestSpecimensSpreadAsTolerances(t *testing.T) {
	p := divider(t)
	const units = 2000
	sum, square := 0.0, 0.0
	for i := range units {
		v, ok, err := p.Specimen(nil, uint64(i)).Value(context.Background(), Bench{}, levelOf("middle"))
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		sum += v / units
		square += v * v / units
	}
	u := 0.05 / math.Sqrt(3)
	want := 5 * math.Sqrt(u*u/2+0.015*0.015) * math.Sqrt(1-2*2.5*math.Exp(-3.125)/math.Sqrt(2*math.Pi)/math.Erf(2.5/math.Sqrt2))
	near(t, "mean", sum, 5, 4e-3)
	near(t, "deviation", math.Sqrt(square-sum*sum), want, 0.06)
}

// One unit is the same whenever it is read, in any state of the bench.
func TestSpecimenStaysItself(t *testing.T) {
	p := divider(t)
	read := func(number uint64, bench Bench, of Observable) float64 {
		v, ok, err := p.Specimen(nil, number).Value(context.Background(), bench, of)
		if err != nil || !ok {
			t.Fatal(of, ok, err)
		}
		return v
	}
	if a, b := read(7, Bench{}, levelOf("middle")), read(7, Bench{}, levelOf("middle")); a != b {
		t.Errorf("%v, then %v", a, b)
	}
	if a, b := read(7, Bench{}, levelOf("middle")), read(8, Bench{}, levelOf("middle")); a == b {
		t.Errorf("another unit reads %v too", a)
	}
	// With power off R2 alone is seen; the supply is unplugged.
	alone := read(7, Bench{Off: true}, Observable{Aspect: Resistance, Node: "middle"})
	both := read(7, Bench{Off: true}, Observable{Aspect: Resistance, Node: "top"})
	share := read(7, Bench{}, levelOf("middle")) / read(7, Bench{}, levelOf("top"))
	near(t, "share of R2 by ohms and by volts", alone/both, share, 1e-3)
	between := Observable{Aspect: Level, Node: "top", To: "middle"}
	near(t, "what is between", read(7, Bench{}, between), read(7, Bench{}, levelOf("top"))-read(7, Bench{}, levelOf("middle")), 1e-9)
}

// Forecasts of the P6's supply are fair to units of it that are solved: over some
// faults and units, squared distances are as large as foretold, or smaller, since
// the forecasts allow for errors of the drawing, too.
func TestForecastsAreFairToSpecimens(t *testing.T) {
	p := quick(t)
	sum, count := 0.0, 0
	for _, c := range dictionary(example(t, "p6"))[1:30] {
		f, err := p.Forecast(context.Background(), c.Bench, c.Troubles)
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Ways) > 1 || f.Ways[0].Behaviour == NoSolution {
			continue
		}
		unit := p.Specimen(c.Troubles, 11)
		for _, n := range []string{"raw plus", "+15", "raw minus", "-15"} {
			v, ok, err := unit.Value(context.Background(), Bench{}, levelOf(n))
			if err != nil || !ok {
				t.Fatal(n, ok, err)
			}
			mean, deviation := read(t, f, levelOf(n))
			z := (v - mean) / deviation
			sum += z * z
			count++
		}
	}
	if mean := sum / float64(count); mean > 1.6 || mean < 0.2 {
		t.Errorf("mean squared distance %.2f deviations over %d levels", mean, count)
	}
}

// What the circuit does not have is not known, and neither is a voltage with power
// off.
func TestSpecimenOfNothing(t *testing.T) {
	unit := divider(t).Specimen(nil, 1)
	for _, c := range []struct {
		bench Bench
		of    Observable
	}{
		{Bench{}, levelOf("nowhere")}, {Bench{Off: true}, levelOf("middle")},
		{Bench{}, Observable{Aspect: Resistance, Node: "middle"}}, {Bench{Off: true}, Observable{Aspect: Resistance, Node: "nowhere"}},
	} {
		if v, ok, err := unit.Value(context.Background(), c.bench, c.of); ok || err != nil {
			t.Errorf("%+v %+v: %v %v %v", c.bench, c.of, v, ok, err)
		}
	}
}
