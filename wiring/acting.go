package wiring

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/circuit"
	"halfsplit/fault"
)

// act lets a part fail.
func (t *twin) act(a Acting) error {
	p, err := t.placed(a.Part)
	if err != nil {
		return err
	}
	for _, change := range a.Act.Changes {
		if err := t.change(p, change); err != nil {
			return fmt.Errorf("%s %s: %w", a.Part, a.Act, err)
		}
	}
	return nil
}

// change makes one change to a part.
func (t *twin) change(p *Placed, c fault.Change) error {
	if !(c.Value > 0) && c.Effect != fault.Becomes || math.IsInf(c.Value, 0) || math.IsNaN(c.Value) {
		return fmt.Errorf("a value of %g; it must be greater than 0", c.Value)
	}
	elements, err := p.elements(c.Element)
	if err != nil {
		return err
	}
	var nodes []string
	for _, pin := range c.Pins {
		node, err := t.node(p, c.Element, pin)
		if err != nil {
			return err
		}
		nodes = append(nodes, node)
	}
	if want := [fault.Effects]int{fault.Across: 2, fault.InLead: 1, fault.Noise: 1}[c.Effect]; len(nodes) != want {
		return fmt.Errorf("%v takes %s pins, not %d", c.Effect, number(want), len(nodes))
	}
	switch c.Effect {
	case fault.Across:
		ohms := c.Value
		if c.Parameter != "" {
			_, r, err := t.figure(elements[0], c.Parameter)
			if err != nil {
				return err
			}
			ohms *= max(*r, leastWire)
		}
		if nodes[0] != nodes[1] {
			t.resistor(p.Name, ohms, nodes[0], nodes[1])
		}
	case fault.InLead:
		return t.inLead(p, c, elements, nodes[0])
	case fault.Times, fault.Becomes:
		for _, e := range elements {
			made, figure, err := t.figure(e, c.Parameter)
			if err != nil {
				return err
			}
			if c.Effect == fault.Times {
				*figure *= c.Value
			} else {
				*figure = c.Value
			}
			if t.Circuit.Circuit, err = t.Replace(e, made()); err != nil {
				return err
			}
		}
	case fault.Noise:
		t.Noisy = append(t.Noisy, Noisy{nodes[0], c.Value})
	}
	return nil
}

// leastWire is the resistance of a winding that is given none, in ohm.
const leastWire = 0.1

// elements gives the parts of the solver that a change is about.
func (p *Placed) elements(element string) ([]string, error) {
	if element == "" {
		return p.Inside, nil
	}
	name := p.Name + " " + element
	if !slices.Contains(p.Inside, name) {
		return nil, fmt.Errorf("%s has no inner part %q", article(p.Is.Name), element)
	}
	return []string{name}, nil
}

// pins names the places of the nodes of a kind.
func (k Kind) pins(nodes int) []string {
	var list []string
	if k.Windings {
		for i := range nodes / 2 {
			list = append(list, fmt.Sprintf("%d dot", i+1), fmt.Sprint(i+1))
		}
		return list
	}
	for _, name := range k.Nodes[:min(nodes, len(k.Nodes))] {
		list = append(list, strings.Trim(name, "[]"))
	}
	return list
}

// node is the node at a pin of a part or of one of its inner parts, all of which
// are diodes.
func (t *twin) node(p *Placed, element, pin string) (string, error) {
	nodes, pins := p.Nodes, p.Is.pins(len(p.Nodes))
	if element != "" {
		_, nodes, _ = t.Circuit.Part(p.Name + " " + element)
		pins = diodeNodes
	}
	i := slices.Index(pins, pin)
	if i < 0 || i >= len(nodes) {
		return "", fmt.Errorf("there is no pin %q; the pins are %s", pin, strings.Join(pins, ", "))
	}
	return nodes[i], nil
}

