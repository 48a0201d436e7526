package flow

import (
	"slices"

	"halfsplit/fault"
)

// pattern is one way in which the conditional faults of a set show or hide.
type pattern struct {
	weight  float64
	showing []int
}

// stays is the chance that a fault which comes and goes stays as it is while
// something is done to another part. Common practice, no source.
const stays = 0.98

// patterns lists the ways in which the faults may show in a calm scene. A fault
// that is always there shows in all of them. The list is the state's own, valid
// until the next call.
func (s *State) patterns(faults []int, calm *Scene) []pattern {
	s.ways = s.spread(s.ways, faults, calm.active)
	return s.ways
}

// disturbed lists the ways in which the faults may show while something is done
// to parts, when they showed in the given way before. The list is the state's
// own, valid until the next call.
func (s *State) disturbed(faults, before []int, scene *Scene) []pattern {
	s.after = s.spread(s.after, faults, func(c *Candidate) float64 {
		if s.bridged(c, scene) {
			return 1 - helps
		}
		switch {
		case c.Mode.When == fault.Always:
			return 1
		case scene.touches(c.Item):
			return scene.active(c)
		case slices.ContainsFunc(before, func(f int) bool { return &s.model.Candidates[f] == c }):
			return stays
		}
		return 1 - stays
	})
	return s.after
}

// bridged reports whether a good capacitor is held across one that is open or dried
// out.
func (s *State) bridged(c *Candidate, scene *Scene) bool {
	return slices.Contains(scene.Piggybacked, c.Item) && c.Mode.Missing() && s.model.Items[c.Item].Kind.Capacitor()
}

// spread lists, in the space of an old list, the ways in which faults may show,
// each with its own chance.
func (s *State) spread(ways []pattern, faults []int, chance func(*Candidate) float64) []pattern {
	ways = enter(ways[:0], 1, nil)
	for _, f := range faults {
		p := chance(&s.model.Candidates[f])
		for i, n := 0, len(ways); i < n; i++ {
			if p < 1 {
				ways = enter(ways, ways[i].weight*(1-p), ways[i].showing)
				ways[i].weight *= p
			}
			ways[i].showing = append(ways[i].showing, f)
		}
	}
	return ways
}

// enter adds a pattern to a list, in the space of an old one where there is one.
func enter(ways []pattern, weight float64, showing []int) []pattern {
	if len(ways) < cap(ways) {
		ways = ways[:len(ways)+1]
	} else {
		ways = append(ways, pattern{})
	}
	way := &ways[len(ways)-1]
	way.weight, way.showing = weight, append(way.showing[:0], showing...)
	return ways
}
