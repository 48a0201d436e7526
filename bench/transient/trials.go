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
	return []trial{
		{"rectifier", circuits.Rectifier(), 100e-3, 2000, []string{"raw", "out"}, "V1", []string{"charge", "all", "fresh"}, map[string]float64{"volt": 10, "ampere": 1, "nanocoulomb": 1000}},
		{"flyback", circuits.ClockedFlyback(), 1e-3, 10000, []string{"out", "drain"}, "T1", []string{"voltage", "all", "fresh"}, map[string]float64{"volt": 50, "ampere": 1, "nanocoulomb": 50}},
	}
}
