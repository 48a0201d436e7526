package flow

import (
	"math"
	"slices"

	"halfsplit/signal"
)

// addRange adds to the chances of the ranges between the edges of a test what
// the foretold state gives for them, in view of the numbers already read in the
// same scene.
func (s *State) addRange(t *Test, weight float64, read []NumberReading, chances []float64) {
	v := &s.sections[t.Section]
	known := s.numbers[:0]
	for i := range read {
		if r := &read[i]; r.Section == t.Section && v.over[r.Output][signal.Good] > 1-1e-9 {
			known = append(known, r.Number)
		}
	}
	s.numbers = known
	weights, total := make([]float64, len(v.ways)), 0.0
	for i, w := range v.ways {
		if weights[i] = math.Log(w.weight); len(known) > 0 {
			weights[i] += w.way.Log(known)
		}
	}
	most := slices.Max(weights)
	for i := range weights {
		weights[i] = math.Exp(weights[i] - most)
		total += weights[i]
	}
	ranges := float64(len(chances))
	over := &v.over[t.Number.Output]
	for i, w := range v.ways {
		mean, deviation := w.way.Expect(t.Number, known)
		deviation = math.Hypot(deviation, t.Number.U)
		share := weight * weights[i] / total
		below := 0.0
		for a := range chances {
			upTo := 1.0
			if a < len(t.Edges) {
				upTo = math.Erfc((mean-t.Edges[a])/(deviation*math.Sqrt2)) / 2
			}
			chances[a] += share * ((1-signal.Slip)*over[signal.Good]*(upTo-below) + signal.Slip*over[signal.Good]/ranges)
			below = upTo
		}
	}
	// what lies over it may read as anything, but what is absent as nothing
	none, _ := slices.BinarySearch(t.Edges, 0)
	for a := range chances {
		chances[a] += weight * (over.Bad() - over[signal.Absent]) / ranges
	}
	chances[none] += weight * over[signal.Absent]
}

// Expect tells what a number would be under faults in a scene, way by way, in
// view of what was read so far: the weight of each way, its mean and its
// standard deviation.
func (f *Foreteller) Expect(section int, n Number, faults []int, scene *Scene) (weights, means, deviations []float64) {
	for _, way := range f.state.patterns(faults, scene) {
		f.state.Foretell(way.showing, scene)
		for _, w := range f.state.sections[section].ways {
			mean, deviation := w.way.Expect(n, nil)
			weights = append(weights, way.weight*w.weight)
			means, deviations = append(means, mean), append(deviations, deviation)
		}
	}
	return weights, means, deviations
}
