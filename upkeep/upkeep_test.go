package upkeep_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"halfsplit/experience"
	"halfsplit/fault"
	"halfsplit/hazard"
	"halfsplit/part/life"
	"halfsplit/sheet"
	"halfsplit/upkeep"
)

var now = date(2026, 3)

// aged is a unit that is so many years old, is powered every day and stands at 20 °C.
func aged(years int, parts ...upkeep.Part) upkeep.Unit {
	return upkeep.Unit{ID: "1", Name: "unit", Year: 2026 - years, Temperature: 293.15, HoursADay: 4, LastPowered: now, Contents: upkeep.Contents{Parts: parts}}
}

func assess(t testing.TB, u upkeep.Unit, terms upkeep.Terms) upkeep.Assessment {
	t.Helper()
	if terms.Now.IsZero() {
		terms.Now = now
	}
	a, err := upkeep.Assess(&u, terms)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The chance of failure of one part, by the formulas of the package worked by hand. Units
// are made at mid-year, so that on 1 March 2026 one of 1980 is 45.67 years old.
func TestChancesByHand(t *testing.T) {
	const age = 45 + 2.0/3
	electrolytic, _ := fault.Find("electrolytic")
	chip, _ := fault.Find("chip")
	paper, _ := fault.Find("paper capacitor")
	rate := func(k fault.Kind, warm float64) float64 {
		return k.Rate(fault.Life{Age: age + 2.5, Stress: fault.Stress{Temperature: warm}})
	}
	// 2000 h at 85 °C are 2000 · 2^4.5 h at 40 °C; four hours a day are 1461 h a year.
	yearly := 1461 / (2000 * math.Exp2(4.5))
	wear := math.Ln2 * yearly * yearly * ((age+5)*(age+5) - age*age) / 16
	for _, test := range []struct {
		name string
		unit upkeep.Unit
		want float64 // cumulative hazard
	}{
		{"a chip fails by chance", aged(46, upkeep.Part{Name: "U1", Kind: "chip"}), 5 * rate(chip, 313.15)},
		{"an electrolytic wears too", aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"}), 5*rate(electrolytic, 313.15) + wear},
		{"10 K more wear it twice as fast", aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic", Neighbours: []life.Neighbour{{Rise: 10}}}), 5*rate(electrolytic, 323.15) + 4*wear},
		{"paper draws damp whether it runs or not", aged(46, upkeep.Part{Name: "C90", Kind: "paper capacitor", Class: "X2"}),
			5*rate(paper, 313.15) + math.Ln2*(math.Pow((age+5)/40, 4)-math.Pow(age/40, 4))},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := -math.Log1p(-assess(t, test.unit, upkeep.Terms{}).Failures)
			if math.Abs(got-test.want) > 2e-3*test.want {
				t.Errorf("hazard %v, want %v", got, test.want)
			}
		})
	}
}

// The published tables (testdata/shelf-life.yaml): what is typical after so many years at
// 35 °C, and after how many years makers ask for reforming.
func TestShelfLifeTables(t *testing.T) {
	text, err := os.ReadFile("testdata/shelf-life.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Tables map[string]struct{ Rows [][]any }
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	// At power fails one in twenty of those past their shelf life; so the share that is
	// past it is twenty times the chance that rest adds.
	past := func(years int) float64 {
		u := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"})
		u.Temperature, u.Rise = 308.15, 5
		fresh := assess(t, u, upkeep.Terms{}).Failures
		u.LastPowered = now.AddDate(-years, 0, 0)
		return 20 * -math.Log((1-assess(t, u, upkeep.Terms{}).Failures)/(1-fresh))
	}
	checked := 0
	for _, row := range file.Tables["shelf_life_cde_1993"].Rows {
		years, state := row[0].(int), row[1].(string)
		low, high := 0.0, 0.0
		switch {
		case state == "meets initial parameters":
			high = 0.02
		case state == "test before use":
			low, high = 0.02, 0.10
		case state == "re-aging usually needed", state == "meets all after re-aging":
			low, high = 0.02, 0.20
		case state == "typical end of shelf life":
			low, high = 0.45, 0.55
		default:
			t.Fatalf("unknown state %q", state)
		}
		checked++
		if got := past(years); got < low || got > high {
			t.Errorf("after %d years (%s) %.3f are past their shelf life", years, state, got)
		}
	}
	for _, row := range file.Tables["shelf_life_by_maker"].Rows {
		checked++
		u := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"})
		u.LastPowered = now.AddDate(-row[1].(int), 0, -2)
		if a := assess(t, u, upkeep.Terms{}); len(a.Reforms) != 1 {
			t.Errorf("%v asks for reforming after %v years", row[0], row[1])
		}
		u.LastPowered = now.AddDate(-1, 0, 0)
		if a := assess(t, u, upkeep.Terms{}); len(a.Reforms) != 0 {
			t.Error("reformed after a year")
		}
	}
	if checked != 8 {
		t.Errorf("%d rows", checked)
	}
}

// Ten years at 35 °C are a typical end of shelf life (Cornell Dubilier, "Shelf life and
// re-aging", 1993): half of the electrolytics are past theirs then, and one in twenty of
// these fails at power. At 25 °C it takes twenty years.
func TestRest(t *testing.T) {
	rested := func(years int, celsius float64) float64 {
		u := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"})
		u.Temperature, u.Rise = 273.15+celsius, 0.001
		fresh := assess(t, u, upkeep.Terms{}).Failures
		u.LastPowered = now.AddDate(-years, 0, 0)
		return -math.Log((1 - assess(t, u, upkeep.Terms{}).Failures) / (1 - fresh))
	}
	for _, test := range []struct {
		years   int
		celsius float64
	}{{10, 35}, {20, 25}, {40, 15}} {
		if got := rested(test.years, test.celsius); math.Abs(got-0.025) > 1e-4 {
			t.Errorf("%d years at %v °C: %v", test.years, test.celsius, got)
		}
	}
}

// A part that was put in while the unit lay unused has rested only since then.
func TestRestOfAReplacedPart(t *testing.T) {
	u := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"}, upkeep.Part{Name: "C2", Kind: "electrolytic"})
	u.LastPowered = date(2006, 3)
	u.Replaced = map[string]time.Time{"C2": date(2025, 3)}
	a := assess(t, u, upkeep.Terms{})
	for _, l := range a.Lines {
		want := map[string]float64{"C1": 20, "C2": 1}[l.Name]
		if math.Abs(l.Rest-want) > 0.01 {
			t.Errorf("%s has rested %v years, want %v", l.Name, l.Rest, want)
		}
	}
	if len(a.Reforms) != 1 || a.Reforms[0].Part != "C1" {
		t.Errorf("to reform: %+v", a.Reforms)
	}
}

// What benches have seen of a sort multiplies its failures by chance; its wear, which
// holds for the kind as a whole, by how much the sort is worse than its kind.
func TestExperience(t *testing.T) {
	book, err := experience.NewBook(
		experience.Record{Bench: "one", ID: "1", Revision: 1, Key: experience.Key{Kind: "electrolytic", Family: "blue radial"}, Count: experience.Count{Failed: 9, Good: 40}},
		experience.Record{Bench: "one", ID: "2", Revision: 1, Key: experience.Key{Kind: "electrolytic"}, Count: experience.Count{Failed: 9, Good: 400}})
	if err != nil {
		t.Fatal(err)
	}
	tally := book.Tally()
	hazardOf := func(family string, terms upkeep.Terms) float64 {
		return -math.Log1p(-assess(t, aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic", Family: family}), terms).Failures)
	}
	electrolytic, _ := fault.Find("electrolytic")
	usual := hazardOf("", upkeep.Terms{})
	chance := 5 * electrolytic.Rate(fault.Life{Age: 45 + 2.0/3 + 2.5, Stress: fault.Stress{Temperature: 313.15}})
	kind, family := tally.Factor(experience.Key{Kind: "electrolytic"}), tally.Factor(experience.Key{Kind: "electrolytic", Family: "blue radial"})
	if !(family > 1.2*kind && kind > 1.2) {
		t.Fatalf("kind %v, family %v", kind, family)
	}
	for _, test := range []struct {
		family string
		want   float64
	}{{"", kind*chance + usual - chance}, {"blue radial", family*chance + family/kind*(usual-chance)}} {
		if got := hazardOf(test.family, upkeep.Terms{Experience: tally}); math.Abs(got-test.want) > 1e-3*test.want {
			t.Errorf("family %q: hazard %v, want %v", test.family, got, test.want)
		}
	}
}

// Lines say in words what they were reckoned from.
func TestWords(t *testing.T) {
	u := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic", Count: 4}, upkeep.Part{Name: "U1", Kind: "chip"}, upkeep.Part{Name: "C90", Kind: "paper capacitor", Class: "Y2"})
	u.Batteries = []upkeep.Battery{{Name: "BT1", Chemistry: upkeep.Lithium}}
	u.Replaced = map[string]time.Time{"BT1": date(2024, 9), "C90": date(2010, 3)}
	u.Damaged = map[string]string{"U1": "cracked", "R7": "burnt"}
	u.NeverRuns, u.LastPowered = true, date(2020, 3)
	a := assess(t, u, upkeep.Terms{Years: 10})
	got := append(a.Why(10), a.Score.String())
	for i := range a.Actions {
		got = append(got, a.Actions[i].String())
	}
	for _, want := range []string{
		"R7, part: burnt, 46 years old; is damaged now", "U1, chip: cracked, 46 years old; it has failed",
		"C1, 4 × electrolytic: 46 years old, never run, 6 years without voltage; 0.01 of them expected to fail within 10 years",
		"BT1, lithium battery: replaced 18 months ago, half of its like have leaked by 30 years (common practice, no source); leaks within 10 years with a chance of 4 %; can eat or burn the board",
		"C90, paper capacitor across the mains: replaced 16 years ago, half of its like have failed by 40 years (common practice, no source); fails within 10 years with a chance of 10 %", // ln 2 · (0.65⁴ − 0.4⁴) = 0.106,
		"is damaged now; 2.1 failures expected", "R7: do not power it; take it out and replace it (burnt)", "C1: reform before power, the reservoirs first; where they cannot be taken out, bring the unit up slowly behind a series lamp (6 years without voltage)",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("not said: %s\n%s", want, strings.Join(got, "\n"))
		}
	}
}

// The order of two scores, the more urgent first.
func TestCompare(t *testing.T) {
	for _, test := range []struct {
		name        string
		first, then upkeep.Score
	}{
		{"danger before all", upkeep.Score{Danger: upkeep.Burns}, upkeep.Score{Danger: upkeep.Kills, Harm: 2, Failures: 9}},
		{"likely before possible harm", upkeep.Score{Danger: upkeep.Burns, Harm: 0.1, Failures: 1}, upkeep.Score{Danger: upkeep.Burns, Harm: 0.099, Failures: 2}},
		{"possible before seldom harm", upkeep.Score{Harm: 0.01}, upkeep.Score{Harm: 0.0099, Failures: 9}},
		{"more failures", upkeep.Score{Harm: 0.2, Failures: 1.1}, upkeep.Score{Harm: 0.9, Failures: 1}},
		{"more harm, all else alike", upkeep.Score{Harm: 0.3, Failures: 1}, upkeep.Score{Harm: 0.2, Failures: 1}},
	} {
		if test.first.Compare(test.then) <= 0 || test.then.Compare(test.first) >= 0 {
			t.Errorf("%s: %v beside %v", test.name, test.first, test.then)
		}
	}
}

// A thing of each class of danger, and the same made safe.
func TestDangers(t *testing.T) {
	item := func(kind hazard.Kind, name string) hazard.Item {
		return hazard.Item{Name: name, Kind: kind, Before: hazard.BeforePower, Do: kind.Usual().Do}
	}
	battery := upkeep.Battery{Name: "B1", Chemistry: upkeep.NickelCadmium}
	with := func(u upkeep.Unit, change func(*upkeep.Unit)) upkeep.Unit { change(&u); return u }
	paper := aged(46, upkeep.Part{Name: "C90", Kind: "paper capacitor", Class: "X2"})
	for _, test := range []struct {
		name string
		unit upkeep.Unit
		want upkeep.Danger
	}{
		{"chips only", aged(46, upkeep.Part{Name: "U1", Kind: "chip"}), upkeep.Wears},
		{"paper across the mains", paper, upkeep.Burns},
		{"paper across the mains, new", aged(1, paper.Parts...), upkeep.Wears},
		{"paper, made safe", with(paper, func(u *upkeep.Unit) { u.Answered = []string{"C90"} }), upkeep.Wears},
		{"paper, replaced", with(paper, func(u *upkeep.Unit) { u.Replaced = map[string]time.Time{"C90": date(2001, 1)} }), upkeep.Wears},
		{"paper, seen cracked", with(paper, func(u *upkeep.Unit) { u.Damaged = map[string]string{"C90": "cracked"} }), upkeep.Acute},
		{"a part that no sheet lists, seen burnt", with(aged(46, upkeep.Part{Name: "U1", Kind: "chip"}), func(u *upkeep.Unit) { u.Damaged = map[string]string{"R77": "burnt"} }), upkeep.Acute},
		{"a chip, seen cracked", with(aged(46, upkeep.Part{Name: "U1", Kind: "chip"}), func(u *upkeep.Unit) { u.Damaged = map[string]string{"U1": "cracked"} }), upkeep.Wears},
		{"paper in the signal", aged(46, upkeep.Part{Name: "C9", Kind: "paper capacitor"}), upkeep.Wears},
		{"old battery", with(aged(46), func(u *upkeep.Unit) {
			u.Batteries, u.Hazards = []upkeep.Battery{battery}, []hazard.Item{item(hazard.Battery, "battery B1")}
		}), upkeep.Spoils},
		{"battery, hazard answered", with(aged(46), func(u *upkeep.Unit) {
			u.Batteries, u.Hazards, u.Answered = []upkeep.Battery{battery}, []hazard.Item{item(hazard.Battery, "battery B1")}, []string{"battery B1"}
		}), upkeep.Wears},
		{"new battery", with(aged(46, upkeep.Part{Name: "U1", Kind: "chip"}), func(u *upkeep.Unit) {
			u.Batteries, u.Replaced = []upkeep.Battery{{Name: "B1", Chemistry: upkeep.Lithium}}, map[string]time.Time{"B1": date(2026, 1)}
		}), upkeep.Wears},
		{"hot chassis", with(aged(46), func(u *upkeep.Unit) { u.Hazards = []hazard.Item{item(hazard.HotChassis, "hot chassis")} }), upkeep.Kills},
		{"hot chassis, answered", with(aged(46), func(u *upkeep.Unit) {
			u.Hazards, u.Answered = []hazard.Item{item(hazard.HotChassis, "hot chassis")}, []string{"hot chassis"}
		}), upkeep.Wears},
		{"moving parts", with(aged(46), func(u *upkeep.Unit) { u.Hazards = []hazard.Item{item(hazard.MovingParts, "reels")} }), upkeep.Hurts},
		{"fed from the mains", with(aged(46), func(u *upkeep.Unit) { u.Hazards = hazard.Find(hazard.Unit{Mains: 230}) }), upkeep.Wears},
		{"film X2 not looked at", with(aged(46, upkeep.Part{Name: "C90", Kind: "film capacitor", Class: "X2"}), func(u *upkeep.Unit) {
			u.Hazards = hazard.Find(hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C90", Class: "X2", Capacitance: 1e-7}}})
		}), upkeep.Kills},
		{"filter of the sheet, its parts replaced", with(aged(46), func(u *upkeep.Unit) {
			u.Hazards, u.Replaced = hazard.Find(hazard.Unit{Capacitors: []hazard.Capacitor{{Name: "C90", Class: "X2", Capacitance: 1e-7}}}), map[string]time.Time{"C90": date(2020, 1)}
		}), upkeep.Wears},
		{"many strained tantalums", aged(46, upkeep.Part{Name: "C1 to C40", Kind: "tantalum", Count: 40, Stress: fault.Stress{Voltage: 0.8}}), upkeep.Spoils},
	} {
		t.Run(test.name, func(t *testing.T) {
			a := assess(t, test.unit, upkeep.Terms{})
			if a.Danger != test.want {
				t.Errorf("%v, want %v\n%s", a.Danger, test.want, strings.Join(a.Why(9), "\n"))
			}
			if a.Next().Do == "" {
				t.Error("nothing to do, in no words")
			}
		})
	}
}

// Of a unit without a sheet all is guessed, and every line says so; what is answered by
// the names of the guesses is safe.
func TestGuesses(t *testing.T) {
	u := upkeep.Unit{ID: "7", Name: "some terminal", Kind: "Display Terminal"}
	a := assess(t, u, upkeep.Terms{})
	if len(a.Guesses) != 5 || a.Danger != upkeep.Burns {
		t.Errorf("%v, guesses %q", a.Score, a.Guesses)
	}
	for _, l := range a.Lines {
		if !strings.Contains(l.String(), "guess") && l.Hazard == nil {
			t.Errorf("no guess: %v", l)
		}
	}
	u.Answered = []string{upkeep.GuessedFilter, upkeep.GuessedTube, upkeep.GuessedBattery}
	if a := assess(t, u, upkeep.Terms{}); a.Danger > upkeep.Spoils || a.Harm > 0.1 {
		t.Errorf("%v: %v", a.Score, a.Why(3))
	}
	u.Damaged = map[string]string{upkeep.GuessedBattery: "leaked"}
	if a := assess(t, u, upkeep.Terms{}); a.Danger != upkeep.Acute || !strings.Contains(a.Actions[1].String(), "leaked") {
		t.Errorf("%v: %v", a.Score, a.Actions)
	}
}

// Of a unit whose sheet tells a corner, the rest is guessed: so many parts of each kind as
// are usual, those known included, and the dangers that the sheet does not list.
func TestPartial(t *testing.T) {
	known := []upkeep.Part{{Name: "C1", Kind: "electrolytic"}, {Name: "C2 to C11", Kind: "electrolytic", Count: 10}, {Name: "U1 to U99", Kind: "chip", Count: 99}}
	u := aged(46, known...)
	u.Kind, u.Partial = "display terminal", true
	blank := u
	blank.Parts = nil
	count := func(u upkeep.Unit, kind string) (n float64) {
		for _, l := range assess(t, u, upkeep.Terms{}).Lines {
			if l.Kind == kind {
				n += l.Count
			}
		}
		return n
	}
	if count(u, "electrolytic") != count(blank, "electrolytic") || count(u, "chip") != 99 || count(u, "tantalum") != count(blank, "tantalum") {
		t.Errorf("%v", assess(t, u, upkeep.Terms{}).Why(20))
	}
	if a := assess(t, u, upkeep.Terms{}); a.Danger != upkeep.Burns || len(a.Guesses) != 1 {
		t.Errorf("%v, %q", a.Score, a.Guesses)
	}
	u.Hazards = []hazard.Item{{Name: "mains filter", Kind: hazard.MainsCapacitor, Where: "film, by the inlet"}, {Name: "tube", Kind: hazard.PictureTube}}
	u.Answered = []string{"mains filter", "tube"}
	if a := assess(t, u, upkeep.Terms{}); a.Danger > upkeep.Spoils {
		t.Errorf("%v: %v", a.Score, a.Why(3))
	}
}

// What the sheets of the examples hold is all taken over.
func TestFromSheet(t *testing.T) {
	s, err := sheet.Load("../examples/vt9.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	contents := upkeep.FromSheet(s)
	parts, hazards := contents.Parts, contents.Hazards
	named := func(name string) upkeep.Part {
		i := slices.IndexFunc(parts, func(p upkeep.Part) bool { return p.Name == name })
		if i < 0 {
			t.Fatalf("no %s among %d parts", name, len(parts))
		}
		return parts[i]
	}
	if c := named("C12"); c.Kind != "electrolytic" || c.Stated.RatedVolt != 10 || math.Abs(c.Stress.Voltage-0.5) > 1e-9 || c.Capacitor.Nominal != 2200e-6 {
		t.Errorf("C12: %+v", c)
	}
	if c := named("C1"); c.Age != 44 || len(c.Neighbours) != 1 || c.Neighbours[0].Name != "R3" {
		t.Errorf("C1: %+v", c)
	}
	if c := named("C3"); c.Odds != 1.5 {
		t.Errorf("C3: %+v", c)
	}
	rams := 0
	once := map[string]bool{}
	for _, p := range parts {
		if once[p.Name] {
			t.Errorf("%s twice", p.Name)
		}
		once[p.Name] = true
		if p.Kind == "dynamic ram" {
			rams++
		}
	}
	if rams != 16 || len(hazards) < 4 || !contents.Partial {
		t.Errorf("%d memory chips, %d hazards", rams, len(hazards))
	}
}

// anyUnit draws a unit with a few of all that may be in one, or with no sheet at all.
func anyUnit(t *rapid.T) upkeep.Unit {
	u := upkeep.Unit{ID: "1", Year: rapid.IntRange(1950, 2020).Draw(t, "year"), Kind: rapid.SampledFrom([]string{"terminal", "synthesizer", "amplifier", "box"}).Draw(t, "kind"),
		Temperature: rapid.Float64Range(275, 310).Draw(t, "room"), HoursADay: rapid.Float64Range(0.1, 20).Draw(t, "hours"),
		LastPowered: now.AddDate(0, -rapid.IntRange(0, 300).Draw(t, "months of rest"), 0), Replaced: map[string]time.Time{}, Damaged: map[string]string{}}
	kinds := []string{"electrolytic", "tantalum", "paper capacitor", "film capacitor", "battery", "chip", "connector", "power resistor"}
	if rapid.Bool().Draw(t, "has a sheet") {
		for i, name := range []string{"C1", "C2", "B1", "U1", "C90"} {
			p := upkeep.Part{Name: name, Kind: rapid.SampledFrom(kinds).Draw(t, name), Count: rapid.IntRange(0, 20).Draw(t, "count"), Stress: fault.Stress{Voltage: rapid.Float64Range(0, 1).Draw(t, "voltage")},
				Neighbours: []life.Neighbour{{Rise: rapid.Float64Range(0.1, 30).Draw(t, "rise")}}}
			if i%2 == 0 && p.Kind != "electrolytic" {
				p.Class = rapid.SampledFrom([]string{"", "X2", "Y2"}).Draw(t, "class")
			}
			u.Parts = append(u.Parts, p)
			if rapid.IntRange(0, 3).Draw(t, "replaced") == 0 {
				u.Replaced[name] = now.AddDate(0, -rapid.IntRange(0, 300).Draw(t, "months since"), 0)
			}
		}
		u.Hazards = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) hazard.Item {
			kind := rapid.SampledFrom(hazard.Kinds()).Draw(t, "hazard")
			return hazard.Item{Name: string(kind), Kind: kind, Before: hazard.BeforePower, Do: kind.Usual().Do,
				Where: rapid.SampledFrom([]string{"", "metallised paper", "by the inlet"}).Draw(t, "where"), Parts: rapid.SliceOfN(rapid.SampledFrom([]string{"C1", "B1", "C90", "Z9"}), 0, 2).Draw(t, "parts")}
		}), 0, 4).Draw(t, "hazards")
	}
	if rapid.Bool().Draw(t, "battery") {
		u.Batteries = []upkeep.Battery{{Name: "B1", Chemistry: rapid.SampledFrom(upkeep.Chemistries()).Draw(t, "chemistry")}}
	}
	u.Partial = rapid.Bool().Draw(t, "partial")
	u.Answered = rapid.SliceOfN(rapid.SampledFrom(answers), 0, 3).Draw(t, "answered")
	return u
}

var answers = []string{"C1", "C2", "B1", "C90", "mains capacitor", "battery", "hot chassis", "mains", "picture tube", upkeep.GuessedFilter, upkeep.GuessedBattery}

// Older, hotter, longer at rest or in use, with a part replaced longer ago or damaged: a
// unit never ranks lower for it. With one more hazard or part made safe, it never ranks
// higher.
func TestNeverLowerForWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t)
		terms := upkeep.Terms{Now: now, Years: rapid.Float64Range(1, 20).Draw(t, "ahead")}
		worse := u
		what := rapid.SampledFrom([]string{"older", "hotter", "more in use", "longer at rest", "replaced earlier", "damaged", "less safe", "further ahead"}).Draw(t, "what")
		further := terms
		switch what {
		case "older":
			worse.Year -= rapid.IntRange(1, 30).Draw(t, "by")
		case "hotter":
			worse.Temperature += rapid.Float64Range(0.1, 30).Draw(t, "by")
		case "more in use":
			worse.HoursADay += rapid.Float64Range(0.1, 4).Draw(t, "by")
		case "longer at rest":
			worse.LastPowered = worse.LastPowered.AddDate(0, -rapid.IntRange(1, 300).Draw(t, "by"), 0)
		case "replaced earlier":
			worse.Replaced = map[string]time.Time{}
			for name, day := range u.Replaced {
				worse.Replaced[name] = day.AddDate(0, -rapid.IntRange(0, 100).Draw(t, "by"), 0)
			}
		case "damaged":
			worse.Damaged = map[string]string{rapid.SampledFrom([]string{"C1", "B1", "U1", "C90", "R77", upkeep.GuessedFilter, "mains capacitor"}).Draw(t, "part"): "cracked"}
		case "less safe":
			u.Answered = append(slices.Clone(worse.Answered), rapid.SampledFrom(answers).Draw(t, "answer"))
		case "further ahead":
			further.Years *= 1.5
		}
		better, err := upkeep.Assess(&u, terms)
		if err != nil {
			t.Fatal(err)
		}
		after, err := upkeep.Assess(&worse, further)
		if err != nil {
			t.Fatal(err)
		}
		if after.Score.Compare(better.Score) < 0 && !nearly(after.Score, better.Score) {
			t.Fatalf("%s: %+v\n%s\nbefore %+v\n%s", what, after.Score, strings.Join(after.Why(20), "\n"), better.Score, strings.Join(better.Why(20), "\n"))
		}
	})
}

