package replacement_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part"
	"halfsplit/part/preferred"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
)

func capacitor(kind part.CapacitorKind, farads, volts float64) replacement.Part {
	return replacement.Part{Kind: replacement.Capacitor, Dielectric: kind, Value: farads, Voltage: volts}
}

func resistor(ohms, watts, spread float64) replacement.Part {
	return replacement.Part{Kind: replacement.Resistor, Value: ohms, Power: watts, Tolerance: &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}}
}

func class(c part.SafetyClass, farads, volts float64) replacement.Part {
	p := capacitor(part.PlasticFilm, farads, volts)
	p.Class = c
	return p
}

func with(p replacement.Part, change func(*replacement.Part)) replacement.Part {
	change(&p)
	return p
}

// What serves, and what does not and why, in the words of the trade.
func TestCandidates(t *testing.T) {
	const (
		aluminium = part.AluminiumElectrolytic
		tantalum  = part.SolidTantalum
		film      = part.PlasticFilm
	)
	npn := replacement.Part{Kind: replacement.Transistor, Type: "TO-3 power", Traits: []replacement.Trait{replacement.NPN}, Voltage: 60, Current: 15, Power: 115, Pins: "B E C"}
	fast := replacement.Part{Kind: replacement.Rectifier, Traits: []replacement.Trait{replacement.Fast}, Voltage: 200, Current: 3, Recovery: 150e-9}
	for _, example := range []struct {
		name      string
		original  replacement.Part
		bears     replacement.Stress
		use       replacement.Use
		candidate replacement.Part
		refused   string // empty: it serves
	}{
		{"same again", capacitor(aluminium, 4700e-6, 35), replacement.Stress{}, "", capacitor(aluminium, 4700e-6, 35), ""},
		{"higher voltage", capacitor(aluminium, 4700e-6, 35), replacement.Stress{}, "", capacitor(aluminium, 4700e-6, 63), ""},
		{"5000 by 4700", capacitor(aluminium, 5000e-6, 25), replacement.Stress{}, "", capacitor(aluminium, 4700e-6, 25), ""},
		{"lower voltage", capacitor(aluminium, 4700e-6, 35), replacement.Stress{}, "", capacitor(aluminium, 4700e-6, 25), "35 V is needed"},
		{"lower voltage, known to do", capacitor(aluminium, 4700e-6, 63), replacement.Stress{Voltage: 24}, "", capacitor(aluminium, 4700e-6, 35), ""},
		{"too much", capacitor(aluminium, 4700e-6, 35), replacement.Stress{}, "", capacitor(aluminium, 10000e-6, 35), "larger surges"},
		{"ceramic in a filter", capacitor(film, 100e-9, 63), replacement.Stress{}, replacement.Timing, capacitor(part.CeramicClass2, 100e-9, 63), "keeps its value"},
		{"polar for film", capacitor(film, 1e-6, 63), replacement.Stress{}, replacement.Coupling, capacitor(aluminium, 1e-6, 63), "polarity"},
		{"film for non-polar", capacitor(part.NonPolarElectrolytic, 4.7e-6, 35), replacement.Stress{}, "", capacitor(film, 4.7e-6, 63), ""},
		{"polar for non-polar", capacitor(part.NonPolarElectrolytic, 4.7e-6, 35), replacement.Stress{}, "", capacitor(aluminium, 4.7e-6, 35), "polarity"},
		{"tantalum on a rail", capacitor(tantalum, 10e-6, 16), replacement.Stress{Voltage: 12}, "", capacitor(tantalum, 10e-6, 16), "24 V is needed"},
		{"aluminium for tantalum", capacitor(tantalum, 10e-6, 16), replacement.Stress{Voltage: 12}, "", capacitor(aluminium, 15e-6, 25), ""},
		{"tantalum for aluminium", capacitor(aluminium, 10e-6, 16), replacement.Stress{}, "", capacitor(tantalum, 10e-6, 16), "twice its rating"},
		{"old paper", capacitor(part.PaperFoil, 22e-9, 400), replacement.Stress{}, "", capacitor(part.PaperFoil, 22e-9, 400), "on the shelf"},
		{"film for paper", capacitor(part.PaperFoil, 22e-9, 400), replacement.Stress{}, "", capacitor(film, 22e-9, 630), ""},
		{"X2 for X2", class(part.ClassX2, 100e-9, 250), replacement.Stress{}, "", class(part.ClassX2, 100e-9, 275), ""},
		{"Y2 for X2", class(part.ClassX2, 4.7e-9, 250), replacement.Stress{}, "", class(part.ClassY2, 4.7e-9, 300), ""},
		{"X2 for Y2", class(part.ClassY2, 4.7e-9, 250), replacement.Stress{}, "", class(part.ClassX2, 4.7e-9, 305), "may fail shorted"},
		{"plain film for X2", class(part.ClassX2, 100e-9, 250), replacement.Stress{}, "", capacitor(film, 100e-9, 630), "without a safety class"},
		{"larger Y", class(part.ClassY2, 2.2e-9, 250), replacement.Stress{}, "", class(part.ClassY2, 4.7e-9, 300), "can feel"},
		{"lower rating of X", class(part.ClassX2, 100e-9, 250), replacement.Stress{Voltage: 340}, "", class(part.ClassX2, 100e-9, 250), "264 V is needed"},
		{"old paper X", class(part.ClassX2, 100e-9, 250), replacement.Stress{}, "", with(class(part.ClassX2, 100e-9, 250), func(p *replacement.Part) { p.Dielectric = part.MetallisedPaper }), "cracks and burns"},

		{"closer tolerance", resistor(4700, 0.25, 0.05), replacement.Stress{}, "", resistor(4700, 0.25, 0.01), ""},
		{"wider tolerance", resistor(4700, 0.25, 0.01), replacement.Stress{}, "", resistor(4700, 0.25, 0.05), "no wider"},
		{"browned dropper", resistor(150e3, 1, 0.05), replacement.Stress{Dissipation: 0.65, Voltage: 312}, "", with(resistor(150e3, 1, 0.05), func(p *replacement.Part) { p.Voltage = 500 }), "1.3 W is needed"},
		{"dropper of a plain body", resistor(150e3, 1, 0.05), replacement.Stress{Dissipation: 0.65, Voltage: 312}, "", resistor(150e3, 2, 0.05), "390 V is needed"},
		{"plain for fusible", with(resistor(1, 0.5, 0.05), func(p *replacement.Part) { p.Traits = []replacement.Trait{replacement.Fusible} }), replacement.Stress{}, "", resistor(1, 0.5, 0.05), "without fire"},
		{"wirewound at 50 kHz", resistor(10, 1, 0.05), replacement.Stress{Frequency: 50e3}, "", with(resistor(10, 3, 0.05), func(p *replacement.Part) { p.Traits = []replacement.Trait{replacement.Wirewound} }), "inductor"},

		{"slow in a switcher", fast, replacement.Stress{Frequency: 40e3}, "", with(fast, func(p *replacement.Part) { p.Traits, p.Recovery = nil, 3e-6 }), "3 µs"},
		{"unknown speed", fast, replacement.Stress{}, "", with(fast, func(p *replacement.Part) { p.Traits, p.Recovery = nil, 0 }), "recovery time is not known"},
		{"Schottky near its rating", with(fast, func(p *replacement.Part) { p.Traits = nil }), replacement.Stress{Voltage: 25}, "",
			replacement.Part{Kind: replacement.Rectifier, Traits: []replacement.Trait{replacement.Schottky}, Voltage: 40, Current: 5}, "leaks when it is hot"},
		{"silicon for germanium", replacement.Part{Kind: replacement.Diode, Traits: []replacement.Trait{replacement.Germanium}, Voltage: 30, Current: 0.05}, replacement.Stress{}, "",
			replacement.Part{Kind: replacement.Diode, Voltage: 75, Current: 0.15}, "0.6 V"},
		{"zener too strong", replacement.Part{Kind: replacement.Zener, Value: 12, Power: 0.4}, replacement.Stress{}, "", replacement.Part{Kind: replacement.Zener, Value: 12, Power: 5}, "in its knee"},
		{"pnp for npn", npn, replacement.Stress{}, "", with(npn, func(p *replacement.Part) { p.Traits = []replacement.Trait{replacement.PNP} }), "it is pnp"},
		{"lower voltage of a transistor", npn, replacement.Stress{Voltage: 45}, "", with(npn, func(p *replacement.Part) { p.Voltage = 60 }), "67.5 V is needed"},
		{"too slow a transistor", with(npn, func(p *replacement.Part) { p.Transition = 4e6 }), replacement.Stress{}, "", with(npn, func(p *replacement.Part) { p.Transition = 0.8e6 }), "as quick"},
		{"positive for negative", replacement.Part{Kind: replacement.Regulator, Value: -12, Current: 1}, replacement.Stress{}, "", replacement.Part{Kind: replacement.Regulator, Value: 12, Current: 1}, "other polarity"},
		{"too much dropout", replacement.Part{Kind: replacement.Regulator, Value: 5, Current: 1}, replacement.Stress{Headroom: 1.2}, "", replacement.Part{Kind: replacement.Regulator, Value: 5, Current: 1, Dropout: 2}, "trough"},
		{"another kind", resistor(10, 1, 0.05), replacement.Stress{}, "", capacitor(film, 1e-6, 63), "not a resistor"},
		{"a thing that cannot be", resistor(10, 1, 0.05), replacement.Stress{}, "", resistor(-10, 1, 0.05), "above zero"},
	} {
		t.Run(example.name, func(t *testing.T) {
			need, err := replacement.For(example.original, example.bears, example.use)
			if err != nil {
				t.Fatal(err)
			}
			a := need.Check(example.candidate)
			if why := strings.Join(a.Refused, "; "); a.Serves != (example.refused == "") || !strings.Contains(why, example.refused) {
				t.Errorf("serves %v: %s; want %q", a.Serves, why, example.refused)
			}
			if pick := need.Check(need.Pick); !pick.Serves {
				t.Errorf("the pick %v does not serve: %v", need.Pick, pick.Refused)
			}
			for _, r := range need.Requirements {
				if r.Why == "" || r.Source == "" {
					t.Errorf("%v has no reason or source", r)
				}
			}
		})
	}
}

