package life

import (
	"errors"
	"fmt"
	"math"
)

// Part is what is stated of the capacitor. What is zero is not known, and the
// usual is assumed.
type Part struct {
	Stated    float64 // life in seconds at StatedAt
	StatedAt  float64 // kelvins
	Ripple    float64 // rated ripple current, amperes
	CoreRise  float64 // of the core at the rated ripple current, kelvins
	RippleIn  bool    // the life is stated with the rated ripple current flowing
	Applied   float64 // volts in service
	RatedVolt float64 // volts
}

// Service is what the part has been through. What is zero is not known.
type Service struct {
	Age          float64 // seconds since it was made or fitted
	HoursADay    float64 // running, 0 to 24
	Surroundings float64 // kelvins around it in the running unit, the neighbours left out
	Ripple       float64 // amperes it carries
	Neighbours   []Neighbour
}

// Neighbour is a hot part beside the capacitor.
type Neighbour struct {
	Name        string
	Rise        float64 // kelvins by which it warms the capacitor, as measured; zero when not known
	Dissipation float64 // watts; zero when not known
}

// Rises that are taken for a neighbour of which no rise was measured, with a few
// millimetres between. Common practice, no source.
const (
	riseUnknown = 10.0 // kelvins, where nothing is known but that it is hot
	risePerWatt = 8.0
	riseAtMost  = 40.0
)

// Warms gives by how many kelvins the neighbour warms the capacitor, and whether
// that was assumed.
func (n Neighbour) Warms() (kelvins float64, assumed bool) {
	switch {
	case n.Rise > 0:
		return n.Rise, false
	case n.Dissipation > 0:
		return math.Min(riseAtMost, risePerWatt*n.Dissipation), true
	}
	return riseUnknown, true
}

// What is assumed where nothing is known. The life is that of general-purpose
// parts of the period (Vishay 030, "useful life 85 °C 1500 to 3000 h"); the others
// are common practice, no source.
const (
	usualLife         = 2000 * Hour
	usualTemperature  = 273.15 + 85
	usualSurroundings = 273.15 + 45
	usualHours        = 4.0
	usualCoreRise     = 5.0 // Rubycon, "5 K for most types"
)

// Estimate is how much of a life is used up.
type Estimate struct {
	Core     float64 // kelvins
	Life     float64 // seconds of running, at most Ceiling
	Run      float64 // seconds of running so far
	Consumed float64 // share of the life; above 1 when past it
	Left     float64 // seconds of running, zero when past it
	LeftTime float64 // the same in seconds of calendar time, at the same hours a day
	// ByNeighbours is the share of the life that the hot neighbours have cost:
	// what is consumed beyond what would be without them.
	ByNeighbours float64
	Assumed      []string
	Notes        []string
}

// Validate reports everything that cannot be right.
func (p Part) Validate() error {
	var wrong []error
	for _, given := range []struct {
		name  string
		value float64
		most  float64
		hint  string
	}{
		{"stated life", p.Stated, 1e9 * Hour, "seconds"},
		{"temperature of the stated life", p.StatedAt, 273.15 + 200, "kelvins: 358.15 for 85 °C"},
		{"rated ripple current", p.Ripple, 1e4, "amperes"},
		{"core rise at rated ripple", p.CoreRise, 40, "kelvins below 40"},
		{"applied voltage", p.Applied, 1e6, "volts"},
		{"rated voltage", p.RatedVolt, 1e6, "volts"},
	} {
		wrong = append(wrong, bounded(given.name, given.value, given.most, given.hint))
	}
	if p.StatedAt > 0 && p.StatedAt < coolest {
		wrong = append(wrong, fmt.Errorf("a life stated at %.0f °C; makers state it at the highest temperature, such as 85 °C", p.StatedAt-273.15))
	}
	if p.RatedVolt > 0 && p.Applied > p.RatedVolt {
		wrong = append(wrong, fmt.Errorf("%g V are applied to a part rated for %g V; no life is stated beyond the rating", p.Applied, p.RatedVolt))
	}
	return errors.Join(wrong...)
}

