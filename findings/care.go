package findings

import (
	"slices"

	"halfsplit/flow"
	"halfsplit/hazard"
)

// What is said with a test at mains potential or where charge is stored. Common
// practice, no source; local codes and the unit's own manual come first.
const (
	careEmpty = "mains side: unplug, let it discharge and measure that it is empty "
	careRead  = careEmpty + "before the meter is clipped on; meter and leads rated for it, hands off while it is on"
	careChill = careEmpty + "before spraying; cold spray is flammable and leaves the board wet: let it clear and dry before power"
	careHeat  = careEmpty + "before the part is warmed"
	carePress = careEmpty + "before touching; never press by hand while it is on"
	careTouch = careEmpty + "before touching"
)

// care is the word that a test on the mains side carries, whether its hazards
// are answered or not; empty for any other test.
func (w *work) care(c *candidate) string {
	if !w.live(w.step(c)) {
		return ""
	}
	scene := &c.test.Scene
	switch {
	case c.test.Kind == flow.Probe:
		return careRead
	case c.test.Kind != flow.Condition:
		return careTouch
	case len(scene.Chilled) > 0:
		return careChill
	case len(scene.Heated) > 0:
		return careHeat
	case len(scene.Pressed) > 0:
		return carePress
	}
	return careTouch
}

// live reports whether a step comes to mains potential or stored charge: to what
// such a hazard names, or to what by its name is mains or primary.
func (w *work) live(s hazard.Step) bool {
	if !s.Touches {
		return false
	}
	return slices.ContainsFunc(s.Names, mains) || slices.ContainsFunc(w.dangers, func(h hazard.Item) bool {
		_, touched := h.Touched(s)
		return touched && h.Kind.Live()
	})
}
