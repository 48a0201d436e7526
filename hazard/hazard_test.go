package hazard_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/hazard"
)

// TestTouchLimits: the limits of each class (IEC 60950-1, table 5A, second-hand;
// in-service practice for class III), and the current of a filter capacitor:
// 4.7 nF at 230 V and 50 Hz is 0.34 mA, too much for class II.
//
// Outside: IEC 60950-1, table 5A, second-hand; 4.7 nF at 230 V and 50 Hz, closed form.
// Within: exact; current 1e-8 A.
func TestTouchLimits(t *testing.T) {
	for class, want := range map[hazard.Class]float64{hazard.ClassI: 3.5e-3, hazard.ClassIHandHeld: 0.75e-3, hazard.ClassII: 0.25e-3, hazard.ClassIII: 0.5e-3} {
		limit, source, err := hazard.TouchLimit(class)
		if err != nil || limit != want || source == "" {
			t.Errorf("%s: %v, %q, %v", class, limit, source, err)
		}
	}
	current, err := hazard.TouchCurrent(4.7e-9, 230, 50)
	if err != nil || math.Abs(current-0.33960e-3) > 1e-8 { // 2π · 50 Hz · 4.7 nF · 230 V
		t.Errorf("%v, %v", current, err)
	}
	if j, err := hazard.JudgeTouch(hazard.ClassII, current); err != nil || j.Passes {
		t.Errorf("%+v, %v", j, err)
	}
}

// TestInsulation: 1 MΩ for class I, 2 MΩ for class II, 0.25 MΩ for class III
// (testdata/safety.yaml, insulation: second-hand and from memory).
//
// Outside: in-service limits of insulation, second-hand and from memory. Within: exact.
func TestInsulation(t *testing.T) {
	for _, c := range []struct {
		class  hazard.Class
		ohms   float64
		passes bool
	}{
		{hazard.ClassI, 1e6, true}, {hazard.ClassI, 0.99e6, false}, {hazard.ClassII, 2e6, true}, {hazard.ClassII, 1.9e6, false},
		{hazard.ClassIII, 0.25e6, true}, {hazard.ClassIII, 0, false}, {hazard.ClassII, math.Inf(1), true},
	} {
		_, j, err := hazard.Insulation(c.class, c.ohms)
		if err != nil || j.Passes != c.passes {
			t.Errorf("%s, %v ohm: %+v, %v", c.class, c.ohms, j, err)
		}
	}
}

// TestTungsten: a hundred-watt lamp for 120 V is 144 Ω hot and 9.5 Ω cold
// ("Incandescent light bulb", Wikipedia, as quoted), and the table of Jones and
// Langmuir follows T^1.2 from room temperature to service within 5 %.
func TestTungsten(t *testing.T) {
	l := hazard.Lamp{Power: 100, Voltage: 120}
	if hot, cold := l.Hot(), l.Cold(); hot != 144 || math.Abs(cold/9.5-1) > 0.02 {
		t.Errorf("hot %v, cold %v", hot, cold)
	}
	for kelvin := 300.0; kelvin <= 3400; kelvin += 100 {
		if ratio, law := hazard.TungstenRatio(kelvin), math.Pow(kelvin/300, 1.2); math.Abs(ratio/law-1) > 0.05 {
			t.Errorf("%v K: %v, T^1.2 gives %v", kelvin, ratio, law)
		}
	}
}

// TestChooseLamp: a lamp that is too small starves the unit, a switching supply
// more than a linear one, and what is chosen is the smallest that will do.
func TestChooseLamp(t *testing.T) {
	linear, best, err := hazard.ChooseLamp(40, 230, hazard.LinearSupply)
	if err != nil || best < 1 || !linear[best].Runs || linear[best-1].Runs {
		t.Fatalf("%+v, %d, %v", linear, best, err)
	}
	switching, bestSwitching, err := hazard.ChooseLamp(40, 230, hazard.SwitchingSupply)
	if err != nil || bestSwitching < best {
		t.Errorf("switching %d, linear %d, %v", bestSwitching, best, err)
	}
	for i := range linear {
		if switching[i].Unit > linear[i].Unit+1e-9 || linear[i].Short != linear[i].Power/230 {
			t.Errorf("%+v against %+v", switching[i], linear[i])
		}
		if i > 0 && linear[i].Unit < linear[i-1].Unit {
			t.Errorf("a larger lamp leaves less: %+v after %+v", linear[i], linear[i-1])
		}
	}
	if idle, best, err := hazard.ChooseLamp(0, 120, hazard.LinearSupply); err != nil || best != 0 || idle[0].Unit != 120 {
		t.Errorf("a unit that takes nothing: %d, %v", best, err)
	}
	if _, best, err := hazard.ChooseLamp(5000, 230, hazard.SwitchingSupply); err != nil || best != -1 {
		t.Errorf("a unit too large for any lamp: %d, %v", best, err)
	}
}

