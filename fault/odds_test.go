package fault_test

import (
	"fmt"
	"math"
	"testing"

	"halfsplit/fault"

	"pgregory.net/rapid"
)

func kind(t *testing.T, name string) fault.Kind {
	t.Helper()
	k, ok := fault.Find(name)
	if !ok {
		t.Fatalf("no kind %q", name)
	}
	return k
}

// record is what a bench has seen, by kind, family and maker.
type record map[[3]string][2]int

func (r record) Seen(kind, family, maker string) (failed, good int) {
	n := r[[3]string{kind, family, maker}]
	return n[0], n[1]
}

// Factors by hand from the formulas: 10 K more are twice the wear of an
// electrolytic; at nine tenths of its voltage a solid tantalum is at
// (1 + 1.5^17) / 2; a film resistor at its full power at e^(1.1 × 0.5).
func TestOddsByStress(t *testing.T) {
	for _, test := range []struct {
		kind string
		life fault.Life
		want float64 // relative to the kind's odds
	}{
		{"electrolytic", fault.Life{}, 1},
		{"electrolytic", fault.Life{Stress: fault.Stress{Temperature: 323}}, 2},
		{"electrolytic", fault.Life{Stress: fault.Stress{Voltage: 0.6}}, 1},
		{"tantalum", fault.Life{Stress: fault.Stress{Voltage: 0.9}}, 20}, // (1 + 1.5^17) / 2 = 493: no more than 20 is believed
		{"tantalum", fault.Life{Stress: fault.Stress{Voltage: 0.65}}, (1 + math.Pow(0.65/0.6, 17)) / 2},
		{"resistor", fault.Life{Stress: fault.Stress{Power: 1}}, math.Exp(0.55)},
		{"power resistor", fault.Life{Stress: fault.Stress{Power: 0.5}}, 1},
		{"battery", fault.Life{Age: 20}, 0.25},
		{"chip", fault.Life{Override: 2}, 2},
		{"transistor", fault.Life{Stress: fault.Stress{Voltage: 1}}, math.Exp(1.55)},
	} {
		k := kind(t, test.kind)
		odds, why := k.OddsIn(test.life)
		if got := odds / k.Odds; math.Abs(got-test.want) > 1e-6*test.want {
			t.Errorf("%s with %+v: %g times the usual odds, want %g (%v)", test.kind, test.life, got, test.want, why)
		}
	}
}

// A bench that sees what is usual learns nothing new; one that sees a kind fail
// often comes to expect it, the more the more it has seen; and one batch that
// fails does not spoil its whole kind.
func TestOddsByRecord(t *testing.T) {
	k := kind(t, "chip")
	odds := func(r record, family string) float64 {
		got, _ := k.OddsIn(fault.Life{Record: r, Family: family})
		return got
	}
	if got := odds(record{{"chip", "", ""}: {3, 997}}, ""); math.Abs(got-1) > 1e-9 {
		t.Errorf("three of a thousand are usual, yet the odds are %g", got)
	}
	few, many := odds(record{{"chip", "", ""}: {1, 9}}, ""), odds(record{{"chip", "", ""}: {20, 180}}, "")
	if !(few > 1.2 && many > 2*few && many < 100./3) {
		t.Errorf("one of ten gives %g, twenty of two hundred %g; a tenth would be %g", few, many, 100./3)
	}
	bad := record{{"chip", "", ""}: {20, 1980}, {"chip", "one maker's adapters", ""}: {15, 45}}
	if family, others := odds(bad, "one maker's adapters"), odds(bad, "other family"); family < 4*others || others > 3.5 {
		t.Errorf("the bad family has %g, the others %g", family, others)
	}
}

// The odds are the kind's times all the factors that are told, whatever is known.
func TestOddsAreExplained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := fault.Kinds()
		k := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")]
		share := rapid.Float64Range(0, 10)
		life := fault.Life{Age: rapid.Float64Range(0, 100).Draw(t, "age"), Override: rapid.Float64Range(0, 10).Draw(t, "override"),
			Stress: fault.Stress{Power: share.Draw(t, "power"), Voltage: share.Draw(t, "voltage"), Current: share.Draw(t, "current"), Temperature: rapid.Float64Range(0, 1000).Draw(t, "temperature")},
			Record: record{{k.Name, "", ""}: {rapid.IntRange(0, 50).Draw(t, "failed"), rapid.IntRange(0, 500).Draw(t, "good")}}}
		odds, why := k.OddsIn(life)
		product := k.Odds
		for _, r := range why {
			product *= r.Factor
			if r.Text == "" || r.Source == "" {
				t.Errorf("a reason without text or source: %+v", r)
			}
		}
		if !(odds > 0) || math.IsInf(odds, 0) || math.Abs(product-odds) > 1e-9*odds {
			t.Errorf("odds of %g, but the reasons make %g", odds, product)
		}
	})
}

func ExampleKind_OddsIn() {
	k, _ := fault.Find("electrolytic")
	odds, why := k.OddsIn(fault.Life{Age: 44, Stress: fault.Stress{Voltage: 0.9, Temperature: 328}})
	fmt.Printf("%.1f times a logic chip, %.1f by itself\n", odds, k.Odds)
	for _, r := range why {
		fmt.Printf("%s: × %.2f\n", r.Text, r.Factor)
	}
	// Output:
	// 30.8 times a logic chip, 2.2 by itself
	// 44 years old: × 1.15
	// in warm surroundings: × 2.83
	// bears 90 % of its voltage: × 4.30
}

func ExampleActs() {
	for _, a := range fault.Acts("optocoupler", 4) {
		fmt.Printf("%2.0f %% of %s\n", 100*a.Share, a)
	}
	// Output:
	// 60 % of leaks (50 kΩ collector to emitter)
	// 40 % of leaks (2.0 kΩ collector to emitter)
	// 50 % of weak (transfer ratio × 0.5)
	// 50 % of weak (transfer ratio × 0.2)
	// 60 % of gives up when warm (transfer ratio × 0.1)
	// 40 % of gives up when warm (anode open)
	// 55 % of dead (anode open)
	// 30 % of dead (collector open)
	// 15 % of dead (3.0 Ω collector to emitter)
}
