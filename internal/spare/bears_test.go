package spare_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfsplit/internal/spare"
	"halfsplit/sheet"
)

const page = `sheet: 1
parts:
  - {part: C1, kind: electrolytic, value: 100 uF 25 V, near: R1}
  - {part: R7, kind: resistor, value: 1k}
circuits:
  filter:
    ground: gnd
    parts:
      - {part: V1, kind: mains source, value: 12 V, nodes: [in, gnd]}
      - {part: R1, kind: resistor, value: 100R, power: 1 W, nodes: [in, out]}
      - {part: C1, nodes: [out, gnd], settings: {esr: 1u, insulation: 100M}}
  divider:
    ground: gnd
    parts:
      - {part: V2, kind: dc source, value: 10 V, nodes: [top, gnd]}
      - {part: R2, kind: resistor, value: 300R, nodes: [top, middle]}
      - {part: R3, kind: resistor, value: 200R, nodes: [middle, gnd]}
  swings:
    ground: gnd
    parts:
      - {part: V3, kind: dc source, value: 10 V, nodes: [supply, gnd]}
      - {part: T1, kind: transformer, nodes: [supply, gnd, coil, gnd], settings: {turns: 10 / 10, inductance: 1 mH}}
      - {part: R4, kind: resistor, value: 10R, nodes: [coil, gnd]}
`

func find(t *testing.T, name string) (spare.Bears, error) {
	t.Helper()
	s, err := sheet.Parse("page.yaml", []byte(page))
	if err != nil {
		t.Fatal(err)
	}
	return spare.Find(context.Background(), s, name, 0)
}

// Resistor and capacitor in series on 12 V 50 Hz: the current is 12 V/√(R² + X²)
// with X = 1/2πfC, textbook circuit theory.
//
// Outside: closed form, textbook circuit theory. Within: 1 %.
func TestRippleOfACapacitor(t *testing.T) {
	b, err := find(t, "C1")
	if err != nil {
		t.Fatal(err)
	}
	reactance := 1 / (2 * math.Pi * 50 * 100e-6)
	current := 12 / math.Hypot(100, reactance)
	for _, check := range []struct {
		what      string
		got, want float64
	}{
		{"ripple current", b.Stress.RMS, current}, {"voltage", b.Stress.Voltage, current * reactance * math.Sqrt2}, {"frequency", b.Stress.Frequency, 50},
	} {
		if math.Abs(check.got/check.want-1) > 0.01 {
			t.Errorf("%s %v, want %v", check.what, check.got, check.want)
		}
	}
	if b.Circuit != "filter" || !b.Stress.Hot {
		t.Errorf("%+v", b)
	}
}

// A divider at rest: 20 mA, 6 V and 0.12 W in the upper resistor.
func TestResistorAtRest(t *testing.T) {
	b, err := find(t, "R2")
	if err != nil || math.Abs(b.Stress.Dissipation-0.12) > 1e-6 || math.Abs(b.Stress.Voltage-6) > 1e-6 || math.Abs(b.Stress.Current-0.02) > 1e-8 {
		t.Errorf("%+v, %v", b, err)
	}
}

func TestWithoutACircuit(t *testing.T) {
	if b, err := find(t, "R7"); err != nil || b.Circuit != "" || b.Stress.Voltage != 0 {
		t.Errorf("%+v, %v", b, err)
	}
	if _, err := find(t, "R4"); err == nil || !strings.Contains(err.Error(), "--until 20ms") {
		t.Error(err)
	}
}
