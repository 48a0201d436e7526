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

// The worked examples below are fault finding as any bench manual teaches it;
// common practice, no source, unless one is named.

// chain is a signal path of five analogue stages.
func chain() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("transducer", "in")},
		Blocks: []flow.Block{
			block("A", "stage", "in", "a", ""), block("B", "stage", "a", "b", ""), block("C", "stage", "b", "c", ""),
			block("D", "stage", "c", "d", ""), block("E", "stage", "d", "e", ""),
		},
	}
}

// Half-split: no signal at the end of a chain of five; one reading in the
// middle leaves one half suspect.
func TestHalfSplit(t *testing.T) {
	u := onBench(t, chain())
	u.reads(flow.Scene{}, "e: absent")
	u.suspects(0.9, 0, "source of in", "A", "B", "C", "D", "E")
	even := u.suspicion()
	for _, name := range []string{"A", "B", "C", "D", "E"} {
		if even[name] < 0.1 || even[name] > 0.35 {
			t.Errorf("before probing %s has suspicion %.2f; all five are much alike", name, even[name])
		}
	}
	good := onBench(t, chain())
	good.reads(flow.Scene{}, "e: absent", "c: good")
	good.suspects(0.85, 0.08, "D", "E")
	bad := onBench(t, chain())
	bad.reads(flow.Scene{}, "e: absent", "c: absent")
	bad.suspects(0.9, 0.08, "source of in", "A", "B", "C")
	closer := onBench(t, chain())
	closer.reads(flow.Scene{}, "e: absent", "c: absent", "a: good", "b: good")
	closer.suspects(0.8, 0.1, "C")
}

// One wrong reading does not hide the truth: two good ones beat it.
func TestOneWrongReading(t *testing.T) {
	u := onBench(t, chain())
	u.reads(flow.Scene{}, "e: absent", "b: absent", "c: good", "d: good")
	u.suspects(0.6, 0.25, "E")
}

// powered is three logic chips on one rail.
func powered() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("supply", "+5"), source("oscillator", "clock")},
		Blocks: []flow.Block{
			block("U1", "chip", "clock", "x", "+5"), block("U2", "chip", "clock", "y", "+5"), block("U3", "chip", "clock", "z", "+5"),
		},
	}
}

// A rail feeds three chips. All three dead: the rail, or the clock they share.
// One dead and two good: the chip.
func TestSharedRail(t *testing.T) {
	all := onBench(t, powered())
	all.reads(flow.Scene{}, "x: bad", "y: bad", "z: bad")
	all.suspects(0.8, 0.1, "source of +5", "source of clock")
	rail := onBench(t, powered())
	rail.reads(flow.Scene{}, "x: bad", "y: bad", "z: bad", "+5: low", "clock: good")
	rail.suspects(0.85, 0.1, "source of +5")
	one := onBench(t, powered())
	one.reads(flow.Scene{}, "x: good", "y: bad", "z: good")
	one.suspects(0.7, 0.2, "U2") // a weak rail may fail one chip first
	one.reads(flow.Scene{}, "+5: good")
	one.suspects(0.9, 0.05, "U2")
	// Any chip can short the rail. Seldom one does; but all is well without it.
	shorted := onBench(t, powered())
	shorted.reads(flow.Scene{}, "+5: absent", "x: bad", "z: bad")
	shorted.suspects(0.8, 0.05, "source of +5", "source of clock")
	shorted.reads(flow.Scene{Without: []int{shorted.block("U2")}}, "+5: good", "x: good", "z: good")
	shorted.suspects(0.75, 0.2, "U2")
}

// bus is two drivers on one line and two readers.
func bus() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("supply", "+5"), source("oscillator", "p"), source("oscillator", "q")},
		Blocks: []flow.Block{
			block("U1", "driver", "p", "data", "+5"), block("U2", "driver", "q", "data", "+5"),
			block("U3", "chip", "data", "x", "+5"), block("U4", "chip", "data", "y", "+5"),
		},
	}
}

