package flow

import (
	"fmt"
	"slices"

	"halfsplit/fault"
)

// Answer is yes, no, or not known.
type Answer int

// The answers; the zero value is Unknown.
const (
	Unknown Answer = iota
	Yes
	No
)

// Scene is the state of the unit at the time of a reading. The numbers are of
// items, except where said otherwise.
type Scene struct {
	Warm        Answer
	Replaced    []int // items replaced or mended before
	Lifted      []int // parts lifted or disconnected
	Without     []int // blocks pulled or disconnected (numbers of blocks)
	Chilled     []int // with cold spray
	Heated      []int
	Pressed     []int // pressed, tapped, wiggled, reseated
	Piggybacked []int // a good chip pressed on top, a good capacitor held across
	Injected    []int // nets fed with a known good signal
	Off         bool  // the power is off
	Unloaded    bool  // nothing is connected to the supply
	// Moment counts how often a fault was seen to come or go by itself: readings
	// of different moments need not agree.
	Moment int
}

// key names the scene, so that readings taken in the same one are known to
// belong together, in whatever order the items were named.
func (s *Scene) key() string {
	key := fmt.Sprint(s.Warm, s.Moment, s.Off, s.Unloaded)
	for _, list := range [][]int{s.Replaced, s.Lifted, s.Without, s.Chilled, s.Heated, s.Pressed, s.Piggybacked, s.Injected} {
		key += fmt.Sprint(slices.Sorted(slices.Values(list)))
	}
	return key
}

// touches reports whether something is being done to the item.
func (s *Scene) touches(item int) bool {
	return slices.Contains(s.Chilled, item) || slices.Contains(s.Heated, item) || slices.Contains(s.Pressed, item)
}

// calm is what is left of the scene without anything that was done to the unit:
// scenes with the same one differ only in that.
func (s *Scene) calm() Scene { return Scene{Warm: s.Warm, Moment: s.Moment, Off: s.Off} }

// undone is the scene without what is being done to parts at the moment.
func (s *Scene) undone() Scene {
	u := *s
	u.Chilled, u.Heated, u.Pressed, u.Piggybacked = nil, nil, nil, nil
	return u
}

// changed reports whether something was done since the other scene, which is
// the first of its group.
func (s *Scene) changed(first *Scene) bool { return s.key() != first.key() }

// chances of a conditional mode showing, by what is known of the condition.
// Common practice, no source.
const (
	shows        = 0.95 // the condition is met
	hides        = 0.04 // it is not met
	asFound      = 0.6  // not known, and the unit misbehaved at some time
	whenDisturbd = 0.5  // while somebody presses on it
)

// active is the chance that the mode of an item shows in the scene.
func (s *Scene) active(c *Candidate) float64 {
	chilled, heated := slices.Contains(s.Chilled, c.Item), slices.Contains(s.Heated, c.Item)
	switch c.Mode.When {
	case fault.WhenWarm:
		switch {
		case chilled:
			return hides
		case heated || s.Warm == Yes:
			return shows
		case s.Warm == No:
			return hides
		}
		return asFound
	case fault.WhenCold:
		switch {
		case chilled:
			return shows
		case heated || s.Warm == Yes:
			return hides
		case s.Warm == No:
			return shows
		}
		return asFound
	case fault.WhenMoved:
		if slices.Contains(s.Pressed, c.Item) {
			return whenDisturbd
		}
		return asFound
	}
	return 1
}
