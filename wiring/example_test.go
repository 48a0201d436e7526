package wiring_test

import (
	"context"
	"fmt"

	"halfsplit/circuit"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// A small transistor of which no more is known, biased by a divider.
func ExampleNew() {
	ohms := func(r float64) *quantity.Quantity { return &quantity.Quantity{Value: r, Unit: quantity.Ohm} }
	c, err := wiring.New("gnd", []wiring.Part{
		{Name: "supply", Kind: "battery", Value: &quantity.Quantity{Value: 9, Unit: quantity.Volt}, Nodes: []string{"+9", "gnd"}},
		{Name: "R1", Kind: "resistor", Value: ohms(47e3), Nodes: []string{"+9", "base"}},
		{Name: "R2", Kind: "resistor", Value: ohms(10e3), Nodes: []string{"base", "gnd"}},
		{Name: "R3", Kind: "resistor", Value: ohms(4.7e3), Nodes: []string{"+9", "collector"}},
		{Name: "R4", Kind: "resistor", Value: ohms(1e3), Nodes: []string{"emitter", "gnd"}},
		{Name: "Q1", Kind: "transistor", Type: "small npn", Nodes: []string{"collector", "base", "emitter"}},
	}, wiring.Running)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	op, err := s.OperatingPoint(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := op.Value(circuit.VoltageBetween("base", "emitter"))
	fmt.Printf("%.2f V from base to emitter, %v\n", v, err)
	// Output:
	// 0.65 V from base to emitter, <nil>
}

func ExampleCheck() {
	for _, m := range wiring.Check(wiring.Part{Name: "Q1", Kind: "transistor", Nodes: []string{"raw", "drive"}}) {
		fmt.Println(m)
	}
	// Output:
	// part "Q1": a transistor has three nodes, not 2; name them in this order: collector, base, emitter
}

func ExampleFind() {
	k, _ := wiring.Find("crowbar")
	fmt.Println(k.Name, "-", k.Order())
	// Output:
	// thyristor - anode, cathode, gate
}
