// Package circuits holds invented circuits to time the solving with.
package circuits

import (
	"fmt"

	c "halfsplit/circuit"
)

// Rectifier is a full-wave bridge with reservoir and a three-terminal
// regulator, fed from a 50 Hz winding of 12 V.
func Rectifier() *c.Circuit {
	d := c.Diode{SaturationCurrent: 1e-8, Ideality: 1.8, SeriesResistance: 0.05, Breakdown: 480, BreakdownCurrent: 1e-3, BreakdownIdeality: 1,
		JunctionCapacitance: 25e-12, StorageTime: 3e-6}
	n := c.New("gnd")
	n.Add("V1", c.VoltageSource{Wave: c.Sine{Peak: 17, Frequency: 50}, Resistance: 0.6}, "a", "b")
	n.Add("D1", d, "a", "raw")
	n.Add("D2", d, "b", "raw")
	n.Add("D3", d, "gnd", "a")
	n.Add("D4", d, "gnd", "b")
	n.Add("C1", c.Capacitor{Capacitance: 2200e-6, SeriesResistance: 0.05}, "raw", "gnd")
	n.Add("R1", c.Resistor{Resistance: 10e3}, "raw", "gnd")
	n.Add("U1", c.Regulator{Output: 9, Dropout: 2, CurrentLimit: 1.5, OutputResistance: 10e-3, QuiescentCurrent: 5e-3, Rejection: 60}, "raw", "out", "gnd")
	n.Add("C2", c.Capacitor{Capacitance: 10e-6, SeriesResistance: 0.2}, "out", "gnd")
	n.Add("RL", c.Resistor{Resistance: 18}, "out", "gnd")
	n.Add("RT", c.Resistor{Resistance: 1e6}, "b", "gnd")
	return n
}

// ClockedFlyback is a supply for 12 V from 160 V, clocked at 40 kHz, with leakage
// inductance, clamp and snubber.
func ClockedFlyback() *c.Circuit {
	n := c.New("gnd")
	n.Add("VB", c.VoltageSource{Wave: c.Pulse{High: 160, Rise: 20e-6, Fall: 20e-6, Width: 1}, Resistance: 1}, "hv", "gnd")
	n.Add("CB", c.Capacitor{Capacitance: 1e-6, SeriesResistance: 0.5}, "hv", "gnd")
	n.Add("VG", c.VoltageSource{Wave: c.Pulse{High: 12, Delay: 25e-6, Rise: 100e-9, Fall: 100e-9, Width: 7.9e-6, Period: 25e-6}, Resistance: 5}, "drive", "gnd")
	n.Add("RG", c.Resistor{Resistance: 22}, "drive", "gate")
	n.Add("RP", c.Resistor{Resistance: 10e3}, "gate", "gnd")
	n.Add("Q1", c.MOSFET{Threshold: 3.2, OnResistance: 0.5, GateDrive: 10, OutputSlope: 0.005, BodyDrop: 0.95,
		GateSourceCapacitance: 1e-9, GateDrainCapacitance: 50e-12, DrainSourceCapacitance: 200e-12}, "drain", "gate", "source")
	n.Add("RS", c.Resistor{Resistance: 0.22}, "source", "gnd")
	n.Add("T1", c.Transformer{Magnetizing: 1e-3, Windings: []c.Winding{
		{Turns: 60, Resistance: 0.6, Leakage: 15e-6}, {Turns: 6, Resistance: 0.02, Leakage: 50e-9}}}, "hv", "drain", "gnd", "s")
	fast := c.Diode{SaturationCurrent: 1e-9, Ideality: 1.8, SeriesResistance: 0.05, Breakdown: 720, BreakdownCurrent: 1e-3, BreakdownIdeality: 1,
		JunctionCapacitance: 25e-12, StorageTime: 50e-9}
	n.Add("D1", fast, "drain", "clamp")
	n.Add("CC", c.Capacitor{Capacitance: 10e-9}, "clamp", "hv")
	n.Add("RC", c.Resistor{Resistance: 22e3}, "clamp", "hv")
	n.Add("CX", c.Capacitor{Capacitance: 1e-9, SeriesResistance: 120}, "drain", "gnd")
	n.Add("D2", c.Diode{SaturationCurrent: 1e-6, Ideality: 1.05, SeriesResistance: 0.01, Breakdown: 78, BreakdownCurrent: 1e-3, BreakdownIdeality: 1,
		JunctionCapacitance: 400e-12}, "s", "out")
	n.Add("CS", c.Capacitor{Capacitance: 2.2e-9, SeriesResistance: 10}, "s", "out")
	n.Add("CO", c.Capacitor{Capacitance: 470e-6, SeriesResistance: 0.03}, "out", "gnd")
	n.Add("RL", c.Resistor{Resistance: 6}, "out", "gnd")
	return n
}

