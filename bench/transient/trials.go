package main

import (
	"halfsplit/bench/circuits"
	c "halfsplit/circuit"
)

// A trial is a circuit to follow from cold, and what to look at.
type trial struct {
	name      string
	circuit   *c.Circuit
	until     float64            // seconds
	samples   int                // evenly spaced, at which results are compared
	voltages  []string           // nodes whose voltages are compared
	current   string             // part whose current is compared, too
	reference []string           // options of the peer for the reference
	sizes     map[string]float64 // usual size of each kind of unknown, for the peer
}

// trials are the circuits compared. Every figure that a formula of a part
// depends on is stated, so that both sides have the same.
func trials() []trial {
	rectifier := trial{"rectifier", circuits.Rectifier(), 100e-3, 2000, []string{"raw", "out"}, "V1",
		[]string{"charge", "all", "fresh"}, map[string]float64{"volt": 10, "ampere": 1, "nanocoulomb": 1000}}
	flyback := trial{"flyback", circuits.ClockedFlyback(), 1e-3, 10000, []string{"out", "drain"}, "T1",
		[]string{"voltage", "all", "fresh"}, map[string]float64{"volt": 50, "ampere": 1, "nanocoulomb": 50}}
	// The same with more to agree on: the end of the winding, which floats while
	// all diodes of the bridge block, and every node of the flyback that switches.
	floating, switching := rectifier, flyback
	floating.name, floating.voltages = "rectifier-floating", []string{"raw", "out", "a"}
	switching.name, switching.voltages = "flyback-switching", []string{"out", "drain", "clamp", "s", "gate"}
	return []trial{rectifier, floating, flyback, switching}
}
