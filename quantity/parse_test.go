package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/quantity"
)

// How values are written in parts lists, on schematics and on parts is common
// practice of the trade, without a single source; where a standard rules, it is
// named.

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
		unit quantity.Unit
	}{
		// With and without a space, and every way to type a sign.
		{"12 V", 12, quantity.Volt},
		{"12V", 12, quantity.Volt},
		{"+12 V", 12, quantity.Volt},
		{"-12 V", -12, quantity.Volt},
		{"\u221212 V", -12, quantity.Volt},
		{"  12\u00a0V ", 12, quantity.Volt},
		{".5 V", 0.5, quantity.Volt},
		{"5. V", 5, quantity.Volt},
		{"1.5e-3 V", 1.5e-3, quantity.Volt},
		{"-0 V", 0, quantity.Volt},

		// Prefixes (BIPM, The International System of Units, 9th edition, table 7).
		{"4.7 kΩ", 4700, quantity.Ohm},
		{"4.7 KΩ", 4700, quantity.Ohm},
		{"22 mΩ", 0.022, quantity.Ohm},
		{"2.2 MΩ", 2.2e6, quantity.Ohm},
		{"10 GΩ", 1e10, quantity.Ohm},
		{"1 TΩ", 1e12, quantity.Ohm},
		{"50 fA", 50e-15, quantity.Ampere},
		{"10 mm", 0.01, quantity.Metre},
		{"2.5 cm", 0.025, quantity.Metre},

		// Micro as the micro sign, as Greek mu and as u.
		{"2200 \u00b5F", 2.2e-3, quantity.Farad},
		{"2200 \u03bcF", 2.2e-3, quantity.Farad},
		{"2200uF", 2.2e-3, quantity.Farad},
		{"2200 UF", 2.2e-3, quantity.Farad},

		// Capacitors on old drawings.
		{"0.1 mfd", 1e-7, quantity.Farad},
		{"8 MFD", 8e-6, quantity.Farad},
		{"250 mmfd", 250e-12, quantity.Farad},
		{"100 PF", 100e-12, quantity.Farad},
		{"100 mF", 0.1, quantity.Farad},

		// The ohm in every dress.
		{"470 \u03a9", 470, quantity.Ohm},
		{"470 \u2126", 470, quantity.Ohm},
		{"470 ohm", 470, quantity.Ohm},
		{"470 Ohms", 470, quantity.Ohm},
		{"470R", 470, quantity.Ohm},
		{"4.7 kohm", 4700, quantity.Ohm},
		{"4.7 kilohms", 4700, quantity.Ohm},
		{"2.2 megohm", 2.2e6, quantity.Ohm},
		{"2.2 meg", 2.2e6, quantity.Ohm},

		// A letter in place of the decimal point.
		{"0R22", 0.22, quantity.Ohm},
		{"4R7", 4.7, quantity.Ohm},
		{"4Ω7", 4.7, quantity.Ohm},
		{"4k7 Ω", 4700, quantity.Ohm},
		{"4k7Ω", 4700, quantity.Ohm},
		{"2n2F", 2.2e-9, quantity.Farad},
		{"5V6", 5.6, quantity.Volt},
		{"12V01", 12.01, quantity.Volt},
		{"5V1 DC", 5.1, quantity.Volt},
		{"1A6", 1.6, quantity.Ampere},
		{"1F5", 1.5, quantity.Farad},
		{"4H7", 4.7, quantity.Henry},

		// Direct voltage and current.
		{"12 V DC", 12, quantity.Volt},
		{"12 VDC", 12, quantity.Volt},
		{"12 Vdc", 12, quantity.Volt},
		{"20 mA DC", 0.02, quantity.Ampere},

		// Names and careless capitals.
		{"12 volts", 12, quantity.Volt},
		{"1 Volt", 1, quantity.Volt},
		{"5v", 5, quantity.Volt},
		{"20 ma", 0.02, quantity.Ampere},
		{"5 milliamperes", 0.005, quantity.Ampere},
		{"10 KHz", 10e3, quantity.Hertz},
		{"4.43 MHZ", 4.43e6, quantity.Hertz},
		{"1 henry", 1, quantity.Henry},

		// Ratings.
		{"1/4 W", 0.25, quantity.Watt},
		{"1/2W", 0.5, quantity.Watt},
		{"1/8 watt", 0.125, quantity.Watt},
		{"50 VA", 50, quantity.VoltAmpere},
		{"1.2 Ah", 1.2, quantity.AmpereHour},
		{"60 mAh", 0.06, quantity.AmpereHour},
		{"2.5 A²s", 2.5, quantity.AmpereSquaredSecond},
		{"2.5 A2s", 2.5, quantity.AmpereSquaredSecond},

		// Ratios and levels.
		{"5 %", 0.05, quantity.Percent},
		{"0.1%", 0.001, quantity.Percent},
		{"50 ppm", 50e-6, quantity.Percent},
		{"-3 dB", -3, quantity.Decibel},

		// Temperature and heat.
		{"70 °C", 70, quantity.Celsius},
		{"70 degC", 70, quantity.Celsius},
		{"70 ℃", 70, quantity.Celsius},
		{"10 K", 10, quantity.Kelvin},
		{"100 ppm/K", 1e-4, quantity.PPMPerKelvin},
		{"100 ppm/°C", 1e-4, quantity.PPMPerKelvin},
		{"0.4 %/K", 0.004, quantity.PPMPerKelvin},
		{"-2 mV/°C", -0.002, quantity.VoltPerKelvin},
		{"1.5 °C/W", 1.5, quantity.KelvinPerWatt},

		// Others.
		{"13 V/µs", 13e6, quantity.VoltPerSecond},
		{"0.5 V/us", 0.5e6, quantity.VoltPerSecond},
		{"5 C", 5, quantity.Coulomb},
		{"5 mS", 0.005, quantity.Siemens},
		{"1.5 J", 1.5, quantity.Joule},

		// Times. The minute, hour and day are those of the SI brochure, 9th edition,
		// table 8; the year is 365.25 days.
		{"200 ms", 0.2, quantity.Second},
		{"90 s", 90, quantity.Second},
		{"45 min", 2700, quantity.Second},
		{"1 h 30 min", 5400, quantity.Second},
		{"1h30min", 5400, quantity.Second},
		{"1h30", 5400, quantity.Second},
		{"1h05", 3900, quantity.Second},
		{"3 h 11 min", 11460, quantity.Second},
		{"-1 h 30 min", -5400, quantity.Second},
		{"1 min 30 s", 90, quantity.Second},
		{"2 d 4 h", 187200, quantity.Second},
		{"3 d", 259200, quantity.Second},
		{"2 weeks", 1209600, quantity.Second},
		{"6 months", 15778800, quantity.Second},
		{"42 y", 42 * 365.25 * 86400, quantity.Second},

		// Plain numbers.
		{"4700", 4700, quantity.None},
		{"-1.5e3", -1500, quantity.None},
	} {
		t.Run(c.text, func(t *testing.T) {
			want := quantity.Quantity{Value: c.want, Unit: c.unit}
			got, err := quantity.Parse(c.text)
			if err != nil {
				t.Fatal(err)
			}
			if got != want || math.Signbit(got.Value) != math.Signbit(want.Value) {
				t.Errorf("got %v (%g), want %v (%g)", got, got.Value, want, want.Value)
			}
		})
	}
}

