package circuit

import (
	"fmt"
	"strings"
)

// Floating is the error for nodes that no part connects to the ground.
type Floating struct {
	Nodes  []string // the nodes that hang together
	Ground string
}

// Error names the nodes and what to do.
func (e *Floating) Error() string {
	if len(e.Nodes) == 1 {
		return fmt.Sprintf("node %s floats: no part ties it to %s; check the name, or add what drives it or the resistance of the meter", e.Nodes[0], e.Ground)
	}
	return fmt.Sprintf("nodes %s float together: no part ties them to %s; check the names, or tie one of them (two isolated sides need a common ground to be measured against)",
		strings.Join(e.Nodes, ", "), e.Ground)
}

// ShortedLoop is the error for parts that fix voltages around a closed loop
// with no resistance in it.
type ShortedLoop struct {
	Parts  []string
	AtRest bool // the loop exists only at rest, because windings have no resistance there
}

// Error names the parts and what to do.
func (e *ShortedLoop) Error() string {
	why := "each of them fixes a voltage"
	if e.AtRest {
		why = "at rest a winding without resistance is a short"
	}
	return fmt.Sprintf("parts %s form a loop without any resistance (%s), so its current has no value; give one of them its resistance", strings.Join(e.Parts, ", "), why)
}

// NoSolution is the error for equations that have no solution, or none that
// could be found.
type NoSolution struct {
	Part, Node string  // where it went wrong, as far as known
	Time       float64 // in seconds; 0 for an operating point
	Reason     string
}

// Error says where, when and why.
func (e *NoSolution) Error() string {
	where := ""
	switch {
	case e.Part != "":
		where = " at part " + e.Part
	case e.Node != "":
		where = " at node " + e.Node
	}
	if e.Time != 0 {
		where += fmt.Sprintf(" at time %.6g s", e.Time)
	}
	return "no solution" + where + ": " + e.Reason
}
