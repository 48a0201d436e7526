package wiring

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/circuit"
	"halfsplit/fault"
)

// Failing says how a twin of a circuit differs from it.
type Failing struct {
	Acts []Acting // parts that fail
	// Loads are resistances from a node to ground: something outside the circuit
	// draws too much, or is shorted.
	Loads   []Load
	Lifted  []string // parts that are out of circuit: removed, or a lead lifted
	Without []string // loads that are disconnected
	// Sources are shares of what a source gives; with 0 it is absent: unplugged,
	// its terminals open.
	Sources map[string]float64
}

// Acting is a part that fails by an act.
type Acting struct {
	Part string
	Act  fault.Act
}

// Load is a resistance from a node to ground.
type Load struct {
	Node string
	Ohms float64 // greater than 0
}

// Noisy is a node with noise or oscillation on it that the equations do not show.
type Noisy struct {
	Node string
	RMS  float64 // volt
}

// Acts lists what the part does to its circuit when it fails; see [fault.Acts].
func (p *Placed) Acts() []fault.Act { return fault.Acts(p.Is.Name, len(p.Nodes)) }

// Nodes lists the nodes but for the ground, in the order in which they stand.
func (c *Circuit) Nodes() []string {
	var list []string
	for _, p := range c.Parts {
		for _, n := range p.Nodes {
			if n != c.Ground && !slices.Contains(list, n) {
				list = append(list, n)
			}
		}
	}
	return list
}

// Sources lists the parts that drive the circuit.
func (c *Circuit) Sources() []string {
	var list []string
	for _, p := range c.Parts {
		if p.source() {
			list = append(list, p.Name)
		}
	}
	return list
}

// source tells whether the part drives the circuit.
func (p *Placed) source() bool {
	return p.Is.Name == "battery" || strings.HasSuffix(p.Is.Name, " source")
}

// insulation holds to ground what would otherwise hang in the air, in ohm.
const insulation = 1e9

// Failing gives the twin of the circuit that differs as said; c is not touched.
// What hangs in the air once parts are lifted is held to ground by a gigohm, as
// dirt on the board would. The error says which part, node or pin does not exist,
// or what cannot be.
func (c *Circuit) Failing(f Failing) (*Circuit, error) {
	t := &twin{Circuit: &Circuit{Circuit: c.Clone(), Ground: c.Ground, Parts: slices.Clone(c.Parts), Last: c.Last, Noisy: slices.Clone(c.Noisy), Driven: slices.Clone(c.Driven)}}
	for name, share := range f.Sources {
		t.note(t.feed(name, share))
	}
	for _, a := range f.Acts {
		if slices.Contains(f.Lifted, a.Part) || slices.Contains(f.Without, a.Part) {
			continue // what is lifted cannot show how it fails
		}
		if t.at(a.Part) < 0 && c.at(a.Part) >= 0 {
			continue // nor can a battery that is taken out
		}
		t.note(t.act(a))
	}
	for _, l := range f.Loads {
		t.note(t.load(c, l))
	}
	for _, name := range slices.Concat(f.Lifted, f.Without) {
		if t.at(name) < 0 && c.at(name) >= 0 {
			continue // named twice, or a source that is absent
		}
		t.note(t.lift(name))
	}
	if len(t.wrong) > 0 {
		return nil, errors.Join(t.wrong...)
	}
	var periods []float64
	for _, p := range t.Parts {
		if p.period > 0 {
			periods = append(periods, p.period)
		}
	}
	t.Period = common(periods)
	t.hold(c)
	return t.Circuit, nil
}

// twin is a circuit being changed.
type twin struct {
	*Circuit
	added int
	wrong []error
}

// note keeps an error.
func (t *twin) note(err error) {
	if err != nil {
		t.wrong = append(t.wrong, err)
	}
}

// at is the place of a part among those placed, or -1.
func (c *Circuit) at(name string) int {
	return slices.IndexFunc(c.Parts, func(p Placed) bool { return p.Name == name })
}