// A bus is held low. Either driver can do it, or a shorted input; pulling one
// driver tells.
func TestBusWithTwoDrivers(t *testing.T) {
	held := []string{"data: stuck low", "p: good", "q: good", "+5: good"}
	u := onBench(t, bus())
	u.reads(flow.Scene{}, held...)
	u.suspects(0.9, 0.05, "U1", "U2", "U3", "U4")
	suspicion := u.suspicion()
	if a, b := suspicion["U1"], suspicion["U2"]; math.Abs(a-b) > 0.03 || a < 0.3 {
		t.Errorf("drivers: %.3f and %.3f; nothing tells them apart yet", a, b)
	}
	if a, b := suspicion["U1"], suspicion["U3"]; b < 0.005 || b > a/5 {
		t.Errorf("a driver has %.3f, a receiver %.3f; a receiver is possible but less likely", a, b)
	}
	frees := onBench(t, bus())
	frees.reads(flow.Scene{}, held...)
	frees.reads(flow.Scene{Without: []int{frees.block("U2")}}, "data: good", "x: good")
	frees.suspects(0.85, 0.08, "U2")
	still := onBench(t, bus())
	still.reads(flow.Scene{}, held...)
	still.reads(flow.Scene{Without: []int{still.block("U2")}}, "data: stuck low")
	still.suspects(0.7, 0.12, "U1")
	none := onBench(t, bus())
	both := flow.Scene{Without: []int{none.block("U1"), none.block("U2")}}
	if got := none.foretold("data", both); got[signal.Absent] != 1 {
		t.Errorf("with both drivers out the line does %v", got)
	}
}

// A receiver with a shorted input drags the line: both drivers were replaced,
// and the line is still held.
func TestReceiverDragsLine(t *testing.T) {
	u := onBench(t, bus())
	f := u.fault("U3", "input shorted")
	if got := u.foretold("data", flow.Scene{}, f); got[signal.Good] > 0.01 || got[signal.Floating] > 0 {
		t.Errorf("a shorted input leaves the line %v", got)
	}
	u.reads(flow.Scene{}, "data: stuck low", "p: good", "q: good", "+5: good")
	before := u.suspicion()
	u.reads(flow.Scene{Replaced: []int{u.item("U1"), u.item("U2")}}, "data: stuck low", "x: bad", "y: bad", "+5: good")
	after := u.suspicion()
	for _, name := range []string{"U3", "U4"} {
		if after[name] < 4*before[name] || after[name] < 0.15 {
			t.Errorf("%s: suspicion goes from %.3f to %.3f when the drivers were replaced in vain", name, before[name], after[name])
		}
	}
	u.reads(flow.Scene{Replaced: []int{u.item("U1"), u.item("U2")}, Without: []int{u.block("U3")}}, "data: good", "y: good")
	u.suspects(0.85, 0.08, "U3")
	// Of several inputs, one is shorted: a line is dragged only so often.
	d := bus()
	d.Sources = append(d.Sources, source("oscillator", "r"))
	d.Blocks[2].Inputs = []string{"data", "r"}
	two := onBench(t, d)
	if got := two.foretold("data", flow.Scene{}, two.fault("U3", "input shorted"))[signal.Good]; math.Abs(got-0.5) > 1e-9 {
		t.Errorf("with two inputs, one of which is shorted, the line is good with %.2f", got)
	}
}

// supplyTree is a linear supply: secondary, fuse, rectifier with its reservoir,
// regulator, and what lives on it.
func supplyTree() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("transformer", "secondary")},
		Blocks: []flow.Block{
			block("F1", "fuse", "secondary", "fused", ""), block("D1", "rectifier", "fused", "raw", ""),
			block("U1", "regulator", "raw", "+12", ""), block("amplifier", "op-amp", "", "audio", "+12"),
		},
		Shunts: []flow.Shunt{across("C1", "electrolytic", "raw"), across("C2", "tantalum", "+12")},
	}
}

