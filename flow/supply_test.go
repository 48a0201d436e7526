package flow_test

import (
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"
)

// Worked examples: common practice, no source.

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
