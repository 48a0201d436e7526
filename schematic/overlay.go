package schematic

import (
	"fmt"
	"math"
	"slices"
)

// An Overlay is what is known of a unit on the bench, drawn over its circuit.
type Overlay struct {
	Parts map[string]Suspect // by designator
	Nodes map[string]Reading // by name
}

// A Suspect is a part that may be the bad one.
type Suspect struct {
	Strength float64 // 0 to 1: how long its bar is
	Text     string  // beside the bar, such as 43 %
	Tone     Tone
}

// A Reading is what is said of a node.
type Reading struct {
	Lines []string // such as "read 4.2 V", "expected 5 V"
	Tone  Tone
	Flag  bool // to be looked at next: a flag is drawn
}

// A Tone says in which class of colour something is drawn. Nothing is said by
// it alone.
type Tone string

// The tones.
const (
	Plain Tone = ""
	Good  Tone = "good"
	Doubt Tone = "doubt"
	Bad   Tone = "bad"
)

// check finds names that the circuit does not know, and strengths that are none.
func (o *Overlay) check(c *Circuit) error {
	if o == nil {
		return nil
	}
	for _, name := range sorted(o.Parts) {
		if !slices.ContainsFunc(c.Parts, func(p Part) bool { return p.Name == name }) {
			return fmt.Errorf("the overlay speaks of part %q, which the circuit does not have", name)
		}
		if s := o.Parts[name].Strength; !(s >= 0 && s <= 1) || math.IsNaN(s) {
			return fmt.Errorf("the overlay gives part %q a strength of %g; it lies between 0 and 1", name, s)
		}
	}
	for _, name := range sorted(o.Nodes) {
		if !slices.ContainsFunc(c.Parts, func(p Part) bool { return slices.Contains(p.Nodes, name) }) {
			return fmt.Errorf("the overlay speaks of node %q, which the circuit does not have", name)
		}
	}
	return nil
}

// sorted gives the keys of a map in order.
func sorted[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// suspects puts the suspects of an overlay into the drawing.
func (d *Drawing) suspects(c *Circuit, o *Overlay) {
	if o == nil {
		return
	}
	for i := range d.Parts {
		if s, ok := o.Parts[c.Parts[i].Name]; ok {
			d.Parts[i].Suspect = &s
		}
	}
}
