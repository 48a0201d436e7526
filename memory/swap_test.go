package memory_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/memory"
)

func chips(bad ...float64) []memory.SwapChip {
	var list []memory.SwapChip
	for i, b := range bad {
		list = append(list, memory.SwapChip{Name: fmt.Sprint("U", i), Bad: b})
	}
	return list
}

// TestSwapsAgainstChance compares what each policy takes with repairs played
// through by chance.
func TestSwapsAgainstChance(t *testing.T) {
	suspects := chips(0.1, 0.7, 0.02, 0.3, 0.3, 0.02, 0.02, 0.05)
	costs := memory.SwapCosts{Teardown: 20, Swap: 6, Test: 2, Chip: 3, Minute: 0.5}
	s, err := memory.PlanSwaps(suspects, []memory.Batch{{Mark: "8112", Fitted: 8}}, costs, memory.Service{Years: 10, Horizon: 5})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 8))
	for _, p := range s.Plans {
		lot := map[memory.Policy]int{memory.OneByOne: 1, memory.HalfBank: 4, memory.WholeBank: 8}[p.Policy]
		at := map[string]float64{}
		for _, c := range suspects {
			at[c.Name] = c.Bad
		}
		swaps, minutes, wasted, played := 0.0, 0.0, 0.0, 0.0
		for played < 200_000 {
			bad, left := make([]bool, len(p.Order)), 0
			for i, name := range p.Order {
				if bad[i] = r.Float64() < at[name]; bad[i] {
					left++
				}
			}
			if left == 0 {
				continue
			}
			played++
			minutes += costs.Teardown
			for i := 0; left > 0; i += lot {
				for j := i; j < min(i+lot, len(bad)); j++ {
					swaps++
					minutes += costs.Swap
					if bad[j] {
						left--
					} else {
						wasted++
					}
				}
				minutes += costs.Test
			}
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{{"chips", p.Chips, swaps / played}, {"minutes", p.Minutes, minutes / played}, {"wasted", p.Wasted, wasted / played}} {
			if math.Abs(x.got-x.want) > 0.01*x.want+0.01 {
				t.Errorf("%s, %s: %.3f, played %.3f", p.Policy, x.what, x.got, x.want)
			}
		}
	}
}

// TestBatchEvidence: a batch that has failed much makes replacing all of it pay,
// a sound one does not.
func TestBatchEvidence(t *testing.T) {
	suspects := chips(0.98, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001, 0.001)
	costs := memory.SwapCosts{Teardown: 45, Swap: 5, Test: 3, Chip: 8, Minute: 1}
	service := memory.Service{Years: 5, Horizon: 10}
	sound, err := memory.PlanSwaps(suspects, []memory.Batch{{Mark: "8112", Fitted: 64}}, costs, service)
	if err != nil || sound.Best != memory.OneByOne {
		t.Errorf("a sound batch: %s, %v", sound.Best, err)
	}
	rotten, err := memory.PlanSwaps(suspects, []memory.Batch{{Mark: "8112", Fitted: 64, Failed: 20}}, costs, service)
	if err != nil || rotten.Best != memory.WholeBank {
		t.Errorf("a rotten batch: %s, %v", rotten.Best, err)
	}
	if rotten.Rates[0] < 10*sound.Rates[0] {
		t.Errorf("rates %g and %g", sound.Rates[0], rotten.Rates[0])
	}
	// k + ½ failures in n − k + 250 further chip-years (beta law).
	if want := (0.5 + 20.987) / (0.5 + 20.987 + 250 + 320 - 20.987); math.Abs(rotten.Rates[0]-want) > 1e-12 {
		t.Errorf("rate %g, want %g", rotten.Rates[0], want)
	}
}

// TestPlansHold: survival falls from one, more chips replaced means fewer
// failures later, and all numbers are finite.
func TestPlansHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 24).Draw(t, "chips")
		bad := make([]float64, n)
		for i := range bad {
			bad[i] = rapid.Float64Range(0, 1).Draw(t, "bad")
		}
		bad[0] = max(bad[0], 1e-6)
		fitted := rapid.IntRange(0, 100).Draw(t, "fitted")
		s, err := memory.PlanSwaps(chips(bad...), []memory.Batch{{Fitted: fitted, Failed: rapid.IntRange(0, fitted).Draw(t, "failed")}},
			memory.SwapCosts{Teardown: 30, Swap: 5, Test: 2, Chip: 8, Minute: 1}, memory.Service{Years: rapid.Float64Range(0, 50).Draw(t, "years"), Horizon: rapid.Float64Range(0, 40).Draw(t, "horizon")})
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range s.Plans {
			if !(p.Chips >= 1-1e-9 && p.Chips <= float64(n)+1e-9 && p.Cost > 0 && p.Further >= 0) || math.IsInf(p.Cost, 0) {
				t.Fatalf("%+v", p)
			}
			if i > 0 && (p.Chips < s.Plans[i-1].Chips-1e-9 || p.Further > s.Plans[i-1].Further+1e-9) {
				t.Fatalf("%s uses %g chips and leaves %g failures, %s %g and %g", p.Policy, p.Chips, p.Further, s.Plans[i-1].Policy, s.Plans[i-1].Chips, s.Plans[i-1].Further)
			}
			for y, x := range p.Survival {
				if !(x >= 0 && x <= 1+1e-9) || y > 0 && x > p.Survival[y-1]+1e-12 || y == 0 && math.Abs(x-1) > 1e-12 {
					t.Fatalf("survival %v", p.Survival)
				}
			}
		}
		if whole := s.Plans[2]; whole.Chips < float64(n)-1e-9 || whole.Further > 1e-9 {
			t.Fatalf("all at once: %+v", whole)
		}
	})
}

// TestSwapsRefused: what cannot be is refused with the reason.
func TestSwapsRefused(t *testing.T) {
	one := []memory.Batch{{Mark: "8112", Fitted: 8, Failed: 1}}
	for _, c := range []struct {
		chips   []memory.SwapChip
		batches []memory.Batch
		costs   memory.SwapCosts
		service memory.Service
		want    string
	}{
		{nil, one, memory.SwapCosts{}, memory.Service{}, "no chip is suspected"},
		{chips(0, 0), one, memory.SwapCosts{}, memory.Service{}, "no chip is suspected"},
		{chips(1.5), one, memory.SwapCosts{}, memory.Service{}, "between 0 and 1"},
		{chips(math.NaN()), one, memory.SwapCosts{}, memory.Service{}, "between 0 and 1"},
		{chips(0.5), nil, memory.SwapCosts{}, memory.Service{}, "batch number 0"},
		{chips(0.5), []memory.Batch{{Mark: "8112", Fitted: 2, Failed: 3}}, memory.SwapCosts{}, memory.Service{}, "3 of 2"},
		{chips(0.5), []memory.Batch{{Mark: "8112", Fitted: 2, Failed: -1}}, memory.SwapCosts{}, memory.Service{}, "-1 of 2"},
		{chips(0.5), one, memory.SwapCosts{Swap: -1}, memory.Service{}, "a swap is -1"},
		{chips(0.5), one, memory.SwapCosts{Chip: math.Inf(1)}, memory.Service{}, "a chip is +Inf"},
		{chips(0.5), one, memory.SwapCosts{}, memory.Service{Horizon: 1000}, "at most 200"},
	} {
		_, err := memory.PlanSwaps(c.chips, c.batches, c.costs, c.service)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	if _, err := memory.PlanSwaps(nil, nil, memory.SwapCosts{}, memory.Service{}); !errors.Is(err, memory.ErrNoSuspect) {
		t.Error(err)
	}
}
