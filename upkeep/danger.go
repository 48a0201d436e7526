package upkeep

import (
	"cmp"
	"fmt"

	"halfsplit/hazard"
)

// Danger is a class of what a unit or something in it can do, the worst highest.
type Danger uint8

// The classes of danger.
const (
	Wears  Danger = iota // a part that fails, and harms nothing else
	Hurts                // can hurt whoever reaches in: stored energy, heat, moving parts, laser
	Spoils               // can eat or burn the board by itself: batteries, chemicals, tantalums
	Kills                // kills whoever opens or powers it unprepared: hot chassis, picture tube, bare mains, a mains capacitor not looked at
	Burns                // can burn by itself, or put the mains on the case: paper capacitors across it
	Acute                // damage that was seen and is not yet dealt with
)

var dangerWords = [...]string{
	Wears: "only wears", Hurts: "can hurt whoever reaches in", Spoils: "can eat or burn the board", Kills: "can kill whoever opens or powers it unprepared",
	Burns: "can burn", Acute: "is damaged now",
}

// String gives the class in words.
func (d Danger) String() string {
	if int(d) < len(dangerWords) {
		return dangerWords[d]
	}
	return "is of no known danger"
}

var dangerNames = [...]string{Wears: "wears", Hurts: "hurts", Spoils: "spoils", Kills: "kills", Burns: "burns", Acute: "acute"}

// MarshalText gives the class in one word, "burns": for JSON and the like.
func (d Danger) MarshalText() ([]byte, error) {
	if int(d) < len(dangerNames) {
		return []byte(dangerNames[d]), nil
	}
	return nil, fmt.Errorf("upkeep: danger %d is no class", uint8(d))
}

// dangerOf is the class of an open hazard. The mains that any unit has by being fed
// from them sets none before another, and does not count unless the sheet lists it.
func dangerOf(h *hazard.Item) (d Danger, counts bool) {
	switch {
	case h.Kind == hazard.Mains && h.Found():
		return Wears, false
	case h.Kind.Kills():
		return Kills, true
	case h.Kind == hazard.Battery || h.Kind == hazard.Chemical:
		return Spoils, true
	}
	return Hurts, true
}

// Score is what a unit is ranked by.
type Score struct {
	Danger   Danger
	Harm     float64 // failures expected that burn or eat what is around them, within the years looked ahead
	Failures float64 // all failures expected in these years
}

// The borders between likely, possible and seldom harm.
const (
	likely   = 0.1
	possible = 0.01
)

// Likelihood says how likely harm is: "likely", "possible" or "seldom".
func (s Score) Likelihood() string {
	return [...]string{"seldom", "possible", "likely"}[grade(s.Harm)]
}

func grade(harm float64) int {
	switch {
	case harm >= likely:
		return 2
	case harm >= possible:
		return 1
	}
	return 0
}

// Compare sets one score beside another: above zero when s is the more urgent. The
// class of danger decides, then how likely harm is, then how many failures are
// expected.
func (s Score) Compare(t Score) int {
	return cmp.Or(cmp.Compare(s.Danger, t.Danger), cmp.Compare(grade(s.Harm), grade(t.Harm)), cmp.Compare(s.Failures, t.Failures), cmp.Compare(s.Harm, t.Harm))
}

// add takes a line into account.
func (s *Score) add(l *Line) {
	s.Danger = max(s.Danger, l.Danger)
	s.Harm += l.Harm
	s.Failures += l.Failures
}
