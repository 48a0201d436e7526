package replacement_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/part"
	"halfsplit/part/replacement"
)

func TestParse(t *testing.T) {
	electrolytic := capacitor(part.AluminiumElectrolytic, 1e-6, 25)
	for _, example := range []struct {
		text string
		like replacement.Part
		want string
	}{
		{"4700 uF 35 V 105 °C electrolytic", replacement.Part{}, "4700 µF 35 V 105 °C aluminium electrolytic"},
		{"4700uF 35V", electrolytic, "4700 µF 35 V aluminium electrolytic"},
		{"10u 16V tantalum", electrolytic, "10 µF 16 V solid tantalum"},
		{"104K 100V film", replacement.Part{}, "100 nF ±10 % 100 V plastic film"},
		{"100 nF 275 V class X2", capacitor(part.MetallisedPaper, 1e-7, 250), "100 nF 275 V AC class X2 plastic film"},
		{"4.7 uF 35 V non-polar electrolytic", replacement.Part{}, "4.7 µF 35 V non-polar aluminium electrolytic"},
		{"4k7 1% 0.25W resistor", replacement.Part{}, "4.7 kΩ ±1 % 0.25 W resistor"},
		{"4k7 0.25W", replacement.Part{}, "4.7 kΩ 0.25 W resistor"},
		{"4n7 100V", replacement.Part{}, "4.7 nF 100 V capacitor of unknown kind"},
		{"brown black red gold resistor", replacement.Part{}, "1 kΩ ±5 % resistor"},
		{"1R 0.5 W fusible resistor", replacement.Part{}, "1 Ω 0.5 W fusible resistor"},
		{"1 A 400 V fast rectifier", replacement.Part{}, "400 V 1 A fast rectifier"},
		{"40 V, 3 A, Schottky", replacement.Part{Kind: replacement.Rectifier}, "40 V 3 A Schottky rectifier"},
		{"-12 V 1 A regulator", replacement.Part{}, "-12 V 1 A regulator"},
		{"12 V 0.5 W zener", replacement.Part{}, "12 V 0.5 W zener"},
		{"60 V 15 A 115 W npn transistor gain 20 pins B E C", replacement.Part{}, "60 V 15 A 115 W npn transistor"},
		{"mosfet n-channel 100 V 10 A", replacement.Part{}, "100 V 10 A n-channel field-effect transistor"},
	} {
		p, err := replacement.Parse(example.text, example.like)
		if err != nil || p.String() != example.want {
			t.Errorf("%s: %v, %v; want %s", example.text, p, err, example.want)
		}
	}
	p, err := replacement.Parse("npn transistor hFE 100 pins C B E", replacement.Part{})
	if err != nil || p.Gain != 100 || p.Pins != "C B E" {
		t.Errorf("%+v, %v", p, err)
	}
	for text, want := range map[string]string{
		"": "describes no part", "5 A": "what kind of part", "-47 uF 25 V film": "does not exist", "47 uF 0 V electrolytic": "rated for 0 V",
		"1 A 400 V rectifier 3 uF": "no rating", "1 A 2 A rectifier": "already", "47 uF 25 V blue electrolytic": "blue", "-5 A rectifier": "does not exist",
		"1 A kg rectifier": "", "npn pnp transistor": "both polarities", "105 °C": "what kind", "300 V 4 V 1 A zener": "",
	} {
		if p, err := replacement.Parse(text, replacement.Part{}); err == nil && want != "" || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, %v; want %s", text, p, err, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"4700 uF 35 V 105 °C electrolytic", "104K 100V film", "1 A 400 V fast rectifier", "60 V npn transistor gain 20 pins B E C", "-12 V 1 A regulator", "X2", "brown black red gold resistor", "İ4k7"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := replacement.Parse(text, replacement.Part{})
		if err != nil {
			return
		}
		if err := p.Validate(); err != nil || math.IsNaN(p.Value) {
			t.Fatalf("%q: %+v, %v", text, p, err)
		}
		if need, err := replacement.For(p, replacement.Stress{}, ""); err == nil {
			_ = need.String()
			need.Check(p)
		}
	})
}