// Along the power tree the first bad node names the culprit.
func TestPowerTree(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []string
		suspects []string
		atLeast  float64
	}{
		{"fuse", []string{"secondary: good", "fused: absent", "raw: absent"}, []string{"F1"}, 0.7},
		{"rectifier or what loads it", []string{"fused: good", "raw: absent", "+12: absent"}, []string{"D1", "C1"}, 0.75},
		{"regulator or what loads it", []string{"raw: good", "+12: absent"}, []string{"U1", "C2"}, 0.8},
		{"regulator passes too much", []string{"raw: good", "+12: high"}, []string{"U1"}, 0.55},
		{"hum on a raw voltage", []string{"raw: hum", "fused: good"}, []string{"C1", "D1"}, 0.85},
		{"mains gone", []string{"secondary: absent", "raw: absent"}, []string{"source of secondary", "F1", "D1"}, 0.9},
		{"the load", []string{"+12: good", "audio: absent"}, []string{"amplifier"}, 0.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			u := onBench(t, supplyTree())
			u.reads(flow.Scene{}, c.readings...)
			u.suspects(c.atLeast, 0.2, c.suspects...)
		})
	}
}

// A shorted tantalum pulls its rail down. Lifted, the rail comes back.
func TestShortedCapacitor(t *testing.T) {
	u := onBench(t, supplyTree())
	u.reads(flow.Scene{}, "raw: good", "+12: absent")
	u.reads(flow.Scene{Lifted: []int{u.item("C2")}}, "+12: good")
	u.suspects(0.9, 0.08, "C2")
	not := onBench(t, supplyTree())
	not.reads(flow.Scene{}, "raw: good", "+12: absent")
	not.reads(flow.Scene{Lifted: []int{not.item("C2")}}, "+12: absent")
	not.suspects(0.75, 0.15, "U1")
}

// Two faults at once: the regulator is dead and, once it is replaced, the
// amplifier still is silent. After a fix, re-rank on the symptoms that remain.
func TestTwoFaults(t *testing.T) {
	u := onBench(t, supplyTree())
	u.reads(flow.Scene{}, "raw: good", "+12: absent", "audio: absent")
	u.suspects(0.8, 0.05, "U1", "C2") // one fault explains it all
	u.e.Tested(flow.PartReading{Item: u.item("U1"), Healthy: 0.03, Modes: shows(u.m.Items[u.item("U1")].Kind)})
	u.suspects(0.85, 0.2, "U1")
	u.reads(flow.Scene{Replaced: []int{u.item("U1")}}, "+12: good", "audio: absent")
	u.suspects(1.4, 0.15, "U1", "amplifier")
}

// What lies across the same net, or in the same block, acts in any order.
func TestFaultsOnOneNet(t *testing.T) {
	d := supplyTree()
	d.Shunts = append(d.Shunts, across("C3", "electrolytic", "+12"))
	u := onBench(t, d)
	short, hum := u.fault("C2", "shorted", signal.Absent), u.fault("C3", "dried out", signal.Noisy)
	both := u.foretold("+12", flow.Scene{}, short, hum)
	if both != u.foretold("+12", flow.Scene{}, hum, short) {
		t.Error("two bad capacitors on a rail: the order matters")
	}
	if both[signal.Absent] != 0.5 || both[signal.Noisy] != 0.5 {
		t.Errorf("one capacitor shorts the rail and one lets it hum: %v, want half of each", both)
	}
}

