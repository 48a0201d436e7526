package sheet_test

import (
	"errors"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

func interval(low, high float64, unit quantity.Unit) quantity.Interval {
	return quantity.Interval{Low: low, High: high, Unit: unit}
}

// Limits as they are written, about 5 V where they are a tolerance; in is the
// unit of the field.
func TestLimits(t *testing.T) {
	none := quantity.Interval{}
	for _, c := range []struct {
		text, in string
		want     quantity.Interval // none: refused
	}{
		{"±5 %", "V", interval(4.75, 5.25, "")},
		{"±5%", "", interval(4.75, 5.25, "")},
		{"+-5 %", "V", interval(4.75, 5.25, "")},
		{"+/-5 %", "V", interval(4.75, 5.25, "")},
		{"5 %", "V", interval(4.75, 5.25, "")},
		{"J", "V", interval(4.75, 5.25, "")}, // IEC 60062
		{"-20..+50 %", "V", interval(4, 7.5, "")},
		{"+5 -10 %", "V", interval(4.5, 5.25, "")},
		{"±0.5 V", "V", interval(4.5, 5.5, "V")},
		{"±500 mV", "", interval(4.5, 5.5, "V")},
		{"+0.5 -0.2 V", "V", interval(4.8, 5.5, "V")},
		{"4.75..5.25 V", "V", interval(4.75, 5.25, "V")},
		{"4.75..5.25 V", "", interval(4.75, 5.25, "V")},
		{"4.75..5.25", "V", interval(4.75, 5.25, "V")},
		{"4.75 V to 5.25 V", "V", interval(4.75, 5.25, "V")},
		{"-13.2..-10.8 V", "V", interval(-13.2, -10.8, "V")},
		{"-0.5..+0.5 V", "V", interval(-0.5, 0.5, "V")}, // an interval about zero, not a tolerance
		{"+4.75..+5.25 V", "V", interval(4.75, 5.25, "V")},
		{"5 V ± 5 %", "V", interval(4.75, 5.25, "V")},
		{"at least 3 V", "V", interval(3, math.Inf(1), "V")},
		{"at most 50 mV", "V", interval(math.Inf(-1), 0.05, "V")},
		{">= 3 V", "", interval(3, math.Inf(1), "V")},
		{"any V", "V", interval(math.Inf(-1), math.Inf(1), "V")},
		{"1..2 MHz", "", interval(1e6, 2e6, "Hz")},
		{"4.75..5.25", "", none}, // no unit
		{"±0.5", "V", none},
		{"5 V", "V", none}, // the nominal value, or ±5 V?
		{"1e-3 V", "V", none},
		{"0.5 V", "", none},
		{"±0 %", "V", none},
		{"5..5 V", "V", none},
		{"±5 ohm", "V", none},
		{"1..2 kHz", "V", none},
		{"-5 %", "V", none},
		{"4.75-5.25 V", "V", none},
		{"5.25..4.75 V", "V", none},
		{"±5 % ±5 %", "V", none},
		{"about five", "V", none},
		{"±", "V", none},
		{"", "V", none},
		{" ", "", none},
		{"±inf V", "V", none},
		{"±NaN %", "", none},
	} {
		limits := sheet.Limits{Text: "old", Interval: &none}
		err := limits.ReadForm(form.Scalar{Text: c.text, Unit: c.in, Place: form.Place{Line: 3, Column: 4}})
		if c.want == none {
			wellRefused(t, c.text, err)
			continue
		}
		if err != nil || (limits.Tolerance == nil) == (limits.Interval == nil) {
			t.Errorf("%q: %v, %+v", c.text, err, limits)
			continue
		}
		got := limits.Around(5)
		if limits.Tolerance != nil && limits.Tolerance.Unit == "V" {
			got.Unit = "V" // Around leaves the unit out
		}
		if got != c.want {
			t.Errorf("%q: %v, want %v", c.text, got, c.want)
		}
		written, err := limits.MarshalText()
		if err != nil || string(written) != c.text || limits.String() != c.text || limits.Place != (form.Place{Line: 3, Column: 4}) {
			t.Errorf("%q: written as %q at %v, %v", c.text, written, limits.Place, err)
		}
	}
}

// wellRefused checks that a text was refused with a message that says what
// would be right.
func wellRefused(t *testing.T, text string, err error) {
	t.Helper()
	mistake, other := (*form.Mistake)(nil), (*quantity.Error)(nil)
	switch {
	case err == nil:
		t.Errorf("%q was taken", text)
	case errors.As(err, &mistake):
		if mistake.Message == "" || mistake.Hint == "" || mistake.Offset < 0 || mistake.Offset > len(text) {
			t.Errorf("%q: %+v", text, mistake)
		}
	case errors.As(err, &other):
		if other.Problem == "" || other.Want == "" {
			t.Errorf("%q: %+v", text, other)
		}
	default:
		t.Errorf("%q: %v", text, err)
	}
}

func TestExpect(t *testing.T) {
	volts := func(v float64) quantity.Quantity { return quantity.Quantity{Value: v, Unit: quantity.Volt} }
	for text, want := range map[string]any{ // a quantity, a word, or nil when refused
		"5 V": volts(5), "-75 V": volts(-75), "−12V": volts(-12), "+5 V": volts(5), ".5 V": volts(0.5), "5V6": volts(5.6), "12 VDC": volts(12), "6.3 V AC": volts(6.3), "2 V p-p": volts(2), "0 V": volts(0),
		"2 MHz": quantity.Quantity{Value: 2e6, Unit: quantity.Hertz}, "20 mA": quantity.Quantity{Value: 0.02, Unit: quantity.Ampere},
		"high": "high", "steady  picture": "steady picture", "data": "data", "Ton": "Ton", "-ve pulses": "-ve pulses", "½ level": "½ level", "画面": "画面",
		"5": nil, "4k7": nil, "3 pulses": nil, "74LS": nil, "+": nil, "-": nil, "--": nil, ".": nil, "": nil, "  ": nil, "?": nil, "±5 V": nil, "5 V 6 V": nil, "5..6 V": nil,
	} {
		e := sheet.Expect{Word: "old"}
		err := e.ReadForm(form.Scalar{Text: text, Place: form.Place{Line: 3, Column: 4}})
		if want == nil {
			wellRefused(t, text, err)
			continue
		}
		var got any = e.Word
		if e.Value != nil {
			got = *e.Value
		}
		if err != nil || (e.Value != nil) == (e.Word != "") || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
		if written, err := e.MarshalText(); err != nil || string(written) != text || e.String() != text || e.Place.Line != 3 {
			t.Errorf("%q: written as %q", text, written)
		}
	}
}

// What is written is read back as the same.
func FuzzLimits(f *testing.F) {
	for _, text := range []string{"±5 %", "±0.5 V", "-20..+50 %", "4.75..5.25 V", "at least 3 V", "5 V ± 5 %", "J", "any V", "-0.5..+0.5 V", "+4.75..+5.25 V", "5 V", "±", "%", "−", ""} {
		f.Add(text, "V")
		f.Add(text, "")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		if !quantity.Unit(unit).Known() {
			return
		}
		var first, second sheet.Limits
		if err := first.ReadForm(form.Scalar{Text: text, Unit: unit}); err != nil {
			wellRefused(t, text, err)
			return
		}
		if err := second.ReadForm(form.Scalar{Text: first.String(), Unit: unit}); err != nil || !cmp.Equal(first, second) {
			t.Errorf("%q is read as %+v and then as %+v, %v", text, first, second, err)
		}
		if around := first.Around(5); !(around.Low < around.High) {
			t.Errorf("%q leaves no room: %v", text, around)
		}
	})
}

func FuzzExpect(f *testing.F) {
	for _, text := range []string{"5 V", "-75 V", "high", "2 MHz", "+", "-", "−", ".", "", " ", "5", "4k7", "12 V AC", "±5 V", "\xff"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var e sheet.Expect
		if err := e.ReadForm(form.Scalar{Text: text}); err != nil {
			wellRefused(t, text, err)
			return
		}
		if (e.Value == nil) == (e.Word == "") || e.String() != text {
			t.Errorf("%q: %+v", text, e)
		}
		if e.Value != nil && (math.IsNaN(e.Value.Value) || math.IsInf(e.Value.Value, 0) || e.Value.Unit == quantity.None) {
			t.Errorf("%q: %v", text, e.Value)
		}
	})
}
