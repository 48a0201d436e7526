package prediction

import (
	"math"
	"testing"

	"halfsplit/wiring"
)

// multivibrator is the textbook one of two transistors: each half of its period
// takes R C ln 2 of its base resistor and capacitor. The halves differ a little, as
// in life, so that it starts; it feeds a smoothed output from one collector.
func multivibrator(base, capacitor string) []wiring.Part {
	return []wiring.Part{
		with(within(0, written("V1", "dc source", "5 V", "supply", "gnd")), "rise", "10 us"),
		written("R1", "resistor", "1k", "supply", "collector 1"),
		written("R2", "resistor", "1k1", "supply", "collector 2"),
		written("Rb1", "resistor", base, "supply", "base 1"),
		written("Rb2", "resistor", base, "supply", "base 2"),
		written("C1", "film capacitor", capacitor, "collector 1", "base 2"),
		written("C2", "film capacitor", capacitor, "collector 2", "base 1"),
		written("Q1", "transistor", "", "collector 1", "base 1", "gnd"),
		written("Q2", "transistor", "", "collector 2", "base 2", "gnd"),
		written("R3", "resistor", "10k", "collector 2", "out"),
		written("C3", "film capacitor", "220 nF", "out", "gnd"),
	}
}

// A multivibrator runs by itself, at the pace of the textbook, a little faster since
// the bases begin below -5 V by less than the full swing; a dead transistor lets it
// stand still.
//
// Outside: f = 1 / (2 ln 2 R C), textbook multivibrator, closed form. Within: 10 %.
func TestSelfPaced(t *testing.T) {
	p := predictor(t, Settings{Samples: 6, FreeAccuracy: 1e-3}, multivibrator("47k", "4.7 nF")...)
	if !p.SetsItsOwnPace() {
		t.Fatal("it is taken for one that rests")
	}
	f := foretold(t, p, Bench{})
	w := f.Ways[0]
	if w.Behaviour != Repeats {
		t.Fatalf("it %v", w.Behaviour)
	}
	near(t, "frequency", 1/w.Period, 1/(2*math.Ln2*47e3*4.7e-9), 0.1)
	frequency, deviation := read(t, f, Observable{Aspect: Frequency, Node: "collector 1"})
	near(t, "frequency of a collector", frequency, 1/w.Period, 1e-2)
	if deviation < 0.05*frequency || deviation > 0.2*frequency {
		t.Errorf("it spreads by %g Hz", deviation)
	}
	level, _ := read(t, f, levelOf("out"))
	if level < 1.5 || level > 3.2 { // about half the supply
		t.Errorf("the smoothed output is at %g V", level)
	}

	// With both base resistors 1.3 times as high it takes as much longer.
	slow := foretold(t, p, Bench{}, trouble(t, p, "Rb1", "drifted high", 0), trouble(t, p, "Rb2", "drifted high", 0))
	near(t, "period with higher resistors", slow.Ways[0].Period, 1.3*w.Period, 0.02)

	dead := foretold(t, p, Bench{}, lifted("Q1", "base"))
	if b := dead.Ways[0].Behaviour; b != NeverStarts {
		t.Errorf("with an open base it %v", b)
	}
	// Q2 conducts for good: its collector is saturated.
	if level, _ := read(t, dead, levelOf("collector 2")); level > 0.3 {
		t.Errorf("collector 2 is at %g V", level)
	}
}

// One that comes and goes so slowly that a meter follows is told as starting and
// stopping, with its period; the level is the mean over whole cycles.
func TestCycles(t *testing.T) {
	p := predictor(t, Settings{Samples: 1, Longest: 60e-3, FreeAccuracy: 1e-3}, multivibrator("47k", "120 nF")...)
	f := foretold(t, p, Bench{})
	w := f.Ways[0]
	if w.Behaviour != Cycles {
		t.Fatalf("it %v", w.Behaviour)
	}
	near(t, "period", w.Period, 2*math.Ln2*47e3*120e-9, 0.1)
	level, _ := read(t, f, levelOf("collector 1"))
	if level < 1.8 || level > 3 {
		t.Errorf("collector 1 is at %g V on average", level)
	}
}