// A part lifted or a board pulled: a series part takes what is behind it with
// it, a part across a net does not.
func TestLiftedAndWithout(t *testing.T) {
	u := onBench(t, supplyTree())
	for _, c := range []struct {
		name  string
		scene flow.Scene
		net   string
		want  signal.State
	}{
		{"fuse out", flow.Scene{Lifted: []int{u.item("F1")}}, "fused", signal.Absent},
		{"fuse out, before it", flow.Scene{Lifted: []int{u.item("F1")}}, "secondary", signal.Good},
		{"regulator disconnected", flow.Scene{Without: []int{u.block("U1")}}, "+12", signal.Absent},
		{"decoupling lifted", flow.Scene{Lifted: []int{u.item("C2")}}, "+12", signal.Good},
		{"everything in place", flow.Scene{}, "audio", signal.Good},
	} {
		if got := u.foretold(c.net, c.scene); got[c.want] != 1 {
			t.Errorf("%s: %s does %v, want %v", c.name, c.net, got, c.want)
		}
	}
	// A fault that is lifted or pulled does nothing.
	for _, scene := range []flow.Scene{{Lifted: []int{u.item("C2")}}, {Replaced: []int{u.item("C2")}}} {
		if got := u.foretold("+12", scene, u.fault("C2", "shorted")); got[signal.Good] != 1 {
			t.Errorf("the shorted capacitor is out, the rail does %v", got)
		}
	}
	if got := u.foretold("+12", flow.Scene{Without: []int{u.block("amplifier")}}, u.fault("amplifier", "loads its supply")); got[signal.Good] != 1 {
		t.Errorf("the amplifier that loaded the rail is out, the rail does %v", got)
	}
}

// loop is an amplifier with overall feedback, fed from outside.
func loop() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("transducer", "in"), source("supply", "+15")},
		Blocks: []flow.Block{
			block("Q1", "stage", "in sense", "first", "+15"), block("Q2", "stage", "first", "out", "+15"),
			block("R9", "resistor", "out", "sense", ""),
		},
	}
}

// In a feedback loop everything goes wrong together.
func TestFeedbackLoop(t *testing.T) {
	u := onBench(t, loop())
	nets := []string{"first", "out", "sense"}
	for _, n := range nets {
		if got := u.foretold(n, flow.Scene{}); got[signal.Good] != 1 {
			t.Errorf("nothing is wrong, yet %s does %v", n, got)
		}
	}
	for _, fault := range []int{u.fault("Q1", "dead"), u.fault("Q2", "dead"), u.fault("R9", "open"), u.fault("source of in", "open")} {
		for _, n := range nets {
			if got := u.foretold(n, flow.Scene{}, fault); got[signal.Good] > 0.15 {
				t.Errorf("%s: %s is good with %.2f", names(u.m, []int{fault}), n, got[signal.Good])
			}
		}
	}
	// All of it bad, input and rail good: nothing tells the three apart but odds.
	u.reads(flow.Scene{}, "in: good", "+15: good", "first: bad", "out: bad", "sense: bad")
	u.suspects(0.85, 0.05, "Q1", "Q2", "R9")
	suspicion := u.suspicion()
	if suspicion["Q1"] < 0.2 || suspicion["Q2"] < 0.2 {
		t.Errorf("Q1 %.2f, Q2 %.2f; the loop hides which", suspicion["Q1"], suspicion["Q2"])
	}
	// With a good signal fed into the sense line the loop is broken.
	u.reads(flow.Scene{Injected: []int{u.net("sense")}}, "first: good", "out: bad")
	u.suspects(0.85, 0.1, "Q2")
}

// What a loop gets from outside it does not make worse going round: a noisy
// rail leaves the loop good as often as it leaves one of its stages.
func TestFeedbackLoopDoesNotAmplify(t *testing.T) {
	u := onBench(t, loop())
	noisy := u.fault("source of +15", "hum or ripple")
	rail := signal.Pure(signal.Noisy)
	want := fault.Starved(&rail)[signal.Good]
	for _, n := range []string{"first", "out", "sense"} {
		if got := u.foretold(n, flow.Scene{}, noisy)[signal.Good]; math.Abs(got-want) > 0.05 {
			t.Errorf("%s is good with %.2f, want %.2f", n, got, want)
		}
	}
	// A block that reads its own output is a loop of one.
	latch := onBench(t, flow.Description{
		Sources: []flow.Source{source("supply", "+5")},
		Blocks:  []flow.Block{block("U1", "chip", "q", "q", "+5")},
	})
	if got := latch.foretold("q", flow.Scene{}, latch.fault("U1", "output stuck high")); got[signal.StuckHigh] != 1 {
		t.Errorf("a stuck latch does %v", got)
	}
	if got := latch.foretold("q", flow.Scene{}); got[signal.Good] != 1 {
		t.Errorf("a good latch does %v", got)
	}
}