// The smallest ratings of tantalums for rails are those of the published rule of
// half (KEMET, 2015).
//
// Outside: KEMET, rule of half the rated voltage for tantalums (2015). Within: exact.
func TestTantalumRatings(t *testing.T) {
	for rail, want := range map[float64]float64{5: 10, 12: 25, 15: 35, 3.3: 10, 24: 50} {
		need, err := replacement.For(capacitor(part.SolidTantalum, 10e-6, 4), replacement.Stress{Voltage: rail}, "")
		if err != nil || need.Pick.Voltage != want {
			t.Errorf("%v V: %v V, want %v V (%v)", rail, need.Pick.Voltage, want, err)
		}
	}
}

func TestPinsAndPolarity(t *testing.T) {
	npn := replacement.Part{Kind: replacement.Transistor, Traits: []replacement.Trait{replacement.NPN}, Voltage: 45, Current: 0.1, Pins: "C B E"}
	need, err := replacement.For(npn, replacement.Stress{}, "")
	if err != nil {
		t.Fatal(err)
	}
	turned := with(npn, func(p *replacement.Part) { p.Pins = "e-b-c" })
	if a := need.Check(turned); !a.Serves || !strings.Contains(strings.Join(a.Notes, " "), "cross its leads") {
		t.Error(a)
	}
	if a := need.Check(with(npn, func(p *replacement.Part) { p.Pins = "c,b,e" })); len(a.Notes) > 0 {
		t.Error(a)
	}
	if a := need.Check(with(npn, func(p *replacement.Part) { p.Pins = "" })); !strings.Contains(strings.Join(a.Notes, " "), "compare the order of the pins") {
		t.Error(a)
	}
	need, err = replacement.For(capacitor(part.SolidTantalum, 10e-6, 16), replacement.Stress{}, "")
	if err != nil {
		t.Fatal(err)
	}
	if a := need.Check(capacitor(part.AluminiumElectrolytic, 10e-6, 25)); !strings.Contains(strings.Join(a.Notes, " "), "marks its negative lead, the tantalum it replaces its positive one") {
		t.Error(a.Notes)
	}
}

