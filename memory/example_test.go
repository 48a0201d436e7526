package memory_test

import (
	"fmt"
	"strings"

	"halfsplit/memory"
)

// array16K is two banks of eight 16K chips.
func array16K() *memory.Array {
	a, err := memory.NewArray(memory.Array{Banks: []memory.Bank{
		{Name: "0", First: 0x0000, Last: 0x3FFF, Chips: []string{"U10", "U11", "U12", "U13", "U14", "U15", "U16", "U17"}},
		{Name: "1", First: 0x4000, Last: 0x7FFF, Chips: []string{"U20", "U21", "U22", "U23", "U24", "U25", "U26", "U27"}},
	}})
	if err != nil {
		panic(err)
	}
	return a
}

// An address and a bit are a chip.
func ExampleArray_Chip() {
	a := array16K()
	chip, err := a.Chip(0x4A37, 3)
	row, column, _ := a.Cell(0x4A37)
	fmt.Println(chip, row, column, err)
	// Output: U23 55 20 <nil>
}

// A list of failures, counted and weighed.
func ExampleTally_Diagnose() {
	var list strings.Builder
	for _, pass := range []string{"up", "down"} { // every read of 1 in bank 1 fails in bit 3
		for i := range 0x4000 {
			at := 0x4000 + i
			if pass == "down" {
				at = 0x7FFF - i
			}
			fmt.Fprintf(&list, "%04X,FF,F7\n", at)
		}
	}
	t := memory.NewTally(array16K())
	n, err := memory.Read(strings.NewReader(list.String()), t.Add)
	march, _ := memory.FindMarch("March C-")
	d, _ := t.Diagnose(memory.Test{March: march})
	fmt.Println(n, err, d.Causes[0].What, d.Causes[0].Class)
	// Output: 32768 <nil> U23 data output stuck
}

// What a self-test says.
func ExampleArray_DiagnoseStatement() {
	a := array16K()
	s, err := memory.ParseStatement("bit 3 at 4000-7FFF")
	d, _ := a.DiagnoseStatement(s)
	fmt.Printf("%s %.2f %v\n", d.Causes[0].What, d.Causes[0].Probability, err)
	// Output: U23 0.92 <nil>
}

// Eight chips of a batch of which three were found bad before; each is soldered
// in, and the unit takes an hour to open.
func ExamplePlanSwaps() {
	chips := []memory.SwapChip{{Name: "U23", Bad: 0.97}}
	for _, name := range []string{"U20", "U21", "U22", "U24", "U25", "U26", "U27"} {
		chips = append(chips, memory.SwapChip{Name: name, Bad: 0.005})
	}
	s, err := memory.PlanSwaps(chips, []memory.Batch{{Mark: "8112", Fitted: 11, Failed: 3}},
		memory.SwapCosts{Teardown: 60, Swap: 6, Test: 3, Chip: 4, Minute: 1}, memory.Service{Years: 10, Horizon: 10})
	for _, p := range s.Plans {
		fmt.Printf("%s: %.1f chips, %.0f min, %.2f failures later\n", p.Policy, p.Chips, p.Minutes, p.Further)
	}
	fmt.Println(s.Best, err)
	// Output:
	// one by one: 1.1 chips, 70 min, 0.80 failures later
	// half at a time: 4.1 chips, 88 min, 0.46 failures later
	// all at once: 8.0 chips, 111 min, 0.00 failures later
	// one by one <nil>
}

// What a march test finds.
func ExampleMarch_Guarantees() {
	m, err := memory.FindMarch("MATS+")
	fmt.Println(m, m.Length(), err)
	fmt.Println(m.Guarantees(memory.StuckAt), m.Guarantees(memory.AddressDecoder), m.Guarantees(memory.Transition))
	// Output:
	// any(w0); up(r0,w1); down(r1,w0) 5 <nil>
	// true true false
}

// Three dumps of one memory, one of them misread in one bit.
func ExampleCompare() {
	good := []byte("halfsplit")
	misread := []byte("halfspmit")
	v, err := memory.Compare([]memory.Image{{Name: "1", Data: good}, {Name: "2", Data: misread}, {Name: "3", Data: good}})
	fmt.Printf("%s, %d unsteady, %v\n", v.Majority, v.Unsteady, err)
	// Output: halfsplit, 1 unsteady, <nil>
}
