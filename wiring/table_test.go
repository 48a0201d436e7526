package wiring

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfsplit/circuit"
	"halfsplit/fault"
	"halfsplit/quantity"
)

// plainest is a part of a kind with no more said than must be.
func plainest(k Kind) Part {
	p := Part{Name: "X1", Kind: k.Name}
	for i, n := range k.Nodes {
		if !strings.HasPrefix(n, "[") {
			p.Nodes = append(p.Nodes, fmt.Sprintf("n%d", i))
		}
	}
	if k.Windings {
		p.Nodes = []string{"a", "b", "c", "d", "e", "f"}
		p.Settings = []Entry{{"voltages", "230 V / 18 V / 18 V"}}
	}
	if k.Needed {
		q, err := quantity.Parse(k.Value.Example())
		if err != nil { // a shorthand, as 4k7
			q, _ = quantity.ParseAs(k.Value.Example(), k.Value)
		}
		p.Value = &q
	}
	switch k.Name {
	case "lamp":
		p.Rated = []quantity.Quantity{{Value: 40, Unit: watt}}
	case "pulse source":
		p.Settings = []Entry{{"width", "10 us"}, {"period", "1 ms"}}
	case "load":
		p.Settings = []Entry{{"resistance", "33R"}}
	}
	return p
}

// built gives the parts of the solver as text, to compare.
func built(t *testing.T, p Part) string {
	t.Helper()
	c, err := New("n1", []Part{p}, SwitchedOn)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, name := range c.Names() {
		part, nodes, _ := c.Part(name)
		fmt.Fprintf(&b, "%s %T%+v %v\n", name, part, part, nodes)
	}
	fmt.Fprintf(&b, "driven %v", c.Driven)
	return b.String()
}

// instead are what has to stand beside a setting, in place of what the plainest
// part has.
var instead = map[string][]Entry{
	"transformer turns": {{"inductance", "1 H"}},
	"load current":      {{"voltage", "12 V"}}, "load power": {{"voltage", "12 V"}}, "load voltage": {{"current", "1 A"}},
}

// Every setting of every kind is read with its own example, and makes a
// difference; every kind is known to package fault under all its names, unless
// it is a source or load.
func TestEveryKind(t *testing.T) {
	for _, k := range Kinds() {
		t.Run(k.Name, func(t *testing.T) {
			for _, name := range append([]string{k.Name}, k.Others...) {
				if _, ok := fault.Find(name); ok != (k.FailsAs != "") {
					t.Errorf("%q is known to package fault: %v", name, ok)
				}
			}
			p := plainest(k)
			for _, m := range Check(p) {
				t.Errorf("the plainest: %v", m)
			}
			standard := built(t, p)
			if s, err := New("n1", []Part{p}, SwitchedOn); err != nil || len(s.Names()) == 0 {
				t.Errorf("no parts: %v", err)
			}
			for _, s := range k.Settings {
				with := p
				if beside, ok := instead[k.Name+" "+s.Name]; ok {
					with.Settings = beside
				}
				with.Settings = without(with.Settings, s.Name)
				with.Settings = append(with.Settings, Entry{s.Name, example(k, s)})
				for _, m := range Check(with) {
					t.Errorf("%s: %s: %v", s.Name, s.Like, m)
				}
				if got := built(t, with); got == standard {
					t.Errorf("setting %s: %s makes no difference:\n%s", s.Name, s.Like, got)
				}
			}
		})
	}
}

func without(list []Entry, name string) []Entry {
	var rest []Entry
	for _, e := range list {
		if e.Name != name {
			rest = append(rest, e)
		}
	}
	return rest
}

// example is the example of a setting, or for those whose example is the
// standard value something else.
func example(k Kind, s Setting) string {
	switch {
	case k.Name == "transformer" && s.Name == "turns":
		return "90 / 5 / 5"
	case s.Name == "voltages":
		return "115 V / 12 V / 9 V"
	case s.Unit == quantity.None && s.Words == nil:
		return "77"
	case s.Words == nil && sameUnit[s.Unit] != "" && !s.List:
		return sameUnit[s.Unit]
	}
	return s.Like
}