// Parts at hand, joined.
func TestCombine(t *testing.T) {
	need := func(p replacement.Part, bears replacement.Stress) replacement.Need {
		n, err := replacement.For(p, bears, "")
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	for _, example := range []struct {
		name  string
		need  replacement.Need
		stock []replacement.Stocked
		first string
	}{
		{"two reservoirs beside each other", need(capacitor(part.AluminiumElectrolytic, 4700e-6, 35), replacement.Stress{}),
			[]replacement.Stocked{{Part: capacitor(part.AluminiumElectrolytic, 2200e-6, 35), Count: 4}, {Part: capacitor(part.AluminiumElectrolytic, 4700e-6, 25), Count: 2}},
			"2 × 2200 µF 35 V aluminium electrolytic in parallel"},
		{"two in series for the voltage", need(capacitor(part.AluminiumElectrolytic, 100e-6, 400), replacement.Stress{}),
			[]replacement.Stocked{{Part: with(capacitor(part.AluminiumElectrolytic, 220e-6, 250), func(p *replacement.Part) {
				p.Tolerance = &quantity.Tolerance{Low: -0.2, High: 0.2, Unit: quantity.Percent}
			}), Count: 2}},
			"2 × 220 µF ±20 % 250 V aluminium electrolytic in series"},
		{"heat shared", need(resistor(4700, 0.25, 0.05), replacement.Stress{Dissipation: 0.2, Voltage: 30}),
			[]replacement.Stocked{{Part: resistor(9100, 0.25, 0.05), Count: 2}, {Part: resistor(3900, 0.25, 0.05), Count: 1}, {Part: resistor(820, 0.25, 0.05), Count: 1}},
			"2 × 9.1 kΩ ±5 % 0.25 W resistor in parallel"},
		{"single first", need(resistor(1000, 0.25, 0.05), replacement.Stress{}),
			[]replacement.Stocked{{Part: resistor(2000, 0.25, 0.01), Count: 2}, {Part: resistor(1020, 0.5, 0.02)}}, "1.02 kΩ ±2 % 0.5 W resistor"},
		{"zeners add", need(replacement.Part{Kind: replacement.Zener, Value: 24, Power: 0.5}, replacement.Stress{}),
			[]replacement.Stocked{{Part: replacement.Part{Kind: replacement.Zener, Value: 12, Power: 0.5}, Count: 2}}, "2 × 12 V 0.5 W zener in series"},
	} {
		t.Run(example.name, func(t *testing.T) {
			serve, _ := example.need.Combine(example.stock)
			if len(serve) == 0 || serve[0].String() != example.first {
				t.Errorf("%v, want %s", serve, example.first)
			}
		})
	}
	// What must not be joined.
	if serve, _ := need(class(part.ClassX2, 47e-9, 250), replacement.Stress{}).Combine([]replacement.Stocked{{Part: class(part.ClassX2, 100e-9, 275), Count: 2}}); len(serve) != 0 {
		t.Error("class X in series:", serve)
	}
	serve, refused := need(capacitor(part.SolidTantalum, 4.7e-6, 50), replacement.Stress{}).Combine([]replacement.Stocked{{Part: capacitor(part.SolidTantalum, 10e-6, 35), Count: 2}})
	if len(serve) != 0 || len(refused) != 1 {
		t.Error("tantalums in series:", serve)
	}
}

// Whatever is in the drawer: what is offered keeps every limit when each part is
// followed by itself, with the whole at its required power or voltage.
func TestCombinationsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		isResistor := rapid.Bool().Draw(t, "resistor")
		draw := func(name string) replacement.Part {
			value := rapid.SampledFrom(preferred.E12.Values()).Draw(t, name)
			if isResistor {
				return resistor(value*1000, rapid.SampledFrom([]float64{0.25, 0.5, 1}).Draw(t, name+" power"), rapid.SampledFrom([]float64{0.01, 0.05}).Draw(t, name+" tolerance"))
			}
			return capacitor(part.PlasticFilm, value*1e-7, rapid.SampledFrom([]float64{63, 100, 250}).Draw(t, name+" voltage"))
		}
		original := draw("original")
		n, err := replacement.For(original, replacement.Stress{}, replacement.AsMarked)
		if err != nil {
			t.Fatal(err)
		}
		var stock []replacement.Stocked
		for i := range rapid.IntRange(1, 8).Draw(t, "kinds") {
			stock = append(stock, replacement.Stocked{Part: draw(fmt.Sprint("stock ", i)), Count: rapid.IntRange(1, 3).Draw(t, "count")})
		}
		serve, refused := n.Combine(stock)
		if len(refused) > len(stock) {
			t.Fatal(len(refused))
		}
		parts := 0
		for _, c := range serve {
			if len(c.Parts) < parts {
				t.Fatal("more parts come before fewer")
			}
			parts = len(c.Parts)
			sum, inverse := 0.0, 0.0
			for _, p := range c.Parts {
				sum += p.Value
				inverse += 1 / p.Value
			}
			adds := (c.Arrangement == replacement.InSeries) == isResistor || c.Arrangement == replacement.Single
			want := sum
			if !adds {
				want = 1 / inverse
			}
			if math.Abs(c.Together.Value/want-1) > 1e-12 {
				t.Fatalf("%v: %v, want %v", c, c.Together.Value, want)
			}
			if math.Abs(c.Off) > 0.2001 {
				t.Fatalf("%v is off by %v", c, c.Off)
			}
			for _, p := range c.Parts {
				if isResistor { // the whole dissipates what the original could
					share := original.Power * p.Value / sum
					if c.Arrangement == replacement.InParallel {
						share = original.Power / p.Value / inverse
					}
					if share > p.Power*(1+1e-9) {
						t.Fatalf("%v: %v dissipates %v", c, p, share)
					}
				} else if c.Arrangement == replacement.InSeries {
					if share := original.Voltage / p.Value / inverse; share > p.Voltage*(1+1e-9) {
						t.Fatalf("%v: %v bears %v V", c, p, share)
					}
				} else if p.Voltage < original.Voltage {
					t.Fatalf("%v: %v at %v V", c, p, original.Voltage)
				}
			}
		}
	})
}

