package upkeep_test

import (
	"fmt"
	"time"

	"halfsplit/experience"
	"halfsplit/hazard"
	"halfsplit/part"
	"halfsplit/part/life"
	"halfsplit/sheet"
	"halfsplit/upkeep"
)

// The shelf of the Saltmarsh Sound Archive in the spring of 2026: a terminal and a
// synthesizer with their sheets, a tape deck controller of which only a few parts are
// known, and a counter of which nothing is.
func ExampleRank() {
	now := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	vt9, _ := sheet.Load("../examples/vt9.sheet.yaml")
	p6, _ := sheet.Load("../examples/p6.sheet.yaml")
	shelf := []upkeep.Unit{
		{ID: "SSA-1", Name: "Ostrel VT-9", Kind: "display terminal", Year: 1981, Temperature: 293, HoursADay: 2, LastPowered: date(2026, 1), Contents: upkeep.FromSheet(vt9)},
		{ID: "SSA-2", Name: "Corvane P6", Kind: "synthesizer", Year: 1983, Temperature: 293, HoursADay: 1, LastPowered: date(2018, 5), Contents: upkeep.FromSheet(p6),
			Batteries: []upkeep.Battery{{Name: "B1", Chemistry: upkeep.NickelCadmium}}, Damaged: map[string]string{"B1": "leaked, green traces around it"}},
		{ID: "SSA-3", Name: "Ferrand 220", Kind: "tape-deck controller", Year: 1979, Temperature: 293, HoursADay: 1, LastPowered: date(2025, 11),
			Contents: upkeep.Contents{Partial: true, Parts: []upkeep.Part{{Name: "C1", Kind: "electrolytic"}, {Name: "C2 to C9", Kind: "electrolytic", Count: 8}, {Name: "Q1", Kind: "power transistor"}}}},
		{ID: "SSA-4", Name: "Tarn 40", Kind: "frequency counter", Year: 1977, Temperature: 293},
	}
	queue, err := upkeep.Rank(shelf, upkeep.Terms{Now: now})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range queue {
		fmt.Printf("%d. %s: %v\n", p.Rank, p.Unit.Name, p.Score)
		a, _ := upkeep.Assess(p.Unit, upkeep.Terms{Now: now})
		for _, why := range a.Why(2) {
			fmt.Println("   -", why)
		}
		fmt.Println("   first:", a.Next())
	}
	// Output:
	// 1. Corvane P6: is damaged now; 1.3 failures expected
	//    - B1, nickel-cadmium battery: leaked, green traces around it, 43 years old; is damaged now
	//    - mains filter capacitor, there with a chance of 30 % (guess): 43 years old, half of its like have failed by 40 years (common practice, no source); if it is there, it fails within 5 years with a chance of 39 %; can burn
	//    - 219 more; 0.2 of them expected to fail within 5 years
	//    first: B1: look for leakage; take it out before anything else, keep its residue off skin and eyes (leaked, green traces around it)
	// 2. Tarn 40: can burn, harm likely; 1.2 failures expected
	//    - mains filter capacitor, there with a chance of 40 % (guess): 49 years old, half of its like have failed by 40 years (common practice, no source); if it is there, it fails within 5 years with a chance of 52 %; can burn
	//    - memory battery, there with a chance of 15 % (guess): 49 years old, half of its like have leaked by 12 years (common practice, no source); if it is there, it leaks within 5 years with a chance of more than 99 %; can eat or burn the board
	//    - 155 more; 0.8 of them expected to fail within 5 years
	//    first: look inside before power: what it holds is a guess
	// 3. Ostrel VT-9: can burn, harm likely; 1.0 failures expected
	//    - hazard: mains filter capacitor (mains capacitor), C90 on the mains inlet, metallised paper: 45 years old, half of its like have failed by 40 years (common practice, no source); fails within 5 years with a chance of 43 %; can burn
	//    - hazard: hot chassis, everything on the primary side of T1, up to the white line on the board; can kill whoever opens or powers it unprepared
	//    - 202 more; 0.5 of them expected to fail within 5 years
	//    first: mains filter capacitor: look for cracks in the case; replace it by one of the same safety class before power (C90 on the mains inlet, metallised paper; can burn)
	// 4. Ferrand 220: can burn, harm likely; 0.4 failures expected
	//    - mains filter capacitor, there with a chance of 50 % (guess): 47 years old, half of its like have failed by 40 years (common practice, no source); if it is there, it fails within 5 years with a chance of 48 %; can burn
	//    - memory battery, there with a chance of 5 % (guess): 47 years old, half of its like have leaked by 12 years (common practice, no source); if it is there, it leaks within 5 years with a chance of more than 99 %; can eat or burn the board
	//    - 155 more; 0.1 of them expected to fail within 5 years
	//    first: mains filter capacitor: see whether there is one; look for cracks in the case; replace metallised-paper types before power, by the same safety class or better, never by an ordinary capacitor (can burn)
}

