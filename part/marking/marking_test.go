package marking_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part/datecode"
	"halfsplit/part/marking"
	"halfsplit/part/preferred"
	"halfsplit/quantity"
)

// What comes first, and what else must be listed, of markings that mean several
// things.
func TestAmbiguity(t *testing.T) {
	terminal := datecode.Window{Unit: 1981, Now: 2026}
	for _, example := range []struct {
		text, first string
		also        []string
	}{
		{"104", "100 nF", []string{"100 kΩ", "104 pF"}},
		{"104K", "100 nF ±10 %", nil},
		{"47K", "47 kΩ", []string{"47 pF ±10 %"}},
		{"100K", "100 kΩ", []string{"10 pF ±10 %", "100 pF ±10 %"}},
		{"22J", "22 pF ±5 %", nil},
		{"470", "47 pF", []string{"47 Ω", "470 pF", "470 µF", "470 Ω"}},
		{"4R7J", "4.7 Ω ±5 %", nil},
		{"n47K", "470 pF ±10 %", nil},
		{"4M7", "4.7 MΩ", []string{"4.7 µF", "4.7 mΩ"}},
		{"4E7", "4.7 Ω", nil},
		{"106C", "10 µF 16 V", []string{"10 µF ±0.25 %"}},
		{"107A", "100 µF 10 V", nil},
		{"1H103J", "10 nF ±5 % 50 V", nil},
		{".1K100", "100 nF ±10 % 100 V", nil},
		{"0.047", "47 nF", []string{"47 mΩ"}},
		{"47/25", "47 µF 25 V", nil},
		{"4700uF 35V 105°C -20/+50%", "4700 µF -20..+50 % 35 V 105 °C", nil},
		{"n47 63V", "470 pF 63 V", nil},
		{"4K7 5% 0.25W", "4.7 kΩ ±5 % 0.25 W", nil},
		{"8036", "week 36 of 1980", []string{"803 MΩ"}},
		{"X2", "class X2", []string{"February 1989"}},
		{"X7R", "ceramic of class 2", nil},
		{"brown black yellow black red", "100 nF ±20 % 250 V", []string{"104 Ω ±2 %"}},
		{"brown black red gold", "1 kΩ ±5 %", []string{"1 mH ±5 %"}},
		{"BNBKRDGD", "1 kΩ ±5 %", nil},
		{"gold red violet yellow", "4.7 kΩ ±5 %", nil}, // held the wrong way round
		{"orange orange black brown", "33 Ω ±1 %", []string{"33 µH"}},
		{"0", "0 Ω, a link", nil},
		{"yellow violet yellow black", "470 nF ±20 %", nil},
		{"68nJ100", "68 nF ±5 % 100 V", nil},
		{"+22 35", "22 µF 35 V", []string{"22 pF 35 V"}},
		{"100 16 V", "100 µF 16 V", []string{"10 pF 16 V", "100 pF 16 V"}},
		{"10% 47k", "47 kΩ ±10 %", nil},
	} {
		pieces, err := marking.Read(example.text, marking.Context{Window: terminal})
		if err != nil {
			t.Errorf("%s: %v", example.text, err)
			continue
		}
		all := pieces[0].Readings
		if len(pieces) > 1 || !strings.HasPrefix(all[0].String(), example.first) {
			t.Errorf("%s reads first as %v in %d pieces, want %s", example.text, all[0], len(pieces), example.first)
		}
		for _, also := range example.also {
			found := false
			for _, r := range all[1:] {
				found = found || strings.HasPrefix(r.String(), also)
			}
			if !found {
				t.Errorf("%s: %s is not listed: %v", example.text, also, all)
			}
		}
	}
}

