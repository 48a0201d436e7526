package fault

import (
	"fmt"
	"strings"

	"halfsplit/quantity"
)

// An Effect is one way to change a part in its circuit.
type Effect int

// The effects.
const (
	Across  Effect = iota // a resistance between two of its pins
	InLead                // a resistance in the lead of one of its pins
	Times                 // a figure of the part times a factor
	Becomes               // a figure of the part takes a value
	Noise                 // noise or oscillation on a pin that no circuit of it shows
	Effects = 5
)

// String gives the effect in words.
func (e Effect) String() string {
	if e < 0 || e >= Effects {
		return "unknown"
	}
	return [Effects]string{"across", "in the lead of", "times", "becomes", "noise on"}[e]
}

// A Change is one thing that an [Act] does to a part. Pins are named as package
// wiring names the places of a kind's nodes ("collector", "+", "one end"), those
// of a transformer by winding ("1 dot", "1", "2 dot", …); parameters as package
// circuit names them ("capacitance", "gain").
type Change struct {
	Effect Effect
	// Element is the one of the parts it is made of that is changed, such as
	// "one ac to +" of a bridge, whose pins are then those of a diode; empty for
	// the part itself.
	Element string `json:",omitempty"`
	// Pins are two for Across, one for InLead and Noise, none otherwise.
	Pins []string `json:",omitempty"`
	// Parameter is what Times and Becomes change. With Across it is a resistance
	// of the part, and Value a multiple of it: how shorted turns are told.
	Parameter string `json:",omitempty"`
	// Value is in ohm for Across and InLead, a factor for Times, a figure in SI
	// units for Becomes, and the usual RMS in volt for Noise.
	Value float64
}

// An Act is what a failing part does to the circuit around it: one severity of a
// [Mode]. It is pure data.
type Act struct {
	Mode string // the mode's name
	Name string // what it does, such as "C × 0.3, ESR × 20"; one of its kind within the mode
	// Share is the part of the mode that it makes up. The shares of a mode add up
	// to one.
	Share   float64
	Changes []Change
}

// String gives mode and act, as in "dried out (C × 0.3, ESR × 20)".
func (a Act) String() string {
	if a.Name == "" || a.Name == a.Mode {
		return a.Mode
	}
	return fmt.Sprintf("%s (%s)", a.Mode, a.Name)
}

// describe says in short what changes do.
func describe(changes []Change) string {
	texts := make([]string, len(changes))
	for i, c := range changes {
		texts[i] = c.String()
	}
	return strings.Join(texts, ", ")
}

// String says in short what the change does, as in "base open" or "0.3 Ω
// collector to emitter".
func (c Change) String() string {
	text := ""
	switch c.Effect {
	case Across:
		size := quantity.FormatDigits(c.Value, quantity.Ohm, 2)
		if c.Parameter != "" {
			size = fmt.Sprintf("%.2g %% of turns shorted,", 100/c.Value)
		}
		text = size + " " + strings.Join(c.Pins, " to ")
	case InLead:
		text = quantity.FormatDigits(c.Value, quantity.Ohm, 2) + " in " + strings.Join(c.Pins, "")
		if c.Value >= gone {
			text = strings.Join(c.Pins, "") + " open"
		}
	case Times:
		text = fmt.Sprintf("%s × %.3g", c.Parameter, c.Value)
	case Becomes:
		text = fmt.Sprintf("%s %.3g", c.Parameter, c.Value)
	case Noise:
		text = quantity.FormatDigits(c.Value, quantity.Volt, 2) + " of noise at " + strings.Join(c.Pins, "")
	}
	if c.Element != "" {
		text = c.Element + ": " + text
	}
	return text
}