// counter is a chip with four outputs.
func counter() flow.Description {
	return flow.Description{
		Sources: []flow.Source{source("supply", "+5"), source("oscillator", "clock")},
		Blocks:  []flow.Block{block("U1", "chip", "clock", "a0 a1 a2 a3", "+5")},
	}
}

// One output of a counter is stuck and the others count: the chip, by that one
// output.
func TestOneOutputBad(t *testing.T) {
	u := onBench(t, counter())
	u.reads(flow.Scene{}, "a0: good", "a1: good", "a2: stuck low", "a3: good", "+5: good", "clock: good")
	u.suspects(0.6, 0.25, "U1")
	if best := u.likeliest(); best != "U1 output a2 stuck low" {
		t.Errorf("the likeliest way is %q", best)
	}
	one := u.fault("U1", "output a2 stuck low", signal.StuckLow)
	for net, want := range map[string]signal.State{"a0": signal.Good, "a2": signal.StuckLow} {
		if got := u.foretold(net, flow.Scene{}, one); got[want] != 1 {
			t.Errorf("%s does %v", net, got)
		}
	}
	whole := u.fault("U1", "all outputs stuck low", signal.StuckLow)
	if got := u.foretold("a0", flow.Scene{}, whole); got[signal.StuckLow] != 1 {
		t.Errorf("all outputs are stuck, yet a0 does %v", got)
	}
}

// A good signal fed into the middle makes the end good: the trouble lies before
// it.
func TestInjected(t *testing.T) {
	before := onBench(t, chain())
	before.reads(flow.Scene{}, "e: absent")
	before.reads(flow.Scene{Injected: []int{before.net("c")}}, "e: good")
	before.suspects(0.9, 0.05, "source of in", "A", "B", "C")
	after := onBench(t, chain())
	after.reads(flow.Scene{}, "e: absent")
	after.reads(flow.Scene{Injected: []int{after.net("c")}}, "e: absent")
	after.suspects(0.85, 0.08, "D", "E")
}

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

// A self-test prints something under some faults.
func TestChecks(t *testing.T) {
	u := onBench(t, powered())
	check := &flow.Check{
		Rows: []flow.Row{
			{Cause: flow.Cause{Item: u.item("U1")}, Chance: []float64{0, 0.9, 0.1}},
			{Cause: flow.Cause{Item: u.item("U2"), Mode: "output stuck low"}, Chance: []float64{0, 0, 1}},
			{Cause: flow.Cause{Item: -1, Net: u.net("+5"), NotGood: true}, Chance: []float64{0, 0, 1}},
			{Cause: flow.Cause{Item: -1, Net: u.net("clock"), State: signal.StuckHigh}, Chance: []float64{0, 0.5, 0.5}},
		},
		Otherwise: []float64{0.97, 0.02, 0.01},
	}
	answers := func(faults ...int) []float64 {
		state := u.m.NewState()
		state.Foretell(faults, &flow.Scene{})
		return check.Answers(state, faults)
	}
	slip := func(p float64) float64 { return (1-signal.Slip)*p + signal.Slip/3 }
	for _, c := range []struct {
		name   string
		faults []int
		want   []float64 // before slips
	}{
		{"nothing wrong", nil, []float64{0.97, 0.02, 0.01}},
		{"U1, in any way", []int{u.fault("U1", "output open")}, []float64{0, 0.9, 0.1}},
		{"U2 stuck low", []int{u.fault("U2", "output stuck low")}, []float64{0, 0, 1}},
		{"U2 in another way", []int{u.fault("U2", "output open")}, []float64{0.97, 0.02, 0.01}},
		{"no supply", []int{u.fault("source of +5", "dead")}, []float64{0, 0, 1}},
		{"clock stuck high", []int{u.fault("source of clock", "does not start", signal.StuckHigh)}, []float64{0, 0.5, 0.5}},
		{"clock stuck low is another state", []int{u.fault("source of clock", "does not start", signal.StuckLow)}, []float64{0.97, 0.02, 0.01}},
		{"two causes: half of each", []int{u.fault("U1", "output open"), u.fault("U2", "output stuck low")}, []float64{0, 0.45, 0.55}},
	} {
		for a, got := range answers(c.faults...) {
			if want := slip(c.want[a]); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s: answer %d has chance %.4f, want %.4f", c.name, a, got, want)
			}
		}
	}
	u.e.Checked(flow.Scene{}, flow.CheckReading{Check: check, Answer: 1})
	u.suspects(0.7, 0.15, "U1")
}

