package wiring

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfsplit/circuit"
	"halfsplit/fault"
	"halfsplit/quantity"
)

// anyPins gives the plainest part of a kind its optional nodes too.
func anyPins(k Kind) []Part {
	p := plainest(k)
	list := []Part{p}
	if len(k.Nodes) > len(p.Nodes) {
		for i := len(p.Nodes); i < len(k.Nodes); i++ {
			p.Nodes = append(p.Nodes, fmt.Sprintf("n%d", i))
		}
		list = append(list, p)
	}
	return list
}

// Every mode of every kind that can stand in a circuit has acts whose shares add
// up to one; each can be made, changes the circuit and leaves equations that can
// be set up; and no two are the same.
func TestEveryAct(t *testing.T) {
	total := 0
	for _, k := range Kinds() {
		if k.FailsAs == "" {
			if acts := fault.Acts(k.Name, 2); acts != nil {
				t.Errorf("%s cannot fail, but has %d acts", k.Name, len(acts))
			}
			continue
		}
		kind, ok := fault.Find(k.FailsAs)
		if !ok {
			t.Fatalf("%s fails as %q, which package fault does not know", k.Name, k.FailsAs)
		}
		for _, p := range anyPins(k) {
			c, err := New("n1", []Part{p}, Running)
			if err != nil {
				t.Fatal(err)
			}
			shares, made := map[string]float64{}, map[string]string{}
			for _, act := range c.Parts[0].Acts() {
				total++
				shares[act.Mode] += act.Share
				twin, err := c.Failing(Failing{Acts: []Acting{{"X1", act}}})
				if err != nil {
					t.Errorf("%s: %v", k.Name, err)
					continue
				}
				if _, err := twin.Solver(circuit.Settings{}); err != nil && !strings.Contains(err.Error(), "loop") {
					t.Errorf("%s, %s: %v", k.Name, act, err)
				}
				text := act.Mode + textOf(twin)
				if other, twice := made[text]; twice {
					t.Errorf("%s: %q and %q do the same", k.Name, other, act)
				}
				made[text] = act.String()
				if text == act.Mode+textOf(c) {
					t.Errorf("%s: %s changes nothing", k.Name, act)
				}
			}
			for _, m := range kind.Modes {
				if math.Abs(shares[m.Name]-1) > 1e-9 {
					t.Errorf("%s: the acts of %q make up %g of it", k.Name, m.Name, shares[m.Name])
				}
				delete(shares, m.Name)
			}
			for name := range shares {
				t.Errorf("%s: acts of %q, which is no mode of it", k.Name, name)
			}
		}
	}
	if total < 200 {
		t.Errorf("only %d acts were looked at", total)
	}
}

// textOf writes what a circuit is made of.
func textOf(c *Circuit) string {
	var b strings.Builder
	for _, name := range c.Names() {
		part, nodes, _ := c.Circuit.Part(name)
		fmt.Fprintf(&b, "%s %T%+v %v\n", name, part, part, nodes)
	}
	fmt.Fprint(&b, c.Noisy)
	return b.String()
}

func in(value float64, unit quantity.Unit) *quantity.Quantity {
	return &quantity.Quantity{Value: value, Unit: unit}
}

