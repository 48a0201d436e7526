package flow_test

import (
	"math"
	"slices"
	"sync"
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"
)

// TestManyReadings: however much was read, and however badly a set explains it,
// its likelihood is a number. Rates in hertz have densities far below one.
func TestManyReadings(t *testing.T) {
	u := onBench(t, chain())
	rate := signal.Expectation{Nominal: 27e6, Low: 26.9e6, High: 27.1e6}
	for i := range 60 {
		for _, n := range []string{"a", "b", "c", "d", "e"} {
			u.e.Read(flow.Scene{}, flow.Reading{Net: u.net(n), Likelihood: signal.FromNumber(27e6*float64(i%3)/2, 1e4, rate)})
			u.reads(flow.Scene{Warm: flow.Yes}, n+": good")
		}
	}
	for f := range u.m.Candidates {
		if l := u.e.LogLikelihood([]int{f}); math.IsInf(l, 0) || math.IsNaN(l) {
			t.Fatalf("%v: ln likelihood %v", names(u.m, []int{f}), l)
		}
	}
}

// TestSceneNames: it does not matter in which order the parts of a scene are
// named: the same scene it is.
func TestSceneNames(t *testing.T) {
	scenes := func(u *unit, second ...string) float64 {
		for _, list := range [][]string{{"A", "B"}, second} {
			u.reads(flow.Scene{Pressed: []int{u.item(list[0]), u.item(list[1])}}, "e: bad")
		}
		return u.e.LogLikelihood([]int{u.fault("E", "fails when warm")})
	}
	same, turned := scenes(onBench(t, chain()), "A", "B"), scenes(onBench(t, chain()), "B", "A")
	if same != turned {
		t.Errorf("ln likelihood %v, with the parts in another order %v", same, turned)
	}
}

// TestHelpingAfterMoreEvidence: the sieve takes in what is read later.
func TestHelpingAfterMoreEvidence(t *testing.T) {
	u, fresh := onBench(t, chain()), onBench(t, chain())
	u.reads(flow.Scene{}, "e: absent")
	u.e.Helping(nil)
	u.reads(flow.Scene{}, "c: good", "b: hum")
	fresh.reads(flow.Scene{}, "e: absent", "c: good", "b: hum")
	set := []int{u.fault("E", "dead")}
	if got, want := u.e.Helping(set), fresh.e.Helping(set); !slices.Equal(got, want) {
		t.Error("the sieve remembers what it worked out before the last readings")
	}
}

// TestConcurrentUse: evidence may be weighed from several sides at once.
func TestConcurrentUse(t *testing.T) {
	m := compiled(t, terminal())
	e := terminalEvidence(m)
	want := make([]float64, 200)
	for f := range want {
		want[f] = e.LogLikelihood([]int{f})
	}
	var workers sync.WaitGroup
	for range 4 {
		workers.Go(func() {
			for f := range want {
				if got := e.LogLikelihood([]int{f}); got != want[f] {
					t.Errorf("fault %d: ln likelihood %v, alone %v", f, got, want[f])
				}
			}
		})
		workers.Go(func() { e.Helping([]int{1}) })
	}
	workers.Wait()
}
