package flow_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// TestCompileRefuses: what cannot be right is refused with what is wrong and
// where.
func TestCompileRefuses(t *testing.T) {
	supply := []flow.Source{source("supply", "+5")}
	for _, c := range []struct {
		name string
		d    flow.Description
		says []string
	}{
		{"a net that nothing drives", flow.Description{Sources: supply, Blocks: []flow.Block{block("U1", "chip", "clock", "x", "+5")}},
			[]string{`"clock"`, "drives"}},
		{"a rail that nothing drives", flow.Description{Blocks: []flow.Block{block("U1", "chip", "", "x", "+5")}},
			[]string{`"+5"`, "drives"}},
		{"a part across a net that nothing drives", flow.Description{Sources: supply, Shunts: []flow.Shunt{across("C1", "tantalum", "+12")}},
			[]string{`"+12"`, "drives"}},
		{"a block without an output", flow.Description{Sources: supply, Blocks: []flow.Block{block("U1", "chip", "", "", "+5")}},
			[]string{`"U1"`, "no output"}},
		{"two blocks of one name", flow.Description{Sources: supply, Blocks: []flow.Block{block("U1", "chip", "", "x", "+5"), block("U1", "chip", "", "y", "+5")}},
			[]string{`"U1"`, "two blocks"}},
		{"a part and a block of one name", flow.Description{Sources: supply, Blocks: []flow.Block{block("C1", "chip", "", "x", "+5")}, Shunts: []flow.Shunt{across("C1", "tantalum", "+5")}},
			[]string{`"C1"`, "two items"}},
		{"two blocks of one name, one with parts", flow.Description{Sources: supply, Blocks: []flow.Block{
			block("A", "stage", "", "x", "+5"),
			{Name: "A", Kind: kind("stage"), Outputs: []string{"y"}, Parts: []flow.Part{{Name: "Q1", Kind: kind("transistor")}}},
		}}, []string{`"A"`, "two blocks"}},
	} {
		_, err := flow.Compile(c.d)
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		for _, want := range c.says {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q does not say %s", c.name, err, want)
			}
		}
	}
}

// TestCompileSmallest: nothing at all, and a lone source, are units too.
func TestCompileSmallest(t *testing.T) {
	u := onBench(t, flow.Description{})
	if l := u.m.NewEvidence().LogLikelihood(nil); l != 0 {
		t.Errorf("nothing described and nothing read: ln likelihood %v", l)
	}
	lone := onBench(t, flow.Description{Sources: []flow.Source{{Net: "+5", Kind: kind("supply")}}})
	if lone.item("+5") != 0 {
		t.Error("a source without a name is called after its net")
	}
}

// TestNamedTwice: a net that a block names twice counts once.
func TestNamedTwice(t *testing.T) {
	once, twice := powered(), powered()
	twice.Blocks[0] = block("U1", "chip", "clock clock", "x x", "+5 +5")
	a, b := onBench(t, once), onBench(t, twice)
	for _, bad := range []string{"source of clock", "source of +5", "U1"} {
		for f, c := range a.m.Candidates {
			if c.Item != a.item(bad) {
				continue
			}
			if got, want := b.foretold("x", flow.Scene{}, f), a.foretold("x", flow.Scene{}, f); got != want {
				t.Errorf("%s %s: %v with nets named twice, %v with each named once", bad, c.Name, got, want)
			}
		}
	}
	if len(a.m.Candidates) != len(b.m.Candidates) {
		t.Errorf("%d candidates, with nets named twice %d", len(a.m.Candidates), len(b.m.Candidates))
	}
}