// inLead puts a resistance between a pin and its node.
func (t *twin) inLead(p *Placed, c fault.Change, elements []string, node string) error {
	t.added++
	inner := fmt.Sprintf("%s lead %d", p.Name, t.added)
	only := -1 // the pin, where the part is one of the solver's
	if len(elements) == 1 {
		pins := p.Is.pins(len(p.Nodes))
		if c.Element != "" {
			pins = diodeNodes
		}
		only = slices.Index(pins, c.Pins[0])
	}
	for _, e := range elements {
		_, at, _ := t.Circuit.Part(e)
		for i := range at {
			if i == only || only < 0 && at[i] == node {
				at[i] = inner
			}
		}
		var err error
		if t.Circuit.Circuit, err = t.Move(e, at...); err != nil {
			return err
		}
	}
	t.resistor(p.Name, c.Value, node, inner)
	return nil
}

// figure finds a figure of a part of the solver by the name that package circuit
// gives its parameter, with what is assumed where it was left open, and how to
// make the part with it.
func (t *twin) figure(name, parameter string) (made func() circuit.Part, figure *float64, err error) {
	part, _, ok := t.Circuit.Part(name)
	if !ok {
		return nil, nil, fmt.Errorf("there is no part %q", name)
	}
	figures := map[string]*float64{}
	// with files a figure, with what zero stands for.
	with := func(name string, figure *float64, standard float64) {
		if *figure == 0 {
			*figure = standard
		}
		figures[name] = figure
	}
	switch p := part.(type) {
	case circuit.Resistor:
		with("resistance", &p.Resistance, 0)
		made = func() circuit.Part { return p }
	case circuit.Potentiometer:
		with("position", &p.Position, 0)
		with("wiper resistance", &p.WiperResistance, 0)
		made = func() circuit.Part { return p }
	case circuit.Capacitor:
		with("capacitance", &p.Capacitance, 0)
		figures["series resistance"] = &p.SeriesResistance
		if parameter == "series resistance" && p.SeriesResistance == 0 { // a loss factor of 0.01 at 1 kHz
			p.SeriesResistance = 0.01 / (2 * math.Pi * 1000 * p.Capacitance)
		}
		made = func() circuit.Part { return p }
	case circuit.Inductor:
		with("inductance", &p.Inductance, 0)
		with("resistance", &p.Resistance, 0)
		made = func() circuit.Part { return p }
	case circuit.Transformer:
		p.Windings = slices.Clone(p.Windings)
		for i := range p.Windings {
			with(fmt.Sprintf("resistance of winding %d", i+1), &p.Windings[i].Resistance, 0)
		}
		made = func() circuit.Part { return p }
	case circuit.Zener:
		with("voltage", &p.Voltage, 0)
		made = func() circuit.Part { return p }
	case circuit.Reference:
		with("reference voltage", &p.Voltage, 2.495)
		made = func() circuit.Part { return p }
	case circuit.Thyristor:
		with("gate current", &p.GateCurrent, 5e-3)
		with("gate voltage", &p.GateVoltage, 0.8)
		made = func() circuit.Part { return p }
	case circuit.Triac:
		with("gate current", &p.GateCurrent, 25e-3)
		with("gate voltage", &p.GateVoltage, 0.8)
		made = func() circuit.Part { return p }
	case circuit.Bipolar:
		with("gain", &p.Gain, 100)
		made = func() circuit.Part { return p }
	case circuit.MOSFET:
		with("on resistance", &p.OnResistance, 0.5)
		made = func() circuit.Part { return p }
	case circuit.JFET:
		with("saturated drain current", &p.SaturatedCurrent, 5e-3)
		made = func() circuit.Part { return p }
	case circuit.Optocoupler:
		with("transfer ratio", &p.TransferRatio, 1)
		made = func() circuit.Part { return p }
	case circuit.Regulator:
		with("output voltage", &p.Output, 0)
		with("current limit", &p.CurrentLimit, 1.5)
		made = func() circuit.Part { return p }
	case circuit.OpAmp:
		figures["offset"] = &p.Offset
		made = func() circuit.Part { return p }
	case circuit.Comparator:
		figures["hysteresis"] = &p.Hysteresis
		made = func() circuit.Part { return p }
	case circuit.VoltageSource:
		figures["voltage"] = &p.DC
		made = func() circuit.Part { return p }
	}
	figure, ok = figures[parameter]
	if !ok {
		return nil, nil, fmt.Errorf("there is no figure %q of %s", parameter, name)
	}
	return made, figure, nil
}
