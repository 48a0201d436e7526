package fault_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

// Each kind says how it fails in words a meter or an eye would use, once, with
// one line for people; and every kind can be found, in any letters.
func TestKinds(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range fault.Kinds() {
		if seen[k.Name] || k.Name != strings.ToLower(k.Name) {
			t.Errorf("%q is there twice, or can never be found", k.Name)
		}
		seen[k.Name] = true
		if k.Text == "" {
			t.Errorf("%s: no line for the documentation", k.Name)
		}
		if found, ok := fault.Find("  " + strings.ToUpper(k.Name) + " "); !ok || found.Name != k.Name {
			t.Errorf("%s is found as %q", k.Name, found.Name)
		}
		modes := map[string]bool{}
		for _, m := range k.Modes {
			if modes[m.Name] {
				t.Errorf("%s: %s is there twice", k.Name, m.Name)
			}
			modes[m.Name] = true
			if m.Share <= 0 || m.Share > 1 {
				t.Errorf("%s: %s makes up %v", k.Name, m.Name, m.Share)
			}
			if m.When == fault.WhenWarm && m.Shows > 0.5 && m.Reads != "esr high" {
				t.Errorf("%s: %s shows in a cold test with %v; a thermal part passes a cold test", k.Name, m.Name, m.Shows)
			}
		}
	}
	for _, alias := range fault.Aliases() {
		name, kind, _ := strings.Cut(alias, " (")
		if seen[name] {
			t.Errorf("%q is a kind and another name for one", name)
		}
		if found, ok := fault.Find(name); !ok || found.Name+")" != kind {
			t.Errorf("%q is found as %q", alias, found.Name)
		}
	}
	names := fault.Names()
	if !slices.IsSorted(names) || !slices.IsSorted(fault.Aliases()) || len(names) != len(seen)+len(fault.Aliases()) {
		t.Error("names and other names are listed sorted, each once")
	}
}

// What the trade says of how parts fail (common practice, no source).
func TestUsualFailures(t *testing.T) {
	share := func(kindName, mode string) float64 {
		k, ok := fault.Find(kindName)
		if !ok {
			t.Fatalf("no kind is called %q", kindName)
		}
		i := slices.IndexFunc(k.Modes, func(m fault.Mode) bool { return m.Name == mode })
		if i < 0 {
			t.Fatalf("%s does not fail as %q", kindName, mode)
		}
		return k.Modes[i].Share
	}
	for _, c := range []struct {
		says        string
		more, fewer float64
	}{
		{"tantalums short", share("tantalum", "shorted"), 0.5},
		{"electrolytics dry out", share("electrolytic", "dried out"), share("electrolytic", "shorted")},
		{"carbon resistors drift up", share("carbon resistor", "drifted high"), share("carbon resistor", "open")},
		{"power resistors open", share("power resistor", "open"), share("power resistor", "drifted high")},
		{"fuses blow", share("fuse", "blown"), share("fuse", "bad contact")},
		{"connectors come and go", share("connector", "comes and goes when moved"), share("connector", "high resistance")},
		{"rectifiers short more than they open", share("rectifier", "shorted"), share("rectifier", "open")},
	} {
		if c.more <= c.fewer {
			t.Errorf("%s: %.2f against %.2f", c.says, c.more, c.fewer)
		}
	}
	odds := func(name string) float64 { k, _ := fault.Find(name); return k.Odds }
	for _, order := range [][]string{
		{"dynamic ram", "static ram", "chip"}, {"tantalum", "film capacitor"}, {"electrolytic", "ceramic capacitor"},
		{"carbon resistor", "resistor"}, {"power transistor", "transistor", "inductor"}, {"driver", "chip"},
	} {
		if !slices.IsSortedFunc(order, func(a, b string) int { return -int(math.Copysign(1, odds(a)-odds(b))) }) {
			t.Errorf("%v must be in the order of how often they fail", order)
		}
	}
}

