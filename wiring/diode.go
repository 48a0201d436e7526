package wiring

import (
	"strings"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

var diodeNodes = []string{"anode", "cathode"}

// diodeKinds are diodes, bridges, zeners, thyristors and references.
func diodeKinds() []Kind {
	junction := []Setting{
		{Name: "forward drop", Unit: volt, Like: "0.95 V", Text: "Forward voltage, at the forward current."},
		{Name: "forward current", Unit: ampere, Like: "1 A", Text: "Current at which the forward drop is stated; the rated current, or 10 mA for small ones, when not given."},
		{Name: "series resistance", Unit: ohm, Like: "0R05", Text: "Slope of the forward voltage at large currents.", Zero: true},
		{Name: "breakdown", Unit: volt, Like: "480 V", Text: "Reverse voltage at which it breaks down; 1.2 times the rated voltage when not given."},
		{Name: "capacitance", Unit: farad, Like: "25 pF", Text: "Of the junction at no voltage.", Zero: true},
		{Name: "recovery", Unit: second, Like: "50 ns", Text: "Reverse recovery time.", Zero: true},
		{Name: "law", Words: []string{"junction", "straight"}, Like: "straight", Text: "Straight draws it with a ruler: off below the drop, a straight slope above. Junction when not given."},
	}
	gate := []Setting{
		{Name: "gate voltage", Unit: volt, Like: "0.8 V", Text: "Voltage of the gate when triggered; 0.8 V when not given."},
		{Name: "gate current", Unit: ampere, Like: "5 mA", Text: "Current that triggers it; 5 mA for a thyristor, 25 mA for a triac when not given."},
		{Name: "holding current", Unit: ampere, Like: "10 mA", Text: "Current below which it turns off; 10 mA for a thyristor, 25 mA for a triac when not given."},
		{Name: "on voltage", Unit: volt, Like: "1 V", Text: "Voltage when on; 0.9 V for a thyristor, 1 V for a triac when not given."},
		{Name: "slope resistance", Unit: ohm, Like: "0R05", Text: "Slope of the on voltage; 50 mΩ when not given."},
	}
	average := []quantity.Unit{volt}
	return []Kind{
		{Name: "diode", FailsAs: "diode", Text: "a small silicon diode for 100 mA and 100 V; with Schottky or germanium in its type, one of these", Nodes: diodeNodes, rates: average, build: buildDiode, Settings: junction},
		{Name: "rectifier", FailsAs: "rectifier", Text: "1 A and 400 V when not rated; fast or Schottky when its type says so", Others: []string{"rectifier diode"},
			Nodes: diodeNodes, rates: average, build: buildDiode, Settings: junction},
		{Name: "bridge", FailsAs: "rectifier", Text: "four rectifiers", Others: []string{"bridge rectifier"}, Nodes: []string{"one ac", "other ac", "+", "-"}, rates: average, build: buildBridge, Settings: junction},
		{Name: "led", FailsAs: "diode", Text: "a light-emitting diode; its drop follows from the colour in its type: red 1.8 V, yellow or green 2.1 V, blue or white 3.2 V, infrared 1.2 V at 10 mA", Nodes: diodeNodes, build: buildLED, Settings: []Setting{
			{Name: "forward drop", Unit: volt, Like: "1.8 V", Text: "Forward voltage at 10 mA."},
		}},
		{Name: "zener", FailsAs: "zener", Text: "a diode used in breakdown", Nodes: diodeNodes, Value: volt, HasValue: true, Needed: true, build: buildZener, Settings: []Setting{
			{Name: "test current", Unit: ampere, Like: "5 mA", Text: "Current at which its voltage is stated; 5 mA when not given."},
			{Name: "slope resistance", Unit: ohm, Like: "10R", Text: "Dynamic resistance at the test current; 10 Ω when not given."},
			{Name: "forward drop", Unit: volt, Like: "0.75 V", Text: "Forward voltage at 10 mA; 0.75 V when not given."},
			{Name: "capacitance", Unit: farad, Like: "100 pF", Text: "Of the junction at no voltage; none when not given.", Zero: true},
		}},
		{Name: "reference", FailsAs: "zener", Text: "an adjustable shunt reference; its value is the voltage at which it holds its reference pin", Others: []string{"shunt reference", "shunt regulator"},
			Nodes: []string{"cathode", "anode", "reference"}, Value: volt, HasValue: true, build: buildReference, Settings: []Setting{
				{Name: "transconductance", Unit: quantity.Siemens, Like: "4 S", Text: "Cathode current over reference voltage; 4 S when not given."},
				{Name: "minimum current", Unit: ampere, Like: "0.4 mA", Text: "Least cathode current at which it regulates; 0.4 mA when not given."},
				{Name: "current limit", Unit: ampere, Like: "150 mA", Text: "Most cathode current; 150 mA when not given."},
				{Name: "reference current", Unit: ampere, Like: "2 uA", Text: "Into the reference pin; 2 µA when not given."},
			}},
		{Name: "thyristor", FailsAs: "thyristor", Text: "blocks until its gate is triggered", Others: []string{"crowbar", "scr"}, Nodes: []string{"anode", "cathode", "gate"},
			rates: []quantity.Unit{volt}, build: buildThyristor, Settings: gate},
		{Name: "triac", FailsAs: "thyristor", Text: "conducts either way once triggered", Nodes: []string{"main 2", "main 1", "gate"}, rates: []quantity.Unit{volt}, build: buildTriac, Settings: gate},
	}
}

// straightDiode is the diode drawn with a ruler, when that is asked for.
func (r *reader) straightDiode(d circuit.Diode) circuit.Part {
	if r.word("law", "junction") == "straight" {
		return circuit.StraightDiode{ForwardDrop: d.ForwardDrop, SlopeResistance: d.SeriesResistance}
	}
	return d
}

// diode reads a diode or rectifier. The germanium figures (0.3 V at 10 mA, 1 V
// at 100 mA or so) are common practice, no source.
func (r *reader) diode() circuit.Diode {
	amperes, volts := r.rated(ampere), r.rated(volt)
	var d circuit.Diode
	switch {
	case r.says("schottky"):
		d = circuit.SchottkyRectifier(amperes, volts)
	case r.says("germanium"):
		d = circuit.Diode{ForwardDrop: 0.3, ForwardCurrent: 0.01, Ideality: 1.5, SeriesResistance: 5, JunctionCapacitance: 1e-12}
	case r.kind.Name == "diode" && amperes < 0.5:
		d = circuit.SmallSignalDiode()
		if volts > 0 {
			d.Breakdown = 1.2 * volts
		}
	case r.says("fast", "switching"):
		d = circuit.FastRectifier(amperes, volts)
	default:
		d = circuit.Rectifier(amperes, volts)
	}
	r.change("forward drop", &d.ForwardDrop)
	r.change("forward current", &d.ForwardCurrent)
	r.change("series resistance", &d.SeriesResistance)
	r.change("breakdown", &d.Breakdown)
	r.change("capacitance", &d.JunctionCapacitance)
	r.change("recovery", &d.StorageTime)
	return d
}

func buildDiode(r *reader, b *board) {
	b.part(r.straightDiode(r.diode()))
	b.carries(circuit.Current(r.part.Name))
}

// buildBridge makes four rectifiers, named after the two nodes each lies between.
func buildBridge(r *reader, b *board) {
	if len(r.part.Nodes) != 4 {
		return
	}
	d := r.straightDiode(r.diode())
	name := r.part.Name
	one, other, plus, minus := r.part.Nodes[0], r.part.Nodes[1], r.part.Nodes[2], r.part.Nodes[3]
	b.within(name+" one ac to +", d, one, plus)
	b.within(name+" other ac to +", d, other, plus)
	b.within(name+" - to one ac", d, minus, one)
	b.within(name+" - to other ac", d, minus, other)
	b.carries(circuit.Current(name+" one ac to +"), circuit.Current(name+" other ac to +"))
}

func buildLED(r *reader, b *board) {
	drop := 1.8
	switch {
	case r.says("infrared"):
		drop = 1.2
	case r.says("yellow", "green"):
		drop = 2.1
	case r.says("blue", "white"):
		drop = 3.2
	}
	b.part(circuit.LED(r.number("forward drop", drop)))
	b.carries(circuit.Current(r.part.Name))
}

func buildZener(r *reader, b *board) {
	b.part(circuit.Zener{Voltage: r.value(0), TestCurrent: r.number("test current", 0), SlopeResistance: r.number("slope resistance", 0),
		ForwardDrop: r.number("forward drop", 0), Capacitance: r.number("capacitance", 0)})
	b.spread("breakdown")
}

func buildReference(r *reader, b *board) {
	b.part(circuit.Reference{Voltage: r.value(0), Transconductance: r.number("transconductance", 0), MinimumCurrent: r.number("minimum current", 0),
		CurrentLimit: r.number("current limit", 0), InputCurrent: r.number("reference current", 0)})
}

func buildThyristor(r *reader, b *board) {
	b.part(circuit.Thyristor{GateVoltage: r.number("gate voltage", 0), GateCurrent: r.number("gate current", 0), HoldingCurrent: r.number("holding current", 0),
		OnVoltage: r.number("on voltage", 0), SlopeResistance: r.number("slope resistance", 0)})
	b.carries(circuit.Current(r.part.Name))
}

func buildTriac(r *reader, b *board) {
	b.part(circuit.Triac{GateVoltage: r.number("gate voltage", 0), GateCurrent: r.number("gate current", 0), HoldingCurrent: r.number("holding current", 0),
		OnVoltage: r.number("on voltage", 0), SlopeResistance: r.number("slope resistance", 0)})
}

// article puts "a" or "an" before a kind.
func article(kind string) string {
	if kind != "" && strings.ContainsRune("aeio", rune(kind[0])) {
		return "an " + kind
	}
	return "a " + kind
}
