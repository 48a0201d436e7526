package rehearsal_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/rehearsal"
)

// chainBench is a chain of stages between a source and an output, each of which
// can be probed at its output and tested by itself.
func chainBench(t testing.TB, stages int) *rehearsal.NetworkBench {
	t.Helper()
	kind := func(name string) fault.Kind {
		k, ok := fault.Find(name)
		if !ok {
			t.Fatalf("no kind is called %q", name)
		}
		return k
	}
	d := flow.Description{Sources: []flow.Source{{Name: "feed", Net: "n0", Kind: kind("supply")}}}
	for i := range stages {
		d.Blocks = append(d.Blocks, flow.Block{
			Name: fmt.Sprint("A", i+1), Kind: kind("stage"), Inputs: []string{fmt.Sprint("n", i)}, Outputs: []string{fmt.Sprint("n", i+1)},
		})
	}
	m, err := flow.Compile(d)
	if err != nil {
		t.Fatal(err)
	}
	n := rehearsal.Network{Model: m, Lost: 60, Undescribed: 0.1, Sets: 50}
	for net := range m.Nets() {
		n.Tests = append(n.Tests, rehearsal.NetworkTest{Name: "read " + m.Nets()[net], Cost: 2, Position: net, Test: flow.Test{Kind: flow.Probe, Net: net}})
	}
	for i, item := range m.Items {
		n.Replace = append(n.Replace, 15)
		n.Tests = append(n.Tests, rehearsal.NetworkTest{Name: "test " + item.Name, Cost: 6, Position: -1, Test: flow.Test{Kind: flow.Measure, Item: i}})
	}
	last, _ := m.Net(fmt.Sprint("n", stages))
	n.Outputs = []int{last}
	bench, err := rehearsal.FromNetwork(n)
	if err != nil {
		t.Fatal(err)
	}
	return bench
}

// TestHuntsInAChain: halving finds the dead stage of a chain in few tests; what
// it says can be believed; it is cheaper than testing at random or replacing.
func TestHuntsInAChain(t *testing.T) {
	bench := chainBench(t, 9)
	scores := map[string]rehearsal.Score{}
	for _, s := range rehearsal.Strategies() {
		hunts, err := rehearsal.Play(context.Background(), bench, s, rehearsal.Options{Trials: 300, Draw: 3, Rules: rehearsal.Rules{Sure: 0.95, Leaning: 2}})
		if err != nil {
			t.Fatal(err)
		}
		scores[s.Name] = rehearsal.Judge(bench, s.Name, hunts)
	}
	own := scores["halfsplit"]
	t.Logf("halfsplit: %.1f tests, %.1f min in all, first bad %.3f, calibration error %.3f (%.3f by chance)", own.Tests.Mean, own.Cost.Mean, own.First.Value, own.Error, own.Chance)
	if own.First.High < 0.9 || own.Three.High < 0.95 {
		t.Errorf("first bad %+v, one of three %+v", own.First, own.Three)
	}
	if own.Error > own.Chance+0.02 {
		t.Errorf("calibration error %v, %v by chance", own.Error, own.Chance)
	}
	for _, plain := range []string{"at random", "usual suspects first"} {
		if scores[plain].Cost.Low <= own.Cost.High {
			t.Errorf("%s costs %v, halfsplit %v", plain, scores[plain].Cost, own.Cost)
		}
	}
	for name, s := range scores {
		if s.Innocent.Worst > float64(len(bench.Setup().Suspects)) {
			t.Errorf("%s: %v good parts replaced, of %d in all", name, s.Innocent.Worst, len(bench.Setup().Suspects))
		}
		if s.Cost.Mean < s.Testing.Mean || s.Three.Value < s.First.Value {
			t.Errorf("%s: %+v", name, s)
		}
	}
}

