// Package flow reasons over how the parts of a unit depend on one another,
// where nothing can be simulated: signal flow and power tree.
//
// A unit is a set of blocks (a chip section, a transistor stage, a cable, a
// joint) between named nets (signals and rails). A block's output is right
// when the block is healthy, its inputs are right and its own supply is right.
// A wrong input makes the output wrong nearly always, and each kind of block
// has its own way of being wrong (package fault). A net with several drivers,
// such as a bus, can be held by any of them; any part that hangs on a net can
// drag it down. A part across a rail can short it. In a feedback loop everything
// goes wrong together.
//
// From a set of faults the package foretells what every net does, and so how
// likely each reading is. It is a diagnosis.Model, and foretells the answers
// of tests not yet made.
package flow
