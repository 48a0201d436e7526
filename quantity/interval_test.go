package quantity_test

import (
	"errors"
	"math"
	"testing"

	"halfsplit/quantity"
)

// The ways to write limits are common practice, no source.

var endless = math.Inf(1)

func TestParseInterval(t *testing.T) {
	for _, c := range []struct {
		text string
		want quantity.Interval
	}{
		{"4.75..5.25 V", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"4.75 V..5.25 V", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"4.75 V..5.25", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"4.75…5.25 V", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"4.75 to 5.25 V DC", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"4.75 V to 5.25 V", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"-12.6..-11.4 V", quantity.Interval{Low: -12.6, High: -11.4, Unit: quantity.Volt}},
		{"-20..+50 %", quantity.Interval{Low: -0.2, High: 0.5, Unit: quantity.Percent}},
		{"900 mV..1.1 V", quantity.Interval{Low: 0.9, High: 1.1, Unit: quantity.Volt}},
		{"10..47 µF", quantity.Interval{Low: 10e-6, High: 47e-6, Unit: quantity.Farad}},
		{"10 µF..47", quantity.Interval{Low: 10e-6, High: 47e-6, Unit: quantity.Farad}},
		{"4k7..10 kΩ", quantity.Interval{Low: 4700, High: 10e3, Unit: quantity.Ohm}},
		{"1 kΩ..4k7", quantity.Interval{Low: 1000, High: 4700, Unit: quantity.Ohm}},
		{"-40..85 °C", quantity.Interval{Low: -40, High: 85, Unit: quantity.Celsius}},
		{"-40..85 degC", quantity.Interval{Low: -40, High: 85, Unit: quantity.Celsius}},
		{"45..60 min", quantity.Interval{Low: 2700, High: 3600, Unit: quantity.Second}},
		{"1 h 30 min..2 h", quantity.Interval{Low: 5400, High: 7200, Unit: quantity.Second}},
		{"100..300", quantity.Interval{Low: 100, High: 300}},
		{"5..5 V", quantity.Interval{Low: 5, High: 5, Unit: quantity.Volt}},
		{"at most 50 mV", quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}},
		{"<= 50 mV", quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}},
		{"≤50 mV", quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}},
		{"< 50 mV", quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}},
		{"at least 3 V", quantity.Interval{Low: 3, High: endless, Unit: quantity.Volt}},
		{"At Least 1 h 30 min", quantity.Interval{Low: 5400, High: endless, Unit: quantity.Second}},
		{">= 3 V", quantity.Interval{Low: 3, High: endless, Unit: quantity.Volt}},
		{"≥ 3 V", quantity.Interval{Low: 3, High: endless, Unit: quantity.Volt}},
		{"any V", quantity.Interval{Low: -endless, High: endless, Unit: quantity.Volt}},
		{"5 V ± 5 %", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"+5 V ±5%", quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}},
		{"-12 V +/-10 %", quantity.Interval{Low: -13.2, High: -10.8, Unit: quantity.Volt}},
		{"12 V +- 0.6 V", quantity.Interval{Low: 11.4, High: 12.6, Unit: quantity.Volt}},
		{"12 ± 0.6 V", quantity.Interval{Low: 11.4, High: 12.6, Unit: quantity.Volt}},
		{"50 % ± 5 %", quantity.Interval{Low: 0.45, High: 0.55, Unit: quantity.Percent}},
		{"(12.01 ± 0.06) V", quantity.Interval{Low: 11.95, High: 12.07, Unit: quantity.Volt}},
		{"(12k ± 1k) Ω", quantity.Interval{Low: 11e3, High: 13e3, Unit: quantity.Ohm}},
		{"(12.01 V ± 60 mV)", quantity.Interval{Low: 11.95, High: 12.07, Unit: quantity.Volt}},
		{"(12 ± 1) V DC", quantity.Interval{Low: 11, High: 13, Unit: quantity.Volt}},
		{"(210 ± 35)", quantity.Interval{Low: 175, High: 245}},
		{"(4700 ± 940) µF", quantity.Interval{Low: 3760e-6, High: 5640e-6, Unit: quantity.Farad}},
	} {
		t.Run(c.text, func(t *testing.T) {
			if got, err := quantity.ParseInterval(c.text); err != nil || got != c.want {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestParseIntervalAs(t *testing.T) {
	for _, c := range []struct {
		text string
		want quantity.Interval
	}{
		{"4k7..10k", quantity.Interval{Low: 4700, High: 10e3, Unit: quantity.Ohm}},
		{"4700..10 kΩ", quantity.Interval{Low: 4.7e6, High: 10e3, Unit: quantity.Ohm}},
		{"4k7 ± 10 %", quantity.Interval{Low: 4230, High: 5170, Unit: quantity.Ohm}},
		{"R47..0R56", quantity.Interval{Low: 0.47, High: 0.56, Unit: quantity.Ohm}},
		{"at most 10", quantity.Interval{Low: -endless, High: 10, Unit: quantity.Ohm}},
		{"any", quantity.Interval{Low: -endless, High: endless, Unit: quantity.Ohm}},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := quantity.ParseIntervalAs(c.text, quantity.Ohm)
			if c.want.Low > c.want.High {
				if err == nil {
					t.Errorf("a bare number that takes the other's prefix was not noticed: %v", got)
				}
				return
			}
			if err != nil || got != c.want {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestIntervalErrors(t *testing.T) {
	for _, c := range []struct {
		text    string
		offset  int
		message string
	}{
		{"4.75-5.25 V", 4, `"4.75-5.25 V": a dash can be read as a minus sign; write two points between the values, as in 4.75..5.25 V`},
		{"4.75 – 5.25 V", 5, `"4.75 – 5.25 V": a dash can be read as a minus sign; write two points between the values, as in 4.75..5.25 V`},
		{"5.25..4.75 V", 0, `"5.25..4.75 V": the first value is above the second; write the lower value first, as in -12.6..-11.4 V`},
		{"5 V", 0, `"5 V": a single value is no range; write a range such as 4.75..5.25 V, or at most 50 mV`},
		{"5 V or so", 4, `"5 V or so": this is no range; write two points between the values, as in 4.75..5.25 V`},
		{"1 V..2 A", 7, `"1 V..2 A": the two values differ in unit; write both in volts`},
		{"4k7..10k", 3, `"4k7..10k": the unit is missing; write it after the number, as in 4k7 Ω, 47 uF or 10 mA`},
		{"5 ± 5 %", 1, `"5 ± 5 %": the unit is missing; write it, as in 5 V ± 5 %`},
		{"5 V ± -5 %", 7, `"5 V ± -5 %": a minus sign follows ±; write it without a sign, as in ±5 %`},
		{"5 V ± -1 V", 7, `"5 V ± -1 V": a minus sign follows ±; write it without a sign, as in ±5 %`},
		{"(12.01 ± 0.06 V", 16, `"(12.01 ± 0.06 V": the bracket is not closed; write (12.01 ± 0.06) V`},
		{"(12 V ± 1 V) A", 14, `"(12 V ± 1 V) A": the unit is written twice; write (12.01 ± 0.06) V`},
		{"(12 ± 1) Vv", 10, `"(12 ± 1) Vv": unknown unit "Vv"; volts are written V, as in 12 V`},
		{"(12 ± 1) k", 10, `"(12 ± 1) k": the unit is missing; write it after the number, as in 4k7 Ω, 47 uF or 10 mA`},
		{"(12.01) V", 6, `"(12.01) V": ± was expected; write (12.01 ± 0.06) V`},
		{"at most", 7, `"at most": a value is missing at the end; write a number with its unit, such as 12 V`},
		{"at most 5 V 3 A", 12, `"at most 5 V 3 A": more than one value is written; one value is wanted here, such as 12 V`},
		{"any furlong", 4, `"any furlong": unknown unit "furlong"; write a unit such as V, mA, kΩ, uF or ms`},
		{"any V now", 6, `"any V now": something follows the range; write any V alone`},
		{"4.75..", 6, `"4.75..": a value is missing at the end; write a number with its unit, such as 12 V`},
		{"1e30 V ± 50 %", 0, `"1e30 V ± 50 %": the value is out of range; a value from 1e-30 to 1e30 is wanted`},
		{"", 0, `"": nothing is written; a number with its unit is wanted, such as 12 V`},
	} {
		t.Run(c.text, func(t *testing.T) {
			_, err := quantity.ParseInterval(c.text)
			checkError(t, err, c.text, c.offset, c.message)
		})
	}
	_, err := quantity.ParseIntervalAs("1..2 A", quantity.Volt)
	checkError(t, err, "1..2 A", 5, `"1..2 A": this is in amperes; a voltage is wanted, such as 12 V`)
	_, err = quantity.ParseIntervalAs("at least 2 A", quantity.Volt)
	checkError(t, err, "at least 2 A", 11, `"at least 2 A": this is in amperes; a voltage is wanted, such as 12 V`)
	_, err = quantity.ParseIntervalAs("2 A ± 5 %", quantity.Volt)
	checkError(t, err, "2 A ± 5 %", 2, `"2 A ± 5 %": this is in amperes; a voltage is wanted, such as 12 V`)
	_, err = quantity.ParseIntervalAs("any A", quantity.Volt)
	checkError(t, err, "any A", 4, `"any A": this is in amperes; a voltage is wanted, such as 12 V`)
}

func checkError(t *testing.T, err error, text string, offset int, message string) {
	t.Helper()
	var e *quantity.Error
	if !errors.As(err, &e) {
		t.Fatalf("got %v, want an *Error", err)
	}
	if e.Error() != message {
		t.Errorf("got  %s\nwant %s", e.Error(), message)
	}
	if e.Text != text || e.Offset != offset {
		t.Errorf("the trouble is at byte %d of %q, want byte %d", e.Offset, e.Text, offset)
	}
}

func TestIntervalString(t *testing.T) {
	for _, c := range []struct {
		interval quantity.Interval
		want     string
	}{
		{quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}, "4.75..5.25 V"},
		{quantity.Interval{Low: 0.9, High: 1.1, Unit: quantity.Volt}, "0.9..1.1 V"},
		{quantity.Interval{Low: 0, High: 0.05, Unit: quantity.Volt}, "0..50 mV"},
		{quantity.Interval{Low: 1e-3, High: 1e4, Unit: quantity.Volt}, "1 mV..10 kV"},
		{quantity.Interval{Low: 100e-9, High: 4.7e-6, Unit: quantity.Farad}, "0.1..4.7 µF"},
		{quantity.Interval{Low: 2700, High: 5400, Unit: quantity.Second}, "45 min..1 h 30 min"},
		{quantity.Interval{Low: -0.2, High: 0.5, Unit: quantity.Percent}, "-20..50 %"},
		{quantity.Interval{Low: 100, High: 300}, "100..300"},
		{quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}, "at most 50 mV"},
		{quantity.Interval{Low: 3, High: endless, Unit: quantity.Volt}, "at least 3 V"},
		{quantity.Interval{Low: -endless, High: endless, Unit: quantity.Volt}, "any V"},
		{quantity.Interval{Low: -endless, High: endless}, "any"},
		{quantity.Interval{Low: math.NaN(), High: 1, Unit: quantity.Volt}, "NaN V..1 V"},
	} {
		if got := c.interval.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestIntervalContainsAndWidth(t *testing.T) {
	rail := quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}
	for value, want := range map[float64]bool{4.75: true, 5: true, 5.25: true, 4.749: false, 5.251: false, math.NaN(): false} {
		if got := rail.Contains(value); got != want {
			t.Errorf("%v contains %g: %v, want %v", rail, value, got, want)
		}
	}
	if got := rail.Width(); got != 0.5 {
		t.Errorf("width %g, want 0.5", got)
	}
	ripple := quantity.Interval{Low: -endless, High: 0.05, Unit: quantity.Volt}
	if !ripple.Contains(-1e9) || ripple.Contains(0.051) || !math.IsInf(ripple.Width(), 1) {
		t.Errorf("%v is not open below", ripple)
	}
}

func TestParseTolerance(t *testing.T) {
	for _, c := range []struct {
		text string
		want quantity.Tolerance
	}{
		{"±5 %", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{"± 5%", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{"+-5 %", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{"+/-5%", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{"5 %", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{"±50 ppm", quantity.Tolerance{Low: -50e-6, High: 50e-6, Unit: quantity.Percent}},
		{"±0.5 V", quantity.Tolerance{Low: -0.5, High: 0.5, Unit: quantity.Volt}},
		{"±0.25 pF", quantity.Tolerance{Low: -0.25e-12, High: 0.25e-12, Unit: quantity.Farad}},
		{"0.5 V", quantity.Tolerance{Low: -0.5, High: 0.5, Unit: quantity.Volt}},
		{"±0 %", quantity.Tolerance{Unit: quantity.Percent}},
		{"-20..+50 %", quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}},
		{"\u221220…+50 %", quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}},
		{"-20/+50 %", quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}},
		{"+50/-20 %", quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}},
		{"+80 -20 %", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
		{"+80, -20 %", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
		{"-20 % +80 %", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
		{"-20%/+80%", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
		{"-20 to +80 %", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
		{"-0/+100 %", quantity.Tolerance{Low: 0, High: 1, Unit: quantity.Percent}},
		{"0..+100 %", quantity.Tolerance{Low: 0, High: 1, Unit: quantity.Percent}},
		{"-0.1..+0.3 V", quantity.Tolerance{Low: -0.1, High: 0.3, Unit: quantity.Volt}},
		{"J", quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}},
		{" K ", quantity.Tolerance{Low: -0.1, High: 0.1, Unit: quantity.Percent}},
		{"M", quantity.Tolerance{Low: -0.2, High: 0.2, Unit: quantity.Percent}},
		{"Z", quantity.Tolerance{Low: -0.2, High: 0.8, Unit: quantity.Percent}},
	} {
		t.Run(c.text, func(t *testing.T) {
			if got, err := quantity.ParseTolerance(c.text); err != nil || got != c.want {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestToleranceErrors(t *testing.T) {
	for _, c := range []struct {
		text    string
		offset  int
		message string
	}{
		{"5", 1, `"5": the unit is missing; write it, as in ±5 % or ±0.5 V`},
		{"±5", 3, `"±5": the unit is missing; write it, as in ±5 % or ±0.5 V`},
		{"+5 %", 0, `"+5 %": one side of the tolerance is missing; write ±5 %, or both sides, as in -20..+50 %`},
		{"± -5 %", 3, `"± -5 %": a minus sign follows ±; write it without a sign, as in ±5 %`},
		{"20..80 %", 0, `"20..80 %": a sign is missing; write both signs, as in -20..+50 %`},
		{"-20..80 %", 5, `"-20..80 %": a sign is missing; write both signs, as in -20..+50 %`},
		{"-20 % +1 V", 9, `"-20 % +1 V": the two values differ in unit; write both in percent`},
		{"-20..+50 % or so", 11, `"-20..+50 % or so": something follows the value; write the value alone, such as 12 V`},
		{"±5 % 3 %", 6, `"±5 % 3 %": more than one value is written; one value is wanted here, such as 12 V`},
		{"P", 0, `"P": P is ±0.02 % on resistors and -0..+100 % on capacitors; write the percentage`},
		{"X", 0, `"X": this is no tolerance letter; the common ones are F for ±1 %, G ±2 %, J ±5 %, K ±10 % and M ±20 %`},
		{"", 0, `"": nothing is written; a number with its unit is wanted, such as 12 V`},
	} {
		t.Run(c.text, func(t *testing.T) {
			_, err := quantity.ParseTolerance(c.text)
			checkError(t, err, c.text, c.offset, c.message)
		})
	}
}

func TestToleranceString(t *testing.T) {
	for _, c := range []struct {
		tolerance quantity.Tolerance
		want      string
	}{
		{quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}, "±5 %"},
		{quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent}, "-20..+50 %"},
		{quantity.Tolerance{Low: 0, High: 1, Unit: quantity.Percent}, "0..+100 %"},
		{quantity.Tolerance{Low: -0.6, High: 0.6, Unit: quantity.Volt}, "±600 mV"},
		{quantity.Tolerance{Low: -60, High: 120, Unit: quantity.Second}, "-1 min..+2 min"},
		{quantity.Tolerance{Unit: quantity.Percent}, "±0 %"},
	} {
		if got := c.tolerance.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestAround(t *testing.T) {
	for _, c := range []struct {
		name, tolerance string
		nominal         float64
		low, high       float64
	}{
		{"logic supply", "±5 %", 5, 4.75, 5.25},
		{"negative rail", "±10 %", -12, -13.2, -10.8},
		{"negative rail, uneven", "-20..+50 %", -10, -15, -8},
		{"electrolytic", "-20..+50 %", 2.2e-3, 1.76e-3, 3.3e-3},
		{"absolute", "±0.5 V", 12, 11.5, 12.5},
		{"absolute on a negative rail", "-0.1..+0.3 V", -5, -5.1, -4.7},
		{"resistor", "±1 %", 4990, 4940.1, 5039.9},
		{"zero", "±5 %", 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			tolerance, err := quantity.ParseTolerance(c.tolerance)
			if err != nil {
				t.Fatal(err)
			}
			if got := tolerance.Around(c.nominal); got.Low != c.low || got.High != c.high {
				t.Errorf("%v around %g is %g..%g, want %g..%g", tolerance, c.nominal, got.Low, got.High, c.low, c.high)
			}
		})
	}
}

func TestLimits(t *testing.T) {
	rail := quantity.Quantity{Value: -12, Unit: quantity.Volt}
	got, err := quantity.Tolerance{Low: -0.1, High: 0.1, Unit: quantity.Percent}.Limits(rail)
	if want := (quantity.Interval{Low: -13.2, High: -10.8, Unit: quantity.Volt}); err != nil || got != want {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
	_, err = quantity.Tolerance{Low: -1, High: 1, Unit: quantity.Ampere}.Limits(rail)
	checkError(t, err, "±1 A", 0, `"±1 A": this tolerance does not go with -12 V; a tolerance in percent or in volts is wanted`)
}
