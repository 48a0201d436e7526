// Package dictionary times what a dictionary of faults costs: how a circuit
// reads with each of its parts failing in turn, a little, more, and altogether.
// The faults stand for what parts commonly do (common practice, no source).
package dictionary

import (
	"fmt"

	c "halfsplit/circuit"
)

// A Fault is one way in which one part of a circuit fails.
type Fault struct {
	Name    string        // such as "R1 high"
	Circuit [3]*c.Circuit // the circuit with it, at three severities
}

// A mode is a way in which a part fails, and how to make it so.
type mode struct {
	name string
	make func(severity int) (*c.Circuit, error)
}

// Faults lists the first count faults of a circuit, spread over its parts: one
// of each part in turn, then the next of each. Sources of voltage do not fail.
func Faults(circuit *c.Circuit, count int) ([]Fault, error) {
	var byPart [][]mode
	for _, name := range circuit.Names() {
		byPart = append(byPart, modes(circuit, name))
	}
	var list []Fault
	for round := 0; len(list) < count; round++ {
		before := len(list)
		for i, name := range circuit.Names() {
			if round >= len(byPart[i]) || len(list) == count {
				continue
			}
			m := byPart[i][round]
			f := Fault{Name: name + " " + m.name}
			for severity := range f.Circuit {
				var err error
				if f.Circuit[severity], err = m.make(severity); err != nil {
					return nil, fmt.Errorf("%s: %w", f.Name, err)
				}
			}
			list = append(list, f)
		}
		if len(list) == before {
			return nil, fmt.Errorf("the circuit has only %d faults of the %d asked for", before, count)
		}
	}
	return list, nil
}

// modes lists the ways in which a part fails.
func modes(circuit *c.Circuit, name string) []mode {
	part, nodes, _ := circuit.Part(name)
	// changed lets the part differ by a factor, one for each severity.
	changed := func(what string, change func(factor float64) c.Part, factors ...float64) mode {
		return mode{what, func(severity int) (*c.Circuit, error) {
			return circuit.Replace(name, change(factors[severity]))
		}}
	}
	// across puts a resistance between two of its pins.
	across := func(what string, a, b int, ohms ...float64) mode {
		return mode{what, func(severity int) (*c.Circuit, error) {
			faulty := circuit.Clone()
			faulty.Add(name+" fault", c.Resistor{Resistance: ohms[severity]}, nodes[a], nodes[b])
			return faulty, nil
		}}
	}
	// lifted puts a resistance between one of its pins and the board.
	lifted := func(what string, pin int, ohms ...float64) mode {
		return mode{what, func(severity int) (*c.Circuit, error) {
			faulty, err := circuit.Remove(name)
			if err != nil {
				return nil, err
			}
			at := append([]string(nil), nodes...)
			at[pin] = name + " lifted"
			faulty.Add(name, part, at...)
			faulty.Add(name+" fault", c.Resistor{Resistance: ohms[severity]}, nodes[pin], at[pin])
			return faulty, nil
		}}
	}
	switch p := part.(type) {
	case c.Resistor:
		times := func(f float64) c.Part { return c.Resistor{Resistance: p.Resistance * f} }
		return []mode{changed("high", times, 2, 10, 1e5), changed("low", times, 0.5, 0.1, 0.01)}
	case c.Capacitor:
		return []mode{
			changed("dried out", func(f float64) c.Part {
				q := p
				q.Capacitance, q.SeriesResistance = p.Capacitance/f, max(p.SeriesResistance, 0.01)*f
				return q
			}, 2, 10, 100),
			across("leaky", 0, 1, 10e3, 470, 0.1),
			changed("series resistance high", func(f float64) c.Part { q := p; q.SeriesResistance = max(q.SeriesResistance, 0.01) * f; return q }, 5, 50, 500),
		}
	case c.Diode:
		return []mode{across("leaky", 0, 1, 10e3, 470, 0.1), lifted("open", 0, 10, 1e3, 10e6)}
	case c.Zener:
		return []mode{
			changed("voltage off", func(f float64) c.Part { q := p; q.Voltage *= f; return q }, 0.95, 0.8, 1.2),
			across("leaky", 0, 1, 10e3, 470, 0.1), lifted("open", 0, 100, 10e3, 10e6),
		}
	case c.Bipolar:
		return []mode{
			across("collector to emitter leaky", 0, 2, 10e3, 470, 0.1), across("base to emitter leaky", 1, 2, 10e3, 470, 0.1),
			changed("gain low", func(f float64) c.Part { q := p; q.Gain *= f; return q }, 0.5, 0.2, 0.05), lifted("base open", 1, 1e3, 100e3, 10e6),
			lifted("collector open", 0, 10, 1e3, 10e6),
		}
	case c.MOSFET:
		return []mode{
			across("drain to source leaky", 0, 2, 10e3, 470, 1), across("gate leaky", 1, 2, 10e3, 470, 10),
			changed("on resistance high", func(f float64) c.Part { q := p; q.OnResistance *= f; return q }, 2, 5, 20), lifted("drain open", 0, 10, 1e3, 10e6),
		}
	case c.Transformer:
		return []mode{
			changed("magnetizing low", func(f float64) c.Part { q := p; q.Magnetizing *= f; return q }, 0.7, 0.3, 0.1),
			across("primary leaky", 0, 1, 100e3, 10e3, 1e3), lifted("primary open", 0, 10, 1e3, 1e6), lifted("secondary open", 2, 1, 100, 1e6),
		}
	case c.Potentiometer:
		return []mode{
			changed("wiper worn", func(f float64) c.Part { q := p; q.WiperResistance = f; return q }, 100, 10e3, 10e6),
			changed("out of place", func(f float64) c.Part { q := p; q.Position = f; return q }, 0.3, 0.1, 0),
		}
	case c.Regulator:
		return []mode{
			changed("output off", func(f float64) c.Part { q := p; q.Output *= f; return q }, 0.95, 0.8, 1.3), across("in to out leaky", 0, 1, 1e3, 100, 0.1),
			changed("limit low", func(f float64) c.Part { q := p; q.CurrentLimit *= f; return q }, 0.5, 0.2, 0.05), lifted("common open", 2, 10, 1e3, 10e6),
		}
	case c.Optocoupler:
		return []mode{
			changed("transfer ratio low", func(f float64) c.Part {
				q := p
				if q.TransferRatio == 0 {
					q.TransferRatio = 1
				}
				q.TransferRatio *= f
				return q
			}, 0.5, 0.2, 0.05),
			across("transistor leaky", 2, 3, 100e3, 10e3, 1e3), lifted("LED open", 0, 100, 10e3, 10e6),
		}
	case c.Reference:
		return []mode{across("leaky", 0, 1, 10e3, 1e3, 100), lifted("open", 0, 100, 10e3, 10e6), across("input leaky", 2, 1, 100e3, 10e3, 1e3)}
	}
	return nil
}
