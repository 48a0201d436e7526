package upkeep_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

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
	for _, p := range parts {
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
			worse.Damaged = map[string]string{rapid.SampledFrom([]string{"C1", "B1", "U1", "C90", upkeep.GuessedFilter, "mains capacitor"}).Draw(t, "part"): "cracked"}
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
