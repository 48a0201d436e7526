package wiring

import (
	"halfsplit/circuit"
	"halfsplit/quantity"
)

// transistorKinds are bipolar and field-effect transistors and optocouplers.
func transistorKinds() []Kind {
	bipolar := Kind{Nodes: []string{"collector", "base", "emitter"}, rates: []quantity.Unit{volt, ampere, watt}, build: buildBipolar, Settings: []Setting{
		{Name: "polarity", Words: []string{"npn", "pnp"}, Like: "pnp", Text: "As its type says, else npn."},
		{Name: "gain", Unit: plain, Like: "120", Text: "Forward current gain; 200 for a small transistor, 60 for a power transistor, 15 for a high-voltage one when not given."},
		{Name: "reverse gain", Unit: plain, Like: "4", Text: "Gain with collector and emitter exchanged."},
		{Name: "base-emitter drop", Unit: volt, Like: "0.65 V", Text: "At 1 mA of collector current."},
		{Name: "early voltage", Unit: volt, Like: "80 V", Text: "Says how far the collector current rises with the collector voltage."},
		{Name: "knee current", Unit: ampere, Like: "100 mA", Text: "Current at which the gain has begun to fall."},
		{Name: "transition frequency", Unit: hertz, Like: "200 MHz", Text: "Where the gain has fallen to 1."},
		{Name: "storage time", Unit: second, Like: "100 ns", Text: "Time it takes to leave saturation.", Zero: true},
		{Name: "emitter capacitance", Unit: farad, Like: "10 pF", Text: "Base to emitter, at no voltage.", Zero: true},
		{Name: "collector capacitance", Unit: farad, Like: "5 pF", Text: "Base to collector, at no voltage.", Zero: true},
	}}
	small, power := bipolar, bipolar
	small.Name, small.FailsAs, small.Text = "transistor", "transistor", "a small general-purpose transistor for 100 mA, unless its type says power or high-voltage"
	power.Name, power.FailsAs, power.Text = "power transistor", "power transistor", "for several ampere; a switch for the primary side when its type says high-voltage"
	fet := []Setting{
		{Name: "polarity", Words: []string{"n-channel", "p-channel"}, Like: "p-channel", Text: "As its type says, else n-channel."},
	}
	return []Kind{small, power,
		{Name: "mosfet", FailsAs: "mosfet", Text: "an enhancement type for switching", Others: []string{"fet"}, Nodes: []string{"drain", "gate", "source"},
			rates: []quantity.Unit{volt, ampere, watt}, build: buildMOSFET, Settings: append(fet[:1:1],
				Setting{Name: "on resistance", Unit: ohm, Like: "0R5", Text: "At the gate drive; 0.5 Ω when not given."},
				Setting{Name: "gate drive", Unit: volt, Like: "10 V", Text: "Gate voltage at which the on resistance is stated; 10 V when not given."},
				Setting{Name: "threshold", Unit: volt, Like: "3 V", Text: "Gate voltage at which it begins to conduct; 3.2 V when not given."},
				Setting{Name: "body drop", Unit: volt, Like: "0.95 V", Text: "Forward voltage of the body diode at 1 A; 0.95 V when not given."},
				Setting{Name: "input capacitance", Unit: farad, Like: "1 nF", Text: "Ciss of the data sheet; 1.05 nF when not given.", Zero: true},
				Setting{Name: "reverse capacitance", Unit: farad, Like: "50 pF", Text: "Crss of the data sheet; 50 pF when not given.", Zero: true},
				Setting{Name: "output capacitance", Unit: farad, Like: "250 pF", Text: "Coss of the data sheet; 250 pF when not given.", Zero: true},
			)},
		{Name: "jfet", FailsAs: "mosfet", Text: "a junction field-effect transistor", Others: []string{"junction fet"}, Nodes: []string{"drain", "gate", "source"},
			rates: []quantity.Unit{volt, ampere, watt}, build: buildJFET, Settings: append(fet[:1:1],
				Setting{Name: "drain current", Unit: ampere, Like: "5 mA", Text: "With the gate at the source, IDSS of the data sheet; 5 mA when not given."},
				Setting{Name: "cut-off", Unit: volt, Like: "2.5 V", Text: "Gate voltage that stops it, its size; 2.5 V when not given."},
				Setting{Name: "input capacitance", Unit: farad, Like: "6 pF", Text: "Ciss of the data sheet; none when not given.", Zero: true},
				Setting{Name: "reverse capacitance", Unit: farad, Like: "2 pF", Text: "Crss of the data sheet; none when not given.", Zero: true},
			)},
		{Name: "optocoupler", FailsAs: "optocoupler", Text: "a light-emitting diode that lights a phototransistor", Nodes: []string{"anode", "cathode", "collector", "emitter"}, build: buildOptocoupler, Settings: []Setting{
			{Name: "transfer ratio", Unit: percent, Like: "80 %", Text: "Collector current over LED current; 100 % when not given."},
			{Name: "forward drop", Unit: volt, Like: "1.2 V", Text: "Of the LED at 10 mA; 1.2 V when not given."},
			{Name: "bandwidth", Unit: hertz, Like: "30 kHz", Text: "Of the phototransistor; 30 kHz when not given."},
			{Name: "dark current", Unit: ampere, Like: "10 nA", Text: "Collector current without light; 10 nA when not given."},
		}},
	}
}

