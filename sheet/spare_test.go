package sheet_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/part"
	"halfsplit/part/replacement"
	"halfsplit/sheet"
)

const spares = `sheet: 1
parts:
  - {part: C1, kind: electrolytic, value: 4700 uF 35 V, near: R1}
  - {part: C2, kind: electrolytic, type: non-polar, value: 4.7 uF 35 V ±20 %}
  - {part: C3, kind: paper capacitor, value: 100 nF 250 V, class: x2}
  - {part: C5, kind: electrolytic}
  - {part: R1, kind: power resistor, type: fusible, value: 4R7, power: 5 W, rated: 155 °C}
  - {part: D1, kind: rectifier, type: fast 1 A 800 V}
  - {part: D5, kind: rectifier, type: Schottky}
  - {part: BR1, kind: bridge, rated: [2 A, 200 V]}
  - {part: Q1, kind: power transistor, type: TIP npn 60 V}
  - {part: U30, kind: regulator, type: negative 5 V}
  - {part: U2, kind: reference, value: 2.5 V}
  - {part: T1, kind: transformer}
circuits:
  supply:
    ground: gnd
    parts:
      - {part: D5, rated: [10 A, 40 V], nodes: [a, b]}
      - {part: Q1, settings: {polarity: npn}, nodes: [a, b, gnd]}
      - {part: R1, nodes: [a, gnd]}
      - {part: R9, kind: resistor, value: 1k, nodes: [b, gnd]}
`

// What a sheet says of a part, as it is taken for a replacement.
func TestOriginal(t *testing.T) {
	s := read(t, spares)
	for name, want := range map[string]string{
		"C1": "4700 µF 35 V aluminium electrolytic", "C2": "4.7 µF ±20 % 35 V non-polar aluminium electrolytic",
		"C3": "100 nF 250 V AC class X2 metallised paper", "R1": "4.7 Ω 5 W 155 °C fusible resistor",
		"D1": "800 V 1 A fast rectifier", "D5": "40 V 10 A Schottky rectifier", "BR1": "200 V 2 A bridge",
		"Q1": "TIP npn 60 V 60 V npn", "U30": "-5 V regulator",
	} {
		o, hot, err := s.Original(name)
		if err != nil {
			t.Error(err)
			continue
		}
		if o.String() != want {
			t.Errorf("%s: %s, want %s", name, o, want)
		}
		if hot != (name == "C1") {
			t.Errorf("%s beside something hot: %v", name, hot)
		}
		if _, err := replacement.For(o, replacement.Stress{}, ""); err != nil {
			t.Error(err)
		}
	}
	for name, want := range map[string]string{"T1": "maker's equivalent", "U2": "maker's equivalent", "Z9": "no part"} {
		if _, _, err := s.Original(name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What a sheet says of a capacitor, as its condition is judged.
func TestCapacitor(t *testing.T) {
	s := read(t, spares)
	c, assumed, err := s.Part("C2").Capacitor()
	if err != nil || assumed != "" || c.Kind != part.NonPolarElectrolytic || math.Abs(c.Nominal-4.7e-6) > 1e-18 || c.RatedVoltage != 35 || c.ToleranceHigh != 0.2 {
		t.Errorf("%+v, %s, %v", c, assumed, err)
	}
	for name, want := range map[string]string{"C5": "no value", "R1": "not a capacitor"} {
		if _, _, err := s.Part(name).Capacitor(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A date that cannot be, and a class that does not exist, are mistakes on the sheet.
func TestMarkings(t *testing.T) {
	_, err := sheet.Parse("sheet.yaml", []byte(`sheet: 1
parts:
  - {part: C1, kind: electrolytic, value: 10 uF 25 V, date: 8454}
  - {part: C2, kind: electrolytic, value: 10 uF 25 V, date: xyzzy}
  - {part: C3, kind: paper capacitor, value: 100 nF 250 V, class: Q7}
  - {part: C4, kind: electrolytic, value: 10 uF 25 V, date: 8137}
`))
	if err == nil {
		t.Fatal("no mistake found")
	}
	for _, want := range []string{"sheet.yaml:3:5: \"8454\" is no date code: as year and week: there is no week 54", "sheet.yaml:4:5: \"xyzzy\"", "\"Q7\" is no safety class"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v; want %s", err, want)
		}
	}
	if strings.Contains(err.Error(), "8137") {
		t.Error(err)
	}
}
