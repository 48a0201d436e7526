package circuit

import (
	"fmt"
	"slices"
	"strings"
)

// A Quantity is something one could read: a voltage, a current, a power. Make
// one with [Voltage], [VoltageBetween], [Current], [PinCurrent], [Power],
// [Dissipation] or [Temperature].
type Quantity struct {
	kind quantityKind
	a, b string
}

type quantityKind uint8

const (
	readVoltage quantityKind = iota
	readCurrent
	readPower
	readDissipation
	readTemperature
)

// Voltage is the voltage of a node against ground, in volt.
func Voltage(node string) Quantity { return Quantity{kind: readVoltage, a: node} }

// VoltageBetween is the voltage of node a against node b, in volt.
func VoltageBetween(a, b string) Quantity { return Quantity{readVoltage, a, b} }

// Current is the current into the first pin of a part, in ampere: for a part
// with two pins, the current through it from the first to the second.
func Current(part string) Quantity { return Quantity{kind: readCurrent, a: part} }

// PinCurrent is the current into the named pin of a part, in ampere.
func PinCurrent(part, pin string) Quantity { return Quantity{readCurrent, part, pin} }

// Power is the power that a part takes in through its pins, in watt; negative
// for one that delivers.
func Power(part string) Quantity { return Quantity{kind: readPower, a: part} }

// Dissipation is the power that a part turns into heat, in watt. It differs
// from [Power] where energy is stored.
func Dissipation(part string) Quantity { return Quantity{kind: readDissipation, a: part} }

// Temperature is that of the filament of a [Lamp] or the chip of a
// [Regulator], in kelvin.
func Temperature(part string) Quantity { return Quantity{kind: readTemperature, a: part} }

// String writes the quantity as a label, such as "voltage of out".
func (q Quantity) String() string {
	switch {
	case q.kind == readVoltage && q.b != "":
		return fmt.Sprintf("voltage of %s against %s", q.a, q.b)
	case q.kind == readVoltage:
		return "voltage of " + q.a
	case q.kind == readCurrent && q.b != "":
		return fmt.Sprintf("current into %s of %s", q.b, q.a)
	}
	return [...]string{"voltage", "current", "power", "dissipation", "temperature"}[q.kind] + " of " + q.a
}

// reading is a quantity resolved to the unknowns of one solver.
type reading struct {
	kind   quantityKind
	a, b   int // unknowns of a voltage
	device int
	pin    int
}

// A thermometer is a device with a temperature among the unknowns.
//
// It gives the unknown and what to add to it.
type thermometer interface {
	temperature() (u int, offset float64)
}

// resolve finds what a quantity refers to.
func (s *Solver) resolve(q Quantity) (reading, error) {
	if q.kind == readVoltage {
		r := reading{}
		for i, name := range []string{q.a, q.b} {
			if name == "" {
				continue
			}
			u, ok := s.nodes[name]
			if !ok {
				return r, fmt.Errorf("%v: there is no node %q; the nodes are %q", q, name, s.names)
			}
			if i == 0 {
				r.a = u
			} else {
				r.b = u
			}
		}
		return r, nil
	}
	at, ok := s.deviceOf[q.a]
	if !ok {
		return reading{}, fmt.Errorf("%v: %w", q, s.circuit.unknownPart(q.a))
	}
	r := reading{kind: q.kind, device: at}
	if q.kind == readCurrent && q.b != "" {
		pins := s.circuit.parts[s.circuit.index[q.a]].part.pins()
		r.pin = slices.IndexFunc(pins, func(pin string) bool { return strings.Trim(pin, "[]") == q.b })
		if r.pin < 0 || r.pin >= s.pins[at] {
			return r, fmt.Errorf("%v: the pins are %q", q, pins)
		}
	}
	if q.kind == readCurrent && s.pins[at] == 0 {
		return r, fmt.Errorf("%v: it has no pins", q)
	}
	if q.kind == readTemperature {
		if _, ok := s.devices[at].(thermometer); !ok {
			return r, fmt.Errorf("%v: the temperature of this part is not followed", q)
		}
	}
	return r, nil
}

// read takes the reading at a solution.
func (s *Solver) read(r reading, p *point) float64 {
	switch r.kind {
	case readVoltage:
		return p.x[r.a] - p.x[r.b]
	case readTemperature:
		u, offset := s.devices[r.device].(thermometer).temperature()
		return p.x[u] + offset
	}
	pins := s.pins[r.device]
	into := s.now[:pins]
	clear(into)
	if r.kind == readDissipation {
		if d, ok := s.devices[r.device].(dissipator); ok {
			return d.dissipation(p)
		}
	}
	s.devices[r.device].currents(p, into)
	if r.kind == readCurrent {
		return into[r.pin]
	}
	power := 0.0
	for i, u := range s.own[r.device][:pins] {
		power += p.x[u] * into[i]
	}
	return power
}
