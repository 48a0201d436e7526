package logbook_test

import (
	"fmt"

	"halfsplit/logbook"
	"halfsplit/sheet"
)

func ExampleLoad() {
	c, s, err := logbook.Load("../examples/vt9-shuts-down.case.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, serial %s, on the sheet of the %s\n", c.Unit.Model, c.Unit.Serial, s.Model.Name)
	for i := range c.Log[:3] {
		fmt.Println(c.Log[i].Verb())
	}
	// Output:
	// Ostrel VT-9, serial 004417, on the sheet of the VT-9
	// symptom
	// safe
	// safe
}

// Names in a case must be those of its sheet.
func ExampleParse() {
	s, err := sheet.Parse("p6.sheet.yaml", []byte(`
sheet: 1
outside: [keyboard]
blocks:
  - {block: voice 4, kind: stage, in: keyboard, out: voice 4 out}
testpoints:
  - {point: loudspeaker, signal: voice 4 out, expect: clean tone}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = logbook.Parse("p6.case.yaml", []byte(`case: 1
sheet: p6.sheet.yaml
log:
  - {symptom: voice four is silent, at: loudspeeker, reads: absent}
  - {measure: voice 4 out}
  - {swap: voice 5}
  - {soak: -2 h}
`), s)
	fmt.Println(err)
	// Output:
	// p6.case.yaml:4:41: the sheet has no test point, signal or rail "loudspeeker"; did you mean "loudspeaker"?
	// p6.case.yaml:5:5: the entry does not say what "measure" showed; add what it read, as in "reads: good" or "reads: 4.62 V"
	// p6.case.yaml:6:12: the sheet has no part or block "voice 5"; did you mean "voice 4"?
	// p6.case.yaml:7:5: "soak" is -2 h; it cannot be below zero
}

// A log that is kept entry by entry, each as its line, is put together to be
// reasoned over; a mistake names its entry.
func ExampleAssemble() {
	s, err := sheet.Parse("p6.sheet.yaml", []byte("sheet: 1\nblocks: [{block: voice 4, kind: stage, out: voice 4 out}]\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	var log []logbook.Entry
	for _, line := range []string{
		"{symptom: voice four is silent, at: voice 4 out, reads: absent}",
		"{measure: voice 4 out, reads: good, state: cold, note: \"#4: ok\"}",
		"{swap: voice 5, took: 90 min}",
	} {
		e, err := logbook.ParseEntry(line)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(e.Line())
		log = append(log, *e)
	}
	_, err = logbook.Assemble(s, "p6.sheet.yaml", logbook.Unit{Model: "Corvane P6"}, nil, logbook.Proof{}, log...)
	fmt.Println(err)
	// Output:
	// {symptom: voice four is silent, at: voice 4 out, reads: absent}
	// {measure: voice 4 out, reads: good, state: {warm: no}, note: "#4: ok"}
	// {swap: voice 5, took: 1 h 30 min}
	// entry:3:8: the sheet has no part or block "voice 5"; did you mean "voice 4"?
}