// TestLampBalance: more voltage, more current; and Drop inverts Current.
func TestLampBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := hazard.Lamp{Power: rapid.Float64Range(5, 500).Draw(t, "watts"), Voltage: rapid.Float64Range(6, 250).Draw(t, "volts")}
		low := rapid.Float64Range(0.01, 0.98).Draw(t, "share") * l.Voltage
		a, b := l.Current(low), l.Current(low*1.01)
		if !(a > 0 && b > a && b <= l.Rated()*1.001) {
			t.Fatalf("%v A at %v V, %v A above", a, low, b)
		}
		drop, err := l.Drop(a)
		if err != nil || math.Abs(drop/low-1) > 1e-6 {
			t.Fatalf("%v V drops %v, %v", low, drop, err)
		}
	})
}

// TestBleederHolds: whatever is chosen brings the voltage down in time, bears
// twice its power, and each piece bears its voltage.
func TestBleederHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		need := hazard.BleederNeed{
			Capacitance: math.Pow(10, rapid.Float64Range(-9, -1).Draw(t, "farad")), Voltage: rapid.Float64Range(60, 3000).Draw(t, "volt"),
			Safe: rapid.Float64Range(5, 59).Draw(t, "safe"), Within: math.Pow(10, rapid.Float64Range(0, 3).Draw(t, "time")),
			Excess: rapid.Float64Range(0, 1).Draw(t, "excess"), Held: rapid.Bool().Draw(t, "held"),
		}
		b, err := hazard.ChooseBleeder(need)
		var impossible hazard.Impossible
		if errors.As(err, &impossible) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		d := hazard.Discharge{Capacitance: need.Capacitance * (1 + need.Excess), Voltage: need.Voltage, Resistance: b.Value}
		if d.TimeTo(need.Safe) > need.Within*(1+1e-9) || math.Abs(d.At(b.Time)-need.Safe) > 1e-6*need.Safe {
			t.Fatalf("%+v takes %v s of %v", b, d.TimeTo(need.Safe), need.Within)
		}
		if b.Value > b.Largest*(1+1e-9) || b.Value < b.Largest/3 || math.Abs(b.Each*float64(b.Pieces)/b.Value-1) > 1e-9 {
			t.Fatalf("%+v is far from what is needed", b)
		}
		if !need.Held && b.Rating < 2*b.Power*(1-1e-9) && b.Pieces == 1 || b.Working*float64(b.Pieces) < need.Voltage*(1-1e-9) {
			t.Fatalf("%+v bears too little", b)
		}
	})
}

// TestDischargeHolds: the voltage falls, and At and TimeTo invert each other.
func TestDischargeHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := hazard.Discharge{
			Capacitance: math.Pow(10, rapid.Float64Range(-10, 0).Draw(t, "farad")), Voltage: rapid.Float64Range(1, 40e3).Draw(t, "volt"),
			Resistance: math.Pow(10, rapid.Float64Range(0, 9).Draw(t, "ohm")),
		}
		v := d.Voltage * rapid.Float64Range(1e-6, 1).Draw(t, "share")
		at := d.TimeTo(v)
		if !(at >= 0) || math.Abs(d.At(at)/v-1) > 1e-9 || d.At(at*1.01+1e-12) > v {
			t.Fatalf("%+v: %v s to %v V, then %v V", d, at, v, d.At(at))
		}
	})
}

// TestDummyLoads: a rail of 5 V that needs 400 mA takes 12 Ω, 5 W; cautions say
// when it runs hot or draws more than the rail is used to.
func TestDummyLoads(t *testing.T) {
	d, err := hazard.ChooseDummyLoad(hazard.Rail{Name: "+5", Voltage: 5, Least: 0.4, Normal: 2.1})
	if err != nil || d.Value != 12 || d.Rating != 5 || d.Current < 0.4 || !strings.Contains(d.Caution, "hot") {
		t.Errorf("%+v, %v", d, err)
	}
	d, err = hazard.ChooseDummyLoad(hazard.Rail{Name: "-12", Voltage: -12, Least: 0.101, Normal: 0.105})
	if err != nil || d.Value != 100 || !strings.Contains(d.Caution, "more than the normal load") {
		t.Errorf("%+v, %v", d, err)
	}
	if d, err = hazard.ChooseDummyLoad(hazard.Rail{Name: "main", Voltage: 48, Least: 10}); err != nil || d.Rating < 2*d.Power {
		t.Errorf("%+v, %v", d, err)
	}
}

