package flow_test

import (
	"strings"

	"halfsplit/fault"
	"halfsplit/flow"
)

// kind is the kind of that name.
func kind(name string) fault.Kind {
	k, ok := fault.Find(name)
	if !ok {
		panic("no kind is called " + name)
	}
	return k
}

// block writes a block in a line: nets are separated by spaces.
func block(name, kindName, in, out, supply string) flow.Block {
	return flow.Block{
		Name: name, Kind: kind(kindName),
		Inputs: strings.Fields(in), Outputs: strings.Fields(out), Supplies: strings.Fields(supply),
	}
}
