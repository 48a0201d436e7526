package wiring

import (
	"halfsplit/circuit"
)

// contactKinds are switches, relays and whatever makes contact.
func contactKinds() []Kind {
	joint := func(name, text string) Kind {
		return Kind{Name: name, FailsAs: name, Text: text, Nodes: []string{"one side", "other side"}, build: buildContact, Settings: []Setting{
			{Name: "resistance", Unit: ohm, Like: "20m", Text: "10 mΩ when not given."},
		}}
	}
	return []Kind{
		{Name: "switch", FailsAs: "switch", Text: "a contact moved by hand, or an electronic switch drawn as one", Nodes: []string{"one side", "other side"}, build: buildSwitch, Settings: []Setting{
			{Name: "position", Words: []string{"closed", "open"}, Like: "open", Text: "At the beginning; closed when not given, open when it closes later."},
			{Name: "closes at", Unit: second, Like: "10 ms", Text: "Time after switching on; at rest it is taken to be where it ends."},
			{Name: "opens at", Unit: second, Like: "20 ms", Text: "Time after switching on; at rest it is taken to be where it ends."},
			{Name: "contact resistance", Unit: ohm, Like: "50m", Text: "When closed; 50 mΩ when not given."},
			{Name: "leakage resistance", Unit: ohm, Like: "10M", Text: "When open; none passes when not given."},
		}},
		{Name: "relay", FailsAs: "relay", Text: "a coil that moves contacts; 12 V and 0.4 W when not rated", Nodes: []string{"one coil end", "other coil end", "common", "normally open", "[normally closed]"},
			build: buildRelay, Settings: []Setting{
				{Name: "coil resistance", Unit: ohm, Like: "360R", Text: "From 0.4 W at its rated voltage when not given."},
				{Name: "coil inductance", Unit: henry, Like: "0.5 H", Text: "None when not given.", Zero: true},
				{Name: "pull-in", Unit: volt, Like: "8.4 V", Text: "Coil voltage at which it pulls in; 70 % of its rated voltage when not given."},
				{Name: "drop-out", Unit: volt, Like: "2 V", Text: "Coil voltage at which it drops out; a third of the pull-in voltage when not given."},
				{Name: "contact resistance", Unit: ohm, Like: "50m", Text: "50 mΩ when not given."},
			}},
		joint("connector", "a contact"), joint("socket", "a contact"), joint("cable", "a wire"), joint("joint", "a solder joint"), joint("track", "a track or wire link"),
	}
}

func buildContact(r *reader, b *board) {
	b.part(circuit.Resistor{Resistance: r.number("resistance", 10e-3)})
}

// manyTimes is how much longer the clock of a switch that moves once or twice
// runs than its one stroke, so that it does not come round again.
const manyTimes = 1e5

func buildSwitch(r *reader, b *board) {
	s := circuit.Switch{OnResistance: r.number("contact resistance", 50e-3), OffResistance: r.number("leakage resistance", 0)}
	closes, opens := r.number("closes at", 0), r.number("opens at", 0)
	standard := "closed"
	if r.has("closes at") {
		standard = "open"
	}
	s.Closed = r.word("position", standard) == "closed"
	switch {
	case r.has("closes at") && s.Closed:
		r.wrongSetting("position", `a switch that "closes at" a time is open before`, `write "position: open", or leave it out`)
	case r.has("opens at") && !r.has("closes at") && !s.Closed:
		r.wrongSetting("position", `a switch that "opens at" a time is closed before`, `write "position: closed", or leave it out`)
	case r.has("closes at") && r.has("opens at") && opens <= closes:
		r.wrongSetting("opens at", "it opens before it closes", "write a later time, or leave one of the two out")
	case r.when == Running:
		s.Closed = s.Closed && !r.has("opens at") || r.has("closes at") && !r.has("opens at")
	case r.has("opens at"):
		s.Delay, s.Period, s.Duty = closes, (opens-closes)*manyTimes, 1/manyTimes
	case r.has("closes at"):
		s.Delay, s.Period, s.Duty = closes, 1, 1
	}
	b.part(s)
	b.moves(closes, opens)
}

func buildRelay(r *reader, b *board) {
	volts := r.rated(volt)
	if volts == 0 {
		volts = 12
	}
	ohms := r.number("coil resistance", volts*volts/0.4)
	pullIn := r.number("pull-in", 0.7*volts)
	dropOut := r.number("drop-out", pullIn/3)
	if dropOut >= pullIn {
		r.wrongSetting("drop-out", "it drops out at a higher voltage than it pulls in at", "write a lower one")
	}
	b.part(circuit.Relay{CoilResistance: ohms, CoilInductance: r.number("coil inductance", 0), PullIn: pullIn / ohms, DropOut: dropOut / ohms,
		ContactResistance: r.number("contact resistance", 50e-3)})
}