// TestRefused: what cannot be is refused, and the reason names it.
func TestRefused(t *testing.T) {
	for name, err := range map[string]error{
		"the capacitance is -1":       hazard.Store{Capacitance: -1, Voltage: 5}.Check(),
		"the capacitance is 0":        hazard.Store{Voltage: 5}.Check(),
		"the voltage is NaN":          hazard.Store{Capacitance: 1, Voltage: math.NaN()}.Check(),
		"the voltage is +Inf":         hazard.Store{Capacitance: 1, Voltage: math.Inf(-1)}.Check(),
		"the resistance is 0":         hazard.Discharge{Capacitance: 1, Voltage: 5}.Check(),
		"the time is 0":               second(hazard.ChooseBleeder(hazard.BleederNeed{Capacitance: 1, Voltage: 100})),
		"the excess":                  second(hazard.ChooseBleeder(hazard.BleederNeed{Capacitance: 1, Voltage: 100, Within: 1, Excess: -1})),
		"no bleeder is needed":        second(hazard.ChooseBleeder(hazard.BleederNeed{Capacitance: 1, Voltage: 40, Within: 1})),
		"more than 60 resistors":      second(hazard.ChooseBleeder(hazard.BleederNeed{Capacitance: 1, Voltage: 40e3, Within: 1})),
		"the mains voltage is 0":      second(hazard.TouchCurrent(1e-9, 0, 50)),
		"the mains frequency is -50":  second(hazard.TouchCurrent(1e-9, 230, -50)),
		"is no protection class":      second(hazard.JudgeTouch("class V", 1e-3)),
		"the touch current is -1":     second(hazard.JudgeTouch(hazard.ClassI, -1)),
		"the lamp's power is 0":       second(hazard.Lamp{Voltage: 230}.Drop(0.1)),
		"between 0 and the lamp's":    second(hazard.Lamp{Power: 60, Voltage: 230}.Drop(1)),
		"write linear or switching":   third(hazard.ChooseLamp(1, 230, "steam")),
		"the unit's power is -1":      third(hazard.ChooseLamp(-1, 230, hazard.LinearSupply)),
		"the nominal voltage of +5":   second(hazard.ChooseDummyLoad(hazard.Rail{Name: "+5", Least: 1})),
		"less than its least load":    second(hazard.ChooseDummyLoad(hazard.Rail{Name: "+5", Voltage: 5, Least: 1, Normal: 0.5})),
		"the bleeder is 0":            second(hazard.MainsFilter(1e-6, 0, true)),
		"the insulation resistance":   third(hazard.Insulation(hazard.ClassI, -1)),
		"the earth resistance is -1":  third(hazard.EarthContinuity(-1, hazard.Lead{})),
		"the length of the lead":      third(hazard.EarthContinuity(0, hazard.Lead{Length: -1})),
		"write class I, class I hand": third(hazard.Insulation("", 1)),
		"the mains frequency is 0":    third(hazard.HotCheck(1, 0)),
	} {
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%v, want %q", err, name)
		}
	}
}

func second[A any](_ A, err error) error      { return err }
func third[A, B any](_ A, _ B, e error) error { return e }

// names lists the hazards that were found.
func names(list []hazard.Item) []string {
	var all []string
	for _, h := range list {
		all = append(all, h.Name)
	}
	return all
}

