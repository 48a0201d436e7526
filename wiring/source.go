package wiring

import (
	"math"

	"halfsplit/circuit"
)

// mainsResistance is that of a household supply: the real part of the reference
// impedance of IEC 60725, phase and neutral together (from memory).
const mainsResistance = 0.4

// sourceKinds are what feeds and loads a circuit.
func sourceKinds() []Kind {
	poles := []string{"+", "-"}
	signal := Setting{Name: "signal", Unit: volt, Like: "1 V", Text: "Size of the small signal that it puts in when the frequency response is asked for; none when not given."}
	inner := Setting{Name: "source resistance", Unit: ohm, Like: "0R1", Text: "None when not given.", Zero: true}
	ofSine, ofCurrent := signal, signal
	ofSine.Text = "Size of the small signal that it puts in when the frequency response is asked for; 1 V when not given."
	ofCurrent.Unit, ofCurrent.Like = ampere, "1 mA"
	timed := func(s ...Setting) []Setting {
		return append(s, Setting{Name: "phase", Unit: plain, Like: "90", Text: "In degrees at the moment of switching on; 0 when not given.", Any: true, Zero: true})
	}
	return []Kind{
		{Name: "battery", FailsAs: "battery", Text: "a battery or cell", Nodes: poles, Value: volt, HasValue: true, Needed: true, build: buildDC, Settings: []Setting{
			{Name: "source resistance", Unit: ohm, Like: "0R5", Text: "0.5 Ω when not given."}}},
		{Name: "dc source", Text: "a supply from elsewhere", Nodes: poles, Value: volt, HasValue: true, Needed: true, Signed: true, build: buildDC, Settings: []Setting{inner,
			{Name: "rise", Unit: second, Like: "1 ms", Text: "Time it takes to come up when switched on; at once when not given."}, signal}},
		{Name: "mains source", Text: "the mains, or a winding given as a meter reads it (RMS)", Nodes: []string{"live", "neutral"}, Value: volt, HasValue: true, Needed: true, build: buildMains, Settings: timed(
			Setting{Name: "frequency", Unit: hertz, Like: "60 Hz", Text: "50 Hz when not given."},
			Setting{Name: "source resistance", Unit: ohm, Like: "0R4", Text: "0.4 Ω when not given, as of a household supply (IEC 60725).", Zero: true})},
		{Name: "sine source", Text: "a signal; its value is RMS", Nodes: poles, Value: volt, HasValue: true, Needed: true, build: buildSine, Settings: timed(
			Setting{Name: "frequency", Unit: hertz, Like: "1 kHz", Text: "1 kHz when not given."},
			Setting{Name: "offset", Unit: volt, Like: "2.5 V", Text: "None when not given.", Any: true, Zero: true}, inner, ofSine)},
		{Name: "pulse source", Text: "a signal that goes between two voltages", Nodes: poles, build: buildPulse, Settings: []Setting{
			{Name: "low", Unit: volt, Like: "0 V", Text: "0 V when not given.", Any: true, Zero: true},
			{Name: "high", Unit: volt, Like: "5 V", Text: "5 V when not given.", Any: true, Zero: true},
			{Name: "delay", Unit: second, Like: "1 ms", Text: "Time until the first pulse; none when not given.", Zero: true},
			{Name: "width", Unit: second, Like: "10 us", Text: "Time at high; half the period when not given."},
			{Name: "rise", Unit: second, Like: "100 ns", Text: "A thousandth of the width when not given."},
			{Name: "fall", Unit: second, Like: "100 ns", Text: "A thousandth of the width when not given."},
			{Name: "period", Unit: second, Like: "25 us", Text: "From pulse to pulse; one pulse alone when not given."},
			inner, signal}},
		{Name: "current source", Text: "drives a current out of its second node", Nodes: []string{"from", "to"}, Value: ampere, HasValue: true, Needed: true, Signed: true, build: buildCurrent, Settings: []Setting{ofCurrent}},
		{Name: "load", Text: "what a rail feeds, as a resistance", Nodes: poles, build: buildLoad, Settings: []Setting{
			{Name: "resistance", Unit: ohm, Like: "10R", Text: "In place of current and voltage."},
			{Name: "current", Unit: ampere, Like: "0.5 A", Text: "Taken at the voltage."},
			{Name: "power", Unit: watt, Like: "5 W", Text: "Taken at the voltage, in place of the current."},
			{Name: "voltage", Unit: volt, Like: "15 V", Text: "Voltage at which it takes the current or power."},
			{Name: "comes on at", Unit: second, Like: "10 ms", Text: "Time after switching on; from the beginning when not given. At rest it is on."},
		}},
	}
}

