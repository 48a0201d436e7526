package quantity_test

import (
	"encoding/json"
	"fmt"

	"halfsplit/quantity"
)

func ExampleParse() {
	for _, text := range []string{"4.7 kΩ", "2200uF", "5V6", "1/4 W", "1 h 30 min"} {
		q, err := quantity.Parse(text)
		fmt.Println(q.Value, q.Unit, err)
	}
	// Output:
	// 4700 Ω <nil>
	// 0.0022 F <nil>
	// 5.6 V <nil>
	// 0.25 W <nil>
	// 5400 s <nil>
}

func ExampleParseAs() {
	r7, _ := quantity.ParseAs("4R7", quantity.Ohm)
	c3, _ := quantity.ParseAs("47u", quantity.Farad)
	_, err := quantity.ParseAs("4k7 Ω", quantity.Farad)
	fmt.Println(r7)
	fmt.Println(c3)
	fmt.Println(err)
	// Output:
	// 4.7 Ω
	// 47 µF
	// "4k7 Ω": this is in ohms; a capacitance is wanted, such as 47 uF
}

func ExampleParseList() {
	reservoir, err := quantity.ParseList("4700 uF 25 V")
	fmt.Println(reservoir, err)
	// Output: [4700 µF 25 V] <nil>
}

func ExampleParseListAs() {
	resistor, err := quantity.ParseListAs("4k7 5 % 1/4 W", quantity.Ohm)
	fmt.Println(resistor, err)
	// Output: [4.7 kΩ 5 % 0.25 W] <nil>
}

func ExampleParseInterval() {
	rail, _ := quantity.ParseInterval("4.75..5.25 V")
	ripple, _ := quantity.ParseInterval("at most 50 mV")
	fmt.Println(rail.Contains(5.1), rail.Contains(5.3))
	fmt.Println(ripple.Contains(0.02), ripple.Contains(0.08))
	// Output:
	// true false
	// true false
}

func ExampleParseIntervalAs() {
	trimmer, err := quantity.ParseIntervalAs("4k7..10k", quantity.Ohm)
	fmt.Println(trimmer, err)
	// Output: 4.7..10 kΩ <nil>
}

func ExampleParseTolerance() {
	for _, text := range []string{"5 %", "-20/+50 %", "±0.25 pF", "K"} {
		tolerance, err := quantity.ParseTolerance(text)
		fmt.Println(tolerance, err)
	}
	// Output:
	// ±5 % <nil>
	// -20..+50 % <nil>
	// ±0.25 pF <nil>
	// ±10 % <nil>
}

func ExampleTolerance_Around() {
	tolerance, _ := quantity.ParseTolerance("±10 %")
	limits := tolerance.Around(-12)
	fmt.Println(limits.Low, limits.High)
	// Output: -13.2 -10.8
}

func ExampleTolerance_Limits() {
	tolerance, _ := quantity.ParseTolerance("-20..+50 %")
	limits, err := tolerance.Limits(quantity.Quantity{Value: 2.2e-3, Unit: quantity.Farad})
	fmt.Println(limits, err)
	// Output: 1760..3300 µF <nil>
}

func ExampleParseCode() {
	r, _ := quantity.ParseCode("4K7", quantity.Ohm)
	c, _ := quantity.ParseCode("n47", quantity.Farad)
	fmt.Println(r, c)
	// Output: 4.7 kΩ 470 pF
}

func ExampleFormatCode() {
	fmt.Println(quantity.FormatCode(quantity.Quantity{Value: 4700, Unit: quantity.Ohm}))
	fmt.Println(quantity.FormatCode(quantity.Quantity{Value: 0.47, Unit: quantity.Ohm}))
	fmt.Println(quantity.FormatCode(quantity.Quantity{Value: 4.7e-9, Unit: quantity.Farad}))
	// Output:
	// 4K7
	// R47
	// 4n7
}

func ExampleLetterTolerance() {
	film, _ := quantity.LetterTolerance("D", quantity.Quantity{Value: 4700, Unit: quantity.Ohm})
	ceramic, _ := quantity.LetterTolerance("D", quantity.Quantity{Value: 4.7e-12, Unit: quantity.Farad})
	fmt.Println(film)
	fmt.Println(ceramic)
	// Output:
	// ±0.5 %
	// ±0.5 pF
}

func ExampleToleranceLetter() {
	fmt.Println(quantity.ToleranceLetter(quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}))
	// Output: Z true
}

func ExampleFormatUncertain() {
	fmt.Println(quantity.FormatUncertain(12.0138, 0.06, quantity.Volt))
	fmt.Println(quantity.FormatUncertain(4.512e-3, 0.1361e-3, quantity.Farad))
	// Output:
	// (12.01 ± 0.06) V
	// (4510 ± 140) µF
}

func ExampleFormatDigits() {
	fmt.Println(quantity.FormatDigits(4.7e3, quantity.Ohm, 3))
	// Output: 4.70 kΩ
}

func ExampleFormatDuration() {
	fmt.Println(quantity.FormatDuration(11460))
	fmt.Println(quantity.FormatDuration(1.33e9))
	// Output:
	// 3 h 11 min
	// 42 y
}

func ExampleSplitMode() {
	rest, mode := quantity.SplitMode("50 mVp-p")
	ripple, err := quantity.Parse(rest)
	fmt.Println(ripple, mode, err)
	// Output: 50 mV p-p <nil>
}

func ExampleParseUnit() {
	fmt.Println(quantity.ParseUnit("ohms"))
	// Output: Ω <nil>
}

func ExampleUnit() {
	fmt.Println(quantity.Ohm.Name(), "measure", quantity.Ohm.Measures(), "such as", quantity.Ohm.Example())
	// Output: ohms measure a resistance such as 4k7
}

func ExampleError() {
	_, err := quantity.Parse("12.01 Vv")
	fmt.Println(err)
	// Output: "12.01 Vv": unknown unit "Vv"; volts are written V, as in 12.01 V
}

func ExampleQuantity() {
	text, _ := json.Marshal(map[string]quantity.Quantity{"ripple": {Value: 0.02, Unit: quantity.Volt}})
	fmt.Println(string(text))
	// Output: {"ripple":"20 mV"}
}

func ExampleInterval() {
	rail := quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}
	fmt.Println(rail, "is", rail.Width(), "V wide")
	// Output: 4.75..5.25 V is 0.5 V wide
}