// TestHiddenFaults: a stage that nobody knows of is not blamed on its
// neighbours for long: parts are tested by themselves before they are named.
func TestHiddenFaults(t *testing.T) {
	bench := chainBench(t, 9)
	after := map[string]rehearsal.Score{}
	for _, s := range []rehearsal.Strategy{rehearsal.Halfsplit(), rehearsal.Unguarded()} {
		hunts, err := rehearsal.Play(context.Background(), bench, s, rehearsal.Options{Trials: 300, Draw: 3, Hidden: true})
		if err != nil {
			t.Fatal(err)
		}
		after[s.Name] = rehearsal.Judge(bench, s.Name, hunts)
		if of := after[s.Name].Beyond.Of; of != 300 {
			t.Errorf("%d hidden faults counted, want 300", of)
		}
		for i := range hunts {
			if !hunts[i].Hidden || len(bench.Setup().Hypotheses[hunts[i].Truth].Suspects) == 0 {
				t.Fatalf("hunt %d is after no hidden fault", i)
			}
		}
	}
	plain, guarded := after["unguarded"], after["halfsplit"]
	t.Logf("recognised before any part: %.2f, guarded %.2f; after one: %.2f, guarded %.2f", plain.Beyond.Value, guarded.Beyond.Value, plain.After.Value, guarded.After.Value)
	if guarded.After.Value < plain.After.Value || guarded.Beyond.Value < plain.Beyond.Value {
		t.Errorf("guarded recognises %+v, unguarded %+v", guarded.After, plain.After)
	}
	if guarded.Innocent.Mean > plain.Innocent.Mean {
		t.Errorf("guarded replaces %v good parts, unguarded %v", guarded.Innocent.Mean, plain.Innocent.Mean)
	}
	if guarded.After.Value < 0.6 {
		t.Errorf("recognised after at most one part in %+v", guarded.After)
	}
}

// TestWorkers: the outcome does not depend on how many hunts are played at a
// time.
func TestWorkers(t *testing.T) {
	bench := chainBench(t, 5)
	var first []rehearsal.Trial
	for workers := 1; workers <= 4; workers++ {
		done := 0
		hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{
			Trials: 40, Draw: 8, Workers: workers, Progress: func(n int) { done = max(done, n) },
		})
		if err != nil {
			t.Fatal(err)
		}
		if done != 40 {
			t.Errorf("%d hunts told of, want 40", done)
		}
		if first == nil {
			first = hunts
		}
		if !reflect.DeepEqual(hunts, first) {
			t.Errorf("%d workers: another outcome", workers)
		}
	}
	other, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{Trials: 40, Draw: 9})
	if err != nil {
		t.Fatal(err)
	}
	if reflect.DeepEqual(other, first) {
		t.Error("another draw gave the same hunts")
	}
}

// TestCancelled: a rehearsal stops when told to.
func TestCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	_, err := rehearsal.Rehearse(ctx, chainBench(t, 5), rehearsal.Options{Trials: 1000}, func(share float64) {
		if share > 0.01 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want %v", err, context.Canceled)
	}
}

// TestTruthsFollowThePrior: every hypothesis comes up as often as its prior
// says, to within one hunt.
func TestTruthsFollowThePrior(t *testing.T) {
	bench := chainBench(t, 5)
	const trials = 500
	hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.UsualSuspects(), rehearsal.Options{Trials: trials})
	if err != nil {
		t.Fatal(err)
	}
	count := make([]float64, len(bench.Setup().Hypotheses))
	for i := range hunts {
		count[hunts[i].Truth]++
	}
	total := 0.0
	for _, h := range bench.Setup().Hypotheses {
		total += h.Prior
	}
	for i, h := range bench.Setup().Hypotheses {
		if want := h.Prior / total * trials; math.Abs(count[i]-want) >= 1 {
			t.Errorf("%s came up %v times, want %v", h.Name, count[i], want)
		}
	}
}