// TestFollowIsLinear: what comes out of a mixture of states is the mixture of
// what comes out of each, adds up to one, and is bad only where the input is.
func TestFollowIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var in signal.Spread
		for s := range in {
			in[s] = rapid.Float64Range(0, 1).Draw(t, "state")
		}
		in[signal.Wrong] += 0.01
		in = in.Normal()
		for name, out := range map[string]func(*signal.Spread) signal.Spread{
			"passes": fault.Passes.Out, "decides": fault.Decides.Out, "amplifies": fault.Amplifies.Out,
			"regulates": fault.Regulates.Out, "is starved": fault.Starved,
		} {
			got, want := out(&in), signal.Spread{}
			sum := 0.0
			for s, p := range in {
				pure := signal.Pure(signal.State(s))
				for o, q := range out(&pure) {
					want[o] += p * q
				}
			}
			for s := range got {
				if math.Abs(got[s]-want[s]) > 1e-12 {
					t.Fatalf("%s: %v comes out with %v, want %v", name, signal.State(s), got[s], want[s])
				}
				sum += got[s]
			}
			if math.Abs(sum-1) > 1e-9 || got[signal.Good] < in[signal.Good]-1e-12 {
				t.Fatalf("%s: adds up to %v, good %v of %v", name, sum, got[signal.Good], in[signal.Good])
			}
		}
	})
}

// A wrong input makes the output wrong nearly always; a supply evens out small
// errors and cannot mend absence.
func TestFollowing(t *testing.T) {
	good := func(f fault.Follow, s signal.State) float64 {
		in := signal.Pure(s)
		return f.Out(&in)[signal.Good]
	}
	for s := signal.Absent; s < signal.States; s++ {
		if p := good(fault.Passes, s); p > 0 {
			t.Errorf("what passes on makes %v good with %v", s, p)
		}
		if p := good(fault.Amplifies, s); p > 0.1 {
			t.Errorf("a stage makes %v good with %v", s, p)
		}
	}
	for _, s := range []signal.State{signal.Absent, signal.StuckLow, signal.StuckHigh, signal.Floating, signal.Wrong, signal.Clamped} {
		if p := good(fault.Decides, s); p > 0.1 {
			t.Errorf("logic makes %v good with %v", s, p)
		}
	}
	if p := good(fault.Regulates, signal.Absent); p > 0 {
		t.Errorf("a regulator mends absence with %v", p)
	}
	if good(fault.Regulates, signal.High) < 0.5 || good(fault.Regulates, signal.High) <= good(fault.Passes, signal.High) {
		t.Error("a regulator takes up what is too much")
	}
	absent := signal.Pure(signal.Absent)
	if p := fault.Starved(&absent)[signal.Good]; p > 0 {
		t.Errorf("without a supply something is good with %v", p)
	}
}

// TestWhenNames: each condition has words of its own.
func TestWhenNames(t *testing.T) {
	seen := map[string]bool{}
	for w := range fault.When(fault.Conditions) {
		if seen[w.String()] {
			t.Errorf("%q stands for two conditions", w)
		}
		seen[w.String()] = true
	}
}

// How does a crowbar fail?
func ExampleFind() {
	kind, ok := fault.Find("crowbar")
	fmt.Println(ok, kind.Name)
	for _, m := range kind.Modes {
		fmt.Printf("%s, %v: reads %s\n", m.Name, m.When, m.Reads)
	}
	// Output:
	// true thyristor
	// shorted, always: reads short
	// fires too early, when warm: reads leaky
	// open, always: reads open
}

// The rail of a logic chip is gone. What do its outputs do?
func ExampleStarved() {
	rail := signal.Pure(signal.Absent)
	for s, p := range fault.Starved(&rail) {
		if p > 0.1 {
			fmt.Printf("%v: %.2f\n", signal.State(s), p)
		}
	}
	// Output:
	// absent: 0.60
	// stuck low: 0.15
	// floating: 0.20
}
