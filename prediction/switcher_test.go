package prediction

import (
	"context"
	"slices"
	"testing"
)

// The switching supply of the VT-9 sets its own pace. Sound, it regulates; with its
// start-up resistor open it never starts; with its switch shorted it does not either
// and the emitter resistor takes many times its power; with C3 dried out the
// controller's supply sags and ripples, which the 5 V rail does not show: one has to
// look at the right place.
func TestSwitcher(t *testing.T) {
	p, err := New(example(t, "vt9"), Settings{})
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	if !p.SetsItsOwnPace() {
		t.Fatal("it is taken for one that rests")
	}
	sound, err := p.start(ctx, p.cold, nil)
	if err != nil {
		t.Fatal(err)
	}
	value := func(o *outcome, a Aspect, node string) float64 {
		return o.values[p.live.place[Observable{Aspect: a, Node: node}]]
	}
	if sound.behaviour != Repeats {
		t.Fatalf("sound, it %v", sound.behaviour)
	}
	near(t, "+5", value(sound, Level, "+5"), 5, 0.01)
	base := sounding(sound)
	supplied, rippling := value(sound, Level, "controller supply"), value(sound, Ripple, "controller supply")

	with := func(part, mode string, nth int) *Way {
		c := Case{Troubles: []Trouble{trouble(t, p, part, mode, nth)}}
		twin, err := p.drawn.Failing(c.failing(p.drawn))
		if err != nil {
			t.Fatal(err)
		}
		ways, err := p.ways(ctx, c, twin, base)
		if err != nil {
			t.Fatal(err)
		}
		return &ways[0]
	}
	level := func(w *Way, of Observable) float64 {
		mean, _, ok := w.Predict(of, nil)
		if !ok {
			t.Fatalf("nothing is known of %v", of)
		}
		return mean
	}
	if w := with("R3", "open", 0); w.Behaviour != NeverStarts || level(w, levelOf("+5")) > 0.1 {
		t.Errorf("with R3 open it %v, +5 at %g V", w.Behaviour, level(w, levelOf("+5")))
	}
	w := with("Q1", "shorted", 0)
	if w.Behaviour != NeverStarts || !slices.ContainsFunc(w.Hot, func(h Hot) bool { return h.Part == "R4" && h.Share > 10 }) {
		t.Errorf("with Q1 shorted it %v; too hot: %v", w.Behaviour, w.Hot)
	}
	w = with("C3", "dried out", 1)
	if w.Behaviour != Repeats {
		t.Errorf("with C3 dry it %v", w.Behaviour)
	}
	if low, ripple := level(w, levelOf("controller supply")), level(w, rippleOf("controller supply")); low > supplied-0.4 || ripple < 8*rippling {
		t.Errorf("with C3 dry the controller's supply is %g V with %g V of ripple; sound %g V with %g V", low, ripple, supplied, rippling)
	}
	near(t, "+5 with C3 dry", level(w, levelOf("+5")), value(sound, Level, "+5"), 2e-3)
}

// sounding is what is known of a sound circuit of which no tolerances were looked at.
func sounding(o *outcome) *sound { return &sound{outcome: o} }
