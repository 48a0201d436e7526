package form_test

import (
	"fmt"

	"halfsplit/form"
	"halfsplit/quantity"
)

// A page made by a program looks like one that was typed.
func ExampleWrite() {
	type Range struct {
		Full  quantity.Quantity  `form:"full,required" unit:"V" doc:"Full scale." like:"20 V"`
		Error *quantity.Quantity `form:"error" unit:"%" doc:"Error, of the reading." like:"0.5 %"`
	}
	type Meter struct {
		Name   string            `form:"name,required" doc:"What it is called." like:"green multimeter"`
		Serial string            `form:"serial" doc:"Serial number." like:"0417"`
		Ranges form.Pairs[Range] `form:"ranges" doc:"Ranges by name."`
		Note   string            `form:"note,last" doc:"Anything worth knowing."`
	}
	meter := Meter{Name: "green multimeter", Serial: "0417", Note: "leads: new"}
	for _, volts := range []float64{0.2, 20} {
		full := quantity.Quantity{Value: volts, Unit: quantity.Volt}
		meter.Ranges = append(meter.Ranges, form.Pair[Range]{Key: form.Word{Text: full.String()}, Value: Range{Full: full}})
	}
	page, err := form.Write(&meter)
	fmt.Printf("%s%v\n", page, err)
	// Output:
	// name: green multimeter
	// serial: "0417"
	//
	// ranges:
	//   200 mV: {full: 200 mV}
	//   20 V: {full: 20 V}
	//
	// note: "leads: new"
	// <nil>
}

func ExampleLine() {
	type Reading struct {
		At    string            `form:"at" doc:"Where." like:"TP3"`
		Volts quantity.Quantity `form:"volts" unit:"V" doc:"What was read." like:"5 V"`
		Note  string            `form:"note" doc:"Anything worth knowing."`
	}
	fmt.Println(form.Line(&Reading{At: "TP3", Volts: quantity.Quantity{Value: 0.05, Unit: quantity.Volt}, Note: "after a tap, once"}))
	// Output:
	// {at: TP3, volts: 50 mV, note: "after a tap, once"}
}

// One value on a page that somebody wrote is changed; the comments stay.
func ExampleSet() {
	page := []byte(`sheet: 1
parts:
  # the reservoir
  - {part: C1, kind: electrolytic, value: 2200 uF}  # leaks
  - {part: R7, kind: resistor, value: 4k7}
`)
	page, err := form.Set(page, "4700 uF", "parts", "C1", "value")
	if err == nil {
		page, err = form.Set(page, []string{"raw", "gnd"}, "parts", "C1", "nodes")
	}
	fmt.Printf("%s%v\n", page, err)
	_, err = form.Set(page, "47k", "parts", "R8", "value")
	fmt.Println(err)
	// Output:
	// sheet: 1
	// parts:
	//   # the reservoir
	//   - {part: C1, kind: electrolytic, value: 4700 uF, nodes: [raw, gnd]}  # leaks
	//   - {part: R7, kind: resistor, value: 4k7}
	// <nil>
	// 4:3: there is no "R8" here; known here: C1, R7
}
