// Package circuit works out what a meter or a scope would read in a circuit.
//
// A restorer describes the circuit the way it is drawn: parts between named
// nodes, with the figures of the data sheet (resistance, gain, forward drop,
// breakdown voltage, transition frequency). The package then answers: what is
// the steady voltage at each node, how does a small signal pass through, what
// happens from the moment of switching on, how large is the ripple once all
// has settled, how hot does each part run against its rating, and how far may
// each answer be off because parts have tolerances. The same questions may be
// asked with a part changed, and so each fault shows its face before the probe
// touches the board.
//
//	c := circuit.New("gnd")
//	c.Add("V1", circuit.VoltageSource{DC: 12}, "in", "gnd")
//	c.Add("R1", circuit.Resistor{Resistance: 10e3}, "in", "mid")
//	c.Add("R2", circuit.Resistor{Resistance: 4.7e3}, "mid", "gnd")
//	s, err := c.Solver(circuit.Settings{})
//	op, err := s.OperatingPoint(ctx)
//	volts, err := op.Value(circuit.Voltage("mid"))
//
// # The equations
//
// Unknowns are the node voltages, the currents of the parts that fix a voltage
// (sources, windings, closed contacts) and a few inner states such as the
// temperature of a filament. The equations are Kirchhoff's current law at each
// node and one law for each further unknown (modified nodal analysis: C.-W. Ho,
// A. E. Ruehli, P. A. Brennan, "The modified nodal approach to network
// analysis", IEEE Trans. Circuits and Systems 22 (1975) 504-509):
//
//	f(x, t) + A dq(x)/dt = 0
//
// where q are the charges and flux linkages, each an element of its own, and A
// says at which nodes a changing charge appears as a current. Working with
// charge and flux, not with capacitance and inductance, is what keeps charge
// and energy from leaking away over many steps.
//
// Parts that switch (contacts, comparators, thyristors, straight-line
// rectifiers) are always in one of a few modes; within a mode they are linear.
// A change of mode in time is located, not stepped over.
//
// All values are in SI units: volt, ampere, ohm, farad, henry, second, watt,
// kelvin.
package circuit
