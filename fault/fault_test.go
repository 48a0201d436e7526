package fault_test

import (
	"math"
	"testing"

	"halfsplit/fault"
	"halfsplit/signal"
)

// TestTablesAddUp checks every table of the package: shares of a kind and
// every spread must add up to one, or the posterior would be skewed silently.
func TestTablesAddUp(t *testing.T) {
	one := func(what string, spread signal.Spread) {
		t.Helper()
		sum := 0.0
		for _, p := range spread {
			sum += p
		}
		if spread.Said() && math.Abs(sum-1) > 1e-9 {
			t.Errorf("%s adds up to %.4f, want 1", what, sum)
		}
	}
	for _, kind := range fault.Kinds() {
		share := 0.0
		for _, mode := range kind.Modes {
			share += mode.Share
			one(kind.Name+": "+mode.Name+" output", mode.Output)
			one(kind.Name+": "+mode.Name+" within", mode.Within)
			one(kind.Name+": "+mode.Name+" input", mode.Input)
			one(kind.Name+": "+mode.Name+" supply", mode.Supply)
			if !mode.Output.Said() {
				t.Errorf("%s: %s does nothing to its output", kind.Name, mode.Name)
			}
			if mode.Shows <= 0 || mode.Shows >= 1 || mode.Reads == "" {
				t.Errorf("%s: %s: no believable test result", kind.Name, mode.Name)
			}
		}
		if math.Abs(share-1) > 1e-9 {
			t.Errorf("%s: shares add up to %.4f, want 1", kind.Name, share)
		}
		if kind.Odds <= 0 || kind.Replace <= 0 || kind.Measure <= 0 {
			t.Errorf("%s: odds and minutes must be positive", kind.Name)
		}
	}
	for _, follow := range []fault.Follow{fault.Passes, fault.Decides, fault.Amplifies, fault.Regulates} {
		for s := signal.State(0); s < signal.States; s++ {
			in := signal.Pure(s)
			one("following "+s.String(), follow.Out(&in))
			one("starved by "+s.String(), fault.Starved(&in))
		}
		good := signal.Pure(signal.Good)
		if follow.Out(&good) != good {
			t.Errorf("a healthy item with a right input must be right")
		}
	}
}

func TestFind(t *testing.T) {
	for _, name := range fault.Names() {
		if _, ok := fault.Find(name); !ok {
			t.Errorf("%q is listed but not found", name)
		}
	}
	if kind, ok := fault.Find("Crowbar"); !ok || kind.Name != "thyristor" {
		t.Errorf("Crowbar: got %q", kind.Name)
	}
	if _, ok := fault.Find("flux"); ok {
		t.Error("flux is not a kind")
	}
}