// Validate reports everything that cannot be right.
func (s Service) Validate() error {
	wrong := []error{
		bounded("age", s.Age, 200*Year, "seconds, at most 200 years"),
		bounded("hours a day", s.HoursADay, 24, "hours, at most 24"),
		bounded("temperature around it", s.Surroundings, 273.15+200, "kelvins: 318.15 for 45 °C"),
		bounded("ripple current", s.Ripple, 1e4, "amperes"),
	}
	if s.Surroundings > 0 && s.Surroundings < 200 {
		wrong = append(wrong, fmt.Errorf("temperature around it %g K; write kelvins: 318.15 for 45 °C", s.Surroundings))
	}
	for _, n := range s.Neighbours {
		wrong = append(wrong, bounded("rise by "+n.Name, n.Rise, 150, "kelvins"), bounded("dissipation of "+n.Name, n.Dissipation, 1e4, "watts"))
	}
	return errors.Join(wrong...)
}

func bounded(name string, value, most float64, hint string) error {
	if !(value >= 0 && value <= most) {
		return fmt.Errorf("%s %v; it must not be negative, in %s", name, value, hint)
	}
	return nil
}

// Of estimates the life of a part in its service. The error names everything that
// cannot be right.
func Of(p Part, s Service) (Estimate, error) {
	if err := errors.Join(p.Validate(), s.Validate()); err != nil {
		return Estimate{}, err
	}
	var e Estimate
	assume := func(figure *float64, usual float64, text string) {
		if *figure == 0 {
			*figure = usual
			e.Assumed = append(e.Assumed, text)
		}
	}
	if p.Stated == 0 && p.StatedAt > usualTemperature+1 {
		assume(&p.Stated, usualLife, fmt.Sprintf("2000 h at %.0f °C", p.StatedAt-273.15))
	}
	assume(&p.Stated, usualLife, "2000 h at 85 °C, as general-purpose parts of the period")
	assume(&p.StatedAt, usualTemperature, "the life is stated at 85 °C")
	assume(&s.Surroundings, usualSurroundings, "45 °C around it in the running unit")
	assume(&s.HoursADay, usualHours, "4 hours a day of running")
	if p.Ripple > 0 {
		assume(&p.CoreRise, usualCoreRise, "5 K of core rise at the rated ripple current")
	}
	alone := e.within(p, s, 0, false)
	warmed := 0.0
	for _, n := range s.Neighbours {
		rise, assumed := n.Warms()
		warmed += rise
		if assumed {
			e.Assumed = append(e.Assumed, fmt.Sprintf("%s warms it by %.0f K (common practice, no source)", n.name(), rise))
		}
	}
	e.Life = e.within(p, s, warmed, true)
	e.Run = s.Age * s.HoursADay / 24
	if e.Life > 0 {
		e.Consumed = e.Run / e.Life
		e.ByNeighbours = e.Consumed - e.Run/alone
	} else {
		e.Consumed = math.Inf(1)
		e.Notes = append(e.Notes, "the ripple heats the core beyond what any maker states a life for")
	}
	e.Left = math.Max(0, e.Life-e.Run)
	if s.HoursADay > 0 {
		e.LeftTime = e.Left * 24 / s.HoursADay
	}
	e.Notes = append(e.Notes, "years without voltage are not counted: they cost the oxide, so read the leakage, and reform it first",
		"a stated life is one that most parts surpass; twice or half is within what is seen (common practice, no source)")
	return e, nil
}

func (n Neighbour) name() string {
	if n.Name == "" {
		return "the hot neighbour"
	}
	return n.Name
}

// within gives the life with so many kelvins more around the part, and notes what
// was done to get it when that is asked for.
func (e *Estimate) within(p Part, s Service, warmer float64, note bool) float64 {
	surroundings := s.Surroundings + warmer
	rise := 0.0
	if p.Ripple > 0 {
		rise = CoreRise(s.Ripple, p.Ripple, p.CoreRise)
	}
	if note {
		e.Core = surroundings + rise
	}
	if surroundings < coolest {
		surroundings = coolest
		if note {
			e.Notes = append(e.Notes, "counted at 40 °C, below which makers do not carry the rule")
		}
	}
	life := WithCoreRise(p.Stated, p.StatedAt, surroundings, rise)
	if p.RippleIn && p.Ripple > 0 {
		life = WithRipple(p.Stated, p.StatedAt, surroundings, p.CoreRise, rise)
	}
	if p.Applied > 0 && p.RatedVolt > 0 {
		share := math.Max(0.5, p.Applied/p.RatedVolt) // below half the guide says no more
		life *= VoltageFactor(share)
	}
	if life > Ceiling {
		life = Ceiling
		if note {
			e.Notes = append(e.Notes, "held to 131400 h, 15 years of running, which makers take as the ceiling of any estimate")
		}
	}
	return life
}