// LinearSupply is a mains supply of 41 parts: transformer, bridge, reservoir,
// a regulator of discrete transistors for 12 V with current limit, a
// three-terminal regulator for 5 V, a zener for -6 V, lamps and loads.
func LinearSupply() *c.Circuit {
	n := c.New("gnd")
	n.Add("V1", c.VoltageSource{Wave: c.Mains{RMS: 230}, Resistance: 2}, "live", "neutral")
	n.Add("R1", c.Resistor{Resistance: 1}, "neutral", "gnd")
	n.Add("R2", c.Resistor{Resistance: 10}, "live", "primary")
	n.Add("T1", c.Transformer{Magnetizing: 12, Windings: []c.Winding{
		{Turns: 1150, Resistance: 40, Leakage: 30e-3}, {Turns: 85, Resistance: 0.4}, {Turns: 60, Resistance: 1.5},
	}}, "primary", "neutral", "a", "b", "x", "gnd")
	n.Add("D1", c.Rectifier(3, 200), "a", "raw")
	n.Add("D2", c.Rectifier(3, 200), "b", "raw")
	n.Add("D3", c.Rectifier(3, 200), "gnd", "a")
	n.Add("D4", c.Rectifier(3, 200), "gnd", "b")
	n.Add("C1", c.Electrolytic(3300e-6), "raw", "gnd")
	n.Add("C2", c.Capacitor{Capacitance: 100e-9, SeriesResistance: 0.1}, "raw", "gnd")
	n.Add("R3", c.Resistor{Resistance: 1.5e3}, "raw", "base")
	n.Add("Q1", c.SmallTransistor(c.N), "raw", "base", "drive")
	n.Add("Q2", c.PowerTransistor(c.N), "raw", "drive", "sense")
	n.Add("R4", c.Resistor{Resistance: 330}, "drive", "sense")
	n.Add("R5", c.Resistor{Resistance: 0.47}, "sense", "out")
	n.Add("Q3", c.SmallTransistor(c.N), "base", "limit", "out")
	n.Add("R6", c.Resistor{Resistance: 100}, "sense", "limit")
	n.Add("Q4", c.SmallTransistor(c.N), "base", "tap", "zener")
	n.Add("D5", c.Zener{Voltage: 5.6}, "gnd", "zener")
	n.Add("R7", c.Resistor{Resistance: 1.2e3}, "out", "zener")
	n.Add("R8", c.Resistor{Resistance: 3.9e3}, "out", "upper")
	n.Add("P1", c.Potentiometer{Resistance: 1e3, Position: 0.5}, "upper", "tap", "lower")
	n.Add("R9", c.Resistor{Resistance: 4.7e3}, "lower", "gnd")
	n.Add("C3", c.Capacitor{Capacitance: 2.2e-9}, "base", "tap")
	n.Add("C4", c.Electrolytic(220e-6), "out", "gnd")
	n.Add("D6", c.Rectifier(1, 200), "gnd", "out")
	n.Add("R10", c.Resistor{Resistance: 33}, "out", "gnd")
	n.Add("D7", c.LED(0), "lit", "gnd")
	n.Add("R11", c.Resistor{Resistance: 820}, "out", "lit")
	n.Add("U1", c.Regulator{Output: 5}, "out", "five", "gnd")
	n.Add("C5", c.Electrolytic(47e-6), "five", "gnd")
	n.Add("C6", c.Capacitor{Capacitance: 100e-9, SeriesResistance: 0.1}, "five", "gnd")
	n.Add("R12", c.Resistor{Resistance: 22}, "five", "gnd")
	n.Add("D8", c.Rectifier(1, 200), "minus", "x")
	n.Add("C7", c.Electrolytic(470e-6), "minus", "gnd")
	n.Add("R13", c.Resistor{Resistance: 470}, "minus", "bias")
	n.Add("D9", c.Zener{Voltage: 6.2}, "bias", "gnd")
	n.Add("C8", c.Electrolytic(47e-6), "bias", "gnd")
	n.Add("R14", c.Resistor{Resistance: 2.2e3}, "bias", "gnd")
	n.Add("C9", c.Capacitor{Capacitance: 100e-9, SeriesResistance: 33}, "a", "b") // keep the windings from ringing
	n.Add("C10", c.Capacitor{Capacitance: 100e-9, SeriesResistance: 33}, "x", "gnd")
	return n
}

