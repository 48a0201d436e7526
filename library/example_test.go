package library_test

import (
	"context"
	"fmt"
	"strings"

	"halfsplit/library"
)

// A supply without papers: the marks on regulator, reservoir and transformer are
// enough for a copy with what to expect at its test points.
func ExampleCopy() {
	text, err := library.Copy(context.Background(), "three-terminal", []string{
		"value of U1 = 12 V", "value of C1 = 2200 uF", "rated of C1 = 35 V", "T1 secondary = 15 V", "current of load = 0.5 A",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, "- {rail:") || strings.Contains(line, "part: C1, kind") {
			fmt.Print(line)
		}
	}
	// Output:
	//   - {rail: raw, nominal: 18.5 V, limits: ±15 %, ripple: 2.27 V, from: secondary, through: [BR1]}
	//   - {rail: out, nominal: 12 V, limits: ±5 %, ripple: 20 mV, from: raw, through: [U1], load: 0.5 A}
	//   - {part: C1, kind: electrolytic, value: 2200 uF 35 V, across: raw, where: "the largest capacitor, beside the bridge"}
}

// What cannot be is refused, with what would be right.
func ExampleSet() {
	text, _, _ := library.Open("zener-shunt")
	for _, change := range []string{"value of C9 = 10 uF", "value of R1 = 330 uF", "load of out = 60 mA"} {
		_, err := library.Set(context.Background(), "my.sheet.yaml", text, []string{change})
		fmt.Println(err)
	}
	// Output:
	// "value of C9 = 10 uF": nothing on the sheet is called "C9"; known here: R1, D1, C1, feed, load, in, out, R1 hot end, D1 cathode, dropper, model
	// "value of R1 = 330 uF": "value": cannot read "330 uF": this is in farads; a resistance is wanted, such as 4k7
	// "nominal of out = 12 V": with these values the circuit gives 9.04 V there, and the sheet allows 11.16..12.84 V; see whether a value is mistaken, or whether a load draws less; it comes from R1, D1, C1
}

// A value is found under the name that a change gives it.
func ExampleValues() {
	text, _, _ := library.Open("zener-shunt")
	values, _ := library.Values("zener-shunt", text)
	for _, v := range values[:3] {
		fmt.Println(v.Name(), "=", v.Text)
	}
	// Output:
	// value of R1 = 330R
	// tolerance of R1 = ±5 %
	// power of R1 = 1 W
}

// The list says what each sheet covers and what it was drawn from.
func ExampleList() {
	for _, e := range library.List() {
		if e.Name == "zener-shunt" {
			fmt.Println(e.Title)
			fmt.Println(e.About)
		}
	}
	// Output:
	// shunt regulator by a zener
	// the dropper resistor, the zener, the capacitor across it and what the rail feeds; the rail before it comes from elsewhere
}