// stays is how many times its rise a source that came up stays up. Edges are
// told to a billionth of the width, so it must not be larger without need.
const stays = 1e6

func buildDC(r *reader, b *board) {
	inner := 0.0
	if r.kind.Name == "battery" {
		inner = 0.5
	}
	s := circuit.VoltageSource{DC: r.value(0), Resistance: r.number("source resistance", inner), AC: r.number("signal", 0)}
	if r.has("rise") && r.when == SwitchedOn {
		rise := r.number("rise", 0)
		s.Wave = circuit.Pulse{High: s.DC, Rise: rise, Width: stays * rise}
	}
	b.part(s)
	b.spread("voltage")
	b.drives(s.AC)
	b.moves(r.number("rise", 0))
}

func buildMains(r *reader, b *board) {
	frequency := r.number("frequency", 50)
	b.part(circuit.VoltageSource{Wave: circuit.Mains{RMS: r.value(0), Frequency: frequency, Phase: r.number("phase", 0)}, Resistance: r.number("source resistance", mainsResistance)})
	b.repeats(1 / frequency)
}

func buildSine(r *reader, b *board) {
	frequency := r.number("frequency", 1000)
	signal := r.number("signal", 1)
	offset := r.number("offset", 0)
	b.part(circuit.VoltageSource{DC: offset, Wave: circuit.Sine{Offset: offset, Peak: math.Sqrt2 * r.value(0), Frequency: frequency, Phase: r.number("phase", 0)},
		Resistance: r.number("source resistance", 0), AC: signal})
	b.drives(signal)
	b.repeats(1 / frequency)
}

func buildPulse(r *reader, b *board) {
	p := circuit.Pulse{Low: r.number("low", 0), High: r.number("high", 5), Delay: r.number("delay", 0), Period: r.number("period", 0)}
	switch {
	case r.has("width"):
		p.Width = r.number("width", 0)
	case p.Period > 0:
		p.Width = p.Period / 2
	default:
		r.missing("settings", "the width of the pulse is missing", `write it, or the period, under settings, as in "width: 10 us"`)
		return
	}
	p.Rise, p.Fall = r.number("rise", p.Width/1000), r.number("fall", p.Width/1000)
	if p.Period > 0 && p.Rise+p.Width+p.Fall > p.Period {
		r.wrongSetting("period", "rise, width and fall together take longer than the period", "write a longer period or a shorter width")
	}
	signal := r.number("signal", 0)
	b.part(circuit.VoltageSource{DC: p.Low, Wave: p, Resistance: r.number("source resistance", 0), AC: signal})
	b.drives(signal)
	if p.Period > 0 {
		b.repeats(p.Period)
	} else {
		b.moves(p.Delay + p.Rise + p.Width + p.Fall)
	}
}

func buildCurrent(r *reader, b *board) {
	signal := r.number("signal", 0)
	b.part(circuit.CurrentSource{DC: r.value(0), AC: signal})
	b.drives(signal)
}

func buildLoad(r *reader, b *board) {
	ways := 0
	for _, name := range []string{"resistance", "current", "power"} {
		if r.has(name) {
			ways++
		}
	}
	ohms, volts := r.number("resistance", 0), r.number("voltage", 0)
	switch {
	case ways == 0:
		r.missing("settings", "nothing says what the load takes", `write it under settings, as in "current: 0.5 A, voltage: 15 V" or "resistance: 10R"`)
		return
	case ways > 1:
		r.wrongSetting("current", "the load is described in several ways", "keep one of resistance, current and power")
		return
	case !r.has("resistance") && volts == 0:
		r.missing("settings", "the voltage of the load is missing", `write at which voltage it takes that, as in "voltage: 15 V"`)
		return
	case r.has("current"):
		ohms = volts / r.number("current", 0)
	case r.has("power"):
		ohms = volts * volts / r.number("power", 0)
	}
	if !r.has("comes on at") || r.when == Running || len(r.part.Nodes) != 2 {
		b.part(circuit.Resistor{Resistance: ohms})
		return
	}
	// The contact is a thousandth of the load, which its description allows for.
	at := r.number("comes on at", 0)
	inside := r.part.Name + " inside"
	b.within(r.part.Name+" contact", circuit.Switch{OnResistance: ohms / 1000, Delay: at, Period: 1, Duty: 1}, r.part.Nodes[0], inside)
	b.within(r.part.Name, circuit.Resistor{Resistance: ohms * 0.999}, inside, r.part.Nodes[1])
	b.moves(at)
}