// One capacitor beside a hot resistor is spent when its sisters are not; a batch of
// which the bench has seen many fail counts for more.
func ExampleAssess() {
	book, _ := experience.NewBook(experience.Record{Bench: "Saltmarsh Sound Archive", ID: "until 2026", Revision: 1, Age: experience.BandOf(45),
		Key: experience.Key{Kind: "tantalum", Family: "blue bead", Batch: "8009"}, Count: experience.Count{Failed: 7, Good: 20, Years: 1215}})
	u := upkeep.Unit{ID: "SSA-9", Name: "bench supply", Year: 1980, Temperature: 295, HoursADay: 4, LastPowered: date(2025, 12), Contents: upkeep.Contents{Parts: []upkeep.Part{
		{Name: "C3", Kind: "electrolytic", Neighbours: []life.Neighbour{{Name: "R3", Rise: 25}}},
		{Name: "C4", Kind: "electrolytic"},
		{Name: "C7", Kind: "tantalum", Family: "blue bead", Batch: "8009"},
		{Name: "C8", Kind: "tantalum"},
		{Name: "C90", Kind: "paper capacitor", Class: "X2"},
	}, Hazards: []hazard.Item{{Name: "mains inlet", Kind: hazard.Mains, Where: "fuse and switch are bare underneath", Do: "cover the terminals before working with the lid off", Before: hazard.BeforeProbing}}},
	}
	a, _ := upkeep.Assess(&u, upkeep.Terms{Now: date(2026, 3), Years: 10, Experience: book.Tally()})
	for _, why := range a.Why(10) {
		fmt.Println("-", why)
	}
	for i, act := range a.Actions {
		fmt.Printf("%d. %v\n", i+1, act)
	}
	// Output:
	// - C90, paper capacitor across the mains: 46 years old, half of its like have failed by 40 years (common practice, no source); fails within 10 years with a chance of 76 %; can burn
	// - hazard: mains inlet (mains), fuse and switch are bare underneath; can kill whoever opens or powers it unprepared
	// - C3, electrolytic: 46 years old, 948 % of its stated life used up, at 4 h a day and 67 °C beside R3; fails within 10 years with a chance of 85 %
	// - C4, electrolytic: 46 years old, 168 % of its stated life used up, at 4 h a day and 42 °C; fails within 10 years with a chance of 6 %
	// - C7, tantalum: 46 years old, 5.6 times as likely as usual by what benches have seen; fails within 10 years with a chance of 1 %
	// - C8, tantalum: 46 years old, 2.8 times as likely as usual by what benches have seen; fails within 10 years with a chance of 0.6 %
	// 1. C90: look for cracks in the case; replace metallised-paper types before power, by the same safety class or better, never by an ordinary capacitor (can burn)
	// 2. mains inlet: cover the terminals before working with the lid off (fuse and switch are bare underneath; can kill whoever opens or powers it unprepared)
	// 3. C3, C4: measure series resistance and leakage, and replace what is worn, not what is old (up to 9.5 times the stated life used up)
}

// After eight years on the shelf the reservoir is reformed before the unit is
// powered, through a resistor and in steps.
func ExampleAssessment_reforms() {
	u := upkeep.Unit{ID: "SSA-5", Name: "amplifier", Year: 1976, LastPowered: date(2018, 3), Contents: upkeep.Contents{Parts: []upkeep.Part{
		{Name: "C1", Kind: "electrolytic", Capacitor: part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 47e-6, RatedVoltage: 450}},
		{Name: "C2", Kind: "electrolytic"},
	}}}
	a, _ := upkeep.Assess(&u, upkeep.Terms{Now: date(2026, 3)})
	for _, r := range a.Reforms {
		if r.Why != "" {
			fmt.Printf("%s, after %.0f years: %s\n", r.Part, r.Rest, r.Why)
			continue
		}
		fmt.Printf("%s, after %.0f years: %d steps to %.0f V through %.0f kΩ, %.1f h at least\n", r.Part, r.Rest, len(r.Plan.Steps), r.Plan.Steps[len(r.Plan.Steps)-1].Voltage, r.Plan.Resistor/1e3, r.Plan.Time/3600)
	}
	// Output:
	// C1, after 8 years: 5 steps to 450 V through 100 kΩ, 4.4 h at least
	// C2, after 8 years: its value and rated voltage are not known: read them off the part
}

func date(year int, month time.Month) time.Time {
	return time.Date(year, month, 1, 0, 0, 0, 0, time.UTC)
}
