package quantity_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/quantity"
)

// The prefixes are those that parts lists and meters use: common practice, no
// source.
func TestString(t *testing.T) {
	for _, c := range []struct {
		value float64
		unit  quantity.Unit
		want  string
	}{
		{4700, quantity.Ohm, "4.7 kΩ"},
		{0.22, quantity.Ohm, "0.22 Ω"},
		{0.022, quantity.Ohm, "22 mΩ"},
		{999999, quantity.Ohm, "999.999 kΩ"},
		{1e15, quantity.Ohm, "1000 TΩ"},
		{2.2e-3, quantity.Farad, "2200 µF"},
		{4.7e-3, quantity.Farad, "4700 µF"},
		{100e-9, quantity.Farad, "100 nF"},
		{0.5e-12, quantity.Farad, "0.5 pF"},
		{0.22, quantity.Farad, "0.22 F"},
		{1, quantity.Farad, "1 F"},
		{0.25, quantity.Watt, "0.25 W"},
		{0.02, quantity.Ampere, "20 mA"},
		{-12, quantity.Volt, "-12 V"},
		{0.30000000000000004, quantity.Volt, "300.00000000000004 mV"},
		{25000, quantity.Volt, "25 kV"},
		{5e6, quantity.Volt, "5000 kV"},
		{0, quantity.Volt, "0 V"},
		{math.Copysign(0, -1), quantity.Volt, "0 V"},
		{0, quantity.Percent, "0 %"},
		{0.05, quantity.Percent, "5 %"},
		{0.07, quantity.Percent, "7 %"},
		{1e-4, quantity.PPMPerKelvin, "100 ppm/K"},
		{-3, quantity.Decibel, "-3 dB"},
		{85, quantity.Celsius, "85 °C"},
		{0.5e6, quantity.VoltPerSecond, "0.5 V/µs"},
		{0.01, quantity.Metre, "10 mm"},
		{1500, quantity.None, "1500"},
		{1e-20, quantity.None, "1e-20"},
		{1.25e25, quantity.None, "1.25e25"},
		{0.2, quantity.Second, "200 ms"},
		{59, quantity.Second, "59 s"},
		{90, quantity.Second, "90 s"},
		{2700, quantity.Second, "45 min"},
		{2701, quantity.Second, "45 min 1 s"},
		{2700.5, quantity.Second, "2700.5 s"},
		{-5400, quantity.Second, "-1 h 30 min"},
		{42 * 31557600, quantity.Second, "42 y"},
		{47336400, quantity.Second, "1.5 y"},
		{31557601, quantity.Second, "31557601 s"},
		{math.NaN(), quantity.Volt, "NaN V"},
		{math.Inf(-1), quantity.Volt, "-∞ V"},
		{5, "furlong", "5 furlong"},
	} {
		q := quantity.Quantity{Value: c.value, Unit: c.unit}
		if got := q.String(); got != c.want {
			t.Errorf("%g %s is written %q, want %q", c.value, c.unit, got, c.want)
		}
	}
}

func TestFormatDigits(t *testing.T) {
	for _, c := range []struct {
		value  float64
		unit   quantity.Unit
		digits int
		want   string
	}{
		{4700, quantity.Ohm, 3, "4.70 kΩ"},
		{4712, quantity.Ohm, 2, "4.7 kΩ"},
		{5.0499, quantity.Volt, 3, "5.05 V"},
		{999.96, quantity.Volt, 4, "1.000 kV"},
		{4.7e-3, quantity.Farad, 2, "4700 µF"},
		{123456, quantity.None, 2, "120000"},
		{-0.0123, quantity.Ampere, 2, "-12 mA"},
		{0, quantity.Volt, 3, "0 V"},
		{5, quantity.Volt, 0, "5 V"},
		{0.1, quantity.Volt, 99, "100.00000000000001 mV"},
		{math.Inf(1), quantity.Volt, 3, "∞ V"},
	} {
		if got := quantity.FormatDigits(c.value, c.unit, c.digits); got != c.want {
			t.Errorf("FormatDigits(%g, %s, %d) = %q, want %q", c.value, c.unit, c.digits, got, c.want)
		}
	}
}

