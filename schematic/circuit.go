package schematic

// A Circuit is what is drawn: parts between named nodes. Two nodes of the same
// name are one node.
type Circuit struct {
	Name   string
	Ground string // the node that voltages are counted from; it is drawn as ground marks
	Parts  []Part
	Points []Point
	// Volts are nominal voltages of nodes, as far as known. The drawing puts the
	// higher one higher.
	Volts map[string]float64
}

// A Part is one part of a circuit.
type Part struct {
	Name string // designator
	// Kind is a kind of package wiring or fault, which decides its mark. A kind
	// that has no mark is drawn as a box.
	Kind  string
	Lines []string // what is written below the designator: value, type, ratings
	Nodes []string // in the order of package wiring
	// Opposite is for what has two polarities: pnp, p-channel.
	Opposite bool
	Schottky bool
	Spot     *Spot // where it stands; nil leaves it to the drawing
}

// A Point is a place where one can look or probe.
type Point struct {
	Name string // as marked: TP3; empty where a node can be probed but has no mark
	Node string
}

// A Spot is a wish where and which way a part stands.
type Spot struct {
	Column int     // from the left, 1 to 99
	Row    float64 // from the top, 1 to 99, in quarters; what is beyond counts as the nearest
	Way    Way
	Mirror bool
}

// A Way is the direction from the first node of a part to its last; of what has
// an input and an output, from input to output.
type Way int

// The ways. AnyWay leaves the choice to the drawing.
const (
	AnyWay Way = iota
	Down
	Right
	Up
	Left
)