// divider is 10 V on two resistors of 1 kΩ each, with a meter of 10 MΩ or so left
// out.
func divider(t *testing.T) *Circuit {
	t.Helper()
	c, err := New("gnd", []Part{
		{Name: "V1", Kind: "dc source", Value: in(10, volt), Nodes: []string{"in", "gnd"}},
		{Name: "R1", Kind: "resistor", Value: in(1e3, ohm), Nodes: []string{"in", "middle"}},
		{Name: "R2", Kind: "resistor", Value: in(1e3, ohm), Nodes: []string{"middle", "gnd"}},
		{Name: "T1", Kind: "transformer", Settings: []Entry{{"turns", "1 / 1"}, {"inductance", "1 H"}, {"resistance", "10R / 10R"}}, Nodes: []string{"in", "gnd", "other", "gnd"}},
		{Name: "Load", Kind: "load", Settings: []Entry{{"resistance", "1k"}}, Nodes: []string{"other", "gnd"}},
	}, Running)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func level(t *testing.T, c *Circuit, node string) float64 {
	t.Helper()
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPoint(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	v, err := op.Value(circuit.Voltage(node))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A divider reads what Ohm's law says when its parts fail (worked by hand).
func TestTwins(t *testing.T) {
	c := divider(t)
	acts := func(part, mode string, nth int) Failing {
		for _, p := range c.Parts {
			for _, a := range p.Acts() {
				if p.Name == part && a.Mode == mode {
					if nth--; nth < 0 {
						return Failing{Acts: []Acting{{part, a}}}
					}
				}
			}
		}
		t.Fatalf("no act %d of %s %s", nth, part, mode)
		return Failing{}
	}
	both := acts("R1", "drifted high", 1)
	both.Acts = append(both.Acts, acts("R2", "drifted high", 2).Acts...)
	for _, test := range []struct {
		name string
		f    Failing
		node string
		want float64
	}{
		{"sound", Failing{}, "middle", 5},
		{"R1 open", acts("R1", "open", 0), "middle", 10 * 1e3 / (1e3 + 1e3 + 10e6)},
		{"R2 open", acts("R2", "open", 0), "middle", 10 * 10.001e6 / (10.001e6 + 1e3)},
		{"R1 twice as high", acts("R1", "drifted high", 1), "middle", 10. / 3},
		{"R1 twice, R2 ten times as high", both, "middle", 10. * 10 / 12},
		{"loaded with 1 kΩ from outside", Failing{Loads: []Load{{"middle", 1e3}}}, "middle", 10. / 3},
		{"R2 lifted", Failing{Lifted: []string{"R2"}}, "middle", 10},
		{"R1 lifted", Failing{Lifted: []string{"R1"}}, "middle", 0},
		{"R1 and R2 lifted: the node stays", Failing{Lifted: []string{"R1", "R2"}}, "middle", 0},
		{"the source at half", Failing{Sources: map[string]float64{"V1": 0.5}}, "middle", 2.5},
		{"the source unplugged", Failing{Sources: map[string]float64{"V1": 0}}, "middle", 0},
		{"without the load", Failing{Without: []string{"Load"}}, "other", 0},
		{"a part that is lifted does not fail", Failing{Lifted: []string{"R2"}, Acts: acts("R2", "drifted low", 0).Acts}, "middle", 10},
	} {
		t.Run(test.name, func(t *testing.T) {
			before := textOf(c)
			twin, err := c.Failing(test.f)
			if err != nil {
				t.Fatal(err)
			}
			if got := level(t, twin, test.node); math.Abs(got-test.want) > 2e-4*10 {
				t.Errorf("%s reads %g V, want %g V", test.node, got, test.want)
			}
			if textOf(c) != before {
				t.Error("the circuit itself has changed")
			}
		})
	}
}

// A battery that is out, as with the power off, cannot fail: the twin is the one
// without it.
func TestBatteryOut(t *testing.T) {
	volts := &quantity.Quantity{Value: 3.6, Unit: quantity.Volt}
	c, err := New("gnd", []Part{
		{Name: "B1", Kind: "battery", Nodes: []string{"cell", "gnd"}, Value: volts},
		{Name: "R1", Kind: "resistor", Nodes: []string{"cell", "gnd"}, Value: &quantity.Quantity{Value: 1e3, Unit: quantity.Ohm}},
	}, Running)
	if err != nil {
		t.Fatal(err)
	}
	for _, act := range c.Parts[0].Acts() {
		for share, want := range map[float64]bool{0: false, 1: true} {
			twin, err := c.Failing(Failing{Acts: []Acting{{"B1", act}}, Sources: map[string]float64{"B1": share}})
			if err != nil {
				t.Fatalf("%s, at a share of %g: %v", act, share, err)
			}
			if in := twin.at("B1") >= 0; in != want {
				t.Errorf("%s, at a share of %g: in the circuit %v", act, share, in)
			}
		}
	}
}

// Shorted turns: a tenth of the turns of a winding of 10 Ω load it like
// 10 Ω / 0.1 = 100 Ω, by the square of the turns (worked by hand).
func TestShortedTurns(t *testing.T) {
	c := divider(t)
	for _, a := range fault.Acts("transformer", 4) {
		if a.Mode != "shorted turns" || a.Changes[0].Value != 10 {
			continue
		}
		twin, err := c.Failing(Failing{Acts: []Acting{{"T1", a}}})
		if err != nil {
			t.Fatal(err)
		}
		part, _, _ := twin.Circuit.Part("T1 fault 1")
		if r := part.(circuit.Resistor).Resistance; math.Abs(r-100) > 1e-9 {
			t.Errorf("%s is a load of %g Ω, want 100 Ω", a, r)
		}
		return
	}
	t.Error("no act with a tenth of the turns")
}

// What is asked for and cannot be is said.
func TestFailingMistakes(t *testing.T) {
	c := divider(t)
	change := func(ch fault.Change) Failing {
		return Failing{Acts: []Acting{{"R1", fault.Act{Mode: "test", Changes: []fault.Change{ch}}}}}
	}
	for _, test := range []struct {
		f    Failing
		want string
	}{
		{Failing{Lifted: []string{"R9"}}, `no part "R9"`},
		{Failing{Without: []string{"R9"}}, `no part "R9"`},
		{Failing{Acts: []Acting{{"R9", fault.Act{}}}}, `no part "R9"`},
		{Failing{Loads: []Load{{"nowhere", 1}}}, `no node "nowhere"`},
		{Failing{Loads: []Load{{"middle", 0}}}, "greater than 0"},
		{Failing{Loads: []Load{{"middle", math.NaN()}}}, "greater than 0"},
		{Failing{Sources: map[string]float64{"R1": 1}}, "the sources are V1"},
		{Failing{Sources: map[string]float64{"V1": math.NaN()}}, "share of 0 or more"},
		{Failing{Sources: map[string]float64{"V9": 1}}, `no part "V9"`},
		{change(fault.Change{Effect: fault.InLead, Pins: []string{"base"}, Value: 1}), "the pins are one end, other end"},
		{change(fault.Change{Effect: fault.Times, Parameter: "gain", Value: 1}), `no figure "gain"`},
		{change(fault.Change{Effect: fault.Times, Parameter: "resistance", Value: -1}), "greater than 0"},
		{change(fault.Change{Effect: fault.Across, Pins: []string{"one end"}, Value: 1}), "two pins"},
		{change(fault.Change{Effect: fault.InLead, Element: "x", Pins: []string{"anode"}, Value: 1}), "no inner part"},
	} {
		if _, err := c.Failing(test.f); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: %v, want %q", test.f, err, test.want)
		}
	}
}