// The first three cases are the examples of JCGM 100:2008, Guide to the
// expression of uncertainty in measurement, 7.2.6.
//
// Outside: JCGM 100:2008, 7.2.6. Within: the digits printed.
func TestFormatUncertain(t *testing.T) {
	for _, c := range []struct {
		name               string
		value, uncertainty float64
		unit               quantity.Unit
		want               string
	}{
		{"10.057 62 Ω with 27 mΩ", 10.05762, 0.027, quantity.Ohm, "(10.058 ± 0.027) Ω"},
		{"10.47 mΩ goes up to 11 mΩ", 10.05762, 0.01047, quantity.Ohm, "(10.058 ± 0.011) Ω"},
		{"28.05 kHz goes down to 28 kHz", 4.43361875e6, 28.05e3, quantity.Hertz, "(4.434 ± 0.028) MHz"},
		{"second digit zero", 12.01, 0.06, quantity.Volt, "(12.01 ± 0.06) V"},
		{"second digit zero after rounding", 12.0149, 0.0603, quantity.Volt, "(12.01 ± 0.06) V"},
		{"zero kept after a one", 999.97, 0.1, quantity.Volt, "(999.97 ± 0.10) V"},
		{"carry into the uncertainty", 5, 0.0996, quantity.Volt, "(5.00 ± 0.10) V"},
		{"carry into the value", 9.996, 0.12, quantity.Volt, "(10.00 ± 0.12) V"},
		{"carry into the next prefix", 0.99996, 0.0012, quantity.Volt, "(1.0000 ± 0.0012) V"},
		{"uncertainty of tens", 473, 120, quantity.Ohm, "(470 ± 120) Ω"},
		{"microfarads stay", 4.7e-3, 0.94e-3, quantity.Farad, "(4700 ± 940) µF"},
		{"value zero", 0, 0.06, quantity.Volt, "(0 ± 60) mV"},
		{"value lost in the uncertainty", 0.0001, 0.062, quantity.Volt, "(0 ± 62) mV"},
		{"value half of the last digit", 0.0005, 0.062, quantity.Volt, "(1 ± 62) mV"},
		{"value zero with decimals", 0, 0.0123, quantity.Ampere, "(0 ± 12) mA"},
		{"value zero with tenths", 0, 0.0015, quantity.Volt, "(0.0 ± 1.5) mV"},
		{"uncertainty the larger", 0.5, 2000, quantity.Volt, "(0.0 ± 2.0) kV"},
		{"negative value", -12.0149, 0.062, quantity.Volt, "(-12.015 ± 0.062) V"},
		{"temperature", 85.04, 1.5, quantity.Celsius, "(85.0 ± 1.5) °C"},
		{"percent", 0.0512, 0.0031, quantity.Percent, "(5.12 ± 0.31) %"},
		{"plain number", 210.4, 35, quantity.None, "(210 ± 35)"},
		{"no uncertainty", 5.125, 0, quantity.Volt, "(5.125 ± 0) V"},
		{"negative uncertainty", 5.125, -1, quantity.Volt, "(5.125 ± ?) V"},
		{"uncertainty no number", 5.125, math.NaN(), quantity.Volt, "(5.125 ± ?) V"},
		{"value no number", math.NaN(), 1, quantity.Volt, "NaN V"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := quantity.FormatUncertain(c.value, c.uncertainty, c.unit); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestFormatDuration(t *testing.T) {
	for _, c := range []struct {
		seconds float64
		want    string
	}{
		{0, "0 s"}, {2e-9, "2 ns"}, {0.2, "200 ms"}, {12.345, "12.3 s"}, {59.94, "59.9 s"}, {59.96, "1 min"},
		{60, "1 min"}, {90.2, "90 s"}, {119.6, "2 min"}, {150, "2 min 30 s"}, {599.4, "9 min 59 s"}, {599.6, "10 min"},
		{2700, "45 min"}, {2710, "45 min"}, {11460, "3 h 11 min"}, {3600, "1 h"}, {86399, "1 d"}, {86400, "1 d"},
		{100000, "1 d 4 h"}, {446400, "5 d 4 h"}, {863000, "10 d"}, {40 * 86400, "40 d"}, {364.7 * 86400, "365 d"},
		{31557600, "1 y"}, {47336400, "1.5 y"}, {9.94 * 31557600, "9.9 y"}, {9.96 * 31557600, "10 y"}, {1.33e9, "42 y"},
		{-5400, "-1 h 30 min"}, {math.Inf(1), "∞ s"}, {math.NaN(), "NaN s"},
	} {
		if got := quantity.FormatDuration(c.seconds); got != c.want {
			t.Errorf("FormatDuration(%g) = %q, want %q", c.seconds, got, c.want)
		}
	}
}

// TestJSON shows that records hold the text form, and that it comes back.
func TestJSON(t *testing.T) {
	type record struct {
		Value     quantity.Quantity
		Limits    quantity.Interval
		Ripple    quantity.Interval
		Tolerance quantity.Tolerance
		Unit      quantity.Unit
	}
	want := record{
		Value:     quantity.Quantity{Value: 4.7e-3, Unit: quantity.Farad},
		Limits:    quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt},
		Ripple:    quantity.Interval{Low: math.Inf(-1), High: 0.05, Unit: quantity.Volt},
		Tolerance: quantity.Tolerance{Low: -0.2, High: 0.5, Unit: quantity.Percent},
		Unit:      quantity.Ohm,
	}
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	const wantText = `{"Value":"4700 µF","Limits":"4.75..5.25 V","Ripple":"at most 50 mV","Tolerance":"-20..+50 %","Unit":"Ω"}`
	if string(text) != wantText {
		t.Errorf("got  %s\nwant %s", text, wantText)
	}
	var got record
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// A value that no text can hold is refused when it is written, and a text that
// no value can hold leaves the old value alone.
func TestMarshalRefuses(t *testing.T) {
	volt := quantity.Volt
	for _, value := range []any{
		quantity.Quantity{Value: math.NaN(), Unit: volt},
		quantity.Quantity{Value: math.Inf(1), Unit: volt},
		quantity.Quantity{Value: 1e40, Unit: volt},
		quantity.Quantity{Value: 1e-40, Unit: volt},
		quantity.Quantity{Value: 1, Unit: "furlong"},
		quantity.Interval{Low: 2, High: 1, Unit: volt},
		quantity.Interval{Low: math.NaN(), High: 1, Unit: volt},
		quantity.Interval{Low: math.Inf(1), High: math.Inf(1), Unit: volt},
		quantity.Interval{Low: math.Inf(-1), High: math.Inf(1), Unit: "furlong"},
		quantity.Tolerance{Low: -1, High: math.Inf(1), Unit: volt},
		quantity.Tolerance{Low: 1, High: -1, Unit: volt},
		quantity.Tolerance{Low: -1, High: 1},
		quantity.Unit("furlong"),
	} {
		if text, err := json.Marshal(value); err == nil {
			t.Errorf("%#v was written as %s", value, text)
		}
	}
	q, i, tol, u := quantity.Quantity{Value: 1}, quantity.Interval{Low: 1}, quantity.Tolerance{Low: 1}, volt
	for _, target := range []interface{ UnmarshalText([]byte) error }{&q, &i, &tol, &u} {
		if err := target.UnmarshalText([]byte("4,7 bananas")); err == nil {
			t.Errorf("%T read nonsense", target)
		}
	}
	if q.Value != 1 || i.Low != 1 || tol.Low != 1 || u != volt {
		t.Error("a failed reading changed its target")
	}
}
