package hazard

import (
	"fmt"
	"slices"
)

// Kind is a kind of hazard, in the words of the service sheet.
type Kind string

// The kinds.
const (
	Mains          Kind = "mains"
	StoredEnergy   Kind = "stored energy"
	HotChassis     Kind = "hot chassis"
	PictureTube    Kind = "picture tube"
	MainsCapacitor Kind = "mains capacitor"
	Battery        Kind = "battery"
	Heat           Kind = "heat"
	MovingParts    Kind = "moving parts"
	Laser          Kind = "laser"
	Chemical       Kind = "chemical"
	Other          Kind = "other"
)

// Kinds lists the kinds.
func Kinds() []Kind {
	return []Kind{Mains, StoredEnergy, HotChassis, PictureTube, MainsCapacitor, Battery, Heat, MovingParts, Laser, Chemical, Other}
}

// Kills reports whether a hazard of that kind forbids power until it is answered,
// whatever step it names: mains in any form, and picture tubes.
func (k Kind) Kills() bool {
	return k == Mains || k == HotChassis || k == PictureTube || k == MainsCapacitor
}

// Live reports whether a hazard of that kind is a voltage or a charge that
// shocks where it is touched, also for a while after switching off.
func (k Kind) Live() bool {
	return k == Mains || k == HotChassis || k == MainsCapacitor || k == StoredEnergy
}

// Gate is the step that a hazard holds up.
type Gate string

// The gates.
const (
	BeforePower   Gate = "power"
	BeforeOpening Gate = "opening"
	BeforeProbing Gate = "probing"
)

// Item is one hazard of a unit.
type Item struct {
	Name   string
	Kind   Kind
	Where  string
	Do     string // what to do about it
	Before Gate
	Parts  []string // designators it sits in; none when it is everywhere inside
	At     []string // rails and signals that carry it
	Store  Store    // what it can hold; zero when not known
	// Bleeder is the resistance in ohms that discharges it; 0 when there is
	// none or it is not known.
	Bleeder float64
	// Because says from what it was found; empty when the sheet lists it.
	Because string
}

// Found reports whether the hazard was found from the parts of the unit rather
// than listed by its sheet.
func (h *Item) Found() bool { return h.Because != "" }

// Step is something one is about to do to a unit.
type Step struct {
	Powered bool     // the unit is on
	Open    bool     // its case is open
	Touches bool     // a hand or a probe goes inside
	Names   []string // the parts, blocks, rails and signals that are touched
}

// Holds tells whether the hazard, as long as it is not answered, holds a step
// up, and why. A hazard before power holds whatever is done with the power on;
// so does one of a kind that kills. One before opening holds all that needs the
// case open. One before probing holds every hand and probe inside, or, where it
// names parts or rails, those on them.
func (h *Item) Holds(s Step) (why string, held bool) {
	switch {
	case s.Powered && h.Before == BeforePower:
		return "it needs the power on", true
	case s.Powered && h.Kind.Kills():
		return "it needs the power on, which a hazard of this kind forbids whatever step it names", true
	case s.Open && h.Before == BeforeOpening:
		return "it needs the case open", true
	case !s.Touches || h.Before != BeforeProbing:
		return "", false
	case len(h.Parts)+len(h.At) == 0:
		return "a hand or probe goes inside", true
	}
	if name, touched := h.Touched(s); touched {
		return fmt.Sprintf("a hand or probe comes to %s", name), true
	}
	return "", false
}

// Touched gives the first of the parts, rails and signals that the hazard names
// to which a step comes.
func (h *Item) Touched(s Step) (name string, ok bool) {
	i := slices.IndexFunc(s.Names, func(name string) bool {
		return slices.Contains(h.Parts, name) || slices.Contains(h.At, name)
	})
	if i < 0 || !s.Touches {
		return "", false
	}
	return s.Names[i], true
}

// Caution is what is usually done about a kind of hazard.
type Caution struct {
	Do     string   `json:"do"`
	Never  string   `json:"never,omitempty"`
	Steps  []string `json:"steps,omitempty"`
	Source string   `json:"source"`
}

// Usual gives the usual cautions for a kind. Local codes and the unit's own
// manual come first.
func (k Kind) Usual() Caution {
	switch k {
	case Mains:
		return Caution{
			Do:     "unplug it, not only switch it off; cover bare terminals before working with the lid off; the first power-up through a series lamp and a residual-current device",
			Never:  "never work on it alone with the power on, nor with both hands inside",
			Source: sourcePractice,
		}
	case HotChassis:
		return Caution{
			Do:     "run it from an isolation transformer whenever anything inside is probed, and measure from the chassis to earth first",
			Never:  "never connect an earthed scope or another unit to it without the isolation transformer",
			Source: sourcePractice,
		}
	case StoredEnergy:
		return Caution{
			Do:     "unplug, wait, measure; discharge through a resistor, not a screwdriver, and measure again after a minute, since charge returns",
			Never:  "never trust a bleeder that was not measured",
			Source: sourcePractice,
		}
	case PictureTube:
		return Caution{
			Do:    "keep clear of anode cup and neck; discharging the anode is for those who are practised in it",
			Never: "never lift a tube by its neck, nor work on it without eye protection: it implodes",
			Steps: []string{
				"unplug first", "one hand behind the back", "bond to the outer coating of the tube or the chassis strap, not to mains earth",
				"discharge through a high-value resistor or a high-voltage probe", "hold the contact", "repeat: charge returns", "keep the anode tied down while working",
			},
			Source: sourceTube,
		}
	case MainsCapacitor:
		return Caution{
			Do:     "look for cracks in the case; replace metallised-paper types before power, by the same safety class or better, never by an ordinary capacitor",
			Source: sourcePractice,
		}
	case Battery:
		return Caution{
			Do:     "look for leakage; take it out before anything else, keep its residue off skin and eyes",
			Never:  "never solder to a cell, nor charge a lithium cell: put a diode back where one was",
			Source: sourcePractice,
		}
	case Heat:
		return Caution{Do: "let it cool; parts marked as hot stay so for minutes", Source: sourcePractice}
	case MovingParts:
		return Caution{Do: "keep hair, sleeves and fingers away; block the mechanism before reaching in", Source: sourcePractice}
	case Laser:
		return Caution{Do: "do not look into the beam path; keep interlocks working", Never: "never defeat an interlock with eyes in line", Source: sourcePractice}
	case Chemical:
		return Caution{Do: "gloves and fresh air; find out what it is before cleaning it", Source: sourcePractice}
	}
	return Caution{Do: "see the service notes", Source: sourcePractice}
}
