package upkeep

import (
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"halfsplit/hazard"
	"halfsplit/part/life"
)

// Line is one thing in a unit that can fail or harm.
type Line struct {
	Name   string
	Kind   string  // of part, as package fault names it; of hazard otherwise
	Count  float64 // like parts; below 1 for one that is there only by chance
	Guess  bool    // it, or its number, is a guess
	Danger Danger
	Harm, Failures,
	Age float64 // years
	Ahead float64 // years looked ahead

	Across    bool      // a capacitor across the mains
	Consumed  float64   // of an electrolytic's life, as a share; 0 for others
	Warmth    float64   // kelvin around it when it runs, its neighbours included
	Hours     float64   // a day
	Beside    string    // a hot part beside it
	Rest      float64   // years without voltage, of an electrolytic
	HalfBy    float64   // years by which half of its like have failed by wear; 0 when it has no such age
	Chemistry Chemistry // of a battery
	Learned   float64   // by how much benches have seen it fail more often than is usual; 1 when nothing was seen
	Damage    string    // as it was seen
	Replaced  bool
	Answered  bool // made safe
	Hazard    *hazard.Item
}

// state is what of a unit all of its lines need.
type state struct {
	unit        *Unit
	age, rest   float64 // years
	room        float64 // kelvin
	warm        float64 // kelvin inside when it runs
	hours       float64 // a day
	ahead       float64 // years
	yearGuessed bool
	restGuessed bool
	now         time.Time
}

// years between two moments; a year has 365.25 days.
func years(from, to time.Time) float64 { return to.Sub(from).Seconds() / life.Year }

func (r *reckoner) state(u *Unit) state {
	now := r.terms.Now
	s := state{unit: u, now: now, ahead: r.terms.Years, room: orElse(u.Temperature, usualRoom), hours: orElse(u.HoursADay, usualHours)}
	if u.NeverRuns {
		s.hours = 0
	}
	s.warm = s.room + orElse(u.Rise, usualRise)
	year := u.Year
	if year == 0 {
		year, s.yearGuessed = min(usualYear, now.Year()), true
	}
	s.age = max(0, years(time.Date(year, 7, 1, 0, 0, 0, 0, time.UTC), now))
	if u.LastPowered.IsZero() {
		s.rest, s.restGuessed = min(usualRest, s.age), true
		if u.NeverRuns {
			s.rest = s.age
		}
	} else {
		s.rest = years(u.LastPowered, now)
	}
	return s
}

func orElse(x, usual float64) float64 {
	if x == 0 {
		return usual
	}
	return x
}

// Guessed reports whether nothing is known of what the unit holds, so that all of it is
// guessed from its kind and year.
func (u *Unit) Guessed() bool { return len(u.Parts) == 0 && len(u.Hazards) == 0 }

// lines goes through all that can fail or harm in a unit. The line is only lent.
func (r *reckoner) lines(s *state, take func(*Line)) {
	u := s.unit
	if len(u.Damaged) == 0 {
		r.known(s, take)
		return
	}
	told := map[string]bool{}
	r.known(s, func(l *Line) {
		if l.Damage != "" {
			told[l.Name] = true
		}
		take(l)
	})
	for _, name := range slices.Sorted(maps.Keys(u.Damaged)) { // damage to what no sheet lists
		if !told[name] {
			r.line = s.line(name, "part", 0)
			r.line.Count = 1
			r.line.damaged(true)
			take(&r.line)
		}
	}
}

// known goes through what the sheet tells, the batteries, and what is guessed.
func (r *reckoner) known(s *state, take func(*Line)) {
	u := s.unit
	batteries := u.Batteries
	for i := range u.Parts {
		p := &u.Parts[i]
		k := r.kind(p.Kind)
		if k == nil || k.Name == "battery" && slices.ContainsFunc(batteries, func(b Battery) bool { return b.Name == p.Name }) {
			continue
		}
		r.line = r.part(s, k, p)
		take(&r.line)
	}
	for i := range batteries {
		r.line = r.battery(s, batteries[i])
		take(&r.line)
	}
	for i := range u.Hazards {
		if l, ok := r.hazard(s, &u.Hazards[i]); ok {
			r.line = l
			take(&r.line)
		}
	}
	if u.Guessed() || u.Partial {
		r.guesses(s, usually(u.Kind), take)
	}
}