func TestParseAs(t *testing.T) {
	for _, c := range []struct {
		text string
		unit quantity.Unit
		want float64
	}{
		{"4k7", quantity.Ohm, 4700},
		{"4K7", quantity.Ohm, 4700},
		{"0R22", quantity.Ohm, 0.22},
		{"R47", quantity.Ohm, 0.47},
		{"k47", quantity.Ohm, 470},
		{"26.95k", quantity.Ohm, 26950},
		{"4700", quantity.Ohm, 4700},
		{"1M", quantity.Ohm, 1e6},
		{"10K", quantity.Ohm, 10e3},
		{"22m", quantity.Ohm, 0.022},
		{"4.7 kΩ", quantity.Ohm, 4700},
		{"47u", quantity.Farad, 47e-6},
		{"47U", quantity.Farad, 47e-6},
		{"100n", quantity.Farad, 100e-9},
		{"2n2", quantity.Farad, 2.2e-9},
		{"p33", quantity.Farad, 0.33e-12},
		{"100m", quantity.Farad, 0.1},
		{"10m", quantity.Henry, 0.01},
		{"3V3", quantity.Volt, 3.3},
		{"12", quantity.Volt, 12},
		{"20m", quantity.Ampere, 0.02},
		{"10", quantity.Kelvin, 10},
		{"10 °C", quantity.Kelvin, 10},
		{"5m", quantity.Metre, 5},
		{"105", quantity.Celsius, 105},
		{"105 C", quantity.Celsius, 105},
		{"5", quantity.Percent, 0.05},
		{"100", quantity.PPMPerKelvin, 1e-4},
		{"2", quantity.VoltPerSecond, 2},
		{"1/4", quantity.Watt, 0.25},
		{"90", quantity.Second, 90},
		{"200u", quantity.Second, 200e-6},
		{"100k", quantity.None, 100e3},
		{"4k7", quantity.None, 4700},
	} {
		t.Run(c.text+" as "+string(c.unit), func(t *testing.T) {
			got, err := quantity.ParseAs(c.text, c.unit)
			if err != nil {
				t.Fatal(err)
			}
			if want := (quantity.Quantity{Value: c.want, Unit: c.unit}); got != want {
				t.Errorf("got %v (%g), want %v", got, got.Value, want)
			}
		})
	}
}

