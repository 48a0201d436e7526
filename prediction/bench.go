package prediction

import (
	"halfsplit/fault"
	"halfsplit/wiring"
)

// Bench is the state in which readings are taken. The zero value is: everything
// connected, mains on.
type Bench struct {
	Off     bool     // mains off and stored charge gone, for the ohmmeter
	Lifted  []string // parts out of circuit
	Without []string // loads disconnected
	// Sources are shares of what the named sources give: 0.5 is half of it, 0 is
	// unplugged.
	Sources map[string]float64
}

// Trouble is a part that fails by an act, or, when Part is empty, a resistance
// from a node to ground.
type Trouble struct {
	Part string
	Act  fault.Act
	Node string
	Ohms float64
}

// Case is one state of the bench with one set of troubles.
type Case struct {
	Bench    Bench
	Troubles []Trouble
}

// failing says the same to package wiring. With power off every source is
// unplugged.
func (c Case) failing(drawn *wiring.Circuit) wiring.Failing {
	f := wiring.Failing{Lifted: c.Bench.Lifted, Without: c.Bench.Without, Sources: map[string]float64{}}
	for name, share := range c.Bench.Sources {
		f.Sources[name] = share
	}
	if c.Bench.Off {
		for _, name := range drawn.Sources() {
			f.Sources[name] = 0
		}
	}
	for _, t := range c.Troubles {
		if t.Part == "" {
			f.Loads = append(f.Loads, wiring.Load{Node: t.Node, Ohms: t.Ohms})
		} else {
			f.Acts = append(f.Acts, wiring.Acting{Part: t.Part, Act: t.Act})
		}
	}
	return f
}
