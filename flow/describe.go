package flow

import "halfsplit/fault"

// Description is a unit as the restorer describes it. Nets are known by the
// names that blocks and shunts use.
type Description struct {
	Blocks []Block
	Shunts []Shunt
	// Sources are nets that come from outside the described corner. Each is
	// an item too: what lies beyond it may be at fault.
	Sources []Source
	// Sections are foretold by other means. Their parts may stand in blocks and
	// across nets too.
	Sections []Section
}

// Block is anything with an output: a chip section, a stage, a regulator, a
// cable, a joint.
type Block struct {
	Name     string
	Kind     fault.Kind
	Inputs   []string // nets
	Outputs  []string // nets, at least one
	Supplies []string // the rails it lives on
	Odds     float64  // multiplies the kind's odds; 0 means 1
	// Parts are the parts inside, where they are known. They are then the
	// items, and the block stands only for whatever else is in it.
	Parts []Part
}

// Part is a part within a block or across a net.
type Part struct {
	Name string
	Kind fault.Kind
	Odds float64 // multiplies the kind's odds; 0 means 1
}

// Shunt is a part across a net: a reservoir or decoupling capacitor, a clamp,
// a crowbar.
type Shunt struct {
	Part Part
	Net  string
}

// Source is a net that comes from outside the described corner.
type Source struct {
	Name string // of the item; the net's name when empty
	Net  string
	Kind fault.Kind
	Odds float64
}

// expectedBad is the number of bad items expected beforehand in a unit that
// does not work. With one, two or more items are bad in four units of ten
// among those with any: the share found in forty published repairs (common
// practice, no single source).
const expectedBad = 1.0

// mostPrior bounds the prior of one item, however few there are.
const mostPrior = 0.6

// elsewhere scales the odds of a block whose parts are listed: what is left
// over are its joints, tracks and parts not listed. Common practice, no source.
const elsewhere = 0.3
