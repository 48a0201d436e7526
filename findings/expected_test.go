package findings_test

import (
	"fmt"
	"math"
	"testing"

	"halfsplit/findings"
	"halfsplit/sheet"
)

const expectedSheet = `sheet: 1
rails:
  - {rail: "+5", nominal: 5 V, family: TTL}
  - {rail: "+15", nominal: 15 V, limits: ±4 %, ripple: 5 mV}
outside:
  - {signal: TP2}
  - {signal: TP3}
  - {signal: TP4}
testpoints:
  - {point: TP1, signal: "+15", source resistance: 10k}
  - {point: TP2, expect: -2.5 V, limits: -2.6..-2.4 V}
  - {point: TP3, expect: counting}
  - {point: TP4, expect: 0 V}
`

func TestExpected(t *testing.T) {
	s, err := sheet.Parse("sheet.yaml", []byte(expectedSheet))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name                             string
		value, low, high, ripple, source float64
	}{
		{"+5", 5, 4.75, 5.25, math.NaN(), 0},
		{"+15", 15, 14.4, 15.6, 5e-3, 10e3}, // TP1 is where it is measured
		{"TP1", 15, 14.4, 15.6, 5e-3, 10e3},
		{"TP2", -2.5, -2.6, -2.4, math.NaN(), 0},
	} {
		x, err := findings.Expected(s, c.name)
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 || math.IsNaN(a) && math.IsNaN(b) }
		if err != nil || !near(x.Value.Value, c.value) || !near(x.Limit.Low, c.low) || !near(x.Limit.High, c.high) || !near(x.Ripple, c.ripple) || x.Source != c.source {
			t.Errorf("%s: %+v, %v", c.name, x, err)
		}
	}
	for _, name := range []string{"TP3", "TP4", "TP9", ""} {
		if x, err := findings.Expected(s, name); err == nil {
			t.Errorf("%q: %+v", name, x)
		}
	}
}

func ExampleExpected() {
	s, err := sheet.Parse("sheet.yaml", []byte(expectedSheet))
	if err != nil {
		fmt.Println(err)
		return
	}
	x, err := findings.Expected(s, "+15")
	fmt.Println(x.Value, x.Limit.Low, x.Limit.High, err)
	// Output: 15 V 14.4 15.6 <nil>
}