func TestRefusals(t *testing.T) {
	for _, bad := range []struct {
		p    replacement.Part
		s    replacement.Stress
		want string
	}{
		{capacitor(part.PlasticFilm, -1, 63), replacement.Stress{}, "above zero"},
		{capacitor(part.PlasticFilm, 1, -63), replacement.Stress{}, "voltage of -63"},
		{capacitor(part.PlasticFilm, 0, 63), replacement.Stress{}, "not known"},
		{capacitor(part.PlasticFilm, 1e9, 63), replacement.Stress{}, "capacitance"},
		{replacement.Part{Kind: "valve"}, replacement.Stress{}, "no kind"},
		{resistor(10, math.NaN(), 0.05), replacement.Stress{}, "power of NaN"},
		{resistor(10, 1, -2), replacement.Stress{}, "tolerance"},
		{with(resistor(10, 1, 0.1), func(p *replacement.Part) { p.Temperature = 85 }), replacement.Stress{}, "write 85 °C"},
		{with(resistor(10, 1, 0.1), func(p *replacement.Part) { p.Traits = []replacement.Trait{replacement.NPN, replacement.PNP} }), replacement.Stress{}, "both polarities"},
		{resistor(10, 1, 0.1), replacement.Stress{Voltage: -1}, "voltage it bears"},
	} {
		if _, err := replacement.For(bad.p, bad.s, ""); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%v: %v, want %s", bad.p, err, bad.want)
		}
	}
}

