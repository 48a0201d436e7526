package quantity_test

import (
	"math"
	"testing"

	"halfsplit/quantity"
)

// The codes that the collected cases (reference_test.go) do not hold: further
// letters, refusals, and what is written back. The rule is that of IEC 60062,
// from memory; the letters that old parts bear are common practice.

func TestParseCode(t *testing.T) {
	for _, c := range []struct {
		text string
		unit quantity.Unit
		want float64
	}{
		{"4r7", quantity.Ohm, 4.7},
		{" 4K7 ", quantity.Ohm, 4700},
		{"10m", quantity.Ohm, 0.01},
		{"0R", quantity.Ohm, 0},
		{"R047", quantity.Ohm, 0.047},
		{"26K95", quantity.Ohm, 26950},
		{"4N7", quantity.Farad, 4.7e-9},
		{"47U", quantity.Farad, 47e-6},
		{"4\u03bc7", quantity.Farad, 4.7e-6},
		{"1F0", quantity.Farad, 1},
	} {
		got, err := quantity.ParseCode(c.text, c.unit)
		if want := (quantity.Quantity{Value: c.want, Unit: c.unit}); err != nil || got != want {
			t.Errorf("ParseCode(%q) = %v, %v, want %v", c.text, got, err, want)
		}
	}
}

func TestParseCodeErrors(t *testing.T) {
	for _, c := range []struct {
		text    string
		unit    quantity.Unit
		offset  int
		message string
	}{
		{"4700", quantity.Ohm, 4, `"4700": the code letter is missing; write a letter in place of the decimal point, as in 4K7`},
		{"4.7k", quantity.Ohm, 1, `"4.7k": a letter code has no decimal point; write a letter in place of the decimal point, as in 4K7`},
		{"4K7J", quantity.Ohm, 3, `"4K7J": something follows the code; write the code alone, such as 4K7`},
		{"4X7", quantity.Ohm, 1, `"4X7": this is no code letter for ohms; write a letter in place of the decimal point, as in 4K7`},
		{"4n7", quantity.Ohm, 1, `"4n7": this is no code letter for ohms; write a letter in place of the decimal point, as in 4K7`},
		{"R", quantity.Ohm, 0, `"R": the digits are missing; write a code such as 4K7`},
		{"47M", quantity.Farad, 2, `"47M": M on a capacitor can be an old sign for microfarads; write µ or u, as in 47u`},
		{"", quantity.Farad, 0, `"": nothing is written; write a letter in place of the decimal point, as in 4n7`},
		{"5V6", quantity.Volt, 0, `"5V6": there is no letter code for volts; the code is for resistors and capacitors; a voltage is wanted, such as 12 V`},
		{"99999999999999999999T", quantity.Ohm, 0, `"99999999999999999999T": the value is out of range; a value from 1e-30 to 1e30 is wanted`},
	} {
		t.Run(c.text, func(t *testing.T) {
			_, err := quantity.ParseCode(c.text, c.unit)
			checkError(t, err, c.text, c.offset, c.message)
		})
	}
}

func TestFormatCode(t *testing.T) {
	for _, c := range []struct {
		value float64
		unit  quantity.Unit
		want  string
	}{
		{0, quantity.Ohm, "0R"},
		{0.00047, quantity.Ohm, "R00047"},
		{0.047, quantity.Ohm, "R047"},
		{0.47, quantity.Ohm, "R47"},
		{1, quantity.Ohm, "1R0"},
		{4.7, quantity.Ohm, "4R7"},
		{470, quantity.Ohm, "470R"},
		{4700, quantity.Ohm, "4K7"},
		{26950, quantity.Ohm, "26K95"},
		{1e6, quantity.Ohm, "1M0"},
		{999e12, quantity.Ohm, "999T"},
		{0.33e-12, quantity.Farad, "p33"},
		{470e-12, quantity.Farad, "470p"},
		{1e-9, quantity.Farad, "1n0"},
		{4.7e-6, quantity.Farad, "4µ7"},
		{4.7e-3, quantity.Farad, "4m7"},
		{1, quantity.Farad, "1F0"},

		{0, quantity.Farad, ""},
		{1e-5, quantity.Ohm, ""},
		{1e15, quantity.Ohm, ""},
		{-4700, quantity.Ohm, ""},
		{math.NaN(), quantity.Ohm, ""},
		{math.Inf(1), quantity.Ohm, ""},
		{5.6, quantity.Volt, ""},
	} {
		if got := quantity.FormatCode(quantity.Quantity{Value: c.value, Unit: c.unit}); got != c.want {
			t.Errorf("FormatCode(%g %s) = %q, want %q", c.value, c.unit, got, c.want)
		}
	}
}

func TestLetterToleranceDependsOnThePart(t *testing.T) {
	for _, c := range []struct {
		letter string
		part   quantity.Quantity
		want   string
	}{
		{"D", quantity.Quantity{Value: 4.7e-12, Unit: quantity.Farad}, "±0.5 pF"},
		{"D", quantity.Quantity{Value: 10e-12, Unit: quantity.Farad}, "±0.5 %"},
		{"D", quantity.Quantity{Value: 4700, Unit: quantity.Ohm}, "±0.5 %"},
		{"D", quantity.Quantity{Unit: quantity.Farad}, "±0.5 %"},
		{"J", quantity.Quantity{Value: 4.7e-12, Unit: quantity.Farad}, "±5 %"},
		{"P", quantity.Quantity{Value: 4700, Unit: quantity.Ohm}, "±0.02 %"},
		{"P", quantity.Quantity{Value: 1e-6, Unit: quantity.Farad}, "0..+100 %"},
	} {
		got, err := quantity.LetterTolerance(c.letter, c.part)
		if err != nil || got.String() != c.want {
			t.Errorf("%s on %v is %v, %v, want %s", c.letter, c.part, got, err, c.want)
		}
	}
	if _, err := quantity.LetterTolerance("j", quantity.Quantity{}); err == nil {
		t.Error("a small letter was read")
	}
}

func TestToleranceWithoutLetter(t *testing.T) {
	for _, text := range []string{"±7 %", "-5..+10 %", "±0.3 pF", "±5 V"} {
		tolerance, err := quantity.ParseTolerance(text)
		if err != nil {
			t.Fatal(err)
		}
		if letter, ok := quantity.ToleranceLetter(tolerance); ok {
			t.Errorf("%s has the letter %s", text, letter)
		}
	}
}