// counts gives how many parts of each kind a list holds.
func (r *reckoner) counts(parts []Part) map[string]int {
	if len(parts) == 0 {
		return nil
	}
	key := partsOf{&parts[0], len(parts)}
	if known, ok := r.counted[key]; ok {
		return known
	}
	known := map[string]int{}
	for i := range parts {
		if k := r.kind(parts[i].Kind); k != nil {
			known[k.Name] += max(parts[i].Count, 1)
		}
	}
	r.counted[key] = known
	return known
}

// warned tells whether a hazard of a kind is listed, answered or not.
func (u *Unit) warned(kind hazard.Kind) bool {
	return slices.ContainsFunc(u.Hazards, func(h hazard.Item) bool { return h.Kind == kind })
}

// guesses goes through what a kind of unit usually holds beyond what is known, and the
// dangers that it usually has.
func (r *reckoner) guesses(s *state, usual *usualUnit, take func(*Line)) {
	guess := func(l Line, chance float64) {
		if l.Damage == "" {
			l.Count, l.Harm, l.Failures = chance*l.Count, chance*l.Harm, chance*l.Failures
			if grade(l.Harm) == 0 && l.Hazard == nil {
				l.Danger = Wears
			}
		}
		l.Guess = true
		r.line = l
		take(&r.line)
	}
	u := s.unit
	known := r.counts(u.Parts)
	for i := range usual.parts {
		p := usual.parts[i]
		if p.Count -= known[p.Kind]; p.Count > 0 {
			if len(u.Parts) > 0 {
				p.Name = "other " + p.Name
			}
			r.line = r.part(s, r.kind(p.Kind), &p)
			r.line.Guess = true
			take(&r.line)
		}
	}
	if usual.paper > 0 && s.made() < lastPaper && !u.warned(hazard.MainsCapacitor) && known["paper capacitor"] == 0 {
		guess(r.part(s, r.kind(guessedFilter.Kind), &guessedFilter), usual.paper)
	}
	if usual.battery > 0 && len(u.Batteries) == 0 && !u.warned(hazard.Battery) && known["battery"] == 0 {
		guess(r.battery(s, guessedBattery), usual.battery)
	}
	if usual.tube && !u.warned(hazard.PictureTube) {
		if l, ok := r.hazard(s, &guessedTube); ok {
			guess(l, 1)
		}
	}
}

// made is the year of make, guessed or not.
func (s *state) made() int {
	if s.unit.Year == 0 {
		return usualYear
	}
	return s.unit.Year
}

// part reckons a part, or a number of like parts.
func (r *reckoner) part(s *state, k *kindFacts, p *Part) Line {
	l := s.line(p.Name, k.Name, p.Age)
	l.Count = float64(max(p.Count, 1))
	l.Across = k.Name == "paper capacitor" && p.Class != ""
	l.Warmth = orElse(p.Temperature, s.warm)
	for _, n := range p.Neighbours {
		rise, _ := n.Warms()
		l.Warmth += rise
		l.Beside = n.Name
	}
	rate := r.rate(k, p, l.Age+s.ahead/2, l.Warmth)
	own, kind := r.learned(k, p)
	l.Learned = own
	chance := own * rate * s.ahead * running(s.hours)
	wear, atPower := 0.0, 0.0
	switch k.Name {
	case "electrolytic":
		yearly := r.yearly(p.Stated, l.Warmth) * s.hours / 24
		l.Consumed = min(yearly*l.Age, mostConsumed)
		wear = electrolyticWear(l.Age, s.ahead, yearly)
		l.Rest = min(s.rest, l.Age)
		atPower = rested(l.Rest, s.room)
	case "paper capacitor":
		l.HalfBy = halfPaper
		wear = paperWear(l.Age, s.ahead)
	case "battery":
		l.HalfBy = leaksBy[""]
		wear = batteryWear(l.Age, s.ahead, l.HalfBy)
	}
	wear *= own / kind
	l.Failures = l.Count * -math.Expm1(-(chance+wear)-atPower)
	harm := k.harmful * (chance + wear)
	if k.Name == "battery" {
		harm = k.harmful*chance + wear
	}
	harmful := k.harmful > 0 && (k.Name != "paper capacitor" || l.Across)
	if l.Across && l.Replaced { // what is fitted today is not of paper
		harmful = false
	}
	if harmful && !l.Answered {
		l.Harm = l.Count * -math.Expm1(-harm)
		if grade(l.Harm) > 0 {
			l.Danger = k.danger
		}
	}
	l.damaged(k.harmful > 0 || k.Name == "electrolytic")
	return l
}

