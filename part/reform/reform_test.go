package reform_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part"
	"halfsplit/part/internal/reference"
	"halfsplit/part/reform"
)

// The worked cases: time, verdict by the drop, worst current and discharge.
//
// Outside: cases of ../testdata/capacitors.yaml only cap-reform-*. Within: 1e-12.
func TestReferenceCases(t *testing.T) {
	cases, tables := reference.Read(t, "capacitors.yaml", "cap-reform-")
	checked := 0
	for _, one := range cases {
		var c struct{ Inputs, Expected map[string]reference.Figure }
		one.Decode(t, &c)
		checked++
		in := func(name string) float64 { return c.Inputs[name].Value }
		check := func(name string, got float64) {
			want, ok := c.Expected[name]
			if !ok {
				t.Fatalf("%s: nothing is expected of %s", one.ID, name)
			}
			want.Check(t, one.ID+" "+name, got)
		}
		switch {
		case strings.Contains(one.ID, "5plus1"):
			check("minutes", reform.FivePlusOne(in("stored"))/reform.Minute)
		case strings.Contains(one.ID, "drop"):
			check("threshold", reform.GiveUpDrop(in("applied")))
			check("current", in("drop_after_1h")/in("resistor")*1e3)
			step := reform.Step{DropGiveUp: reform.GiveUpDrop(in("applied"))}
			if step.Recovered(in("drop_after_1h")) != c.Expected["recovered"].Word {
				t.Errorf("%s: recovered", one.ID)
			}
		case strings.Contains(one.ID, "-i0-"):
			current, power := reform.Shorted(in("supply"), in("series"))
			check("current", current*1e3)
			check("power", power)
		case strings.Contains(one.ID, "discharge"):
			check("resistor", reform.DischargeResistor(in("applied")))
		default:
			t.Errorf("%s is checked by nothing", one.ID)
		}
	}
	if checked != 9 {
		t.Errorf("%d cases", checked)
	}
	// The procedures are those of the table.
	rows := 0
	for _, row := range tables["reforming"] {
		source := map[any]string{"cdeage": "Cornell Dubilier", "eia815": "EIA-815", "panreform": "Panasonic"}[row[0]]
		if source == "" {
			continue
		}
		for _, p := range reform.Procedures() {
			if !strings.Contains(p.Source, source) {
				continue
			}
			rows++
			want, minutes := reference.Number(t, row[2]), reference.Number(t, row[3])
			got := p.Low
			if strings.HasPrefix(row[1].(string), ">") {
				got = p.High
			}
			if got != want || p.AtRated != minutes*reform.Minute {
				t.Errorf("%s: %+v, want %v", p.Name, p, row)
			}
			if border, err := strconv.ParseFloat(strings.Trim(row[1].(string), "<>= V"), 64); err == nil && border != p.Border {
				t.Errorf("%s: border %v, want %v", p.Name, p.Border, border)
			}
			if row[4] != nil && reference.Number(t, row[4]) != p.Current*1e3 {
				t.Errorf("%s: current %v", p.Name, p.Current)
			}
		}
	}
	if rows != 5 {
		t.Errorf("%d rows of the table", rows)
	}
}

func TestRefusals(t *testing.T) {
	good := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 47e-6, RatedVoltage: 350}
	tantalum, film, negative := good, good, good
	tantalum.Kind, film.Kind, negative.Nominal = part.SolidTantalum, part.PlasticFilm, -1
	for _, bad := range []struct {
		c    part.Capacitor
		by   reform.Procedure
		full float64
		want string
	}{
		{tantalum, reform.Gentle, 0, "not reformed"},
		{film, reform.Gentle, 0, "no oxide"},
		{negative, reform.Gentle, 0, "capacitance"},
		{good, reform.Gentle, 400, "rated for 350 V"},
		{good, reform.Gentle, -1, "above zero"},
		{good, reform.Procedure{Name: "none"}, 0, "no series resistor"},
	} {
		if _, err := reform.New(bad.c, bad.by, bad.full); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%v, want %s", err, bad.want)
		}
	}
}

// However the part and whatever the procedure: the voltage only rises, never past
// the rating; a gentle plan charges with no more than its current; and the course
// of a good part stays below every point at which it would be given up.
func TestPlanHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: math.Pow(10, rapid.Float64Range(-6, -2).Draw(t, "C")),
			RatedVoltage: rapid.SampledFrom([]float64{6.3, 16, 25, 63, 100, 350, 450}).Draw(t, "V")}
		by := rapid.SampledFrom(reform.Procedures()).Draw(t, "procedure")
		p, err := reform.New(c, by, 0)
		if err != nil {
			t.Fatal(err)
		}
		last := 0.0
		for _, s := range p.Steps {
			if s.Voltage <= last || s.Voltage > c.RatedVoltage*(1+1e-12) || s.DropDone > s.DropGiveUp || s.Hold < s.Charge {
				t.Fatalf("%+v after %v", s, last)
			}
			if by.Current > 0 && (s.Voltage-last)/p.Resistor > by.Current*(1+1e-9) {
				t.Fatalf("charges with %v A", (s.Voltage-last)/p.Resistor)
			}
			last = s.Voltage
		}
		if p.Smaller > 0 && (p.Smaller >= p.Resistor || p.Smaller*p.Accept > reform.GiveUpDrop(c.RatedVoltage)*(1+1e-6)) {
			t.Fatalf("goes on with %v Ω", p.Smaller)
		}
		if last != c.RatedVoltage || p.ResistorPower <= 0 || p.Accept <= 0 || p.Worn < p.Accept {
			t.Fatalf("%+v", p)
		}
		course := p.Course(50)
		for i, m := range course {
			if m.Across > m.Supply*(1+1e-9) || m.Current < -1e-12 || i > 0 && m.Time < course[i-1].Time {
				t.Fatalf("%+v", m)
			}
		}
		if end := course[len(course)-1]; math.Abs(end.Time-p.Time) > 1e-6*p.Time || end.Current > p.Accept*1.001 || !p.Steps[len(p.Steps)-1].Recovered(end.Supply-end.Across) {
			t.Fatalf("ends at %+v, plan %v s, accepted below %v A", end, p.Time, p.Accept)
		}
	})
}

func ExampleNew() {
	reservoir := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 47e-6, RatedVoltage: 450}
	p, err := reform.New(reservoir, reform.Gentle, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f kΩ that stands %.1f W\n", p.Resistor/1e3, p.ResistorPower)
	for _, s := range p.Steps {
		fmt.Printf("%.0f V for %.0f min, go on below %.0f V across the resistor\n", s.Voltage, s.Hold/60, s.DropDone)
	}
	fmt.Printf("reformed below %.0f µA (%s)\n", p.Accept*1e6, p.Source)
	// Output:
	// 100 kΩ that stands 2.0 W
	// 90 V for 5 min, go on below 9 V across the resistor
	// 180 V for 5 min, go on below 18 V across the resistor
	// 270 V for 5 min, go on below 27 V across the resistor
	// 360 V for 5 min, go on below 36 V across the resistor
	// 450 V for 240 min, go on below 45 V across the resistor
	// reformed below 448 µA (Lelon RGA data sheet)
}

func BenchmarkNew(b *testing.B) {
	c := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 47e-6, RatedVoltage: 450}
	for b.Loop() {
		p, err := reform.New(c, reform.Gentle, 0)
		if err != nil || len(p.Course(200)) == 0 {
			b.Fatal(err)
		}
	}
}
