package sheet_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"halfsplit/circuit"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// What stands in the list of parts, or is a block, is completed from there:
// kind, value, ratings and tolerance, and the settings of both places.
func TestCircuitRefersToPartsAndBlocks(t *testing.T) {
	s, err := sheet.Parse("sheet.yaml", []byte(`sheet: 1
outside: [mains]
parts:
  - {part: C1, kind: electrolytic, value: 1000 uF 25 V, tolerance: -10..+30 %, settings: {esr: 0R2}}
  - {part: R1, kind: power resistor, value: 10R 5 W}
blocks:
  - {block: T1, kind: transformer, in: mains, out: secondary, type: 20 VA}
circuits:
  supply:
    ground: gnd
    parts:
      - {part: V1, kind: mains source, value: 230 V, nodes: [live, gnd]}
      - {part: T1, nodes: [live, gnd, ac, gnd], settings: {voltages: 230 V / 12 V}}
      - {part: D1, kind: rectifier, nodes: [ac, raw]}
      - {part: C1, nodes: [raw, gnd], settings: {charged to: 3 V}}
      - {part: R1, nodes: [raw, gnd]}
  again:
    ground: gnd
    parts:
      - {part: V2, kind: dc source, value: 12 V, nodes: [raw, gnd]}
      - {part: C1, nodes: [raw, gnd]}
`))
	if err != nil {
		t.Fatal(err)
	}
	c, err := s.Wire(s.Circuits[0].Value, wiring.SwitchedOn)
	if err != nil {
		t.Fatal(err)
	}
	part := func(name string) circuit.Part {
		p, _, ok := c.Part(name)
		if !ok {
			t.Fatalf("no part %q", name)
		}
		return p
	}
	if got, ok := part("C1").(circuit.Capacitor); !ok || got.Capacitance != 1e-3 || got.SeriesResistance != 0.2 || got.InitialVoltage != 3 {
		t.Errorf("C1 is %+v", got)
	}
	if got := part("R1"); got != (circuit.Resistor{Resistance: 10}) {
		t.Errorf("R1 is %+v", got)
	}
	// Half of the regulation of a 20 VA transformer, 15 %, in the first winding.
	if got, ok := part("T1").(circuit.Transformer); !ok || math.Abs(got.Windings[0].Resistance-0.075*230*230/20) > 1e-9 {
		t.Errorf("T1 is %+v", got)
	}
	solver, err := c.Solver(circuit.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := solver.OperatingPoint(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if n := len(op.Stress()); n != 5 {
		t.Errorf("%d parts", n)
	}
}

func ExampleSheet_Wire() {
	s, err := sheet.Parse("sheet.yaml", []byte(`sheet: 1
circuits:
  divider:
    ground: gnd
    reach: [mid]
    parts:
      - {part: V1, kind: dc source, value: 12 V, nodes: [in, gnd]}
      - {part: R1, kind: resistor, value: 10k, nodes: [in, mid]}
      - {part: R2, kind: resistor, value: 4k7, nodes: [mid, gnd]}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := s.Wire(s.Circuits[0].Value, wiring.Running)
	if err != nil {
		fmt.Println(err)
		return
	}
	solver, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	op, err := solver.OperatingPoint(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := op.Value(circuit.Voltage("mid"))
	fmt.Printf("%.3f V %v\n", v, err)
	// Output:
	// 3.837 V <nil>
}
