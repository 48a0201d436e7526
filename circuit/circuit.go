package circuit

import (
	"errors"
	"fmt"
	"maps"
	"slices"
)

// A Part is what sits between nodes: a [Resistor], a [Bipolar] transistor, a
// [Regulator]. Parts are plain values; a zero field means the default that its
// comment states.
type Part interface {
	// pins names the terminals in the order in which [Circuit.Add] takes
	// their nodes. A trailing pin in brackets is optional.
	pins() []string
	// wire checks the values and connects the part to the equations.
	wire(w *wiring) (device, error)
}

// A Circuit is a list of parts between named nodes. It is a description only;
// [Circuit.Solver] turns it into equations. The zero value is not usable: call
// [New].
type Circuit struct {
	ground string
	parts  []placed
	index  map[string]int
	errs   []error
}

// placed is a part in its place on the board.
type placed struct {
	name      string
	part      Part
	nodes     []string
	rating    Rating
	tolerance map[string]Tolerance
}

// New returns an empty circuit whose voltages are measured against the named
// ground node.
func New(ground string) *Circuit {
	return &Circuit{ground: ground, index: map[string]int{}}
}

// Add puts a part between nodes, in the order of its pins. Mistakes (a name
// used twice, a wrong number of nodes) are kept and reported, all of them, by
// [Circuit.Solver].
func (c *Circuit) Add(name string, part Part, nodes ...string) {
	if name == "" {
		c.errs = append(c.errs, errors.New("a part has no name"))
		return
	}
	if _, taken := c.index[name]; taken {
		c.errs = append(c.errs, fmt.Errorf("part %s: there are two parts of this name", name))
		return
	}
	if part == nil {
		c.errs = append(c.errs, fmt.Errorf("part %s: no kind of part given", name))
		return
	}
	if err := checkPins(part.pins(), nodes); err != nil {
		c.errs = append(c.errs, fmt.Errorf("part %s: %w", name, err))
		return
	}
	c.index[name] = len(c.parts)
	c.parts = append(c.parts, placed{name: name, part: part, nodes: slices.Clone(nodes)})
}

// checkPins compares the nodes given with the pins of the part.
func checkPins(pins, nodes []string) error {
	least := 0
	for _, pin := range pins {
		if pin[0] != '[' {
			least++
		}
	}
	if len(nodes) < least || len(nodes) > len(pins) {
		return fmt.Errorf("connected to %d nodes %q, but its pins are %q", len(nodes), nodes, pins)
	}
	if slices.Contains(nodes, "") {
		return fmt.Errorf("a node has an empty name in %q", nodes)
	}
	return nil
}

// Clone returns a circuit that can be changed without touching c.
func (c *Circuit) Clone() *Circuit {
	return &Circuit{ground: c.ground, parts: slices.Clone(c.parts), index: maps.Clone(c.index), errs: slices.Clone(c.errs)}
}

// Part returns the part of that name and its nodes.
func (c *Circuit) Part(name string) (part Part, nodes []string, ok bool) {
	at, ok := c.index[name]
	if !ok {
		return nil, nil, false
	}
	return c.parts[at].part, slices.Clone(c.parts[at].nodes), true
}

// Names lists the parts in the order in which they were added.
func (c *Circuit) Names() []string {
	names := make([]string, len(c.parts))
	for i, p := range c.parts {
		names[i] = p.name
	}
	return names
}

// Replace returns a copy of c in which the named part is another one between
// the same nodes: the faulty twin of a board.
func (c *Circuit) Replace(name string, part Part) (*Circuit, error) {
	at, ok := c.index[name]
	if !ok {
		return nil, c.unknownPart(name)
	}
	if part == nil {
		return nil, fmt.Errorf("part %s: no kind of part given", name)
	}
	if err := checkPins(part.pins(), c.parts[at].nodes); err != nil {
		return nil, fmt.Errorf("part %s: %w", name, err)
	}
	d := c.Clone()
	d.parts[at].part = part
	return d, nil
}

// Move returns a copy of c in which the named part stands between other nodes,
// with its rating and tolerances.
func (c *Circuit) Move(name string, nodes ...string) (*Circuit, error) {
	at, ok := c.index[name]
	if !ok {
		return nil, c.unknownPart(name)
	}
	if err := checkPins(c.parts[at].part.pins(), nodes); err != nil {
		return nil, fmt.Errorf("part %s: %w", name, err)
	}
	d := c.Clone()
	d.parts[at].nodes = slices.Clone(nodes)
	return d, nil
}

// Remove returns a copy of c without the named part.
func (c *Circuit) Remove(name string) (*Circuit, error) {
	at, ok := c.index[name]
	if !ok {
		return nil, c.unknownPart(name)
	}
	d := c.Clone()
	d.parts = slices.Delete(d.parts, at, at+1)
	d.index = map[string]int{}
	for i, p := range d.parts {
		d.index[p.name] = i
	}
	return d, nil
}

// Rate states what the named part is rated for; see [Rating].
func (c *Circuit) Rate(name string, rating Rating) {
	if at, ok := c.index[name]; ok {
		c.parts[at].rating = rating
		return
	}
	c.errs = append(c.errs, c.unknownPart(name))
}

// Spread states the tolerance of one parameter of the named part, such as
// "resistance" of a [Resistor]; see [Solver.Parameters] for the names.
func (c *Circuit) Spread(name, parameter string, tolerance Tolerance) {
	at, ok := c.index[name]
	if !ok {
		c.errs = append(c.errs, c.unknownPart(name))
		return
	}
	spread := maps.Clone(c.parts[at].tolerance)
	if spread == nil {
		spread = map[string]Tolerance{}
	}
	spread[parameter] = tolerance
	c.parts[at].tolerance = spread
}

// unknownPart is the error for a name that no part has.
func (c *Circuit) unknownPart(name string) error {
	return fmt.Errorf("there is no part %q; the parts are %q", name, c.Names())
}
