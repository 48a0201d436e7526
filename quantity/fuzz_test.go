package quantity_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/quantity"
)

// Each fuzz target checks that its parser never panics and that whatever it
// accepts is written and read again without change.

var fuzzSeeds = []string{
	"", " ", "12 V", "4k7", "4.7 kΩ", "R47", "0R22", "47u", "2200 uF 25 V", "2200 µF / 25 V", "1/4 W", "5V6", "-12 V DC", "230 VAC",
	"1h30", "1 h 30 min", "2 weeks", "42 y", "1 y 6 months", "0.1 mfd", "10 MF", "4E7", "1e30 V", "1e-30 V", "1e999 V", "4,7k",
	"4.75..5.25 V", "-20..+50 %", "at most 50 mV", ">= 3 V", "5 V ± 5 %", "(12.01 ± 0.06) V", "any V", "4k7..10k", "1e30 V ± 5 %",
	"±5 %", "+80 -20 %", "-20/+50 %", "J", "±50 ppm", "2.5 A^2s", "0.5 V/µs", "100 ppm/°C", "105 C", "\xff5 V", "5\u2212V", "±0 %",
}

func seed(f *testing.F) {
	for _, text := range fuzzSeeds {
		f.Add(text)
	}
}

func FuzzParse(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string) {
		q, err := quantity.Parse(text)
		if err != nil {
			return
		}
		if got, err := quantity.Parse(q.String()); err != nil || got != q {
			t.Errorf("%q is read as %g %q, written %q, and read as %v, %v", text, q.Value, q.Unit, q, got, err)
		}
	})
}

func FuzzParseAs(f *testing.F) {
	for _, text := range fuzzSeeds {
		f.Add(text, "Ω")
		f.Add(text, "s")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		q, err := quantity.ParseAs(text, quantity.Unit(unit))
		if err != nil {
			return
		}
		if q.Unit != quantity.Unit(unit) {
			t.Errorf("%q as %q has the unit %q", text, unit, q.Unit)
		}
		if got, err := quantity.ParseAs(q.String(), q.Unit); err != nil || got != q {
			t.Errorf("%q is read as %g %q, written %q, and read as %v, %v", text, q.Value, q.Unit, q, got, err)
		}
	})
}

func FuzzParseList(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string) {
		list, err := quantity.ParseList(text)
		if err != nil {
			return
		}
		written := make([]string, len(list))
		for i, q := range list {
			written[i] = q.String()
		}
		again, err := quantity.ParseList(strings.Join(written, ", "))
		if err != nil && len(strings.Join(written, ", ")) <= 256 || err == nil && len(again) != len(list) {
			t.Fatalf("%q is read as %v and again as %v, %v", text, list, again, err)
		}
		for i := range again {
			if again[i] != list[i] {
				t.Errorf("%q: value %d is %v, then %v", text, i, list[i], again[i])
			}
		}
	})
}

func FuzzParseInterval(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string) {
		i, err := quantity.ParseInterval(text)
		if err != nil {
			return
		}
		if i.Low > i.High || math.IsNaN(i.Low) || math.IsNaN(i.High) {
			t.Errorf("%q is read as %v", text, i)
		}
		if got, err := quantity.ParseInterval(i.String()); err != nil || got != i {
			t.Errorf("%q is read as %g..%g %q, written %q, and read as %v, %v", text, i.Low, i.High, i.Unit, i, got, err)
		}
	})
}

func FuzzParseIntervalAs(f *testing.F) {
	for _, text := range fuzzSeeds {
		f.Add(text, "Ω")
		f.Add(text, "V")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		i, err := quantity.ParseIntervalAs(text, quantity.Unit(unit))
		if err != nil {
			return
		}
		if got, err := quantity.ParseIntervalAs(i.String(), i.Unit); err != nil || got != i || i.Unit != quantity.Unit(unit) {
			t.Errorf("%q is read as %g..%g %q, written %q, and read as %v, %v", text, i.Low, i.High, i.Unit, i, got, err)
		}
	})
}

func FuzzParseTolerance(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string) {
		tolerance, err := quantity.ParseTolerance(text)
		if err != nil {
			return
		}
		if tolerance.Low > tolerance.High {
			t.Errorf("%q is read as %v", text, tolerance)
		}
		if got, err := quantity.ParseTolerance(tolerance.String()); err != nil || got != tolerance {
			t.Errorf("%q is read as %g..%g %q, written %q, and read as %v, %v", text, tolerance.Low, tolerance.High, tolerance.Unit, tolerance, got, err)
		}
	})
}

func FuzzParseCode(f *testing.F) {
	for _, text := range fuzzSeeds {
		f.Add(text, true)
		f.Add(text, false)
	}
	f.Fuzz(func(t *testing.T, text string, resistor bool) {
		unit := quantity.Farad
		if resistor {
			unit = quantity.Ohm
		}
		q, err := quantity.ParseCode(text, unit)
		if err != nil {
			return
		}
		if got, err := quantity.Parse(q.String()); err != nil || got != q {
			t.Errorf("%q is read as %g %q, written %q, and read as %v, %v", text, q.Value, q.Unit, q, got, err)
		}
		if code := quantity.FormatCode(q); code != "" {
			if got, err := quantity.ParseCode(code, unit); err != nil || got != q {
				t.Errorf("%q is read as %v, with the code %q, which is read as %v, %v", text, q, code, got, err)
			}
		}
	})
}

func FuzzParseUnit(f *testing.F) {
	for _, text := range []string{"", "V", "ohm", "kΩ", "degC", " min", "%", "ppm/°C", "Volte", "\xff"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		unit, err := quantity.ParseUnit(text)
		if err != nil {
			return
		}
		if got, err := quantity.ParseUnit(string(unit)); err != nil || got != unit || !unit.Known() {
			t.Errorf("%q is read as %q and again as %q, %v", text, unit, got, err)
		}
	})
}

func FuzzSplitMode(f *testing.F) {
	for _, text := range []string{"230 V AC", "50 mVp-p", "12 VDC", "AC RMS", "~", "", "\xffac"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rest, mode := quantity.SplitMode(text)
		if !strings.HasPrefix(text, rest) || mode == "" && rest != text {
			t.Errorf("SplitMode(%q) = %q, %q", text, rest, mode)
		}
	})
}
