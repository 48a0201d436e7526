package quantity_test

import (
	"errors"
	"math"
	"strconv"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"halfsplit/quantity"
)

// anyUnit draws from all the units of the package.
func anyUnit() *rapid.Generator[quantity.Unit] {
	return rapid.SampledFrom([]quantity.Unit{
		quantity.None, quantity.Volt, quantity.Ampere, quantity.Ohm, quantity.Farad, quantity.Henry, quantity.Hertz,
		quantity.Second, quantity.Watt, quantity.Joule, quantity.Celsius, quantity.Kelvin, quantity.Percent,
		quantity.VoltAmpere, quantity.AmpereHour, quantity.Metre, quantity.Decibel, quantity.Coulomb, quantity.Siemens,
		quantity.PPMPerKelvin, quantity.VoltPerKelvin, quantity.KelvinPerWatt, quantity.VoltPerSecond,
		quantity.AmpereSquaredSecond,
	})
}

// anyValue draws from zero, short decimals such as parts bear, whole numbers,
// and every floating-point number from 1e-30 to 1e30 in magnitude.
func anyValue() *rapid.Generator[float64] {
	short := rapid.Custom(func(t *rapid.T) float64 {
		digits, exponent := rapid.IntRange(-9999, 9999).Draw(t, "digits"), rapid.IntRange(-20, 20).Draw(t, "exponent")
		value, _ := strconv.ParseFloat(strconv.Itoa(digits)+"e"+strconv.Itoa(exponent), 64)
		return value
	})
	magnitude := rapid.Custom(func(t *rapid.T) float64 {
		value := math.Pow(10, rapid.Float64Range(-29.9, 29.9).Draw(t, "exponent"))
		if rapid.Bool().Draw(t, "negative") {
			return -value
		}
		return value
	})
	whole := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(-100000000, 100000000).Draw(t, "whole")) })
	return rapid.OneOf(short, magnitude, whole, rapid.Float64Range(-1000, 1000).Filter(func(v float64) bool {
		return v == 0 || math.Abs(v) >= 1e-30
	}))
}

// What String writes is read back to the very same number.
func TestQuantityRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := quantity.Quantity{Value: anyValue().Draw(t, "value"), Unit: anyUnit().Draw(t, "unit")}
		got, err := quantity.Parse(q.String())
		if err != nil || got != q {
			t.Fatalf("%g %q is written %q and read as %g %q, %v", q.Value, q.Unit, q, got.Value, got.Unit, err)
		}
		got, err = quantity.ParseAs(q.String(), q.Unit)
		if err != nil || got != q {
			t.Fatalf("%g %q is written %q and read in its unit as %g %q, %v", q.Value, q.Unit, q, got.Value, got.Unit, err)
		}
		var marshalled quantity.Quantity
		text, err := q.MarshalText()
		if err != nil || marshalled.UnmarshalText(text) != nil || marshalled != q {
			t.Fatalf("%v is marshalled to %q and back to %v, %v", q, text, marshalled, err)
		}
	})
}

// A list of values is read back, whatever stands between them.
func TestListRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(1, 4).Draw(t, "count")
		separator := rapid.SampledFrom([]string{" ", ", ", " / ", "; "}).Draw(t, "separator")
		var want []quantity.Quantity
		text := ""
		for range count {
			q := quantity.Quantity{Value: anyValue().Draw(t, "value"),
				Unit: anyUnit().Filter(func(u quantity.Unit) bool { return u != quantity.None && u != quantity.Second }).Draw(t, "unit")}
			if text != "" {
				text += separator
			}
			text += q.String()
			want = append(want, q)
		}
		got, err := quantity.ParseList(text)
		if err != nil || len(got) != len(want) {
			t.Fatalf("%q is read as %v, %v", text, got, err)
		}
		for i := range want {
			if got[i] != want[i] {
				t.Fatalf("%q: value %d is read as %v", text, i, got[i])
			}
		}
	})
}

func TestIntervalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyValue().Draw(t, "a"), anyValue().Draw(t, "b")
		i := quantity.Interval{Low: min(a, b), High: max(a, b), Unit: anyUnit().Draw(t, "unit")}
		if rapid.IntRange(0, 4).Draw(t, "open below") == 0 {
			i.Low = math.Inf(-1)
		}
		if rapid.IntRange(0, 4).Draw(t, "open above") == 0 {
			i.High = math.Inf(1)
		}
		got, err := quantity.ParseInterval(i.String())
		if err != nil || got != i {
			t.Fatalf("%g..%g %q is written %q and read as %g..%g %q, %v", i.Low, i.High, i.Unit, i, got.Low, got.High, got.Unit, err)
		}
		if got, err = quantity.ParseIntervalAs(i.String(), i.Unit); err != nil || got != i {
			t.Fatalf("%q is read in its unit as %v, %v", i, got, err)
		}
	})
}

func TestToleranceRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyValue().Draw(t, "a"), anyValue().Draw(t, "b")
		if rapid.Bool().Draw(t, "even") {
			b = -a
		}
		want := quantity.Tolerance{Low: min(a, b), High: max(a, b),
			Unit: anyUnit().Filter(func(u quantity.Unit) bool { return u != quantity.None }).Draw(t, "unit")}
		got, err := quantity.ParseTolerance(want.String())
		if err != nil || got != want {
			t.Fatalf("%g..%g %q is written %q and read as %g..%g %q, %v", want.Low, want.High, want.Unit, want, got.Low, got.High, got.Unit, err)
		}
	})
}

func TestCodeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]quantity.Unit{quantity.Ohm, quantity.Farad}).Draw(t, "unit")
		q := quantity.Quantity{Value: math.Abs(anyValue().Draw(t, "value")), Unit: unit}
		code := quantity.FormatCode(q)
		lowest, highest := 1e-4, 1e15
		if unit == quantity.Farad {
			lowest, highest = 1e-16, 1e3
		}
		if has := q.Value == 0 && unit == quantity.Ohm || q.Value >= lowest && q.Value < highest; has != (code != "") {
			t.Fatalf("%v has the code %q", q, code)
		}
		if code == "" {
			return
		}
		if got, err := quantity.ParseCode(code, unit); err != nil || got != q {
			t.Fatalf("%v has the code %q, which is read as %v, %v", q, code, got, err)
		}
	})
}

// The tolerance around a nominal goes with its sign, holds the nominal, and is
// as wide as it should be.
func TestAroundProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := rapid.Float64Range(-1, 0).Draw(t, "low"), rapid.Float64Range(0, 1).Draw(t, "high")
		nominal := rapid.Float64Range(-1e6, 1e6).Draw(t, "nominal")
		relative := quantity.Tolerance{Low: low, High: high, Unit: quantity.Percent}
		limits, mirrored := relative.Around(nominal), relative.Around(-nominal)
		if limits.Low != -mirrored.High || limits.High != -mirrored.Low {
			t.Fatalf("%v around %g is %v, around its negative %v", relative, nominal, limits, mirrored)
		}
		slack := 1e-14 * math.Abs(nominal)
		if limits.Low > nominal+slack || limits.High < nominal-slack {
			t.Fatalf("%v around %g is %v, which does not hold it", relative, nominal, limits)
		}
		if want := (high - low) * math.Abs(nominal); math.Abs(limits.Width()-want) > 2*slack {
			t.Fatalf("%v around %g is %g wide, want %g", relative, nominal, limits.Width(), want)
		}
		absolute := quantity.Tolerance{Low: low, High: high, Unit: quantity.Volt}.Around(nominal)
		if math.Abs(absolute.Low-nominal-low) > 2*slack+1e-14 || math.Abs(absolute.High-nominal-high) > 2*slack+1e-14 {
			t.Fatalf("%g..%g V around %g is %v", low, high, nominal, absolute)
		}
	})
}