// sameUnit are figures that are the standard of nothing.
var sameUnit = map[quantity.Unit]string{
	volt: "3.21 V", farad: "123 pF", ampere: "3.21 mA", ohm: "3R21", hertz: "321 Hz", henry: "3.21 mH", percent: "32.1 %", quantity.Decibel: "32.1 dB", quantity.Siemens: "3.21 S",
	quantity.VoltPerSecond: "3.21 V/us", second: "321 us", watt: "3.21 W", quantity.Celsius: "132.1 °C",
}

// Figures that the trade writes arrive at the right place of the part in the
// right unit. Standards are those of the constructors of package circuit.
func TestMapping(t *testing.T) {
	q := func(value float64, unit quantity.Unit) *quantity.Quantity {
		return &quantity.Quantity{Value: value, Unit: unit}
	}
	small, high := circuit.SmallTransistor(circuit.P), circuit.HighVoltageSwitch()
	small.Gain, small.TransitionFrequency = 120, 150e6
	for _, c := range []struct {
		name string
		part Part
		want circuit.Part
	}{
		{"resistor", Part{Kind: "carbon resistor", Value: q(4700, ohm), Nodes: []string{"a", "b"}}, circuit.Resistor{Resistance: 4700}},
		{"electrolytic with its series resistance", Part{Kind: "Electrolytic", Value: q(1e-3, farad), Nodes: []string{"a", "b"}, Settings: []Entry{{"esr", "0R1"}, {"insulation", "100k"}}},
			circuit.Capacitor{Capacitance: 1e-3, SeriesResistance: 0.1, LeakageResistance: 100e3}},
		{"leakage at the rated voltage", Part{Kind: "film", Value: q(1e-6, farad), Rated: []quantity.Quantity{*q(100, volt)}, Nodes: []string{"a", "b"}, Settings: []Entry{{"leakage", "1 uA"}}},
			circuit.Capacitor{Capacitance: 1e-6, LeakageResistance: 100e6}},
		{"small pnp", Part{Kind: "transistor", Type: "small PNP", Nodes: []string{"c", "b", "e"}, Settings: []Entry{{"gain", "120"}, {"transition frequency", "150 MHz"}}}, small},
		{"high-voltage switch", Part{Kind: "power transistor", Type: "high-voltage npn", Nodes: []string{"c", "b", "e"}}, high},
		{"1 A rectifier", Part{Kind: "rectifier", Type: "1 A 100 V", Nodes: []string{"a", "k"}}, circuit.Rectifier(1, 100)},
		{"fast rectifier", Part{Kind: "rectifier", Type: "fast", Rated: []quantity.Quantity{*q(3, ampere), *q(600, volt)}, Nodes: []string{"a", "k"}}, circuit.FastRectifier(3, 600)},
		{"Schottky", Part{Kind: "rectifier", Type: "Schottky 5 A 45 V", Nodes: []string{"a", "k"}}, circuit.SchottkyRectifier(5, 45)},
		{"small diode", Part{Kind: "diode", Nodes: []string{"a", "k"}}, circuit.SmallSignalDiode()},
		{"drawn with a ruler", Part{Kind: "rectifier", Nodes: []string{"a", "k"}, Settings: []Entry{{"law", "straight"}, {"forward drop", "0.9 V"}}}, circuit.StraightDiode{ForwardDrop: 0.9, SlopeResistance: 0.05}},
		{"green LED", Part{Kind: "LED", Type: "green, 5 mm", Nodes: []string{"a", "k"}}, circuit.LED(2.1)},
		{"negative regulator", Part{Kind: "regulator", Value: q(-15, volt), Rated: []quantity.Quantity{*q(1, ampere)}, Nodes: []string{"i", "o", "c"}, Settings: []Entry{{"shutdown", "140 C"}}},
			circuit.Regulator{Negative: true, Output: 15, Dropout: 2, CurrentLimit: 1.5, ShutdownAt: 413.15}},
		{"slow fuse", Part{Kind: "fuse", Value: q(2, ampere), Type: "slow", Nodes: []string{"a", "b"}}, circuit.Fuse{Rated: 2, MeltingIntegral: 100}},
		{"lamp by its power", Part{Kind: "lamp", Value: q(230, volt), Type: "60 W", Nodes: []string{"a", "b"}}, circuit.Lamp{RatedVoltage: 230, RatedCurrent: 60.0 / 230}},
		{"load by power", Part{Kind: "load", Nodes: []string{"a", "b"}, Settings: []Entry{{"power", "5 W"}, {"voltage", "5 V"}}}, circuit.Resistor{Resistance: 5}},
		{"mosfet by Ciss, Crss, Coss", Part{Kind: "mosfet", Type: "p-channel", Nodes: []string{"d", "g", "s"}, Settings: []Entry{{"input capacitance", "1 nF"}, {"reverse capacitance", "100 pF"}, {"output capacitance", "300 pF"}}},
			circuit.MOSFET{Polarity: circuit.P, Threshold: 3.2, OnResistance: 0.5, GateDrive: 10, OutputSlope: 0.005, BodyDrop: 0.95, GateSourceCapacitance: 900e-12, GateDrainCapacitance: 100e-12, DrainSourceCapacitance: 200e-12}},
		{"relay by its voltages", Part{Kind: "relay", Rated: []quantity.Quantity{*q(24, volt)}, Nodes: []string{"1", "2", "c", "no"}, Settings: []Entry{{"coil resistance", "1k2"}, {"pull-in", "18 V"}, {"drop-out", "6 V"}}},
			circuit.Relay{CoilResistance: 1200, PullIn: 0.015, DropOut: 0.005, ContactResistance: 0.05}},
		{"mains transformer by its plate", Part{Kind: "transformer", Rated: []quantity.Quantity{*q(25, quantity.VoltAmpere)}, Nodes: []string{"a", "b", "c", "d"}, Settings: []Entry{{"voltages", "200 V / 20 V"}, {"regulation", "10 %"}, {"core loss", "2 W"}}},
			// 0.1·25 VA of magnetizing at 50 Hz, half of the regulation in each winding, 2 W at 200 V
			circuit.Transformer{Magnetizing: 200 * 200 / (2.5 * 2 * math.Pi * 50), CoreLoss: 20e3, Windings: []circuit.Winding{{Turns: 200, Resistance: 80}, {Turns: 22, Resistance: 0.8}}}},
		{"coupling of 90 %", Part{Kind: "transformer", Nodes: []string{"a", "b", "c", "d"}, Settings: []Entry{{"turns", "100:50"}, {"inductance", "1 mH"}, {"coupling", "90 %"}}},
			circuit.Transformer{Magnetizing: 0.9e-3, Windings: []circuit.Winding{{Turns: 100, Leakage: 0.1e-3}, {Turns: 50, Leakage: 0.025e-3}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.part.Name = "X1"
			wired, err := New("b", []Part{c.part}, SwitchedOn)
			if err != nil {
				t.Fatal(err)
			}
			got, _, _ := wired.Part("X1")
			if g, w := fmt.Sprintf("%T %.9v", got, got), fmt.Sprintf("%T %.9v", c.want, c.want); g != w {
				t.Errorf("got  %s\nwant %s", g, w)
			}
		})
	}
}

// What cannot be is answered by what would be right.
func TestMistakes(t *testing.T) {
	two := []string{"a", "b"}
	ohms := &quantity.Quantity{Value: 100, Unit: ohm}
	farads := &quantity.Quantity{Value: 1e-6, Unit: farad}
	for _, c := range []struct {
		part Part
		want string
	}{
		{Part{Kind: "resistor", Value: ohms, Nodes: []string{"a", "b", "c"}}, "a resistor has two nodes, not 3; name them in this order: one end, other end"},
		{Part{Kind: "op-amp", Nodes: two}, "an op-amp has three or five nodes, not 2; name them in this order: in +, in -, out, [supply +], [supply -]"},
		{Part{Kind: "transistor"}, "it names no nodes; name them in this order: collector, base, emitter"},
		{Part{Kind: "resistor", Nodes: two}, "the value is missing"},
		{Part{Kind: "resistor", Value: farads, Nodes: two}, "is in farads; write it in ohms"},
		{Part{Kind: "rectifier", Value: ohms, Nodes: two}, "a rectifier has no value"},
		{Part{Kind: "film", Value: farads, Nodes: two, Settings: []Entry{{"esr", "5 V"}}}, `"esr": cannot read "5 V": this is in volts; a resistance is wanted`},
		{Part{Kind: "film", Value: farads, Nodes: two, Settings: []Entry{{"esr", "-1"}}}, `"esr" is -1 Ω; write a value of zero or more`},
		{Part{Kind: "film", Value: farads, Nodes: two, Settings: []Entry{{"charged to", "5"}}}, `"charged to": "5" has no unit`},
		{Part{Kind: "film", Value: farads, Nodes: two, Settings: []Entry{{"esr", "1R"}, {"loss", "1 %"}}}, `"esr" and "loss" say the same; keep one of the two`},
		{Part{Kind: "film", Value: farads, Nodes: two, Settings: []Entry{{"gain", "1"}}}, `a film has no setting "gain"`},
		{Part{Kind: "diode", Nodes: two, Settings: []Entry{{"law", "curved"}}}, "write junction or straight"},
		{Part{Kind: "transformer", Nodes: []string{"a", "b", "c", "d"}, Settings: []Entry{{"voltages", "230 V / 18 V / 18 V"}}}, `"voltages" has 3 figures for the 2 windings`},
		{Part{Kind: "transformer", Nodes: []string{"a", "b", "c", "d"}, Settings: []Entry{{"turns", "90:5"}, {"inductance", "1 mH"}, {"core loss", "1 W"}}}, `"core loss" holds at the rated voltages`},
		{Part{Kind: "transformer", Nodes: two}, "a transformer has two nodes for each winding"},
		{Part{Kind: "load", Nodes: two}, "nothing says what the load takes"},
		{Part{Kind: "load", Nodes: two, Settings: []Entry{{"current", "1 A"}}}, "the voltage of the load is missing"},
		{Part{Kind: "switch", Nodes: two, Settings: []Entry{{"closes at", "2 ms"}, {"opens at", "1 ms"}}}, "it opens before it closes"},
		{Part{Kind: "chip", Nodes: two}, "a chip cannot be simulated"},
		{Part{Kind: "flux", Nodes: two}, `unknown kind "flux"`},
	} {
		c.part.Name = "X1"
		_, err := New("a", []Part{c.part}, Running)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s %v: %v, want %q", c.part.Kind, c.part.Settings, err, c.want)
		}
	}
}

