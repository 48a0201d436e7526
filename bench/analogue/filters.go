package main

import "halfsplit/circuit"

// A filter is a circuit of resistors, capacitors and ideal operational
// amplifiers with a source of 1 V of small signal at node "in".
type filter func() *circuit.Circuit

// sallenKey is the 25 kHz band-pass on which methods of diagnosing analogue
// circuits have been tried since M. Aminian, F. Aminian, "Neural-network based
// analog-circuit fault diagnosis using wavelet transform as preprocessor", IEEE
// Trans. Circuits and Systems II 47 (2000) 151-156. R2 is the positive feedback.
func sallenKey() *circuit.Circuit {
	c := network()
	resistor(c, "R1", 1e3, "in", "a")
	resistor(c, "R2", 3e3, "a", "out")
	capacitor(c, "C1", 5e-9, "a", "gnd")
	capacitor(c, "C2", 5e-9, "a", "b")
	resistor(c, "R3", 2e3, "b", "gnd")
	resistor(c, "R4", 4e3, "m", "gnd")
	resistor(c, "R5", 4e3, "out", "m")
	amplifier(c, "U1", "b", "m", "out")
	return c
}

// stateVariable is the continuous-time state-variable filter of B. Kaminska et
// al., "Analog and mixed-signal benchmark circuits - first release", Proc. IEEE
// International Test Conference (1997) 183-190. Its outputs are "hp", "bp", "lp".
func stateVariable() *circuit.Circuit {
	c := network()
	resistor(c, "R1", 10e3, "in", "m1")
	resistor(c, "R2", 10e3, "lp", "m1")
	resistor(c, "R5", 10e3, "hp", "m1")
	resistor(c, "R7", 7e3, "bp", "p1")
	resistor(c, "R6", 3e3, "p1", "gnd")
	amplifier(c, "U1", "p1", "m1", "hp")
	resistor(c, "R3", 10e3, "hp", "m2")
	capacitor(c, "C1", 20e-9, "m2", "bp")
	amplifier(c, "U2", "gnd", "m2", "bp")
	resistor(c, "R4", 10e3, "bp", "m3")
	capacitor(c, "C2", 20e-9, "m3", "lp")
	amplifier(c, "U3", "gnd", "m3", "lp")
	return c
}

func network() *circuit.Circuit {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{AC: 1}, "in", "gnd")
	return c
}

func resistor(c *circuit.Circuit, name string, ohms float64, a, b string) {
	c.Add(name, circuit.Resistor{Resistance: ohms}, a, b)
}

func capacitor(c *circuit.Circuit, name string, farads float64, a, b string) {
	c.Add(name, circuit.Capacitor{Capacitance: farads}, a, b)
}

func amplifier(c *circuit.Circuit, name string, plus, minus, out string) {
	c.Add(name, circuit.OpAmp{Ideal: true}, plus, minus, out)
}