// BareSupply is the linear supply as a restorer would write it down: no leakage
// in the transformer, and nothing across its secondaries.
func BareSupply() *c.Circuit {
	n := LinearSupply()
	t := c.Transformer{Magnetizing: 12, Windings: []c.Winding{
		{Turns: 1150, Resistance: 40}, {Turns: 85, Resistance: 0.4}, {Turns: 60, Resistance: 1.5},
	}}
	for _, change := range []func() (*c.Circuit, error){
		func() (*c.Circuit, error) { return n.Replace("T1", t) },
		func() (*c.Circuit, error) { return n.Remove("C9") },
		func() (*c.Circuit, error) { return n.Remove("C10") },
	} {
		changed, err := change()
		if err != nil {
			panic(err) // the names are those of above
		}
		n = changed
	}
	return n
}

// Flyback is a self-oscillating supply for 5 V from 160 V: a ringing-choke
// converter with start-up resistor, current limit in the emitter, and an
// optocoupler and a shunt reference that shorten the strokes once the output is
// up.
func Flyback() *c.Circuit {
	n := c.New("gnd")
	n.Add("V1", c.VoltageSource{Wave: c.Step{To: 160}, Resistance: 2}, "hv", "gnd")
	n.Add("C1", c.Capacitor{Capacitance: 47e-6, SeriesResistance: 0.5}, "hv", "gnd")
	n.Add("R1", c.Resistor{Resistance: 330e3}, "hv", "base")
	n.Add("T1", c.Transformer{Magnetizing: 1.2e-3, Windings: []c.Winding{
		{Turns: 90, Resistance: 1, Leakage: 20e-6}, {Turns: 5, Resistance: 0.1}, {Turns: 5, Resistance: 0.02},
	}}, "hv", "collector", "feed", "gnd", "gnd", "secondary")
	n.Add("Q1", c.HighVoltageSwitch(), "collector", "base", "emitter")
	n.Add("R2", c.Resistor{Resistance: 0.82}, "emitter", "gnd")
	n.Add("R3", c.Resistor{Resistance: 47}, "feed", "kick")
	n.Add("C2", c.Capacitor{Capacitance: 100e-9}, "kick", "base")
	n.Add("D1", c.SmallSignalDiode(), "gnd", "base")
	n.Add("R4", c.Resistor{Resistance: 330}, "emitter", "stop")
	n.Add("Q2", c.SmallTransistor(c.N), "base", "stop", "gnd")
	n.Add("C3", c.Capacitor{Capacitance: 1e-9}, "stop", "gnd")
	n.Add("D2", c.FastRectifier(1, 600), "collector", "clamp")
	n.Add("C4", c.Capacitor{Capacitance: 4.7e-9}, "clamp", "hv")
	n.Add("R5", c.Resistor{Resistance: 33e3}, "clamp", "hv")
	n.Add("C5", c.Capacitor{Capacitance: 220e-12, SeriesResistance: 47}, "collector", "gnd")
	n.Add("D3", c.SchottkyRectifier(5, 40), "secondary", "out")
	n.Add("C6", c.Capacitor{Capacitance: 470e-6, SeriesResistance: 0.03}, "out", "gnd")
	n.Add("R6", c.Resistor{Resistance: 5}, "out", "gnd")
	n.Add("D4", c.SmallSignalDiode(), "feed", "aux")
	n.Add("C7", c.Capacitor{Capacitance: 1e-6}, "aux", "gnd")
	n.Add("R7", c.Resistor{Resistance: 10e3}, "aux", "gnd")
	n.Add("U1", c.Optocoupler{Bandwidth: 30e3}, "anode", "cathode", "light", "stop")
	n.Add("R8", c.Resistor{Resistance: 470}, "aux", "light")
	n.Add("R9", c.Resistor{Resistance: 150}, "out", "anode")
	n.Add("U2", c.Reference{}, "cathode", "gnd", "reference")
	n.Add("R10", c.Resistor{Resistance: 10e3}, "out", "reference")
	n.Add("R11", c.Resistor{Resistance: 10e3}, "reference", "gnd")
	n.Add("C8", c.Capacitor{Capacitance: 10e-9}, "cathode", "reference")
	return n
}