// The reservoir of the Corvane P6, whose circuit is known.
func ExampleFor() {
	original := capacitor(part.AluminiumElectrolytic, 4700e-6, 35)
	need, err := replacement.For(original, replacement.Stress{Voltage: 24.6, RMS: 0.9, Frequency: 100}, replacement.Smoothing)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(need)
	fmt.Println("take:", need.Pick)
	for _, r := range need.Requirements {
		fmt.Printf("%v: %s\n", r, r.Why)
	}
	// Output:
	// aluminium electrolytic: 4700 µF (4230 µF to 7050 µF), voltage at least 30.8 V, temperature at least 85 °C
	// take: 4700 µF 35 V 105 °C aluminium electrolytic
	// value 4230 µF to 7050 µF: for smoothing more does no harm up to half as much again; beyond, the rectifier and the switch see larger surges
	// voltage at least 30.8 V: it bears 24.6 V in its circuit; 1.25 times that for margin
	// temperature at least 85 °C: the usual one of the original's time
	// ripple current at least 900 mA: the ripple current that flows in it, at 100 Hz
}

func ExampleNeed_Check() {
	need, _ := replacement.For(class(part.ClassY2, 4.7e-9, 250), replacement.Stress{}, "")
	fmt.Println(need.Check(class(part.ClassX2, 4.7e-9, 275)).Refused[0])
	// Output: class X2 in the place of Y2: a class X part may fail shorted, which there puts the mains on what can be touched
}

func ExampleNeed_Combine() {
	need, _ := replacement.For(resistor(4700, 0.25, 0.05), replacement.Stress{}, "")
	serve, _ := need.Combine([]replacement.Stocked{{Part: resistor(10e3, 0.25, 0.01), Count: 10}, {Part: resistor(82e3, 0.25, 0.01), Count: 1}})
	for _, c := range serve {
		fmt.Printf("%v: %.2f kΩ\n", c, c.Together.Value/1000)
	}
	// Output:
	// 2 × 10 kΩ ±1 % 0.25 W resistor + 82 kΩ ±1 % 0.25 W resistor in parallel: 4.71 kΩ
}

func BenchmarkCombine(b *testing.B) {
	need, err := replacement.For(resistor(4700, 0.25, 0.05), replacement.Stress{}, "")
	if err != nil {
		b.Fatal(err)
	}
	var stock []replacement.Stocked
	for decade := 10.0; decade < 1e6; decade *= 10 {
		for _, v := range preferred.E24.Values() {
			if len(stock) < 120 {
				stock = append(stock, replacement.Stocked{Part: resistor(v*decade, 0.25, 0.01), Count: 5})
			}
		}
	}
	for b.Loop() {
		if serve, _ := need.Combine(stock); len(serve) == 0 {
			b.Fatal("nothing")
		}
	}
}
