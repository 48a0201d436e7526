package watch

import (
	"math"
	"strings"
	"testing"

	"halfsplit/metrology"
	"halfsplit/sheet"
)

const rails = `sheet: 1
rails:
  - {rail: "+5", nominal: 5 V, family: TTL}
  - {rail: "+15", nominal: 15 V, limits: ±4 %, ripple: 5 mV}
  - {rail: "-15", nominal: -15 V, limits: ±4 %}
outside:
  - {signal: clock}
testpoints:
  - {point: TP1, signal: "+15", source resistance: 10k}
  - {point: clock, expect: 2 MHz, limits: ±1 %}
`

// TestLimits checks where the limits of a channel come from: the hand, the test
// point, the rail, its family; and that none are made up.
func TestLimits(t *testing.T) {
	s, err := sheet.Parse("sheet.yaml", []byte(rails))
	if err != nil {
		t.Fatal(err)
	}
	infinite := math.Inf(1)
	for _, c := range []struct {
		meter     string
		low, high float64 // both NaN for no limits
		source    string
	}{
		{"+5=m", 4.75, 5.25, ""}, // TTL, see metrology
		{"+15=m", 14.4, 15.6, "the sheet"},
		{"-15=m", -15.6, -14.4, "the sheet"},
		{"TP1=m", 14.4, 15.6, "the sheet"},
		{"+15=m limits=±1 %", 14.85, 15.15, "given by hand"},
		{"+15=m limits=14..16 V", 14, 16, "given by hand"},
		{"elsewhere=m limits=5 V ± 2 %", 4.9, 5.1, "given by hand"},
		{"elsewhere=m", math.NaN(), math.NaN(), ""},
		{"+15=m measure=AC volts", -infinite, 5e-3 / (2 * math.Sqrt(3)), "triangle"},
		{"+5=m measure=AC volts", math.NaN(), math.NaN(), ""},
		{"+5=m measure=temperature", math.NaN(), math.NaN(), ""},
		{"clock=m measure=frequency", 1.98e6, 2.02e6, "the sheet"},
		{"+5=m measure=temperature limits=at most 60 °C", -infinite, 60, "given by hand"},
	} {
		w, err := ParseWanted(c.meter, false)
		if err != nil {
			t.Fatal(err)
		}
		got, err := NewChannel(w, s)
		if err != nil {
			t.Errorf("%s: %v", c.meter, err)
			continue
		}
		if got.Limit == nil {
			if !math.IsNaN(c.low) {
				t.Errorf("%s has no limits", c.meter)
			}
			continue
		}
		near := func(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-9*math.Abs(b) }
		if !near(got.Limit.Low, c.low) || !near(got.Limit.High, c.high) || !strings.Contains(got.Limit.Source, c.source) {
			t.Errorf("%s: %+v", c.meter, *got.Limit)
		}
	}
	for meter, says := range map[string]string{
		"elsewhere=m limits=±5 %":              "±5 % of what?",
		"+5=m limits=5 V":                      "says no limits",
		"+5=m limits=4..6 A":                   "",
		"+5=m limits=6..4 V":                   "",
		"+5=m limits=nonsense":                 "",
		"clock=m measure=DC volts limits=±1 %": "of what?",
	} {
		w, err := ParseWanted(meter, false)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := NewChannel(w, s); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %+v, %v", meter, c.Limit, err)
		}
	}
}

func channel(t testing.TB, meter string) Channel {
	t.Helper()
	w, err := ParseWanted(meter, true)
	if err != nil {
		t.Fatal(err)
	}
	c, err := NewChannel(w, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestJudge works a verdict out by hand: on the 8 V range of the usual meter,
// 0.03 % of 5.25 V and 10 digits of 0.1 mV are 2.6 mV.
func TestJudge(t *testing.T) {
	c := channel(t, "+5 limits=4.75..5.25 V")
	for v, want := range map[float64]metrology.Word{5: metrology.Within, 5.25: metrology.TooClose, 5.2501: metrology.TooClose, 5.26: metrology.Outside, 4.74: metrology.Outside, 0: metrology.Outside, -5: metrology.Outside} {
		if got := c.Judge(v); got == nil || got.Word != want {
			t.Errorf("%v V is %+v", v, got)
		}
	}
	got := c.Judge(5.25)
	if want := (0.0003*5.25 + 10*100e-6) / math.Sqrt(3); math.Abs(got.Estimate.U-want) > 0.01*want {
		t.Errorf("standard uncertainty %v V, not %v V", got.Estimate.U, want)
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 5000} {
		if got := c.Judge(v); got != nil {
			t.Errorf("%v: %v", v, got.Word)
		}
	}
	free := channel(t, "+5")
	if free.Judge(5) != nil {
		t.Error("a verdict without limits")
	}
	// The bench meter of the list has no thermometer: 3 % are taken.
	warm := channel(t, "heatsink measure=temperature with=bench 6½-digit multimeter limits=at most 70 °C")
	if v := warm.Judge(60); v == nil || v.Word == metrology.Outside || math.Abs(v.Estimate.U-1.8/math.Sqrt(3)) > 1e-9 {
		t.Errorf("%+v", v)
	}
}
