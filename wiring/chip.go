package wiring

import (
	"math"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

const kelvinAtZeroCelsius = 273.15

// chipKinds are regulators, op-amps and comparators.
func chipKinds() []Kind {
	inputs := []string{"in +", "in -", "out", "[supply +]", "[supply -]"}
	return []Kind{
		{Name: "regulator", FailsAs: "regulator", Text: "a three-terminal regulator; 1.25 V for an adjustable one, below zero for a negative one", Nodes: []string{"in", "out", "common"},
			Value: volt, HasValue: true, Needed: true, Signed: true, rates: []quantity.Unit{watt, ampere}, build: buildRegulator, Settings: []Setting{
				{Name: "dropout", Unit: volt, Like: "2 V", Text: "Voltage it needs between input and output; 2 V when not given."},
				{Name: "current limit", Unit: ampere, Like: "2.2 A", Text: "1.5 times the rated current when not given, 1.5 A when none is rated."},
				{Name: "foldback voltage", Unit: volt, Like: "10 V", Text: "Voltage between input and output above which the limit falls; it does not when not given."},
				{Name: "output resistance", Unit: ohm, Like: "10m", Text: "Load regulation: fall of the output over load current; 10 mΩ when not given."},
				{Name: "quiescent current", Unit: ampere, Like: "5 mA", Text: "Its own current, into its common pin; 5 mA when not given."},
				{Name: "rejection", Unit: quantity.Decibel, Like: "60 dB", Text: "Of ripple at the input; 60 dB when not given."},
				{Name: "thermal resistance", Unit: quantity.KelvinPerWatt, Like: "5 K/W", Text: "From chip to surroundings, with its heatsink; heat is not followed when not given."},
				{Name: "thermal capacity", Unit: quantity.Joule, Like: "5 J", Text: "Heat for one kelvin; 5 J when not given."},
				{Name: "shutdown", Unit: quantity.Celsius, Like: "150 °C", Text: "Temperature at which it protects itself; 150 °C when not given."},
			}},
		{Name: "op-amp", FailsAs: "op-amp", Text: "a slow general-purpose amplifier; without supply nodes it works between its rails", Nodes: inputs, build: buildOpAmp, Settings: []Setting{
			{Name: "gain", Unit: plain, Like: "200000", Text: "Open-loop gain; 200000 when not given."},
			{Name: "gain-bandwidth", Unit: hertz, Like: "1 MHz", Text: "1 MHz when not given."},
			{Name: "slew rate", Unit: quantity.VoltPerSecond, Like: "0.5 V/us", Text: "0.5 V/µs when not given."},
			{Name: "input resistance", Unit: ohm, Like: "2M", Text: "Between the inputs; 2 MΩ when not given."},
			{Name: "output resistance", Unit: ohm, Like: "75R", Text: "75 Ω when not given.", Zero: true},
			{Name: "offset", Unit: volt, Like: "2 mV", Text: "None when not given.", Any: true},
			{Name: "headroom", Unit: volt, Like: "1.5 V", Text: "How far from its rails the output stops; 1.5 V when not given.", Zero: true},
			{Name: "current limit", Unit: ampere, Like: "25 mA", Text: "Of the output; 25 mA when not given."},
			{Name: "supply current", Unit: ampere, Like: "1.7 mA", Text: "From one supply node to the other; 1.7 mA when not given.", Zero: true},
			{Name: "upper rail", Unit: volt, Like: "15 V", Text: "Without supply nodes; 15 V when not given.", Any: true, Zero: true},
			{Name: "lower rail", Unit: volt, Like: "-15 V", Text: "Without supply nodes; -15 V when not given.", Any: true, Zero: true},
		}},
		{Name: "comparator", FailsAs: "op-amp", Text: "an open-collector comparator", Nodes: []string{"in +", "in -", "out"}, build: buildComparator, Settings: []Setting{
			{Name: "output", Words: []string{"open collector", "push-pull"}, Like: "push-pull", Text: "Open collector when not given."},
			{Name: "high", Unit: volt, Like: "5 V", Text: "Output voltage when high, of a push-pull output; 5 V when not given.", Any: true, Zero: true},
			{Name: "low", Unit: volt, Like: "0.2 V", Text: "Output voltage when low; 0.2 V when not given.", Any: true, Zero: true},
			{Name: "output resistance", Unit: ohm, Like: "50R", Text: "50 Ω when not given."},
			{Name: "hysteresis", Unit: volt, Like: "5 mV", Text: "Between going high and going low; none when not given.", Zero: true},
		}},
	}
}

func buildRegulator(r *reader, b *board) {
	limit := 1.5 * r.rated(ampere)
	if limit == 0 {
		limit = 1.5
	}
	u := circuit.Regulator{Negative: r.value(0) < 0, Output: math.Abs(r.value(0)), Dropout: r.number("dropout", 2), CurrentLimit: r.number("current limit", limit),
		FoldbackVoltage: r.number("foldback voltage", 0), OutputResistance: r.number("output resistance", 0), QuiescentCurrent: r.number("quiescent current", 0),
		Rejection: r.number("rejection", 0), ThermalResistance: r.number("thermal resistance", 0), ThermalCapacity: r.number("thermal capacity", 0)}
	if r.has("shutdown") {
		u.ShutdownAt = r.number("shutdown", 0) + kelvinAtZeroCelsius
	}
	b.part(u)
	if len(r.part.Nodes) == 3 {
		from, to := r.part.Nodes[0], r.part.Nodes[1]
		if u.Negative {
			from, to = to, from
		}
		b.needs(circuit.VoltageBetween(from, to), u.Dropout)
	}
}

func buildOpAmp(r *reader, b *board) {
	a := circuit.GeneralOpAmp()
	r.change("gain", &a.Gain)
	r.change("gain-bandwidth", &a.GainBandwidth)
	r.change("slew rate", &a.SlewRate)
	r.change("input resistance", &a.InputResistance)
	r.change("output resistance", &a.OutputResistance)
	r.change("offset", &a.Offset)
	r.change("headroom", &a.Headroom)
	r.change("current limit", &a.CurrentLimit)
	r.change("supply current", &a.SupplyCurrent)
	if len(r.part.Nodes) == 5 {
		for _, name := range []string{"upper rail", "lower rail"} {
			if r.has(name) {
				r.wrongSetting(name, "the rails are those of the supply nodes", "leave the setting out, or the two supply nodes")
			}
		}
	} else {
		a.PositiveRail, a.NegativeRail = r.number("upper rail", 15), r.number("lower rail", -15)
		if a.PositiveRail-a.NegativeRail <= 2*a.Headroom {
			r.wrongSetting("upper rail", "there is no room between the rails", "write them with the upper above the lower by more than twice the headroom")
		}
	}
	b.part(a)
}

func buildComparator(r *reader, b *board) {
	b.part(circuit.Comparator{OpenCollector: r.word("output", "open collector") == "open collector", High: r.number("high", 5), Low: r.number("low", 0.2),
		OutputResistance: r.number("output resistance", 50), Hysteresis: r.number("hysteresis", 0)})
}