// TestBenchesRefused: what makes no sense is said.
func TestBenchesRefused(t *testing.T) {
	table, err := diagnosis.NewTable([]float64{1, 1})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := table.Add([][]float64{{1, 0}, {0, 1}}); err != nil {
		t.Fatal(err)
	}
	good := func() rehearsal.Setup {
		return rehearsal.Setup{
			Suspects:   []rehearsal.Suspect{{Name: "a"}, {Name: "b"}},
			Hypotheses: []rehearsal.Hypothesis{{Name: "a bad", Prior: 1, Suspects: []int{0}}, {Name: "b bad", Prior: 1, Suspects: []int{1}}},
			Tests:      []rehearsal.Test{{Name: "look", Cost: 1}},
		}
	}
	if _, err := rehearsal.FromTable(good(), table); err != nil {
		t.Fatal(err)
	}
	for want, spoil := range map[string]func(*rehearsal.Setup){
		"3 weights for 2":     func(s *rehearsal.Setup) { s.Hypotheses = append(s.Hypotheses, rehearsal.Hypothesis{Prior: 1}) },
		"no hypothesis has":   func(s *rehearsal.Setup) { s.Hypotheses[0].Prior, s.Hypotheses[1].Prior = 0, 0 },
		"has weight NaN":      func(s *rehearsal.Setup) { s.Hypotheses[0].Prior = math.NaN() },
		"suspects [5]":        func(s *rehearsal.Setup) { s.Hypotheses[0].Suspects = []int{5} },
		"suspects [1 0]":      func(s *rehearsal.Setup) { s.Hypotheses[0].Suspects = []int{1, 0} },
		"there is no test":    func(s *rehearsal.Setup) { s.Tests = nil },
		"2 hypotheses and 1":  func(s *rehearsal.Setup) { s.Tests = append(s.Tests, rehearsal.Test{Cost: 1}) },
		"test 0 (look) costs": func(s *rehearsal.Setup) { s.Tests[0].Cost = -1 },
		"replacing a":         func(s *rehearsal.Setup) { s.Suspects[0].Replace = math.Inf(1) },
		"looking beyond":      func(s *rehearsal.Setup) { s.Lost = math.NaN() },
	} {
		setup := good()
		spoil(&setup)
		if _, err := rehearsal.FromTable(setup, table); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	for _, trials := range []int{0, -1, 1e9} {
		if _, err := rehearsal.Play(context.Background(), chainBench(t, 2), rehearsal.AtRandom(), rehearsal.Options{Trials: trials}); err == nil {
			t.Errorf("%d trials were played", trials)
		}
	}
}

// ExampleBound: four stages in a chain, one of them dead, three places to
// probe. Two bits are to be found out, and no plan does it in less than two
// probes.
func ExampleBound() {
	setup := rehearsal.Setup{}
	table, err := diagnosis.NewTable([]float64{1, 1, 1, 1})
	if err != nil {
		panic(err)
	}
	for stage := range 4 {
		setup.Suspects = append(setup.Suspects, rehearsal.Suspect{Name: fmt.Sprint("stage ", stage+1), Replace: 15})
		setup.Hypotheses = append(setup.Hypotheses, rehearsal.Hypothesis{Prior: 1, Suspects: []int{stage}})
	}
	for probe := 1; probe < 4; probe++ {
		dead, alive := make([]float64, 4), make([]float64, 4)
		for stage := range 4 {
			dead[stage] = 1
			if stage >= probe {
				dead[stage], alive[stage] = 0, 1
			}
		}
		if _, err := table.Add([][]float64{dead, alive}); err != nil {
			panic(err)
		}
		setup.Tests = append(setup.Tests, rehearsal.Test{Name: fmt.Sprint("after stage ", probe), Cost: 1, Position: probe, Good: 1})
	}
	bench, err := rehearsal.FromTable(setup, table)
	if err != nil {
		panic(err)
	}
	bound, err := rehearsal.Bound(bench, 1, 0, 1000)
	if err != nil {
		panic(err)
	}
	hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{Trials: 100})
	if err != nil {
		panic(err)
	}
	score := rehearsal.Judge(bench, "halfsplit", hunts)
	fmt.Printf("%.0f bits, at least %.0f probes, the best plan %.0f, halfsplit %.0f\n", bound.Entropy, bound.Testing, bound.Optimum, score.Tests.Mean)
	fmt.Printf("found in %d of %d\n", score.First.Count, score.First.Of)
	// Output:
	// 2 bits, at least 2 probes, the best plan 2, halfsplit 2
	// found in 100 of 100
}
