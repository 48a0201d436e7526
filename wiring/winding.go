package wiring

import (
	"fmt"
	"math"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

// windingKinds are coils and transformers.
func windingKinds() []Kind {
	return []Kind{
		{Name: "inductor", FailsAs: "inductor", Text: "a coil", Nodes: twoEnds, Value: henry, HasValue: true, Needed: true,
			rates: []quantity.Unit{ampere}, build: buildInductor, Settings: []Setting{
				{Name: "resistance", Unit: ohm, Like: "0R2", Text: "Resistance of the wire; none when not given.", Zero: true},
				{Name: "current at the start", Unit: ampere, Like: "0.1 A", Text: "Current at the moment of switching on; none when not given.", Any: true},
			}},
		{Name: "transformer", FailsAs: "transformer", Text: "windings on one core; the begins are the ends with the dot", Windings: true, build: buildTransformer, Settings: []Setting{
			{Name: "voltages", Unit: volt, Like: "230 V / 18 V / 18 V", Text: "Of each winding at the rated load, as a mains transformer states them; with a rating such as \"rated: 30 VA\", 30 VA when not given.", List: true},
			{Name: "turns", Unit: plain, Like: "90 / 5 / 5", Text: "Turns of each winding, or their ratio, in place of the voltages.", List: true},
			{Name: "inductance", Unit: henry, Like: "1.2 mH", Text: "Of the first winding with the others open; from the rating when voltages are given."},
			{Name: "coupling", Unit: percent, Like: "98 %", Text: "Coupling factor between windings; complete when not given."},
			{Name: "leakage inductance", Unit: henry, Like: "20 uH", Text: "Of each winding, or of the first alone, in place of the coupling.", List: true, Zero: true},
			{Name: "resistance", Unit: ohm, Like: "12R / 0R4 / 0R4", Text: "Of each winding; from the rating when voltages are given.", List: true, Zero: true},
			{Name: "regulation", Unit: percent, Like: "12 %", Text: "Rise of the voltage without load; from the rating when not given."},
			{Name: "core loss", Unit: watt, Like: "1.2 W", Text: "What the core turns into heat at the rated voltages; 4 % of the rating when voltages are given, else none.", Zero: true},
			{Name: "frequency", Unit: hertz, Like: "60 Hz", Text: "Mains frequency that the voltages are for; 50 Hz when not given."},
		}},
	}
}

func buildInductor(r *reader, b *board) {
	b.part(circuit.Inductor{Inductance: r.value(0), Resistance: r.number("resistance", 0), InitialCurrent: r.number("current at the start", 0)})
	b.spread("inductance")
}

// buildTransformer makes a transformer from turns and inductance, or from the
// plate of a mains transformer.
func buildTransformer(r *reader, b *board) {
	n := len(r.part.Nodes) / 2
	t := circuit.Transformer{Windings: make([]circuit.Winding, n)}
	turns, volts := r.numbers["turns"], r.numbers["voltages"]
	switch {
	case turns == nil && volts == nil:
		r.missing("settings", "nothing says how the windings compare", `give "settings" with voltages, as in "voltages: 230 V / 18 V", or turns, as in "turns: 90 / 5"`)
		return
	case turns != nil && volts != nil:
		r.wrongSetting("turns", `"turns" and "voltages" say the same`, "keep one of the two")
		return
	}
	for _, name := range []string{"turns", "voltages", "resistance", "leakage inductance"} {
		list := r.numbers[name]
		if list != nil && len(list) != n && !(name == "leakage inductance" && len(list) == 1) {
			r.wrongSetting(name, fmt.Sprintf("%q has %d figures for the %d windings that the nodes make", name, len(list), n), "write one for each winding, with strokes between")
			return
		}
	}
	if volts != nil {
		mainsTransformer(r, &t, volts)
	} else {
		for i := range t.Windings {
			t.Windings[i].Turns = turns[i]
		}
		if !r.has("inductance") {
			r.missing("settings", "the inductance of the first winding is missing", `write it under settings, as in "inductance: 1.2 mH"`)
		}
		if r.has("core loss") {
			r.wrongSetting("core loss", `"core loss" holds at the rated voltages, and there are none`, `give "voltages" in place of "turns", or leave it out`)
		}
	}
	r.change("inductance", &t.Magnetizing)
	for i, ohms := range r.numbers["resistance"] {
		t.Windings[i].Resistance = ohms
	}
	leak(r, &t)
	b.part(t)
}

// mainsTransformer fills in what the plate of a mains transformer implies. The
// rise of voltage without load, shared evenly between the first winding and the
// others, gives the resistances; a tenth of the rating magnetises the core, and
// 4 % become heat in it. The regulation of small transformers by size and the
// share for the core are common practice, no source.
func mainsTransformer(r *reader, t *circuit.Transformer, volts []float64) {
	power := r.rated(quantity.VoltAmpere)
	if power == 0 {
		power = 30
	}
	regulation := 0.05
	switch {
	case power <= 10:
		regulation = 0.25
	case power <= 50:
		regulation = 0.15
	case power <= 200:
		regulation = 0.1
	}
	r.change("regulation", &regulation)
	frequency := r.number("frequency", 50)
	t.Magnetizing = volts[0] * volts[0] / (0.1 * power * 2 * math.Pi * frequency)
	if loss := r.number("core loss", 0.04*power); loss > 0 {
		t.CoreLoss = volts[0] * volts[0] / loss
	}
	t.Windings[0] = circuit.Winding{Turns: volts[0], Resistance: regulation / 2 * volts[0] * volts[0] / power}
	share := power / float64(len(volts)-1)
	for i := 1; i < len(volts); i++ {
		t.Windings[i] = circuit.Winding{Turns: volts[i] * (1 + regulation), Resistance: regulation / 2 * volts[i] * volts[i] / share}
	}
}

// leak shares out the leakage.
func leak(r *reader, t *circuit.Transformer) {
	for i, henries := range r.numbers["leakage inductance"] {
		t.Windings[i].Leakage = henries
	}
	if !r.has("coupling") {
		return
	}
	k := r.number("coupling", 1)
	switch {
	case k > 1:
		r.wrongSetting("coupling", `"coupling" is above 100 %`, "write at most 100 %, as in 98 %")
		return
	case r.has("leakage inductance"):
		r.wrongSetting("coupling", `"coupling" and "leakage inductance" say the same`, "keep one of the two")
		return
	}
	// With L the inductance of the first winding, k L is in the core.
	whole := t.Magnetizing
	t.Magnetizing = k * whole
	for i := range t.Windings {
		ratio := t.Windings[i].Turns / t.Windings[0].Turns
		t.Windings[i].Leakage = (1 - k) * whole * ratio * ratio
	}
}