// Ladder is a chain of resistors and capacitors of the given number of nodes,
// fed with pulses, with a pair of diodes at every fifth node.
func Ladder(nodes int) *c.Circuit {
	n := c.New("gnd")
	n.Add("V1", c.VoltageSource{Wave: c.Pulse{High: 5, Rise: 1e-6, Fall: 1e-6, Width: 99e-6, Period: 200e-6}, Resistance: 50}, "0", "gnd")
	for i := 1; i < nodes; i++ {
		at := fmt.Sprint(i)
		n.Add("R"+at, c.Resistor{Resistance: 100}, fmt.Sprint(i-1), at)
		n.Add("C"+at, c.Capacitor{Capacitance: 1e-9}, at, "gnd")
		if i%5 == 0 {
			n.Add("DA"+at, c.Diode{JunctionCapacitance: 4e-12}, at, "gnd")
			n.Add("DB"+at, c.Diode{JunctionCapacitance: 4e-12}, "gnd", at)
		}
	}
	return n
}

// Board is a board of about the given number of nodes: amplifier stages of one
// transistor side by side between two rails, each with a coupling capacitor to
// the next, a decoupled supply for every ten stages, and an input of pulses.
func Board(nodes int) *c.Circuit {
	n := c.New("gnd")
	n.Add("VP", c.VoltageSource{DC: 12, Resistance: 0.1}, "plus", "gnd")
	n.Add("VI", c.VoltageSource{Wave: c.Pulse{High: 0.05, Rise: 10e-6, Fall: 10e-6, Width: 240e-6, Period: 500e-6}, Resistance: 600}, "in", "gnd")
	transistor := c.SmallTransistor(c.N)
	rail, before := "plus", "in"
	for i := range nodes / 5 {
		name := func(s string) string { return fmt.Sprint(s, i) }
		if i%10 == 0 {
			rail = name("rail")
			n.Add(name("RR"), c.Resistor{Resistance: 10}, "plus", rail)
			n.Add(name("CR"), c.Capacitor{Capacitance: 10e-6, SeriesResistance: 0.5}, rail, "gnd")
		}
		b, k, e := name("base"), name("collector"), name("emitter")
		n.Add(name("CI"), c.Capacitor{Capacitance: 100e-9}, before, name("in"))
		n.Add(name("RI"), c.Resistor{Resistance: 22e3}, name("in"), b) // takes away what the stage gains
		n.Add(name("RA"), c.Resistor{Resistance: 100e3}, rail, b)
		n.Add(name("RB"), c.Resistor{Resistance: 22e3}, b, "gnd")
		n.Add(name("RC"), c.Resistor{Resistance: 4.7e3}, rail, k)
		n.Add(name("RE"), c.Resistor{Resistance: 2.2e3}, e, "gnd")
		n.Add(name("Q"), transistor, k, b, e)
		n.Add(name("CL"), c.Capacitor{Capacitance: 100e-12}, k, "gnd")
		before = k
	}
	return n
}
