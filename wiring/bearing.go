package wiring

import (
	"slices"

	"halfsplit/circuit"
)

// Bearing is what a part bears, in SI units. A share of its rating is 0 where
// none is stated.
type Bearing struct {
	Part        string  `json:"part"`
	Kind        string  `json:"kind"`
	Current     float64 `json:"current"` // at rest, into its first node; else the greatest into any
	Mean        float64 `json:"mean_current,omitempty"`
	Voltage     float64 `json:"greatest_voltage"`
	Dissipation float64 `json:"dissipation"`
	// RMS is the ripple current of a polarised capacitor, and Hertz how often it
	// comes.
	RMS   float64 `json:"rms_current,omitempty"`
	Hertz float64 `json:"ripple_hertz,omitempty"`
	// Headroom is the least voltage between input and output of a regulator.
	Headroom  float64 `json:"least_headroom,omitempty"`
	OfPower   float64 `json:"of_rated_power,omitempty"`
	OfVoltage float64 `json:"of_rated_voltage,omitempty"`
	OfCurrent float64 `json:"of_rated_current,omitempty"`
}

// Watched lists what has to be recorded over time: the voltages of nodes, and
// what the parts are judged by.
func (c *Circuit) Watched(nodes []string) []circuit.Quantity {
	var list []circuit.Quantity
	add := func(q circuit.Quantity) {
		if !slices.Contains(list, q) {
			list = append(list, q)
		}
	}
	for _, n := range nodes {
		add(circuit.Voltage(n))
	}
	for _, p := range c.Parts {
		for _, q := range p.Carries {
			add(q)
		}
		for _, q := range []*circuit.Quantity{p.Needs, p.Polarity} {
			if q != nil {
				add(*q)
			}
		}
		if p.Polarity != nil { // the ripple of an electrolytic
			add(circuit.Current(p.Inside[0]))
		}
	}
	return list
}

// Bearings puts together what each part bears from what the parts of the solver
// bear, in the order of the parts; read gives what was watched.
func (c *Circuit) Bearings(stresses []circuit.Stress, read func(circuit.Quantity) (circuit.Reading, error)) []Bearing {
	of := map[string]circuit.Stress{}
	for _, s := range stresses {
		of[s.Part] = s
	}
	var list []Bearing
	for _, p := range c.Parts {
		b := Bearing{Part: p.Name, Kind: p.Is.Name}
		for _, inside := range p.Inside {
			s := of[inside]
			b.Dissipation += s.Dissipation
			b.Voltage, b.Current = max(b.Voltage, s.Voltage), max(b.Current, s.Current)
			b.OfPower, b.OfVoltage, b.OfCurrent = max(b.OfPower, s.OfPower), max(b.OfVoltage, s.OfVoltage), max(b.OfCurrent, s.OfCurrent)
		}
		for _, q := range p.Carries {
			if r, err := read(q); err == nil {
				b.Mean += r.Mean
			}
		}
		if p.Polarity != nil {
			if r, err := read(circuit.Current(p.Inside[0])); err == nil {
				b.RMS = r.RMS
			}
		}
		if p.Needs != nil {
			if r, err := read(*p.Needs); err == nil {
				b.Headroom = r.Min
			}
		}
		if len(p.Carries) > 0 && p.Rated > 0 {
			b.OfCurrent = b.Mean / p.Rated
		}
		list = append(list, b)
	}
	return list
}