// A block whose parts are listed has them as suspects, and one more for
// whatever else is in it.
func TestListedParts(t *testing.T) {
	d := chain()
	d.Blocks[2].Parts = []flow.Part{{Name: "Q3", Kind: kind("transistor")}, {Name: "C8", Kind: kind("electrolytic"), Odds: 3}}
	u := onBench(t, d)
	u.reads(flow.Scene{}, "b: good", "c: hum", "d: hum")
	u.suspects(0.9, 0.05, "Q3", "C8", "rest of C")
	if s := u.suspicion(); s["C8"] < s["Q3"] || s["C8"] < s["rest of C"] {
		t.Errorf("hum after a dry electrolytic: C8 %.2f, Q3 %.2f, the rest %.2f", s["C8"], s["Q3"], s["rest of C"])
	}
	u.e.Tested(flow.PartReading{Item: u.item("C8"), Healthy: 0.03, Modes: shows(u.m.Items[u.item("C8")].Kind)})
	u.suspects(0.9, 0.1, "C8")
	if item := u.m.Items[u.item("C")]; item.Name != "rest of C" || !item.Rest {
		t.Errorf("C stands for %+v, want the rest of it", item)
	}
}

// shows is the chance, for each mode, that a test shows it.
func shows(k fault.Kind) []float64 {
	var chances []float64
	for _, m := range k.Modes {
		chances = append(chances, m.Shows)
	}
	return chances
}

// A part that tested good is nearly cleared of what the test shows, and not of
// what it does not.
func TestPartTestedGood(t *testing.T) {
	u := onBench(t, supplyTree())
	u.reads(flow.Scene{}, "fused: good", "raw: hum")
	before := u.suspicion()["C1"]
	modes := shows(u.m.Items[u.item("C1")].Kind)
	for i := range modes {
		modes[i] = 1 - modes[i]
	}
	u.e.Tested(flow.PartReading{Item: u.item("C1"), Healthy: 0.97, Modes: modes})
	if after := u.suspicion()["C1"]; before < 0.5 || after > before/2 {
		t.Errorf("C1 tested good: suspicion goes from %.2f to %.2f", before, after)
	}
}

// A rail that was read without its load is not cleared of being weak.
func TestReadingWithoutLoad(t *testing.T) {
	weak := func(l signal.Likelihood) float64 {
		u := onBench(t, supplyTree())
		u.reads(flow.Scene{}, "audio: bad")
		u.e.Read(flow.Scene{}, flow.Reading{Net: u.net("+12"), Likelihood: l})
		return u.suspicion()["U1"]
	}
	good := likelihood(t, "good")
	if loaded, bare := weak(good), weak(good.Unloaded()); bare < 2*loaded {
		t.Errorf("the regulator: suspicion %.3f after a good reading under load, %.3f without load", loaded, bare)
	}
	// And a DC meter does not clear it of ripple.
	noisy := func(l signal.Likelihood) float64 {
		u := onBench(t, supplyTree())
		u.e.Read(flow.Scene{}, flow.Reading{Net: u.net("raw"), Likelihood: l})
		u.reads(flow.Scene{}, "audio: hum")
		return u.suspicion()["C1"]
	}
	if seen, averaged := noisy(good), noisy(good.Averaged()); averaged < 2*seen {
		t.Errorf("the reservoir: suspicion %.3f with the scope, %.3f with a DC meter", seen, averaged)
	}
}
