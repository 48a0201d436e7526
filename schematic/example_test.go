package schematic_test

import (
	"fmt"
	"strings"

	"halfsplit/schematic"
)

// A divider is drawn with its netlist; the model says where everything is.
func ExampleDraw() {
	drawing, err := schematic.Draw(schematic.Circuit{
		Name: "divider", Ground: "gnd",
		Volts:  map[string]float64{"+5": 5},
		Points: []schematic.Point{{Name: "TP1", Node: "sense"}},
		Parts: []schematic.Part{
			{Name: "supply", Kind: "dc source", Lines: []string{"5 V"}, Nodes: []string{"+5", "gnd"}},
			{Name: "R40", Kind: "resistor", Lines: []string{"4k7"}, Nodes: []string{"+5", "sense"}},
			{Name: "R41", Kind: "resistor", Lines: []string{"4k7"}, Nodes: []string{"sense", "gnd"}},
		},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, part := range drawing.Parts {
		fmt.Println(part.Title)
	}
	for _, node := range drawing.Nodes {
		fmt.Printf("%s: %d ground marks, test points %v\n", node.Name, len(node.Marks), len(node.Tags) > 0 && node.Tags[0].Point)
	}
	r40, r41 := drawing.Parts[1], drawing.Parts[2]
	fmt.Println("R40 above R41:", r40.Pins[1].Y < r41.Pins[0].Y)
	// Output:
	// supply, dc source, 5 V: +5, gnd
	// R40, resistor, 4k7: +5, sense
	// R41, resistor, 4k7: sense, gnd
	// +5: 0 ground marks, test points false
	// gnd: 2 ground marks, test points false
	// sense: 0 ground marks, test points true
	// R40 above R41: true
}

// A page takes the drawing without style sheet and paper; what is known at the
// bench is drawn over it.
func ExampleDrawing_WriteSVG() {
	circuit := schematic.Circuit{Name: "load", Ground: "gnd", Parts: []schematic.Part{
		{Name: "B1", Kind: "battery", Lines: []string{"9 V"}, Nodes: []string{"+9", "gnd"}},
		{Name: "R1", Kind: "resistor", Lines: []string{"1k"}, Nodes: []string{"+9", "gnd"}},
	}}
	drawing, err := schematic.Draw(circuit, &schematic.Overlay{
		Parts: map[string]schematic.Suspect{"B1": {Strength: 0.8, Text: "80 %", Tone: schematic.Bad}},
		Nodes: map[string]schematic.Reading{"+9": {Lines: []string{"read 6.1 V", "expected 9 V"}, Tone: schematic.Bad}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	var page strings.Builder
	if err := drawing.WriteSVG(&page, schematic.Format{Within: true, Prefix: "load-"}); err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(page.String()) {
		if strings.Contains(line, "data-part") || strings.Contains(line, "<title>B1") {
			fmt.Print(line)
		}
	}
	// Output:
	// <g class="sk-part sk-bad" id="load-part-B1" data-part="B1" tabindex="0">
	// <title>B1, battery, 9 V: +9, gnd; suspect 80 %</title>
	// <g class="sk-part" id="load-part-R1" data-part="R1" tabindex="0">
}