// TestLookUp: items, nets and blocks by name, and what surrounds them.
func TestLookUp(t *testing.T) {
	d := supplyTree()
	d.Blocks[3].Inputs = []string{"raw"}
	d.Blocks[3].Parts = []flow.Part{{Name: "Q9", Kind: kind("transistor")}}
	u := onBench(t, d)
	for _, c := range []struct {
		item                      string
		inputs, supplies, outputs []string
	}{
		{"D1", []string{"fused"}, nil, []string{"raw"}},
		{"Q9", []string{"raw"}, []string{"+12"}, []string{"audio"}},
		{"amplifier", []string{"raw"}, []string{"+12"}, []string{"audio"}},
		{"C1", nil, nil, []string{"raw"}},
		{"source of secondary", nil, nil, []string{"secondary"}},
	} {
		inputs, supplies, outputs := u.m.Around(u.item(c.item))
		if !slices.Equal(inputs, c.inputs) || !slices.Equal(supplies, c.supplies) || !slices.Equal(outputs, c.outputs) {
			t.Errorf("around %s: inputs %v, supplies %v, outputs %v", c.item, inputs, supplies, outputs)
		}
	}
	if got := u.m.ItemsOf("amplifier"); !slices.Equal(got, []int{u.item("Q9"), u.item("rest of amplifier")}) {
		t.Errorf("items of the amplifier: %v", got)
	}
	if got := u.m.ItemsOf("C1"); got != nil {
		t.Errorf("C1 is no block, yet has items %v", got)
	}
	for n, name := range u.m.Nets() {
		if got := u.net(name); got != n {
			t.Errorf("%s is net %d, found as %d", name, n, got)
		}
	}
	for _, find := range []func(string) (int, bool){u.m.Item, u.m.Net, u.m.Block} {
		if _, ok := find("flux"); ok {
			t.Error("flux is found")
		}
	}
	logic := onBench(t, bus())
	if !logic.m.Digital(logic.net("data")) || logic.m.Digital(logic.net("+5")) || u.m.Digital(u.net("audio")) {
		t.Error("a bus is digital; a rail and an amplifier's output are not")
	}
}

// TestCandidates: each state that a fault may put an output in is weighed by
// itself, and the shares of an item's modes are kept.
func TestCandidates(t *testing.T) {
	u := onBench(t, counter())
	item := u.item("U1")
	byMode, total := map[string]float64{}, 0.0
	for _, c := range u.m.Candidates {
		if c.Item != item {
			continue
		}
		byMode[c.Mode.Name] += c.Prior
		total += c.Prior
		states := 0
		for s, p := range c.Mode.Output {
			if p != 0 && p != 1 || p == 1 && signal.State(s) == signal.Good {
				t.Errorf("%s: output %v; a candidate leaves its output in one bad state, or alone", c.Name, c.Mode.Output)
			}
			states += int(p)
		}
		if states > 1 {
			t.Errorf("%s: output %v", c.Name, c.Mode.Output)
		}
	}
	for _, m := range kind("chip").Modes {
		if got := byMode[m.Name] / total; math.Abs(got-m.Share) > 1e-9 {
			t.Errorf("%s makes up %.4f of the chip's failures, want %.4f", m.Name, got, m.Share)
		}
	}
}

// TestModeWithoutOutput: a mode may do nothing to its own output and still drag
// what feeds it.
func TestModeWithoutOutput(t *testing.T) {
	hungry := fault.Kind{Name: "hungry stage", Odds: 1, Follow: fault.Amplifies, Modes: []fault.Mode{
		{Name: "draws too much", Share: 1, Supply: signal.Pure(signal.Low)},
	}}
	u := onBench(t, flow.Description{
		Sources: []flow.Source{source("supply", "+15"), source("transducer", "in")},
		Blocks:  []flow.Block{{Name: "A", Kind: hungry, Inputs: []string{"in"}, Outputs: []string{"out"}, Supplies: []string{"+15"}}},
	})
	f := u.fault("A", "draws too much")
	low := signal.Pure(signal.Low)
	if got := u.foretold("+15", flow.Scene{}, f); got != low {
		t.Errorf("the rail does %v, want low", got)
	}
	if got, want := u.foretold("out", flow.Scene{}, f), fault.Starved(&low); got != want {
		t.Errorf("the output does %v, want what a starved stage does: %v", got, want)
	}
}

// A part across a net pulls it down; it cannot lift it unless it regulates.
func TestAcross(t *testing.T) {
	d := supplyTree()
	d.Shunts = append(d.Shunts, across("D7", "zener", "+12"))
	u := onBench(t, d)
	lifts := map[string]bool{}
	for _, c := range u.m.Candidates {
		if item := u.m.Items[c.Item]; item.Net != "" && c.Mode.Output[signal.High]+c.Mode.Output[signal.StuckHigh] > 0 {
			lifts[item.Name] = true
		}
	}
	if len(lifts) != 1 || !lifts["D7"] {
		t.Errorf("%v can lift their nets, want the zener alone", lifts)
	}
}