// Several markings on one part are read one by one.
func TestWordByWord(t *testing.T) {
	pieces, err := marking.Read("2200uF 25V 8312 KOREA", marking.Context{Window: datecode.Window{Unit: 1983, Now: 2026}})
	if err != nil || len(pieces) != 3 {
		t.Fatal(pieces, err)
	}
	if pieces[0].Readings[0].String() != "2200 µF 25 V" || pieces[1].Readings[0].Date.Year != 1983 || len(pieces[2].Readings) != 0 {
		t.Error(pieces)
	}
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                         "empty",
		"qwerty":                   "no marking known",
		"-47 uF":                   "does not exist",
		"47uF 0V":                  "rated for 0 V",
		"104K 00":                  "0 V does not exist",
		"47/0":                     "neither can be zero",
		"black brown pink":         "begin with black",
		"red red":                  "2 bands",
		"red red red red pink":     "no tolerance",
		"97Z9":                     "no marking known",
		strings.Repeat("4K7 ", 40): "24 words",
		"4K7\xff":                  "UTF-8",
		"1981-W54":                 "no week 54",
	} {
		if _, err := marking.Read(text, marking.Context{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	if _, err := marking.Read("8454", marking.Context{Kind: marking.Date}); err == nil || !strings.Contains(err.Error(), "no week 54") {
		t.Error(err)
	}
	for _, c := range []marking.Context{{Kind: "valve"}, {Window: datecode.Window{Unit: 3}}} {
		if _, err := marking.Read("104", c); err == nil {
			t.Error(c)
		}
	}
	for _, p := range []marking.Part{
		{Value: quantity.Quantity{Value: -1, Unit: quantity.Farad}}, {Value: quantity.Quantity{Value: 0, Unit: quantity.Farad}},
		{Value: quantity.Quantity{Value: math.Inf(1), Unit: quantity.Ohm}}, {Value: quantity.Quantity{Value: 3, Unit: quantity.Volt}},
		{Value: quantity.Quantity{Value: 1, Unit: quantity.Ohm}, Voltage: -3},
	} {
		if list, err := marking.Write(p); err == nil {
			t.Error(p, list)
		}
	}
}

// Whatever is written reads back as the same value, tolerance and voltage, in
// the same scheme.
func TestRoundTrip(t *testing.T) {
	spreads := []float64{0.01, 0.02, 0.05, 0.1, 0.2}
	rapid.Check(t, func(t *rapid.T) {
		series := rapid.SampledFrom([]preferred.Series{preferred.E12, preferred.E24, preferred.E96}).Draw(t, "series")
		p := marking.Part{Value: quantity.Quantity{Unit: quantity.Ohm}, Voltage: rapid.SampledFrom([]float64{0, 16, 50, 100, 123}).Draw(t, "voltage")}
		exponent := rapid.IntRange(-1, 6).Draw(t, "decade")
		if rapid.Bool().Draw(t, "capacitor") {
			p.Value.Unit, series = quantity.Farad, preferred.E24
			exponent = rapid.IntRange(-12, -5).Draw(t, "decade of farads")
		}
		mantissa := rapid.SampledFrom(series.Values()).Draw(t, "mantissa")
		p.Value.Value, _ = parse(fmt.Sprintf("%ge%d", mantissa, exponent))
		if rapid.Bool().Draw(t, "with tolerance") {
			spread := rapid.SampledFrom(spreads).Draw(t, "tolerance")
			p.Tolerance = &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}
		}
		if rapid.Bool().Draw(t, "with coefficient") {
			p.TempCo = rapid.SampledFrom([]float64{100e-6, 50e-6, 15e-6}).Draw(t, "coefficient")
		}
		marks, err := marking.Write(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(marks) == 0 {
			t.Fatalf("%v has no marking", p.Value)
		}
		for _, m := range marks {
			pieces, err := marking.Read(m.Text, marking.Context{})
			if err != nil || len(pieces) != 1 {
				t.Fatalf("%v is marked %s, which is %v, %v", p.Value, m.Text, pieces, err)
			}
			found := false
			for _, r := range pieces[0].Readings {
				same := r.Scheme == m.Scheme && !r.Backwards && r.Value != nil && r.Value.Unit == p.Value.Unit && near(r.Value.Value, p.Value.Value)
				if p.Tolerance != nil && r.Tolerance != nil && m.Scheme != marking.EIA96 {
					same = same && (r.Tolerance.Unit == quantity.Farad || near(r.Tolerance.High, p.Tolerance.High))
				}
				for _, rated := range r.Ratings {
					same = same && rated.Value == p.Voltage
				}
				found = found || same
			}
			if !found {
				t.Fatalf("%v %v %v V is marked %s (%s), which reads as %v", p.Value, p.Tolerance, p.Voltage, m.Text, m.Scheme, pieces[0].Readings)
			}
		}
	})
}

func parse(text string) (float64, error) {
	var x float64
	_, err := fmt.Sscan(text, &x)
	return x, err
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"104K", "brown black red gold", "4K7J", "n47 63V", "2A104J", "4700uF 35V 105°C -20/+50% 8314", "X7R", "68X", "107A", "47/25",
		".1K100", "4E7", "BNBKRDGD", "±5%", "-", "0R", "µ47", "10ppm 5K", "١٢٣"} {
		f.Add(seed, "")
	}
	f.Add("8312", "date")
	f.Fuzz(func(t *testing.T, text, kind string) {
		pieces, err := marking.Read(text, marking.Context{Kind: marking.Kind(kind)})
		if err != nil {
			return
		}
		for _, p := range pieces {
			weight := 1.0
			for _, r := range p.Readings {
				if !(r.Weight > 0) || r.Weight > weight || r.String() == "" || r.Published == "" || kind != "" && string(r.Kind) != kind {
					t.Fatalf("%q: %+v", text, r)
				}
				if r.Value != nil && !(r.Value.Value >= 0) {
					t.Fatalf("%q: %v", text, r.Value)
				}
				weight = r.Weight
			}
		}
	})
}

func ExampleRead() {
	pieces, _ := marking.Read("104", marking.Context{})
	for _, r := range pieces[0].Readings[:2] {
		fmt.Printf("%v: %s, %s (%s)\n", r, r.Kind, r.Scheme, r.Plausibility())
	}
	// Output:
	// 100 nF: capacitor, two digits and a multiplier (likely)
	// 100 kΩ: resistor, two digits and a multiplier (likely)
}

func ExampleWrite() {
	five := quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}
	marks, _ := marking.Write(marking.Part{Value: quantity.Quantity{Value: 4700, Unit: quantity.Ohm}, Tolerance: &five})
	for _, m := range marks {
		fmt.Println(m.Text)
	}
	// Output:
	// yellow violet red gold
	// yellow violet black brown gold
	// 4K7J
	// 472
	// 4701
}

func BenchmarkRead(b *testing.B) {
	for _, text := range []string{"104K", "brown black red gold", "4700uF 35V 105°C 8314"} {
		b.Run(text, func(b *testing.B) {
			for b.Loop() {
				if _, err := marking.Read(text, marking.Context{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