// battery reckons a battery that is fitted.
func (r *reckoner) battery(s *state, b Battery) Line {
	l := s.line(b.Name, "battery", b.Age)
	l.Count, l.Chemistry, l.HalfBy = 1, b.Chemistry, leaksBy[b.Chemistry]
	l.Failures = -math.Expm1(-batteryWear(l.Age, s.ahead, l.HalfBy))
	if !l.Answered {
		l.Harm = l.Failures
		if grade(l.Harm) > 0 {
			l.Danger = Spoils
		}
	}
	l.damaged(true)
	return l
}

// damaged reckons with damage that was seen: it has failed, and where that does
// harm it is doing it.
func (l *Line) damaged(harms bool) {
	if l.Damage == "" {
		return
	}
	l.Failures = max(l.Failures, 1)
	if harms {
		l.Danger, l.Harm = Acute, max(l.Harm, 1)
	}
}

// line begins a line about a part: how old it is, and what was done to it.
func (s *state) line(name, kind string, age float64) Line {
	u := s.unit
	l := Line{Name: name, Kind: kind, Age: orElse(age, s.age), Ahead: s.ahead, Hours: s.hours, Learned: 1, Damage: u.Damaged[name]}
	if day, ok := u.Replaced[name]; ok {
		l.Age, l.Replaced = years(day, s.now), true
	}
	l.Answered = slices.Contains(u.Answered, name)
	for i := range u.Hazards {
		h := &u.Hazards[i]
		if h.Kind == hazard.MainsCapacitor || h.Kind == hazard.Battery {
			l.Answered = l.Answered || slices.Contains(u.Answered, h.Name) && h.Mentions(name)
		}
	}
	return l
}

// hazard reckons a hazard; false when it was answered, or counts for nothing.
func (r *reckoner) hazard(s *state, h *hazard.Item) (Line, bool) {
	u := s.unit
	danger, counts := dangerOf(h)
	if !counts || slices.Contains(u.Answered, h.Name) {
		return Line{}, false
	}
	l := Line{Name: h.Name, Kind: string(h.Kind), Count: 1, Danger: danger, Hazard: h, Age: s.age, Ahead: s.ahead, Learned: 1}
	if h.Kind != hazard.MainsCapacitor && h.Kind != hazard.Battery {
		return l, true
	}
	known, replaced, answered := false, len(h.Parts) > 0, len(h.Parts) > 0
	for _, name := range h.Parts {
		_, done := u.Replaced[name]
		replaced = replaced && done
		answered = answered && slices.Contains(u.Answered, name)
	}
	if answered || replaced && h.Kind == hazard.MainsCapacitor {
		return Line{}, false
	}
	for i := range u.Parts {
		known = known || h.Mentions(u.Parts[i].Name)
	}
	for i := range u.Batteries {
		known = known || h.Mentions(u.Batteries[i].Name)
	}
	switch {
	case known && h.Kind == hazard.Battery: // the battery has a line of its own
		return Line{}, false
	case known: // so has the capacitor; what is open still forbids power
	case h.Kind == hazard.Battery:
		l = r.battery(s, Battery{Name: h.Name})
		l.Hazard, l.Danger = h, max(l.Danger, Spoils)
	default:
		chance := 1.0
		if !strings.Contains(strings.ToLower(h.Name+" "+h.Where+" "+h.Because), "paper") {
			chance, l.Guess = 0.5, true
		}
		worn := r.part(s, r.kind("paper capacitor"), &Part{Name: h.Name, Kind: "paper capacitor", Class: "X or Y"})
		l.Across, l.HalfBy, l.Damage = true, worn.HalfBy, worn.Damage
		l.Count, l.Harm, l.Failures = chance, chance*worn.Harm, chance*worn.Failures
		if grade(l.Harm) > 0 {
			l.Danger = Burns
		}
		l.damaged(true)
	}
	return l, true
}
