package wiring

import (
	"math"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

// Shorthands for the tables of settings.
const (
	volt    = quantity.Volt
	ampere  = quantity.Ampere
	ohm     = quantity.Ohm
	farad   = quantity.Farad
	henry   = quantity.Henry
	hertz   = quantity.Hertz
	second  = quantity.Second
	watt    = quantity.Watt
	percent = quantity.Percent
	plain   = quantity.None
)

var twoEnds = []string{"one end", "other end"}

// passiveKinds are resistors, capacitors, fuses and lamps.
func passiveKinds() []Kind {
	resistor := Kind{Nodes: twoEnds, Value: ohm, HasValue: true, Needed: true, rates: []quantity.Unit{watt, volt}, build: buildResistor, Settings: []Setting{
		{Name: "temperature coefficient", Unit: quantity.PPMPerKelvin, Like: "100 ppm/K", Text: "Change of resistance with temperature; none when not given.", Any: true},
	}}
	capacitor := Kind{Value: farad, HasValue: true, Needed: true, rates: []quantity.Unit{volt}, build: buildCapacitor, Settings: []Setting{
		{Name: "esr", Unit: ohm, Like: "0R1", Text: "Series resistance.", Zero: true},
		{Name: "loss", Unit: percent, Like: "12 %", Text: "Loss factor tan δ, in place of the series resistance; at 100 Hz for electrolytics and tantalums, at 1 kHz for others."},
		{Name: "leakage", Unit: ampere, Like: "50 uA", Text: "Leakage current at the rated voltage, or at 1 V when no voltage is rated."},
		{Name: "insulation", Unit: ohm, Like: "100M", Text: "Leakage as a resistance, in place of the current."},
		{Name: "charged to", Unit: volt, Like: "12 V", Text: "Voltage at the moment of switching on; none when not given.", Any: true},
	}}
	as := func(k Kind, name, text string) Kind {
		k.Name, k.FailsAs, k.Text = name, name, text
		return k
	}
	polar, plainCapacitor := capacitor, capacitor
	polar.Nodes, plainCapacitor.Nodes = []string{"+", "-"}, twoEnds
	return []Kind{
		as(resistor, "resistor", "a resistor"),
		as(resistor, "carbon resistor", "a resistor"),
		as(resistor, "power resistor", "a resistor"),
		{Name: "potentiometer", FailsAs: "potentiometer", Text: "a track with a wiper", Nodes: []string{"one end", "wiper", "other end"}, Value: ohm, HasValue: true, Needed: true,
			rates: []quantity.Unit{watt}, build: buildPotentiometer, Settings: []Setting{
				{Name: "position", Unit: percent, Like: "30 %", Text: "How far the wiper is from the one end; 50 % when not given.", Zero: true},
				{Name: "wiper resistance", Unit: ohm, Like: "2R", Text: "Contact resistance of the wiper; none when not given.", Zero: true},
			}},
		as(polar, "electrolytic", "loss factor 12 % at 100 Hz, leakage 0.003 CV when not given"),
		as(polar, "tantalum", "loss factor 6 % at 100 Hz, leakage 0.01 CV when not given"),
		as(plainCapacitor, "film capacitor", "no loss and no leakage when not given"),
		as(plainCapacitor, "ceramic capacitor", "no loss and no leakage when not given"),
		as(plainCapacitor, "paper capacitor", "no loss and no leakage when not given"),
		{Name: "fuse", FailsAs: "fuse", Text: `blows as its melting integral and 1.6 times its current say; quick unless the type says slow, time-lag or T`, Nodes: twoEnds,
			Value: ampere, HasValue: true, Needed: true, build: buildFuse, Settings: []Setting{
				{Name: "melting integral", Unit: quantity.AmpereSquaredSecond, Like: "2.5 A²s", Text: "I²t that melts it; 2 s times the square of its current, 25 s when slow, when not given."},
				{Name: "resistance", Unit: ohm, Like: "0R1", Text: "Cold resistance; 0.1 V over its current when not given."},
			}},
		{Name: "lamp", FailsAs: "lamp", Text: "a tungsten filament; its rated current or power must be known", Nodes: twoEnds, Value: volt, HasValue: true, Needed: true, build: buildLamp},
	}
}

func buildResistor(r *reader, b *board) {
	b.part(circuit.Resistor{Resistance: r.value(0), TemperatureCoefficient: r.number("temperature coefficient", 0)})
	b.spread("resistance")
}

func buildPotentiometer(r *reader, b *board) {
	position := r.number("position", 0.5)
	if position > 1 {
		r.wrongSetting("position", `"position" lies beyond the other end`, "write 0 % to 100 %")
	}
	b.part(circuit.Potentiometer{Resistance: r.value(0), Position: position, WiperResistance: r.number("wiper resistance", 0)})
	b.spread("resistance")
}

// capacitorHabits are what a kind of capacitor is like when nothing more is
// known: its loss factor, at which frequency, and its leakage over CV, in 1/s.
// Electrolytics as [circuit.Electrolytic]; tantalums as solid types are
// commonly specified (0.01 CV); common practice, no single source.
var capacitorHabits = map[string]struct{ loss, frequency, leakage float64 }{
	"electrolytic": {0.12, 100, 0.003},
	"tantalum":     {0.06, 100, 0.01},
}

func buildCapacitor(r *reader, b *board) {
	habits := capacitorHabits[r.kind.Name]
	c := circuit.Capacitor{Capacitance: r.value(0), InitialVoltage: r.number("charged to", 0)}
	frequency := habits.frequency
	if frequency == 0 {
		frequency = 1000
	}
	if c.Capacitance > 0 {
		c.SeriesResistance = r.number("loss", habits.loss) / (2 * math.Pi * frequency * c.Capacitance)
		if habits.leakage > 0 {
			c.LeakageResistance = 1 / (habits.leakage * c.Capacitance)
		}
	}
	if r.has("esr") && r.has("loss") {
		r.wrongSetting("loss", `"esr" and "loss" say the same`, "keep one of the two")
	}
	if r.has("leakage") && r.has("insulation") {
		r.wrongSetting("insulation", `"leakage" and "insulation" say the same`, "keep one of the two")
	}
	r.change("esr", &c.SeriesResistance)
	r.change("insulation", &c.LeakageResistance)
	if r.has("leakage") {
		volts := r.rated(volt)
		if volts == 0 {
			volts = 1
		}
		c.LeakageResistance = volts / r.number("leakage", 0)
	}
	b.part(c)
	b.spread("capacitance")
	if r.kind.Nodes[0] == "+" {
		b.polarised()
	}
}

func buildFuse(r *reader, b *board) {
	f := circuit.Fuse{Rated: r.value(0), Resistance: r.number("resistance", 0), MeltingIntegral: r.number("melting integral", 0)}
	if f.MeltingIntegral == 0 && (r.says("slow", "time-lag", "time lag", "anti-surge") || r.typeText == "t") {
		f.MeltingIntegral = 25 * f.Rated * f.Rated
	}
	b.part(f)
}

func buildLamp(r *reader, b *board) {
	l := circuit.Lamp{RatedVoltage: r.value(0), RatedCurrent: r.rated(ampere)}
	if p := r.rated(watt); l.RatedCurrent == 0 && l.RatedVoltage > 0 {
		l.RatedCurrent = p / l.RatedVoltage
	}
	if l.RatedCurrent == 0 {
		r.missing("rated", "the current of the lamp is not known", `write it or its power, as in "rated: 40 W"`)
	}
	b.part(l)
}
