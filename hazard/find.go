package hazard

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/quantity"
)

// Unit is what is known of a unit that bears on its safety.
type Unit struct {
	Mains      float64 // volt (RMS); 0 when it is not fed from the mains, or not known
	Listed     []Item  // the hazards its sheet lists
	Capacitors []Capacitor
	Tubes      []string // picture tubes
	Batteries  []string
}

// Capacitor is a capacitor of the unit.
type Capacitor struct {
	Name        string
	Capacitance float64 // farad
	Excess      float64 // by how much it may lie above its marking, as a fraction
	Voltage     float64 // volt across it in service, peak; 0 when not known
	Rated       float64 // volt; 0 when not known
	Bleeder     float64 // ohm across it; 0 when none is known
	Class       string  // X or Y class of a mains filter capacitor, such as X2
	Paper       bool    // paper or metallised paper
	Rail        string  // the rail or signal it lies across
	Where       string
}

// holds is the voltage that it can hold: what stands across it in service, else
// its rating.
func (c *Capacitor) holds() (volts float64, why string) {
	if c.Voltage != 0 {
		return math.Abs(c.Voltage), "in service"
	}
	return c.Rated, "by its rating"
}

// acrossMains reports whether it is a mains filter capacitor.
func (c *Capacitor) acrossMains() bool {
	class := strings.ToUpper(c.Class)
	return strings.HasPrefix(class, "X") || strings.HasPrefix(class, "Y")
}

// Find makes the list of hazards of a unit: those its sheet lists, and those
// that follow from its parts and that the list does not cover: mains, filter
// capacitors across it, picture tubes, batteries, and every capacitor whose
// charge must not be touched or whose energy burns. A listed hazard covers a
// part that its name, place or parts mention. The unit is read, not changed.
func Find(u Unit) []Item {
	list := slices.Clone(u.Listed)
	covered := func(part string, kinds ...Kind) bool {
		return slices.ContainsFunc(list, func(h Item) bool {
			return slices.Contains(kinds, h.Kind) && (part == "" || mentions(&h, part))
		})
	}
	only := func(kind Kind, n int) bool { // one listed without a part, and one part
		return n == 1 && slices.ContainsFunc(u.Listed, func(h Item) bool { return h.Kind == kind })
	}
	if u.Mains > 0 && !covered("", Mains, HotChassis) {
		list = append(list, Item{
			Name: "mains", Kind: Mains, Where: "inlet, switch, fuse and all that is joined to them", Before: BeforePower,
			Do: Mains.Usual().Do, Because: "it is fed from " + quantity.FormatDigits(u.Mains, quantity.Volt, 3) + " mains",
		})
	}
	filters := 0
	for i := range u.Capacitors {
		if u.Capacitors[i].acrossMains() {
			filters++
		}
	}
	for i := range u.Capacitors {
		c := &u.Capacitors[i]
		if c.acrossMains() {
			if !covered(c.Name, MainsCapacitor) && !only(MainsCapacitor, filters) {
				because := "its class is " + c.Class
				if c.Paper {
					because += ", and it is of paper: such cases crack, draw damp and burn"
				}
				list = append(list, Item{
					Name: "mains capacitor " + c.Name, Kind: MainsCapacitor, Where: c.Where, Before: BeforePower, Parts: []string{c.Name},
					Do: MainsCapacitor.Usual().Do, Store: Store{c.Capacitance, u.Mains * math.Sqrt2}, Bleeder: c.Bleeder, Because: because,
				})
			}
			continue
		}
		volts, why := c.holds()
		store := Store{c.Capacitance * (1 + c.Excess), volts}
		if store.Check() != nil || volts == 0 || store.Touch().Passes && store.HazardousEnergy().Passes || covered(c.Name, StoredEnergy) {
			continue
		}
		item := Item{
			Name: "charge in " + c.Name, Kind: StoredEnergy, Where: c.Where, Before: BeforeProbing, Parts: []string{c.Name},
			Do: StoredEnergy.Usual().Do, Store: store, Bleeder: c.Bleeder,
			Because: fmt.Sprintf("%s at %s %s", quantity.FormatDigits(c.Capacitance, quantity.Farad, 3), quantity.FormatDigits(volts, quantity.Volt, 3), why),
		}
		if c.Rail != "" {
			item.At = []string{c.Rail}
		}
		list = append(list, item)
	}
	for _, tube := range u.Tubes {
		if !covered(tube, PictureTube) && !only(PictureTube, len(u.Tubes)) {
			list = append(list, Item{
				Name: nameOf("picture tube", tube), Kind: PictureTube, Where: "anode cup and neck of " + tube, Before: BeforeOpening,
				Do: PictureTube.Usual().Do, Because: "the sheet has a picture tube",
			})
		}
	}
	for _, b := range u.Batteries {
		if !covered(b, Battery) && !only(Battery, len(u.Batteries)) {
			list = append(list, Item{
				Name: nameOf("battery", b), Kind: Battery, Before: BeforePower, Do: Battery.Usual().Do, Parts: []string{b}, Because: "the sheet has a battery",
			})
		}
	}
	return list
}

// nameOf names a hazard of a part, without saying the same twice.
func nameOf(what, part string) string {
	if strings.Contains(strings.ToLower(part), what) {
		return part
	}
	return what + " " + part
}

// mentions reports whether a hazard names a part, as a word of its own.
func mentions(h *Item, part string) bool {
	if slices.Contains(h.Parts, part) {
		return true
	}
	return word(h.Name, part) || word(h.Where, part)
}

// word reports whether a text holds a name that no letter or digit touches.
func word(text, name string) bool {
	for from := 0; name != ""; {
		i := strings.Index(text[from:], name)
		if i < 0 {
			return false
		}
		i += from
		end := i + len(name)
		if !(i > 0 && partOfWord(text[i-1])) && !(end < len(text) && partOfWord(text[end])) {
			return true
		}
		from = i + 1
	}
	return false
}

func partOfWord(b byte) bool {
	return b >= '0' && b <= '9' || b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z' || b >= 0x80
}