func TestParseList(t *testing.T) {
	reservoir := []quantity.Quantity{{Value: 2.2e-3, Unit: quantity.Farad}, {Value: 25, Unit: quantity.Volt}}
	for _, c := range []struct {
		text string
		want []quantity.Quantity
	}{
		{"2200 uF 25 V", reservoir},
		{"2200uF 25V", reservoir},
		{"2200 µF / 25 V", reservoir},
		{"2200uF/25V", reservoir},
		{"2200uF,25V", reservoir},
		{"2200 uF; 25 V", reservoir},
		{"2200 uF 25 V 105 °C", append(reservoir[:2:2], quantity.Quantity{Value: 105, Unit: quantity.Celsius})},
		{"12 V DC 1 A", []quantity.Quantity{{Value: 12, Unit: quantity.Volt}, {Value: 1, Unit: quantity.Ampere}}},
		{"12VDC/1A", []quantity.Quantity{{Value: 12, Unit: quantity.Volt}, {Value: 1, Unit: quantity.Ampere}}},
		{"1 h 30 min 70 °C", []quantity.Quantity{{Value: 5400, Unit: quantity.Second}, {Value: 70, Unit: quantity.Celsius}}},
		{"30 min 1 h", []quantity.Quantity{{Value: 1800, Unit: quantity.Second}, {Value: 3600, Unit: quantity.Second}}},
		{"+5 V -12 V", []quantity.Quantity{{Value: 5, Unit: quantity.Volt}, {Value: -12, Unit: quantity.Volt}}},
		{"12 V", []quantity.Quantity{{Value: 12, Unit: quantity.Volt}}},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := quantity.ParseList(c.text)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestParseListAs(t *testing.T) {
	got, err := quantity.ParseListAs("4k7 5 % 1/4 W", quantity.Ohm)
	want := []quantity.Quantity{{Value: 4700, Unit: quantity.Ohm}, {Value: 0.05, Unit: quantity.Percent}, {Value: 0.25, Unit: quantity.Watt}}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Error(diff, err)
	}
}

// TestErrors is the list of what is refused, where the trouble is said to be,
// and what the message teaches.
func TestErrors(t *testing.T) {
	parse := func(text string) error { _, err := quantity.Parse(text); return err }
	as := func(unit quantity.Unit) func(string) error {
		return func(text string) error { _, err := quantity.ParseAs(text, unit); return err }
	}
	list := func(text string) error { _, err := quantity.ParseList(text); return err }
	listAs := func(text string) error { _, err := quantity.ParseListAs(text, quantity.Ohm); return err }
	unit := func(text string) error { _, err := quantity.ParseUnit(text); return err }
	for _, c := range []struct {
		read    func(string) error
		text    string
		offset  int
		message string
	}{
		{parse, "12.01 Vv", 6, `"12.01 Vv": unknown unit "Vv"; volts are written V, as in 12.01 V`},
		{parse, "5 Kohn", 2, `"5 Kohn": unknown unit "Kohn"; kilohms are written kΩ, as in 5 kΩ`},
		{parse, "3 minuts", 2, `"3 minuts": unknown unit "minuts"; minutes are written min, as in 3 min`},
		{parse, "5 hzz", 2, `"5 hzz": unknown unit "hzz"; hertz are written Hz, as in 5 Hz`},
		{parse, "1.5 kelvyns", 4, `"1.5 kelvyns": unknown unit "kelvyns"; kelvins are written K, as in 1.5 K`},
		{parse, "70 deg C", 3, `"70 deg C": unknown unit "deg"; degrees Celsius are written °C, as in 70 °C`},
		{parse, "1234567890.125 Vv", 15, `"1234567890.125 Vv": unknown unit "Vv"; volts are written V, as in 12 V`},
		{parse, "3 furlongs", 2, `"3 furlongs": unknown unit "furlongs"; write a unit such as V, mA, kΩ, uF or ms`},
		{parse, "47E", 2, `"47E": unknown unit "E"; an E for ohms is written R, as in 47R`},
		{parse, "4E7 ohm", 0, `"4E7 ohm": E in a resistance can be read as ohms or as a power of ten; write 4R7, or 40 MΩ`},
		{parse, "10 MF", 3, `"10 MF": megafarads do not occur on a bench; MF, MFD and mfd on old parts are microfarads: write 47 uF`},
		{parse, "47 mf", 3, `"47 mf": "mf" can be read as microfarads or millifarads; write uF or mF`},
		{parse, "10 MV", 3, `"10 MV": megavolts do not occur on a bench; M is mega and m is milli: write 10 mV`},
		{parse, "10 kH", 3, `"10 kH": kilohenries do not occur on a bench; an inductance is wanted, such as 10 uH`},
		{parse, "4,7k", 1, `"4,7k": a comma in a number can be read in two ways; write a point before decimals, as in 4.7, and thousands without separators, as in 4700`},
		{parse, "5,000 V", 1, `"5,000 V": a comma in a number can be read in two ways; write a point before decimals, as in 4.7, and thousands without separators, as in 4700`},
		{parse, "1 000 V", 2, `"1 000 V": a number has no spaces between thousands; write 4700`},
		{parse, "1'000 V", 1, `"1'000 V": a number has no separators between thousands; write 4700`},
		{parse, "1.000.000 V", 5, `"1.000.000 V": a number has one decimal point only; write 4.7, and thousands without separators, as in 4700`},
		{parse, "4.7k2 Ω", 3, `"4.7k2 Ω": a number has either a decimal point or a letter in its place; write 4.7k or 4k7`},
		{parse, "5V6 A", 4, `"5V6 A": the letter in the number is its unit already; write 5V6 or 5.6 V`},
		{parse, "4k7 kΩ", 4, `"4k7 kΩ": the letter in the number is its prefix already; write 4k7 Ω or 4.7 kΩ`},
		{parse, "4k7 %", 4, `"4k7 %": the letter in the number is its prefix already; write 4k7 Ω or 4.7 kΩ`},
		{parse, "4k7", 3, `"4k7": the unit is missing; write it after the number, as in 4k7 Ω, 47 uF or 10 mA`},
		{parse, "47u", 2, `"47u": the unit is missing; write it after the number, as in 4k7 Ω, 47 uF or 10 mA`},
		{parse, "R47", 0, `"R47": this may be the name of a part; write a value with its leading zero, such as 0R47`},
		{parse, "", 0, `"": nothing is written; a number with its unit is wanted, such as 12 V`},
		{parse, " \t", 0, `" \t": nothing is written; a number with its unit is wanted, such as 12 V`},
		{parse, "volts", 0, `"volts": a number was expected; write the number first and then its unit, as in 12 V`},
		{parse, "NaN V", 0, `"NaN V": a number was expected; write the number first and then its unit, as in 12 V`},
		{parse, "Inf V", 0, `"Inf V": a number was expected; write the number first and then its unit, as in 12 V`},
		{parse, "0x10 V", 1, `"0x10 V": unknown unit "x"; write a unit such as V, mA, kΩ, uF or ms`},
		{parse, "1e31 V", 0, `"1e31 V": the value is out of range; a value from 1e-30 to 1e30 is wanted`},
		{parse, "1e-31 V", 0, `"1e-31 V": the value is out of range; a value from 1e-30 to 1e30 is wanted`},
		{parse, "1e99999 V", 1, `"1e99999 V": the value is out of range; a value from 1e-30 to 1e30 is wanted`},
		{parse, "12 V AC", 5, `"12 V AC": "AC" says how the value was taken; write the value alone, such as 12 V`},
		{parse, "230 VAC", 5, `"230 VAC": "AC" says how the value was taken; write the value alone, such as 12 V`},
		{parse, "50 mVp-p", 5, `"50 mVp-p": "p-p" says how the value was taken; write the value alone, such as 12 V`},
		{parse, "5 W DC", 4, `"5 W DC": "DC" says how the value was taken; write the value alone, such as 5 W`},
		{parse, "4.75..5.25 V", 4, `"4.75..5.25 V": this is a range; one value is wanted here, such as 12 V`},
		{parse, "2200 uF 25 V", 8, `"2200 uF 25 V": more than one value is written; one value is wanted here, such as 12 V`},
		{parse, "12 V!", 4, `"12 V!": something follows the value; write the value alone, such as 12 V`},
		{parse, "5\xff", 1, `"5\xff": something follows the value; write the value alone, such as 12 V`},
		{parse, "1 h 70 h", 4, `"1 h 70 h": more than one value is written; one value is wanted here, such as 12 V`},
		{as(quantity.Farad), "4k7 Ω", 4, `"4k7 Ω": this is in ohms; a capacitance is wanted, such as 47 uF`},
		{as(quantity.Farad), "4R7", 3, `"4R7": this is in ohms; a capacitance is wanted, such as 47 uF`},
		{as(quantity.Farad), "4M7", 3, `"4M7": megafarads do not occur on a bench; MF, MFD and mfd on old parts are microfarads: write 47 uF`},
		{as(quantity.Ohm), "4.7 kV", 4, `"4.7 kV": this is in volts; a resistance is wanted, such as 4k7`},
		{as(quantity.Ohm), "4E7", 0, `"4E7": E in a resistance can be read as ohms or as a power of ten; write 4R7, or 40 MΩ`},
		{as(quantity.Volt), "V5", 0, `"V5": this may be the name of a part; write a value with its leading zero, such as 0R47`},
		{as(quantity.Volt), "5 furlongs", 2, `"5 furlongs": unknown unit "furlongs"; a voltage is wanted, such as 12 V`},
		{as(quantity.Volt), "5 V 3 A", 4, `"5 V 3 A": more than one value is written; one value is wanted here, such as 12 V`},
		{as(quantity.Second), "5m", 1, `"5m": m and M can mean minutes, months or a prefix; write 5 min or 5 ms`},
		{as(quantity.Percent), "4k7", 3, `"4k7": a percentage takes no prefix; a percentage is wanted, such as 5 %`},
		{as(quantity.None), "5 %", 2, `"5 %": this is in percent; a plain number is wanted, such as 4700`},
		{as("furlong"), "5", 0, `"5": a value in units of "furlong" was asked for, and that unit is not known; a unit such as V, Ω or F is wanted`},
		{list, "2200 uF 25", 10, `"2200 uF 25": the unit is missing; write every value with its unit, as in 2200 uF 25 V`},
		{list, "2200 uF,", 8, `"2200 uF,": a value is missing at the end; write a number with its unit, such as 12 V`},
		{list, "2200 uF, x", 9, `"2200 uF, x": a number was expected; write the number first and then its unit, as in 12 V`},
		{listAs, "25 V 4k7", 3, `"25 V 4k7": this is in volts; a resistance is wanted, such as 4k7`},
		{unit, "kΩ", 0, `"kΩ": a unit without a prefix is wanted; write Ω`},
		{unit, " min", 1, `" min": a unit without a prefix is wanted; write s`},
		{unit, "Volte", 0, `"Volte": unknown unit "Volte"; volts are written V, as in 12 V`},
		{parse, strings.Repeat("1", 300) + " V", 256, `"…` + strings.Repeat("1", 60) + `…": the text is too long for a value; write the value alone, such as 12 V`},
	} {
		t.Run(c.text, func(t *testing.T) {
			err := c.read(c.text)
			var e *quantity.Error
			if !errors.As(err, &e) {
				t.Fatalf("got %v, want an *Error", err)
			}
			if e.Error() != c.message {
				t.Errorf("got  %s\nwant %s", e.Error(), c.message)
			}
			if e.Text != c.text || e.Offset != c.offset {
				t.Errorf("the trouble is at byte %d of %q, want byte %d", e.Offset, e.Text, c.offset)
			}
		})
	}
}

func TestParseUnit(t *testing.T) {
	for text, want := range map[string]quantity.Unit{
		"V": quantity.Volt, "ohm": quantity.Ohm, "Ohms": quantity.Ohm, "\u2126": quantity.Ohm, "degC": quantity.Celsius,
		"%": quantity.Percent, "percent": quantity.Percent, " Hz ": quantity.Hertz, "": quantity.None, "ppm/K": quantity.PPMPerKelvin,
		"seconds": quantity.Second,
	} {
		if got, err := quantity.ParseUnit(text); err != nil || got != want {
			t.Errorf("ParseUnit(%q) = %q, %v, want %q", text, got, err, want)
		}
	}
}

func TestSplitMode(t *testing.T) {
	for _, c := range []struct{ text, rest, mode string }{
		{"230 V AC", "230 V", "AC"},
		{"230 VAC", "230 V", "AC"},
		{"230 Vac", "230 V", "AC"},
		{"230 V~", "230 V", "AC"},
		{"230 V RMS", "230 V", "RMS"},
		{"230 V AC RMS", "230 V", "RMS"},
		{"230 V RMS AC", "230 V", "RMS"},
		{"50 W RMS", "50 W", "RMS"},
		{"50 mVpp", "50 mV", "p-p"},
		{"50 mV p-p", "50 mV", "p-p"},
		{"50 mV pk-pk", "50 mV", "p-p"},
		{"50 mV peak-to-peak ", "50 mV", "p-p"},
		{"12 V DC", "12 V", "DC"},
		{"12 VDC", "12 V", "DC"},
		{"20 mADC", "20 mA", "DC"},
		{"12 V", "12 V", ""},
		{"50 VA", "50 VA", ""},
		{"AC", "", "AC"},
		{"", "", ""},
	} {
		if rest, mode := quantity.SplitMode(c.text); rest != c.rest || mode != c.mode {
			t.Errorf("SplitMode(%q) = %q, %q, want %q, %q", c.text, rest, mode, c.rest, c.mode)
		}
	}
}