// nearly tells that two scores differ by rounding only.
func nearly(a, b upkeep.Score) bool {
	return a.Danger == b.Danger && a.Likelihood() == b.Likelihood() && math.Abs(a.Failures-b.Failures) <= 1e-9*b.Failures && math.Abs(a.Harm-b.Harm) <= 1e-9*b.Harm
}

// The score is the sum of its lines, and the queue is in the order of the scores.
func TestScoresAreExplained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		units := rapid.SliceOfN(rapid.Custom(anyUnit), 1, 8).Draw(t, "units")
		queue, err := upkeep.Rank(units, upkeep.Terms{Now: now})
		if err != nil || len(queue) != len(units) {
			t.Fatalf("%d of %d units, %v", len(queue), len(units), err)
		}
		for i, p := range queue {
			a, err := upkeep.Assess(p.Unit, upkeep.Terms{Now: now})
			if err != nil {
				t.Fatal(err)
			}
			var sum upkeep.Score
			for _, l := range a.Lines {
				sum.Danger = max(sum.Danger, l.Danger)
				sum.Harm += l.Harm
				sum.Failures += l.Failures
				if l.String() == "" || l.Harm > l.Failures*(1+1e-9) && l.Damage == "" || math.IsNaN(l.Failures) {
					t.Fatalf("%+v", l)
				}
			}
			if !nearly(sum, p.Score) || !nearly(a.Score, p.Score) {
				t.Fatalf("lines %+v, assessed %+v, ranked %+v", sum, a.Score, p.Score)
			}
			if i > 0 && queue[i-1].Score.Compare(p.Score) < 0 || p.Rank != i+1 {
				t.Fatalf("%d: %+v after %+v", p.Rank, p.Score, queue[i-1].Score)
			}
			if a.Next().Do == "" {
				t.Fatalf("%+v", a.Actions)
			}
		}
	})
}