func buildBipolar(r *reader, b *board) {
	polarity := r.polarity()
	var q circuit.Bipolar
	switch {
	case r.says("high-voltage", "high voltage", "line output"):
		q = circuit.HighVoltageSwitch()
		q.Polarity = polarity
	case r.kind.Name == "power transistor" || r.says("power"):
		q = circuit.PowerTransistor(polarity)
	default:
		q = circuit.SmallTransistor(polarity)
	}
	r.change("gain", &q.Gain)
	r.change("reverse gain", &q.ReverseGain)
	r.change("base-emitter drop", &q.BaseEmitterDrop)
	r.change("early voltage", &q.EarlyVoltage)
	r.change("knee current", &q.KneeCurrent)
	r.change("transition frequency", &q.TransitionFrequency)
	r.change("storage time", &q.StorageTime)
	r.change("emitter capacitance", &q.EmitterCapacitance)
	r.change("collector capacitance", &q.CollectorCapacitance)
	b.part(q)
}

func buildMOSFET(r *reader, b *board) {
	m := circuit.PowerMOSFET(r.number("on resistance", 0))
	m.Polarity = r.polarity()
	r.change("gate drive", &m.GateDrive)
	r.change("threshold", &m.Threshold)
	r.change("body drop", &m.BodyDrop)
	if m.GateDrive <= m.Threshold {
		r.wrongSetting("threshold", "the threshold is not below the gate drive", `write the voltage at which the on resistance is stated under "gate drive"`)
	}
	reverse := r.number("reverse capacitance", m.GateDrainCapacitance)
	input := r.number("input capacitance", m.GateSourceCapacitance+m.GateDrainCapacitance)
	output := r.number("output capacitance", m.DrainSourceCapacitance+m.GateDrainCapacitance)
	if input < reverse || output < reverse {
		r.wrongSetting("reverse capacitance", "the reverse capacitance is larger than the input or output capacitance, of which it is a part", "write Ciss, Crss and Coss of the data sheet")
		return
	}
	m.GateDrainCapacitance, m.GateSourceCapacitance, m.DrainSourceCapacitance = reverse, input-reverse, output-reverse
	b.part(m)
}

func buildJFET(r *reader, b *board) {
	reverse := r.number("reverse capacitance", 0)
	input := r.number("input capacitance", reverse)
	if input < reverse {
		r.wrongSetting("reverse capacitance", "the reverse capacitance is larger than the input capacitance, of which it is a part", "write Ciss and Crss of the data sheet")
		return
	}
	b.part(circuit.JFET{Polarity: r.polarity(), SaturatedCurrent: r.number("drain current", 0), CutOff: r.number("cut-off", 0),
		GateSourceCapacitance: input - reverse, GateDrainCapacitance: reverse})
}

func buildOptocoupler(r *reader, b *board) {
	b.part(circuit.Optocoupler{TransferRatio: r.number("transfer ratio", 0), ForwardDrop: r.number("forward drop", 0),
		Bandwidth: r.number("bandwidth", 30e3), Leakage: r.number("dark current", 0)})
}