// placed finds a part.
func (t *twin) placed(name string) (*Placed, error) {
	if i := t.at(name); i >= 0 {
		return &t.Parts[i], nil
	}
	var names []string
	for _, p := range t.Parts {
		names = append(names, p.Name)
	}
	return nil, fmt.Errorf("there is no part %q in the circuit; the parts are %s", name, strings.Join(names, ", "))
}

// resistor adds a resistance that a fault is made of.
func (t *twin) resistor(of string, ohms float64, a, b string) {
	t.added++
	t.Add(fmt.Sprintf("%s fault %d", of, t.added), circuit.Resistor{Resistance: ohms}, a, b)
}

// load puts a resistance from a node to ground.
func (t *twin) load(c *Circuit, l Load) error {
	switch {
	case !slices.Contains(c.Nodes(), l.Node):
		return fmt.Errorf("there is no node %q in the circuit; the nodes are %s", l.Node, strings.Join(c.Nodes(), ", "))
	case !(l.Ohms > 0) || math.IsInf(l.Ohms, 0):
		return fmt.Errorf("node %q cannot be loaded with %g Ω; it must be greater than 0", l.Node, l.Ohms)
	}
	t.resistor(l.Node, l.Ohms, l.Node, t.Ground)
	return nil
}

// lift takes a part out.
func (t *twin) lift(name string) error {
	p, err := t.placed(name)
	if err != nil {
		return err
	}
	for _, inside := range p.Inside {
		if t.Circuit.Circuit, err = t.Remove(inside); err != nil {
			return err
		}
	}
	t.Parts = slices.DeleteFunc(t.Parts, func(p Placed) bool { return p.Name == name })
	t.Driven = slices.DeleteFunc(t.Driven, func(d Drive) bool { return d.Part == name })
	return nil
}

// feed lets a source give a share of what it does.
func (t *twin) feed(name string, share float64) error {
	p, err := t.placed(name)
	switch {
	case err != nil:
		return err
	case !p.source():
		return fmt.Errorf("%s is %s, not a source; the sources are %s", name, article(p.Is.Name), strings.Join(t.Sources(), ", "))
	case !(share >= 0) || math.IsInf(share, 0):
		return fmt.Errorf("source %s cannot give %g of its value; write a share of 0 or more", name, share)
	case share == 0:
		return t.lift(name)
	}
	part, _, _ := t.Circuit.Part(name)
	switch s := part.(type) {
	case circuit.VoltageSource:
		s.DC *= share
		switch w := s.Wave.(type) {
		case circuit.Mains:
			w.RMS *= share
			s.Wave = w
		case circuit.Sine:
			w.Offset, w.Peak = w.Offset*share, w.Peak*share
			s.Wave = w
		case circuit.Pulse:
			w.Low, w.High = w.Low*share, w.High*share
			s.Wave = w
		}
		part = s
	case circuit.CurrentSource:
		s.DC *= share
		part = s
	}
	t.Circuit.Circuit, err = t.Replace(name, part)
	return err
}

// hold ties to ground what hangs in the air.
func (t *twin) hold(before *Circuit) {
	number := 0
	tie := func(node string) {
		number++
		t.Add(fmt.Sprintf("insulation of %s %d", node, number), circuit.Resistor{Resistance: insulation}, node, t.Ground)
	}
	now := map[string]bool{}
	for _, name := range t.Names() {
		_, nodes, _ := t.Circuit.Part(name)
		for _, n := range nodes {
			now[n] = true
		}
	}
	for _, n := range before.Nodes() {
		if !now[n] {
			tie(n)
		}
	}
	for range len(now) + 1 {
		_, err := t.Solver(circuit.Settings{})
		var floating *circuit.Floating
		if !errors.As(err, &floating) {
			return
		}
		tie(floating.Nodes[0])
	}
}
