package prediction

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync/atomic"
	"testing"

	"halfsplit/signal"
)

// supply is a predictor of the P6's ±15 V supply.
func supply(t testing.TB, set Settings) *Predictor {
	t.Helper()
	p, err := New(example(t, "p6"), set)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// shared is one that tests have in common, so that the sound supply is worked out
// once.
var shared *Predictor

func quick(t testing.TB) *Predictor {
	t.Helper()
	if shared == nil {
		shared = supply(t, Settings{Samples: 6})
	}
	return shared
}

// The sound supply: +15 V and -15 V, and a ripple below the textbook bound of a
// reservoir that is charged twice a period in no time, I / (2 f C); at least half of
// that, since charging takes some of the time (any textbook of rectifiers).
//
// Outside: ripple bound I / (2 f C), any textbook of rectifiers, closed form. Within:
// between half the bound and the bound; voltages 0.2 %.
func TestSoundSupply(t *testing.T) {
	p := quick(t)
	f := foretold(t, p, Bench{})
	for node, want := range map[string]float64{"+15": 15, "-15": -15} {
		mean, deviation := read(t, f, levelOf(node))
		near(t, node, mean, want, 2e-3)
		if deviation < 0.1 || deviation > 0.4 {
			t.Errorf("%s spreads by %g V; regulators are within 4 %%", node, deviation)
		}
	}
	bound := 0.405 / (2 * 50 * 4700e-6)
	ripple, deviation := read(t, f, rippleOf("raw plus"))
	if ripple > bound || ripple < bound/2 || deviation < 0.05*ripple || deviation > 0.5*ripple {
		t.Errorf("ripple of %g ± %g V, the bound is %g V", ripple, deviation, bound)
	}
	hum, _ := read(t, f, Observable{Aspect: Frequency, Node: "raw plus"})
	near(t, "frequency of the ripple", hum, 100, 1e-9)
	// Both raw rails follow the mains: a high one lets one expect a high other.
	before, _ := read(t, f, levelOf("raw minus"))
	after, _ := read(t, f, levelOf("raw minus"), Read{Of: levelOf("raw plus"), Value: 24.5, U: 0.05})
	if after > before-0.3 {
		t.Errorf("raw minus should read %g V, and still %g V after raw plus read high", before, after)
	}
	if stress := f.Ways[0].Bears["C1"]; stress.Voltage < 0.6 || stress.Voltage > 0.75 {
		t.Errorf("C1 bears %+v; it is at 23.7 V of 35 V", stress)
	}
}

// The hum of the case: C1 dried out. The raw rail hums at 100 Hz, more the drier C1
// is; dry enough, the dips reach through the regulator and +15 hums and sags (at the
// third severity they are about to). -15 V
// is as it was. A rectifier that opens hums at 50 Hz instead.
func TestHum(t *testing.T) {
	p := quick(t)
	limits := Rail{Expectation: signal.Expectation{Nominal: 15, Low: 14.4, High: 15.6}, Ripple: 5e-3}
	last := 0.5
	for nth := range 4 {
		f := foretold(t, p, Bench{}, trouble(t, p, "C1", "dried out", nth))
		ripple, _ := read(t, f, rippleOf("raw plus"))
		if ripple < 1.3*last {
			t.Errorf("severity %d: a ripple of %g V, with a better C1 %g V", nth, ripple, last)
		}
		last = ripple
		hum, _ := read(t, f, Observable{Aspect: Frequency, Node: "raw plus"})
		near(t, "frequency of the hum", hum, 100, 1e-9)
		plus, minus := f.State("+15", limits), f.State("-15", Rail{Expectation: signal.Expectation{Nominal: -15, Low: -15.6, High: -14.4}, Ripple: 5e-3})
		if minus[signal.Good] < 0.9 {
			t.Errorf("severity %d: -15 V is %v", nth, minus)
		}
		if bad := nth == 3; nth != 2 && bad != (plus[signal.Noisy]+plus[signal.Low] > 0.9) {
			t.Errorf("severity %d: +15 V is %v", nth, plus)
		}
	}
	open := foretold(t, p, Bench{}, trouble(t, p, "BR1", "open", 0))
	hum, _ := read(t, open, Observable{Aspect: Frequency, Node: "raw plus"})
	near(t, "frequency with a diode open", hum, 50, 1e-9)

	// A scope on the raw rail tells the two apart at once.
	dry := foretold(t, p, Bench{}, trouble(t, p, "C1", "dried out", 1))
	seen := []Read{{Of: rippleOf("raw plus"), Value: 2.0, U: 0.1}, {Of: Observable{Aspect: Frequency, Node: "raw plus"}, Value: 100.1, U: 0.5}}
	if d := dry.LogDensity(seen) - open.LogDensity(seen); d < 4 {
		t.Errorf("2 V at 100 Hz speaks for the dry capacitor by %g only", d)
	}
}

// A shorted reservoir blows the fuse, and what is read then are dead rails.
func TestFuseBlows(t *testing.T) {
	p := quick(t)
	f := foretold(t, p, Bench{}, trouble(t, p, "C1", "shorted", 0))
	if !slices.Equal(f.Ways[0].Blown, []string{"F90"}) || f.Ways[0].Weight < 0.9 {
		t.Fatalf("blown %v with a weight of %g", f.Ways[0].Blown, f.Ways[0].Weight)
	}
	if s := f.State("+15", Rail{Expectation: signal.Expectation{Nominal: 15, Low: 14.4, High: 15.6}}); s[signal.Absent] < 0.99 {
		t.Errorf("+15 V is %v", s)
	}
}

// A rail that is shorted outside the circuit, and one that is not there.
func TestOutside(t *testing.T) {
	p := quick(t)
	f := foretold(t, p, Bench{}, Trouble{Node: "+15", Ohms: 0.5})
	if mean, _ := read(t, f, levelOf("+15")); mean > 2 {
		t.Errorf("shorted by 0.5 Ω, +15 reads %g V", mean)
	}
	f = foretold(t, p, Bench{Sources: map[string]float64{"mains inlet": 0}})
	if mean, _ := read(t, f, levelOf("raw plus")); math.Abs(mean) > 0.2 {
		t.Errorf("unplugged, raw plus reads %g V", mean)
	}
	f = foretold(t, p, Bench{Without: []string{"load plus"}})
	if ripple, _ := read(t, f, rippleOf("raw plus")); ripple > 0.1 {
		t.Errorf("without its load, raw plus ripples by %g V", ripple)
	}
}

// Progress is told, what is kept is found again, and work that is called off ends.
func TestForecastAll(t *testing.T) {
	memory := &Memory{}
	p := supply(t, Settings{Samples: 3, Cache: memory})
	cases := []Case{{}, {Troubles: []Trouble{trouble(t, p, "C4", "shorted", 0)}}, {Bench: Bench{Off: true}}, {Troubles: []Trouble{trouble(t, p, "U1", "dead", 0)}}}
	told := 0
	list, err := p.ForecastAll(context.Background(), cases, func(done, of int) {
		if told++; done != told || of != len(cases) {
			t.Errorf("told of %d of %d after %d calls", done, of, told)
		}
	})
	if err != nil || told != len(cases) || memory.Len() != len(cases) {
		t.Fatalf("%v; told %d times, %d kept", err, told, memory.Len())
	}
	twice, err := p.ForecastAll(context.Background(), []Case{cases[0], cases[1], cases[1]}, nil)
	if err != nil || twice[1] != twice[2] {
		t.Fatalf("%v; like cases were worked out twice", err)
	}
	again := supply(t, Settings{Samples: 3, Cache: memory})
	ctx, cancel := context.WithCancel(context.Background())
	kept, err := again.ForecastAll(ctx, cases, nil)
	if err != nil || len(again.sounds) != 0 {
		t.Fatalf("%v; the sound circuit was worked out again in %d states", err, len(again.sounds))
	}
	for i, f := range list {
		reads := []Read{{Of: levelOf("+15"), Value: 14.9, U: 0.01}, {Of: Observable{Aspect: Resistance, Node: "+15"}, Value: 40, U: 1}}
		if a, b := f.LogDensity(reads), kept[i].LogDensity(reads); a != b {
			t.Errorf("case %d: %g worked out, %g as kept", i, a, b)
		}
	}
	cancel()
	if _, err := again.ForecastAll(ctx, []Case{{Bench: Bench{Lifted: []string{"C1"}}}}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
	ctx, cancel = context.WithCancel(context.Background())
	defer cancel()
	var started atomic.Int32
	var many []Case
	for i := range 200 {
		many = append(many, Case{Troubles: []Trouble{{Node: "+15", Ohms: 10 + float64(i)}}})
	}
	_, err = supply(t, Settings{Samples: 3}).ForecastAll(ctx, many, func(int, int) { started.Add(1); cancel() })
	if !errors.Is(err, context.Canceled) || started.Load() > 10 {
		t.Errorf("called off after the first: %v, and %d were done", err, started.Load())
	}
}

// The key covers what counts and nothing else; what is damaged in a cache is worked
// out again.
func TestCacheKeys(t *testing.T) {
	p := predictor(t, Settings{}, dividers()...)
	short := Trouble{Node: "a", Ohms: 10}
	drift := trouble(t, p, "R1", "drifted high", 0)
	likelier := drift
	likelier.Act.Share /= 2
	same := [][2]Case{
		{{Troubles: []Trouble{short, drift}}, {Troubles: []Trouble{likelier, short}}},
		{{Bench: Bench{Lifted: []string{"R1", "R2"}}}, {Bench: Bench{Lifted: []string{"R2", "R1", "R1"}}}},
		{{}, {Bench: Bench{Sources: map[string]float64{}}}},
	}
	for _, pair := range same {
		if p.key(pair[0]) != p.key(pair[1]) {
			t.Errorf("%+v and %+v have different keys", pair[0], pair[1])
		}
	}
	keys := map[[32]byte]int{}
	for i, c := range []Case{{}, {Bench: Bench{Off: true}}, {Bench: Bench{Lifted: []string{"R1"}}}, {Bench: Bench{Without: []string{"R1"}}}, {Bench: Bench{Sources: map[string]float64{"V1": 0.5}}},
		{Troubles: []Trouble{short}}, {Troubles: []Trouble{drift}}, {Troubles: []Trouble{short, drift}}, {Troubles: []Trouble{{Node: "b", Ohms: 10}}}, {Troubles: []Trouble{{Node: "a", Ohms: 11}}}} {
		if j, twice := keys[p.key(c)]; twice {
			t.Errorf("cases %d and %d have the same key", i, j)
		}
		keys[p.key(c)] = i
	}
	other := dividers()
	other[1] = within(0.01, other[1])
	if predictor(t, Settings{}, other...).key(Case{}) == p.key(Case{}) || predictor(t, Settings{Version: "2"}, dividers()...).key(Case{}) == p.key(Case{}) {
		t.Error("another tolerance or version has the same key")
	}

	memory := &Memory{}
	cached := predictor(t, Settings{Cache: memory}, dividers()...)
	want, _ := read(t, foretold(t, cached, Bench{}), levelOf("b"))
	memory.Put(cached.key(Case{}), []byte("no forecast"))
	got, _ := read(t, foretold(t, cached, Bench{}), levelOf("b"))
	near(t, "after damage", got, want, 1e-12)
}

// Whatever stands in a cache, it is taken as a forecast or left, and never ends the
// program.
func FuzzStored(f *testing.F) {
	memory := &Memory{}
	p := predictor(f, Settings{Cache: memory}, dividers()...)
	foretold(f, p, Bench{})
	whole, _ := memory.Get(p.key(Case{}))
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, text []byte) {
		memory.Put(p.key(Case{}), text)
		got, err := p.Forecast(context.Background(), Bench{}, nil)
		if err != nil || len(got.Ways) == 0 {
			t.Fatalf("%v", err)
		}
		got.LogDensity([]Read{{Of: levelOf("a"), Value: 6, U: 0.1}})
	})
}
