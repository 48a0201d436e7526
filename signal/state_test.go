package signal_test

import (
	"math"
	"testing"

	"halfsplit/signal"

	"pgregory.net/rapid"
)

// anySpread draws a probability for each state.
func anySpread(t *rapid.T, name string) signal.Spread {
	var p signal.Spread
	for s := range p {
		p[s] = rapid.Float64Range(0, 1).Draw(t, name)
	}
	p[rapid.IntRange(0, signal.States-1).Draw(t, "sure of "+name)]++
	return p.Normal()
}

func total(p signal.Spread) float64 {
	sum := 0.0
	for _, x := range p {
		sum += x
	}
	return sum
}

func TestStateNames(t *testing.T) {
	seen := map[string]bool{}
	for s := signal.State(0); s < signal.States; s++ {
		name := s.String()
		if seen[name] || name == "unknown" {
			t.Errorf("state %d is called %q", s, name)
		}
		seen[name] = true
	}
	for _, s := range []signal.State{-1, signal.States, 1000} {
		if got := s.String(); got != "unknown" {
			t.Errorf("state %d is called %q", s, got)
		}
	}
}

// Spreads stay spreads: what is mixed of two of them adds up to one and lies
// between them.
func TestSpreads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := anySpread(t, "p"), anySpread(t, "q")
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		mix := p.Mix(share, q)
		if math.Abs(total(mix)-1) > 1e-12 || math.Abs(total(p)-1) > 1e-12 {
			t.Fatalf("the mix adds up to %v, p to %v", total(mix), total(p))
		}
		for s := range mix {
			if mix[s] < min(p[s], q[s])-1e-12 || mix[s] > max(p[s], q[s])+1e-12 {
				t.Fatalf("%v of %v and %v is %v", share, p[s], q[s], mix[s])
			}
		}
		if math.Abs(p.Bad()-(total(p)-p[signal.Good])) > 1e-12 {
			t.Fatalf("bad is %v", p.Bad())
		}
		if !p.Said() {
			t.Fatal("a spread was not said")
		}
	})
	var nothing signal.Spread
	if nothing.Said() || nothing.Normal().Said() {
		t.Error("the zero spread says nothing")
	}
}

// The chance of a reading is that of each state, weighed; it cannot exceed the
// best.
func TestLikelihoodOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anySpread(t, "p")
		l := signal.Likelihood(anySpread(t, "l"))
		if x := l.Of(&p); x > l.Best()+1e-12 || x < 0 {
			t.Fatalf("the chance is %v, the best %v", x, l.Best())
		}
		for s := range l {
			if pure := signal.Pure(signal.State(s)); l.Of(&pure) != l[s] {
				t.Fatalf("%v for certain: %v, want %v", signal.State(s), l.Of(&pure), l[s])
			}
		}
	})
	agnostic := signal.Agnostic()
	if math.Abs(total(agnostic)-1) > 1e-12 || agnostic[signal.Good] != 0.5 {
		t.Errorf("without any knowledge a net is as likely good as not: %v", agnostic)
	}
}
