package flow_test

import (
	"slices"
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// Worked examples: common practice, no source.

// A piggybacked chip helps an open output, not a stuck one.
func TestPiggyback(t *testing.T) {
	u := onBench(t, powered())
	scene := flow.Scene{Piggybacked: []int{u.item("U2")}}
	if got := u.foretold("y", scene, u.fault("U2", "output open", signal.Floating)); got[signal.Good] < 0.8 {
		t.Errorf("an open output helped out is good with %.2f", got[signal.Good])
	}
	for _, mode := range []string{"output stuck low", "output stuck high", "output clamped"} {
		f := u.fault("U2", mode, map[string]signal.State{"output stuck low": signal.StuckLow, "output stuck high": signal.StuckHigh, "output clamped": signal.Clamped}[mode])
		if got := u.foretold("y", scene, f); got[signal.Good] > 0 {
			t.Errorf("%s: a good chip on top makes it good with %.2f", mode, got[signal.Good])
		}
	}
	u.reads(flow.Scene{}, "x: good", "z: good", "y: bad", "+5: good")
	u.reads(scene, "y: good")
	u.suspects(0.8, 0.1, "U2")
	if best := u.likeliest(); !strings.HasPrefix(best, "U2 output open") {
		t.Errorf("the likeliest way is %q, want an open output", best)
	}
}

// A part that was replaced is good afterwards; if nothing changed, it was not
// the one.
func TestReplaced(t *testing.T) {
	cured := onBench(t, powered())
	cured.reads(flow.Scene{}, "x: good", "z: good", "y: bad")
	cured.reads(flow.Scene{Replaced: []int{cured.item("U2")}}, "y: good")
	cured.suspects(0.9, 0.05, "U2")
	vain := onBench(t, chain())
	vain.reads(flow.Scene{}, "e: absent", "c: good")
	vain.reads(flow.Scene{Replaced: []int{vain.item("D")}}, "e: absent")
	vain.suspects(0.7, 0.1, "E")
}

// A connector that comes and goes, a chip that fails when warm.
func portable() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("oscillator", "in")},
		Blocks:  []flow.Block{block("J1", "connector", "in", "a", ""), block("U1", "chip", "a", "out", "")},
	}
}

// Fails when warm and works when cold: a fault that needs warmth. Cold spray
// on the right part brings it back.
func TestWarm(t *testing.T) {
	u := onBench(t, portable())
	u.reads(flow.Scene{Warm: flow.No}, "out: good")
	u.reads(flow.Scene{Warm: flow.Yes}, "out: bad")
	conditional := 0.0
	for _, e := range u.explanations() {
		for _, way := range e.Ways {
			if slices.ContainsFunc(way.Faults, func(f int) bool { return u.m.Candidates[f].Mode.When != fault.Always }) {
				conditional += way.Probability
			}
		}
	}
	if conditional < 0.65 {
		t.Errorf("good cold and bad warm: a fault that comes and goes has only %.2f", conditional)
	}
	u.reads(flow.Scene{Warm: flow.Yes, Chilled: []int{u.item("U1")}}, "out: good")
	u.suspects(0.6, 0.3, "U1")
	if best := u.likeliest(); best != "U1 fails when warm" {
		t.Errorf("the likeliest way is %q", best)
	}
}

// An electrolytic that is bad until the unit has warmed up.
func TestCold(t *testing.T) {
	u := onBench(t, supplyTree())
	u.reads(flow.Scene{Warm: flow.No}, "raw: hum", "audio: hum")
	u.reads(flow.Scene{Warm: flow.Yes}, "raw: clean", "audio: clean")
	u.suspects(0.6, 0.25, "C1")
	if best := u.likeliest(); best != "C1 bad until warm" {
		t.Errorf("the likeliest way is %q", best)
	}
}

// Pressing the connector changes things: the connector.
func TestMoved(t *testing.T) {
	u := onBench(t, portable())
	u.reads(flow.Scene{}, "out: bad")
	u.reads(flow.Scene{Pressed: []int{u.item("J1")}}, "out: good")
	u.suspects(0.75, 0.2, "J1")
	if best := u.likeliest(); best != "J1 comes and goes when moved" {
		t.Errorf("the likeliest way is %q", best)
	}
}

// A signal that comes and goes by itself takes a fault that does.
func TestFitful(t *testing.T) {
	u := onBench(t, portable())
	u.e.Read(flow.Scene{}, flow.Reading{Net: u.net("out"), Fitful: true})
	for _, e := range u.explanations() {
		for _, way := range e.Ways {
			always := !slices.ContainsFunc(way.Faults, func(f int) bool { return u.m.Candidates[f].Mode.When != fault.Always })
			if always && way.Probability > 0.06 {
				t.Errorf("%v explains a fault that comes and goes with %.3f", names(u.m, way.Faults), way.Probability)
			}
		}
	}
	u.suspects(0.8, 0.1, "J1", "U1")
}

// A good capacitor across one that is open or dried out makes up for it; across one
// that is shorted or leaky it does not.
func TestBridged(t *testing.T) {
	d := powered()
	kind, _ := fault.Find("electrolytic")
	d.Shunts = append(d.Shunts, flow.Shunt{Part: flow.Part{Name: "C1", Kind: kind}, Net: "+5"})
	for mode, helps := range map[string]bool{"dried out": true, "open": true, "shorted": false, "leaky": false} {
		m := compiled(t, d)
		item, ok := m.Item("C1")
		if !ok {
			t.Fatal("no C1")
		}
		net, _ := m.Net("+5")
		test := flow.Test{Kind: flow.Condition, Item: item, Net: net, Scene: flow.Scene{Piggybacked: []int{item}}}
		tried := 0
		for f, c := range m.Candidates {
			if c.Item != item || !strings.HasPrefix(c.Name, mode) {
				continue
			}
			tried++
			e := m.NewEvidence()
			right := e.Foreteller([]flow.Test{test}).Chances([]int{f})[0][0]
			watched := m.Showing().Watched(&test, []int{f}, []int{net}, []float64{1})[0]
			if helps != (right > 0.75) || helps != (watched > 0.75) {
				t.Errorf("C1 %s: with a good one across, right with %.2f, or %.2f when complained of", c.Name, right, watched)
			}
		}
		if tried == 0 {
			t.Errorf("C1 cannot be %s", mode)
		}
	}
}
