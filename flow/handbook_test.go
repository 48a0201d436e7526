package flow_test

import (
	"math"
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
