package form_test

import (
	"errors"
	"fmt"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Meter is a page of its own: what is known about a meter on the bench.
type Meter struct {
	_      struct{}          `doc:"A meter on the bench."`
	Name   string            `form:"name,required" doc:"What it is called." like:"green multimeter"`
	Digits int               `form:"digits" doc:"Digits of the display." like:"4"`
	Ranges form.Pairs[Range] `form:"ranges" doc:"Ranges by name."`
}

// Range is one range of a meter.
type Range struct {
	Full  quantity.Quantity `form:"full,required" unit:"V" doc:"Full scale." like:"20 V"`
	Error quantity.Quantity `form:"error" unit:"%" doc:"Error, of the reading." like:"0.5 %"`
}

func ExampleRead() {
	page := `
name: green multimeter
digits: four
ranges:
  20V: {full: 20 V, error: 0.5 %}
  200m: {full: 200 mA, eror: 0.5 %}
`
	var meter Meter
	err := form.Read("meter.yaml", []byte(page), &meter)
	fmt.Println(err)
	twenty, _ := meter.Ranges.Get("20V")
	fmt.Println(twenty.Full, twenty.Error)
	// Output:
	// meter.yaml:3:9: "digits": "four" is not a whole number; write digits only, such as 16
	// meter.yaml:6:20: "full": cannot read "200 mA": this is in amperes; a voltage is wanted, such as 12 V
	// meter.yaml:6:24: unknown key "eror"; did you mean "error"?
	// 20 V 0.5 %
}

// Checks that need more than one value come after Read and add to its list.
func ExampleProblems_Add() {
	page := "name: a\nranges:\n  20V: {full: 20 V}\n  2V: {full: 2 V}\n"
	var meter Meter
	var problems form.Problems
	errors.As(form.Read("meter.yaml", []byte(page), &meter), &problems)
	last := 0.0
	for name, one := range meter.Ranges.All() {
		if one.Full.Value < last {
			problems.Add(name.Place, fmt.Sprintf("range %s is out of order", name), "begin with the smallest range")
		}
		last = one.Full.Value
	}
	fmt.Println(problems.In("meter.yaml").Err())
	// Output:
	// meter.yaml:4:3: range 2V is out of order; begin with the smallest range
}

func ExampleReference() {
	fmt.Print(form.Reference(&Meter{}))
	// Output:
	// ## Meter
	//
	// A meter on the bench.
	//
	// | key | what | written as | required |
	// |---|---|---|---|
	// | `name` | What it is called. | text, such as `green multimeter` | yes |
	// | `digits` | Digits of the display. | whole number, such as `4` |  |
	// | `ranges` | Ranges by name. | names, each with: [Range](#range) |  |
	//
	// ## Range
	//
	// | key | what | written as | required |
	// |---|---|---|---|
	// | `full` | Full scale. | value in volts, such as `20 V` | yes |
	// | `error` | Error, of the reading. | value in percent, such as `0.5 %` |  |
}

func ExampleSchema() {
	type Note struct {
		Text string `form:"text,required" doc:"What happened." like:"smoke"`
	}
	schema, err := form.Schema("Note", &Note{})
	fmt.Printf("%s%v\n", schema, err)
	// Output:
	// {
	//   "$schema": "https://json-schema.org/draft/2020-12/schema",
	//   "title": "Note",
	//   "type": "object",
	//   "properties": {
	//     "text": {
	//       "description": "What happened. Written as: text, such as smoke.",
	//       "type": [
	//         "string",
	//         "number",
	//         "boolean"
	//       ],
	//       "examples": [
	//         "smoke"
	//       ]
	//     }
	//   },
	//   "required": [
	//     "text"
	//   ],
	//   "additionalProperties": false
	// }
	// <nil>
}

func ExampleSuggest() {
	known := []string{"resistor", "electrolytic", "transformer"}
	fmt.Println(form.Suggest("electrolitic", known))
	fmt.Println(form.Suggest("valve", known))
	// Output:
	// did you mean "electrolytic"?
	// known here: resistor, electrolytic, transformer
}