// TestFind: what follows from the parts is found, what is listed is not found
// again, and what is harmless is left out.
func TestFind(t *testing.T) {
	reservoir := hazard.Capacitor{Name: "C1", Capacitance: 220e-6, Voltage: 325, Rail: "primary"}
	filter := hazard.Capacitor{Name: "C90", Capacitance: 220e-9, Class: "X2", Paper: true}
	for _, c := range []struct {
		what string
		unit hazard.Unit
		want []string
	}{
		{"nothing", hazard.Unit{}, nil},
		{"everything", hazard.Unit{Mains: 230, Capacitors: []hazard.Capacitor{reservoir, filter}, Tubes: []string{"V1"}, Batteries: []string{"B1"}},
			[]string{"mains", "charge in C1", "mains capacitor C90", "picture tube V1", "battery B1"}},
		{"listed by place", hazard.Unit{Mains: 230, Capacitors: []hazard.Capacitor{reservoir}, Listed: []hazard.Item{
			{Name: "inlet", Kind: hazard.Mains}, {Name: "primary reservoir", Kind: hazard.StoredEnergy, Where: "C1, beside the switch"}}}, []string{"inlet", "primary reservoir"}},
		{"listed by parts", hazard.Unit{Capacitors: []hazard.Capacitor{reservoir}, Listed: []hazard.Item{{Name: "big can", Kind: hazard.StoredEnergy, Parts: []string{"C1"}}}}, []string{"big can"}},
		{"C12 is not C1", hazard.Unit{Capacitors: []hazard.Capacitor{reservoir}, Listed: []hazard.Item{{Name: "other", Kind: hazard.StoredEnergy, Where: "C12"}}}, []string{"other", "charge in C1"}},
		{"another kind covers nothing", hazard.Unit{Capacitors: []hazard.Capacitor{reservoir}, Listed: []hazard.Item{{Name: "C1", Kind: hazard.Heat}}}, []string{"C1", "charge in C1"}},
		{"a hot chassis is mains", hazard.Unit{Mains: 230, Listed: []hazard.Item{{Name: "hot", Kind: hazard.HotChassis}}}, []string{"hot"}},
		{"the only tube is meant", hazard.Unit{Tubes: []string{"tube"}, Listed: []hazard.Item{{Name: "anode", Kind: hazard.PictureTube}}}, []string{"anode"}},
		{"harmless", hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C5", Capacitance: 47e-6, Voltage: 12}, {Name: "C6", Capacitance: 10e-9, Voltage: 300}}}, nil},
		{"much energy at 24 V", hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C7", Capacitance: 0.1, Voltage: 24}}}, []string{"charge in C7"}},
		{"by its rating", hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C8", Capacitance: 10e-6, Rated: 450}}}, []string{"charge in C8"}},
		{"a rail below zero", hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C9", Capacitance: 10e-6, Voltage: -150}}}, []string{"charge in C9"}},
	} {
		if got := names(hazard.Find(c.unit)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
	found := hazard.Find(hazard.Unit{Capacitors: []hazard.Capacitor{reservoir}})[0]
	if !found.Found() || found.Before != hazard.BeforeProbing || found.Store.Energy() < 11.6 || !slices.Equal(found.At, []string{"primary"}) {
		t.Errorf("%+v", found)
	}
}

// TestHolds: which steps each gate holds up.
func TestHolds(t *testing.T) {
	outside, probe, lift := hazard.Step{Powered: true}, hazard.Step{Powered: true, Open: true, Touches: true, Names: []string{"TP1", "+5"}}, hazard.Step{Open: true, Touches: true, Names: []string{"R3", "primary"}}
	for _, c := range []struct {
		item                 hazard.Item
		outside, probe, lift bool
	}{
		{hazard.Item{Kind: hazard.Battery, Before: hazard.BeforePower}, true, true, false},
		{hazard.Item{Kind: hazard.Battery, Before: hazard.BeforeOpening}, false, true, true},
		{hazard.Item{Kind: hazard.StoredEnergy, Before: hazard.BeforeProbing}, false, true, true},
		{hazard.Item{Kind: hazard.StoredEnergy, Before: hazard.BeforeProbing, At: []string{"primary"}}, false, false, true},
		{hazard.Item{Kind: hazard.StoredEnergy, Before: hazard.BeforeProbing, Parts: []string{"C1"}, At: []string{"+5"}}, false, true, false},
		{hazard.Item{Kind: hazard.PictureTube, Before: hazard.BeforeOpening}, true, true, true},
		{hazard.Item{Kind: hazard.Mains, Before: hazard.BeforeProbing, Parts: []string{"F1"}}, true, true, false},
	} {
		for _, s := range []struct {
			step hazard.Step
			want bool
		}{{outside, c.outside}, {probe, c.probe}, {lift, c.lift}} {
			if why, held := c.item.Holds(s.step); held != s.want || held != (why != "") {
				t.Errorf("%s before %s, %+v: held %v, %q", c.item.Kind, c.item.Before, s.step, held, why)
			}
		}
	}
}

// TestUsual: every kind has a caution with a source, and mains in any form and
// picture tubes kill.
func TestUsual(t *testing.T) {
	kills := 0
	for _, k := range hazard.Kinds() {
		if c := k.Usual(); c.Do == "" || c.Source == "" {
			t.Errorf("%s: %+v", k, c)
		}
		if k.Kills() {
			kills++
		}
	}
	if kills != 4 || len(hazard.PictureTube.Usual().Steps) != 7 {
		t.Errorf("%d kinds kill", kills)
	}
}