// What cannot be right is told; the others are ranked all the same.
func TestRefusals(t *testing.T) {
	good := aged(46, upkeep.Part{Name: "C1", Kind: "electrolytic"})
	for _, test := range []struct {
		name   string
		change func(*upkeep.Unit)
		want   string
	}{
		{"year", func(u *upkeep.Unit) { u.Year = 2030 }, "made in 2030; write a year from 1900 to 2026"},
		{"celsius for kelvin", func(u *upkeep.Unit) { u.Temperature = 20 }, "293 for 20 °C"},
		{"hours", func(u *upkeep.Unit) { u.HoursADay = 25 }, "0 to 24"},
		{"no number", func(u *upkeep.Unit) { u.HoursADay = math.NaN() }, "NaN hours"},
		{"rise", func(u *upkeep.Unit) { u.Rise = -1 }, "0 to 100 K"},
		{"powered tomorrow", func(u *upkeep.Unit) { u.LastPowered = now.AddDate(0, 0, 1) }, "2026-03-02, which is yet to come"},
		{"replaced tomorrow", func(u *upkeep.Unit) { u.Replaced = map[string]time.Time{"C1": now.AddDate(0, 0, 1)} }, "C1 was replaced on 2026-03-02"},
		{"chemistry", func(u *upkeep.Unit) { u.Batteries = []upkeep.Battery{{Name: "B1", Chemistry: "potato"}} }, "nickel-cadmium"},
		{"count", func(u *upkeep.Unit) { u.Parts = []upkeep.Part{{Name: "C1", Kind: "tantalum", Count: -1}} }, "-1 of them"},
		{"stated life", func(u *upkeep.Unit) {
			u.Parts = []upkeep.Part{{Name: "C1", Kind: "electrolytic", Stated: life.Part{StatedAt: 85}}}
		}, "makers state it"},
	} {
		t.Run(test.name, func(t *testing.T) {
			bad := good
			bad.ID = "2"
			test.change(&bad)
			queue, err := upkeep.Rank([]upkeep.Unit{bad, good}, upkeep.Terms{Now: now})
			if err == nil || !strings.Contains(err.Error(), test.want) || !strings.Contains(err.Error(), "unit 2") {
				t.Errorf("%v, want %q", err, test.want)
			}
			if len(queue) != 1 || queue[0].Unit.ID != "1" {
				t.Errorf("%+v", queue)
			}
			if _, err := upkeep.Assess(&bad, upkeep.Terms{Now: now}); err == nil {
				t.Error("assessed all the same")
			}
		})
	}
	for _, terms := range []upkeep.Terms{{}, {Now: now, Years: -1}, {Now: now, Years: math.NaN()}, {Now: now, Years: 1000}} {
		if _, err := upkeep.Rank(nil, terms); err == nil {
			t.Errorf("%+v was taken", terms)
		}
	}
}
