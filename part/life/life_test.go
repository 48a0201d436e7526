package life_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part/internal/reference"
	"halfsplit/part/life"
)

func kelvins(celsius float64) float64 { return celsius + 273.15 }

// The worked cases: the rule of 10 K (Cosel), core rise (DB Lectro), ripple
// (Rubycon), voltage (Cornell Dubilier) and the ceiling (Nichicon).
//
// Outside: cases of ../testdata/capacitors.yaml only cap-life-*. Within: 1e-12.
func TestReferenceCases(t *testing.T) {
	cases, _ := reference.Read(t, "capacitors.yaml", "cap-life-")
	checked := 0
	for _, one := range cases {
		var c struct{ Inputs, Expected map[string]reference.Figure }
		one.Decode(t, &c)
		t.Run(one.ID, func(t *testing.T) {
			checked++
			in := func(name string) float64 { return c.Inputs[name].Value }
			check := func(name string, got float64) {
				want, ok := c.Expected[name]
				if !ok {
					t.Fatalf("nothing is expected of %s", name)
				}
				want.Check(t, name, got)
			}
			switch {
			case strings.Contains(one.ID, "cosel-mix"):
				var spells []life.Spell
				for i, hours := range c.Inputs["hours"].List {
					spells = append(spells, life.Spell{Duration: hours, Temperature: kelvins(c.Inputs["temps"].List[i])})
				}
				whole, equivalent := life.Mixed(in("l0"), kelvins(in("rated_temp")), spells)
				check("life", whole)
				check("equivalent_temp", equivalent-273.15)
			case strings.Contains(one.ID, "cosel"):
				check("life", life.TenKelvin(in("l0"), kelvins(in("rated_temp")), kelvins(in("temp"))))
			case strings.Contains(one.ID, "dbl"):
				check("life", life.WithCoreRise(in("l0"), kelvins(in("to")), kelvins(in("te")), in("core_rise")))
			case strings.Contains(one.ID, "rubycon"):
				rise := life.CoreRise(in("ripple"), in("rated_ripple"), in("rise_at_rated"))
				check("rise", rise)
				check("life", life.WithRipple(in("lb"), kelvins(in("tmax")), kelvins(in("ta")), in("rise_at_rated"), rise))
			case strings.Contains(one.ID, "15y"):
				check("reported_max", life.Ceiling/life.Hour)
				e, err := life.Of(life.Part{Stated: in("estimate") * life.Hour, StatedAt: kelvins(45)}, life.Service{Surroundings: kelvins(45)})
				if err != nil {
					t.Fatal(err)
				}
				check("reported_max", e.Life/life.Hour)
			case strings.Contains(one.ID, "-mv-"):
				check("mv", life.VoltageFactor(in("va_over_vr")))
			case strings.Contains(one.ID, "cde"):
				check("life", life.VoltageFactor(in("va")/in("vr"))*life.TenKelvin(in("lb"), kelvins(in("tm")), kelvins(in("tc"))))
			default:
				t.Error("this case is checked by nothing")
			}
		})
	}
	if checked != 19 {
		t.Errorf("%d cases", checked)
	}
}

// The start-up capacitor of the Ostrel VT-9: 2000 h at 85 °C, 44 years, four hours
// a day at 45 °C. Its sisters have used 64 240 h of 32 000 h; it sits beside a
// dropper that dissipates 0.7 W.
func TestHotNeighbour(t *testing.T) {
	service := life.Service{Age: 44 * life.Year, HoursADay: 4, Surroundings: kelvins(45)}
	cool, err := life.Of(life.Part{Stated: 2000 * life.Hour, StatedAt: kelvins(85)}, service)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(cool.Consumed-64284.0/32000) > 1e-9 || cool.ByNeighbours != 0 || cool.Left != 0 {
		t.Errorf("%+v", cool)
	}
	service.Neighbours = []life.Neighbour{{Name: "R3", Dissipation: 0.7}}
	hot, err := life.Of(life.Part{Stated: 2000 * life.Hour, StatedAt: kelvins(85)}, service)
	if err != nil {
		t.Fatal(err)
	}
	if want := cool.Consumed * math.Exp2(0.56); math.Abs(hot.Consumed-want) > 1e-9 || math.Abs(hot.ByNeighbours-(want-cool.Consumed)) > 1e-9 {
		t.Errorf("%+v, want %v", hot, want)
	}
}

