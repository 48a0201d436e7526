package upkeep

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"halfsplit/experience"
	"halfsplit/fault"
	"halfsplit/hazard"
	"halfsplit/part"
	"halfsplit/part/life"
)

// Unit is what is known of one unit.
type Unit struct {
	ID, Name string
	Kind     string // what it is: "display terminal"
	Year     int    // of make; 0 when not known

	Temperature float64 // of the room in kelvin; 0 when not known: 293.15, 20 °C
	Rise        float64 // kelvin by which it is warmer inside when it runs; 0 when not known: 20
	HoursADay   float64 // that it runs, over its life; 0 when not known: 4
	NeverRuns   bool    // it stands on show or in store; HoursADay is then left out
	LastPowered time.Time

	Contents
	Batteries []Battery // fitted; one with the name of a part goes before it

	// Answered names the hazards that were made safe, or the parts.
	Answered []string
	// Replaced says when a part or battery was last replaced, by its name.
	Replaced map[string]time.Time
	// Damaged says what was seen of a part or battery that is not yet dealt with, by
	// its name: "leaked", "case cracked". It counts for a part that no sheet lists too.
	Damaged map[string]string
}

// Contents is what a unit holds, as its sheet tells ([FromSheet]). All units of a model
// may share it: nothing is written to it. When it is empty, what a unit holds is guessed
// from its kind and year.
type Contents struct {
	Parts   []Part
	Hazards []hazard.Item // as hazard.Find lists them
	// Partial tells that the sheet describes only a corner of the unit: what is usual in
	// units of its kind beyond the parts of the sheet is then guessed, so that the unit
	// does not rank below others only because less of it is written down.
	Partial bool
}

// Part is one part, or a number of like parts.
type Part struct {
	Name  string
	Kind  string // as package fault names it
	Count int    // of like parts; 1 when zero
	Class string // safety class of a capacitor across the mains: "X2"

	Family, Maker, Batch string // for what benches have seen of it

	Capacitor   part.Capacitor   // as marked; for reforming, zero when not known
	Stated      life.Part        // what its maker states of an electrolytic's life
	Neighbours  []life.Neighbour // hot parts beside it
	Temperature float64          // kelvin around it in the running unit, the neighbours left out; 0: as warm as the unit
	Stress      fault.Stress     // what it bears; its temperature is not read
	Age         float64          // years, where it differs from the unit's; 0 when not
	Odds        float64          // how much likelier than usual it is to fail, as the sheet says; 1 when zero
}

// Battery is a battery or cell that is fitted.
type Battery struct {
	Name      string
	Chemistry Chemistry
	Age       float64 // years, where it differs from the unit's; 0 when not
}

// Chemistry is what a battery is made of.
type Chemistry string

// The chemistries; the empty one is not known.
const (
	NickelCadmium Chemistry = "nickel-cadmium"
	ZincCarbon    Chemistry = "zinc-carbon"
	Alkaline      Chemistry = "alkaline"
	Lithium       Chemistry = "lithium"
	LeadAcid      Chemistry = "lead-acid"
)

// Chemistries lists those known.
func Chemistries() []Chemistry {
	return []Chemistry{NickelCadmium, ZincCarbon, Alkaline, Lithium, LeadAcid}
}

// leaksBy is the age in years by which half of the batteries have leaked. Common
// practice, no source.
var leaksBy = map[Chemistry]float64{"": 12, NickelCadmium: 12, ZincCarbon: 5, Alkaline: 8, Lithium: 30, LeadAcid: 10}

// Terms say how far and from when one looks ahead.
type Terms struct {
	Now   time.Time
	Years float64 // 5 when zero
	// Experience is what benches have seen; nil when there is none.
	Experience *experience.Tally
}

// What is taken where nothing is known. Common practice, no source.
const (
	usualRoom  = 293.15 // kelvin
	usualRise  = 20.0   // kelvin
	usualHours = 4.0    // a day
	usualYear  = 1980
	usualRest  = 5.0 // years
	usualAhead = 5.0 // years
)

// earliest is the year before which nothing that is kept here was made.
const earliest = 1900

// Validate reports everything that cannot be right in a unit, on the day now.
func (u *Unit) Validate(now time.Time) error { return u.validate(now, validateParts) }

// validate takes how to check the parts, which many units may share.
func (u *Unit) validate(now time.Time, check func([]Part) error) error {
	var wrong []error
	report := func(format string, args ...any) { wrong = append(wrong, fmt.Errorf(format, args...)) }
	if u.Year != 0 && (u.Year < earliest || u.Year > now.Year()) {
		report("made in %d; write a year from %d to %d, or 0 when not known", u.Year, earliest, now.Year())
	}
	if u.Temperature != 0 && !(u.Temperature >= 200 && u.Temperature <= 373) {
		report("a room of %g K; write kelvin, 293 for 20 °C, or 0 when not known", u.Temperature)
	}
	if !(u.Rise >= 0 && u.Rise <= 100) {
		report("warmer inside by %g K; write 0 to 100 K", u.Rise)
	}
	if !(u.HoursADay >= 0 && u.HoursADay <= 24) {
		report("%g hours a day; write 0 to 24", u.HoursADay)
	}
	if u.LastPowered.After(now) {
		report("last powered on %s, which is yet to come", u.LastPowered.Format(time.DateOnly))
	}
	for _, name := range slices.Sorted(maps.Keys(u.Replaced)) {
		if u.Replaced[name].After(now) {
			report("%s was replaced on %s, which is yet to come", name, u.Replaced[name].Format(time.DateOnly))
		}
	}
	if err := check(u.Parts); err != nil {
		wrong = append(wrong, err)
	}
	for _, b := range u.Batteries {
		if _, known := leaksBy[b.Chemistry]; !known {
			report("battery %s: %q is not one of %v", b.Name, b.Chemistry, Chemistries())
		}
		if !(b.Age >= 0 && b.Age <= 200) {
			report("battery %s: %g years old; write 0 to 200", b.Name, b.Age)
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	return fmt.Errorf("unit %s %s: %w", u.ID, u.Name, errors.Join(wrong...))
}

func validateParts(parts []Part) error {
	var wrong []error
	for i := range parts {
		if err := parts[i].validate(); err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w", parts[i].Name, err))
		}
	}
	return errors.Join(wrong...)
}

func (p *Part) validate() error {
	var wrong []error
	if p.Count < 0 {
		wrong = append(wrong, fmt.Errorf("%d of them; write 1 or more", p.Count))
	}
	if p.Temperature != 0 && !(p.Temperature >= 200 && p.Temperature <= 473) {
		wrong = append(wrong, fmt.Errorf("%g K around it; write kelvin, 318 for 45 °C, or 0 when not known", p.Temperature))
	}
	if !(p.Age >= 0 && p.Age <= 200) {
		wrong = append(wrong, fmt.Errorf("%g years old; write 0 to 200", p.Age))
	}
	if !(p.Odds >= 0 && p.Odds <= 1e6) {
		wrong = append(wrong, fmt.Errorf("%g times as likely as usual; write 0 to 1e6", p.Odds))
	}
	if err := p.Stated.Validate(); err != nil {
		wrong = append(wrong, err)
	}
	if len(wrong) == 0 {
		return nil
	}
	return errors.Join(wrong...)
}
