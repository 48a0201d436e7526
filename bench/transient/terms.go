package main

import (
	"fmt"
	"io"
	"math"

	c "halfsplit/circuit"
)

// thermalVoltage is kT/q at 300.15 K, the temperature of the surroundings.
const thermalVoltage = 1.380649e-23 * 300.15 / 1.602176634e-19

// terms writes out the equations of a circuit, term by term, in the form that
// the peer reads; see ida/ida.c. It is written apart from package circuit, so
// that the two sides check each other.
type terms struct {
	lines    []string
	kinds    []string // volt, ampere or nanocoulomb, of each unknown from 1
	nodes    map[string]int
	currents map[string]int // of parts that have one as an unknown, the first
	// charges makes the charge of each junction an unknown of its own; else
	// its rate is written as C(v) dv/dt.
	charges bool
}

// unknown adds one and returns its number.
func (t *terms) unknown(kind string) int {
	t.kinds = append(t.kinds, kind)
	return len(t.kinds)
}

func (t *terms) node(name string) int {
	if _, ok := t.nodes[name]; !ok {
		t.nodes[name] = t.unknown("volt")
	}
	return t.nodes[name]
}

func (t *terms) add(format string, values ...any) {
	t.lines = append(t.lines, fmt.Sprintf(format, values...))
}

// between puts an admittance between two unknowns.
func (t *terms) between(kind string, a, b int, y float64) {
	for _, e := range [4]struct {
		row, column int
		value       float64
	}{{a, a, y}, {b, b, y}, {a, b, -y}, {b, a, -y}} {
		if e.row > 0 && e.column > 0 {
			t.add("%s %d %d %.17g", kind, e.row, e.column, e.value)
		}
	}
}

// branch adds a current as an unknown, and v(a) - v(b) - r i as its equation.
func (t *terms) branch(a, b int, r float64) int {
	i := t.unknown("ampere")
	t.join(i, a, b)
	for _, e := range [2]struct {
		node int
		sign float64
	}{{a, 1}, {b, -1}} {
		if e.node > 0 {
			t.add("static %d %d %g", i, e.node, e.sign)
		}
	}
	t.add("static %d %d %.17g", i, i, -r)
	return i
}

// join lets the current i leave node a and enter node b.
func (t *terms) join(i, a, b int) {
	if a > 0 {
		t.add("static %d %d 1", a, i)
	}
	if b > 0 {
		t.add("static %d %d -1", b, i)
	}
}

// behind returns the node behind a series resistance, which may be none.
func (t *terms) behind(a int, r float64) int {
	if r == 0 {
		return a
	}
	inside := t.unknown("volt")
	t.between("static", a, inside, 1/r)
	return inside
}

func (t *terms) diode(a, b int, d c.Diode) {
	a = t.behind(a, d.SeriesResistance)
	breakdown := d.BreakdownCurrent
	if d.Breakdown == 0 {
		breakdown = 0
	}
	q := 0
	if t.charges && (d.JunctionCapacitance > 0 || d.StorageTime > 0) {
		q = t.unknown("nanocoulomb")
	}
	t.add("diode %d %d %d %.17g %.17g %.17g %.17g %.17g %.17g %.17g", a, b, q, d.SaturationCurrent, d.Ideality*thermalVoltage,
		breakdown, d.Breakdown, max(d.BreakdownIdeality, 1)*thermalVoltage, d.JunctionCapacitance, d.StorageTime)
}

// write writes the equations of a circuit whose ground is named gnd.
func write(w io.Writer, tr trial, charges bool) error {
	t := &terms{nodes: map[string]int{"gnd": 0}, currents: map[string]int{}, charges: charges}
	for _, name := range tr.circuit.Names() {
		part, nodes, _ := tr.circuit.Part(name)
		at := make([]int, len(nodes))
		for i, n := range nodes {
			at[i] = t.node(n)
		}
		switch p := part.(type) {
		case c.Resistor:
			t.between("static", at[0], at[1], 1/p.Resistance)
		case c.Capacitor:
			t.between("moving", t.behind(at[0], p.SeriesResistance), at[1], p.Capacitance)
		case c.VoltageSource:
			i := t.branch(at[0], at[1], p.Resistance)
			t.currents[name] = i
			switch w := p.Wave.(type) {
			case c.Sine:
				t.add("sine %d %.17g %.17g", i, w.Peak, 2*math.Pi*w.Frequency)
			case c.Pulse:
				t.add("pulse %d %.17g %.17g %.17g %.17g %.17g %.17g %.17g", i, w.Low, w.High, w.Delay, w.Rise, w.Fall, w.Width, w.Period)
			default:
				return fmt.Errorf("part %s: no terms for the wave %T", name, p.Wave)
			}
		case c.Transformer:
			var currents []int
			for j, winding := range p.Windings {
				currents = append(currents, t.branch(at[2*j], at[2*j+1], winding.Resistance))
			}
			t.currents[name] = currents[0]
			for j, row := range currents {
				for k, column := range currents {
					l := p.Magnetizing * p.Windings[j].Turns * p.Windings[k].Turns / (p.Windings[0].Turns * p.Windings[0].Turns)
					if j == k {
						l += p.Windings[j].Leakage
					}
					t.add("moving %d %d %.17g", row, column, -l)
				}
			}
		case c.Diode:
			t.diode(at[0], at[1], p)
		case c.MOSFET:
			t.add("channel %d %d %d %.17g %.17g %.17g", at[0], at[1], at[2], 1/(p.OnResistance*(p.GateDrive-p.Threshold)), p.OutputSlope, p.Threshold)
			t.between("moving", at[1], at[2], p.GateSourceCapacitance)
			t.between("moving", at[1], at[0], p.GateDrainCapacitance)
			t.diode(at[2], at[0], c.Diode{SaturationCurrent: 1 / math.Expm1(p.BodyDrop/(1.2*thermalVoltage)), Ideality: 1.2, JunctionCapacitance: p.DrainSourceCapacitance})
		case c.Regulator:
			i := t.unknown("ampere")
			t.join(i, at[0], at[1])
			t.add("regulator %d %d %d %d %.17g %.17g %.17g %.17g %.17g %.17g", at[0], at[1], at[2], i, p.Output, p.Dropout, p.CurrentLimit,
				math.Pow(10, -p.Rejection/20), p.OutputResistance, p.QuiescentCurrent)
		default:
			return fmt.Errorf("part %s: no terms for %T", name, part)
		}
	}
	fmt.Fprintf(w, "unknowns %d\n", len(t.kinds))
	for i, kind := range t.kinds {
		fmt.Fprintf(w, "floor %d %g %g\n", i+1, map[string]float64{"volt": 1e-6, "ampere": 1e-9, "nanocoulomb": 1e-3}[kind], tr.sizes[kind])
	}
	for _, node := range tr.voltages {
		fmt.Fprintf(w, "read %d\n", t.nodes[node])
	}
	fmt.Fprintf(w, "read %d\n", t.currents[tr.current])
	for _, l := range t.lines {
		fmt.Fprintln(w, l)
	}
	return nil
}