// What FormatUncertain writes is an interval whose half width is the
// uncertainty, understated by no more than 4 % and overstated by no more than
// 10 %, and whose middle is within half a last digit of the value.
func TestFormatUncertainProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := anyUnit().Filter(func(u quantity.Unit) bool { return u != quantity.None }).Draw(t, "unit")
		uncertainty := math.Pow(10, rapid.Float64Range(-9, 9).Draw(t, "log uncertainty"))
		value := uncertainty * rapid.Float64Range(-1e6, 1e6).Draw(t, "ratio")
		text := quantity.FormatUncertain(value, uncertainty, unit)
		interval, err := quantity.ParseInterval(text)
		if err != nil {
			t.Fatalf("(%g ± %g) %s is written %q: %v", value, uncertainty, unit, text, err)
		}
		noise := 1e-8 * uncertainty
		if half := interval.Width() / 2; half < 0.96*uncertainty-noise || half > 1.1*uncertainty+noise {
			t.Fatalf("(%g ± %g) %s is written %q", value, uncertainty, unit, text)
		}
		if middle := (interval.Low + interval.High) / 2; math.Abs(middle-value) > 0.17*uncertainty+noise {
			t.Fatalf("(%g ± %g) %s is written %q", value, uncertainty, unit, text)
		}
	})
}

// FormatDuration never strays from the time by more than the coarseness that it
// promises, which is 5 % from two minutes up and half a percent below.
func TestFormatDurationProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seconds := math.Pow(10, rapid.Float64Range(-9, 10.5).Draw(t, "log seconds"))
		text := quantity.FormatDuration(seconds)
		got, err := quantity.ParseAs(text, quantity.Second)
		if err != nil {
			t.Fatalf("%g s is written %q: %v", seconds, text, err)
		}
		coarseness := 0.0051
		if seconds >= 60 {
			coarseness = 0.0501
		}
		if math.Abs(got.Value-seconds) > coarseness*seconds {
			t.Fatalf("%g s is written %q", seconds, text)
		}
		if utf8.RuneCountInString(text) > len("12 min 34 s") {
			t.Fatalf("%g s is written %q", seconds, text)
		}
	})
}

// A wrong letter anywhere gives either another reading or an *Error with its
// offset within the text, never anything else.
func TestErrorsAreTeachingErrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom([]string{"4.7 kΩ", "2200 uF 25 V", "-20..+50 %", "±5 %", "1 h 30 min", "at most 50 mV", "(12.01 ± 0.06) V", "12 V DC"}).Draw(t, "text")
		at := rapid.IntRange(0, len(text)).Draw(t, "at")
		text = text[:at] + rapid.String().Draw(t, "inserted") + text[at:]
		for _, err := range everyParser(text) {
			var e *quantity.Error
			switch {
			case err == nil:
			case !errors.As(err, &e):
				t.Fatalf("%q: %T", text, err)
			case e.Text != text, e.Offset < 0, e.Offset > len(text), e.Problem == "", e.Want == "":
				t.Fatalf("%#v", e)
			case utf8.RuneCountInString(e.Error()) > 900:
				t.Fatalf("too long: %v", e)
			}
		}
	})
}

// everyParser returns the errors of all the parsers that report the text as it
// was given.
func everyParser(text string) []error {
	_, quantityError := quantity.Parse(text)
	_, ohmError := quantity.ParseAs(text, quantity.Ohm)
	_, timeError := quantity.ParseAs(text, quantity.Second)
	_, listError := quantity.ParseList(text)
	_, intervalError := quantity.ParseInterval(text)
	_, voltError := quantity.ParseIntervalAs(text, quantity.Volt)
	_, codeError := quantity.ParseCode(text, quantity.Farad)
	_, unitError := quantity.ParseUnit(text)
	_, toleranceError := quantity.ParseTolerance(text)
	return []error{quantityError, ohmError, timeError, listError, intervalError, voltError, codeError, unitError, toleranceError}
}