// Hotter, longer or with more ripple never leaves more.
func TestMoreStrainLeavesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := life.Part{Stated: rapid.Float64Range(500, 1e4).Draw(t, "hours") * life.Hour, StatedAt: kelvins(rapid.SampledFrom([]float64{85, 105}).Draw(t, "at")),
			Ripple: 1, CoreRise: rapid.Float64Range(1, 10).Draw(t, "rise"), RippleIn: rapid.Bool().Draw(t, "ripple in")}
		s := life.Service{Age: rapid.Float64Range(1, 60).Draw(t, "years") * life.Year, HoursADay: rapid.Float64Range(0.1, 20).Draw(t, "hours a day"),
			Surroundings: kelvins(rapid.Float64Range(20, 80).Draw(t, "around")), Ripple: rapid.Float64Range(0, 1.5).Draw(t, "ripple")}
		before, err := life.Of(p, s)
		if err != nil {
			t.Fatal(err)
		}
		worse := s
		switch rapid.IntRange(0, 3).Draw(t, "what") {
		case 0:
			worse.Age *= 1.2
		case 1:
			worse.HoursADay *= 1.2
		case 2:
			worse.Surroundings += 5
		default:
			worse.Ripple += 0.2
		}
		after, err := life.Of(p, worse)
		if err != nil {
			t.Fatal(err)
		}
		if after.Consumed < before.Consumed || after.Left > before.Left {
			t.Fatalf("%+v, then %+v", before, after)
		}
	})
}

func TestRefusals(t *testing.T) {
	for _, bad := range []struct {
		p    life.Part
		s    life.Service
		want string
	}{
		{p: life.Part{Stated: -1}, want: "stated life -1"},
		{p: life.Part{StatedAt: 85}, want: "a life stated at -188 °C"},
		{p: life.Part{Applied: 30, RatedVolt: 25}, want: "no life is stated beyond"},
		{s: life.Service{HoursADay: 25}, want: "at most 24"},
		{s: life.Service{Age: math.NaN()}, want: "age NaN"},
		{s: life.Service{Surroundings: 45}, want: "318.15 for 45"},
		{s: life.Service{Neighbours: []life.Neighbour{{Name: "R3", Rise: -4}}}, want: "rise by R3"},
	} {
		if _, err := life.Of(bad.p, bad.s); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%+v: %v, want %s", bad, err, bad.want)
		}
	}
	e, err := life.Of(life.Part{Ripple: 1, CoreRise: 5, RippleIn: true}, life.Service{Ripple: 3, Age: life.Year})
	if err != nil || !math.IsInf(e.Consumed, 1) {
		t.Errorf("three times the rated ripple: %+v, %v", e, err)
	}
	if whole, _ := life.Mixed(1, 300, nil); whole != 0 {
		t.Error(whole)
	}
}

func ExampleOf() {
	e, _ := life.Of(life.Part{Stated: 2000 * life.Hour, StatedAt: 273.15 + 85},
		life.Service{Age: 10 * life.Year, HoursADay: 3, Surroundings: 273.15 + 45, Neighbours: []life.Neighbour{{Name: "R7", Rise: 12}}})
	fmt.Printf("%.0f %% consumed, %.0f %% of it by the neighbour; %.1f years left\n", 100*e.Consumed, 100*e.ByNeighbours/e.Consumed, e.LeftTime/life.Year)
	// Output: 79 % consumed, 56 % of it by the neighbour; 2.7 years left
}

func BenchmarkOf(b *testing.B) {
	s := life.Service{Age: 40 * life.Year, HoursADay: 4, Surroundings: 318.15, Neighbours: []life.Neighbour{{Rise: 10}}}
	for b.Loop() {
		if _, err := life.Of(life.Part{}, s); err != nil {
			b.Fatal(err)
		}
	}
}