// A tolerance of the value is one of a parameter that the part has.
func TestTolerances(t *testing.T) {
	for _, k := range Kinds() {
		p := plainest(k)
		if p.Value == nil {
			continue
		}
		p.Tolerance = &quantity.Tolerance{Low: -0.1, High: 0.1, Unit: quantity.Percent}
		c, err := New("n1", []Part{p}, Running)
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		s, err := c.Solver(circuit.Settings{})
		if err != nil {
			continue // a part alone may float
		}
		if _, err := s.Toleranced(); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
	}
}

// FuzzSettings: nothing that somebody may type into a setting panics, and what
// is accepted makes a part that the solver takes, or names a mistake.
func FuzzSettings(f *testing.F) {
	for i, k := range Kinds() {
		for j, s := range k.Settings {
			f.Add(i, j, s.Like)
		}
	}
	for _, text := range []string{"", "/", "1//2", "1 V / ", "-5", "1e309", "0", "∞ V", "5 V V", "\xff", "1 A:2 A"} {
		f.Add(3, 1, text)
		f.Add(11, 0, text)
	}
	f.Fuzz(func(t *testing.T, kind, setting int, text string) {
		k := Kinds()[uint(kind)%uint(len(Kinds()))]
		if len(k.Settings) == 0 {
			return
		}
		s := k.Settings[uint(setting)%uint(len(k.Settings))]
		p := plainest(k)
		p.Settings = append(without(p.Settings, s.Name), Entry{s.Name, text})
		for _, m := range Check(p) {
			if m.Problem == "" || m.Offset < 0 || m.OnText && m.Offset > len(text) {
				t.Errorf("%s: %s: %q: %+v", k.Name, s.Name, text, m)
			}
		}
		c, err := New("n1", []Part{p}, SwitchedOn)
		if err != nil {
			return
		}
		if _, err := c.Solver(circuit.Settings{}); err == nil && len(c.Names()) == 0 {
			t.Error("no parts")
		}
	})
}
