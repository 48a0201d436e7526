package sheet_test

import (
	"fmt"

	"halfsplit/quantity"
	"halfsplit/sheet"
)

// A sheet may describe no more than the corner that is known.
func ExampleParse() {
	s, err := sheet.Parse("vt9.yaml", []byte(`
sheet: 1
model: {name: VT-9, maker: Ostrel}
rails:
  - {rail: "+5", nominal: 5 V, limits: ±5 %, from: switched, through: D5}
parts:
  - {part: D5, kind: rectifier}
  - {part: C12, kind: electrolytic, value: 2200 uF 10 V, across: "+5"}
outside: [switched]
testpoints:
  - {point: TP1, signal: "+5", where: positive end of C12}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	rail := s.Rail("+5")
	limits := rail.Limits.Around(rail.Nominal.Value)
	fmt.Printf("%s should read %g to %g V at %s\n", rail.Name, limits.Low, limits.High, s.PointsOf("+5")[0].Where)
	fmt.Printf("C12 is %v, for %g V\n", s.Part("C12").Quantity(), s.Part("C12").Rating(quantity.Volt))
	// Output:
	// +5 should read 4.75 to 5.25 V at positive end of C12
	// C12 is 2200 µF, for 10 V
}

// Every mistake is reported, with its place and what would be right.
func ExampleParse_mistakes() {
	_, err := sheet.Parse("vt9.yaml", []byte(`sheet: 1
rails:
  - {rail: "+5", nominal: 5 ohm, from: swiched, through: D5}
parts:
  - {part: D5, kind: rectifyer, tolerence: ±5 %}
outside: [switched]
`))
	fmt.Println(err)
	// Output:
	// vt9.yaml:3:29: "nominal": cannot read "5 ohm": this is in ohms; a voltage is wanted, such as 12 V
	// vt9.yaml:3:40: there is no signal or rail "swiched"; did you mean "switched"?
	// vt9.yaml:5:22: unknown kind "rectifyer"; did you mean "rectifier"?
	// vt9.yaml:5:33: unknown key "tolerence"; did you mean "tolerance"?
}

func ExampleLoad() {
	s, err := sheet.Load("../examples/vt9.sheet.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s %s: %d rails, %d parts, %d blocks\n", s.Model.Maker, s.Model.Name, len(s.Rails), len(s.Parts), len(s.Blocks))
	// Output: Ostrel VT-9: 5 rails, 24 parts, 13 blocks
}

// What a check's table names is a part, with or without the way it fails, or a
// signal with its state.
func ExampleSheet_Cause() {
	s, err := sheet.Load("../examples/vt9.sheet.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{"U10", "U10 output stuck low", "picture absent", "+5 bad"} {
		switch cause, wrong := s.Cause(text); {
		case wrong != nil:
			fmt.Println("not understood:", text)
		case cause.Item != "":
			fmt.Printf("part %s, %q\n", cause.Item, cause.Mode)
		case cause.Bad:
			fmt.Printf("signal %s, anything but good\n", cause.Signal)
		default:
			fmt.Printf("signal %s, %v\n", cause.Signal, cause.State)
		}
	}
	// Output:
	// part U10, ""
	// part U10, "output stuck low"
	// signal picture, absent
	// signal +5, anything but good
}
