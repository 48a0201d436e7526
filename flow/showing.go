package flow

import (
	"math"
	"slices"

	"halfsplit/signal"
)

// Showing foretells the answers of tests on a unit whose faults show all the
// time: no reading was taken, and nothing comes and goes. It is not safe for
// concurrent use.
type Showing struct{ foreteller Foreteller }

// Showing makes one.
func (m *Model) Showing() *Showing {
	return &Showing{Foreteller{evidence: m.NewEvidence(), state: m.NewState(), words: signal.Answers()}}
}

// Chances is the chance of each answer of a test when exactly these faults are
// present and show, slips of the reader included.
func (s *Showing) Chances(t *Test, faults []int) []float64 {
	chances := make([]float64, t.Answers())
	if t.Kind == Measure {
		s.foreteller.measured(t, faults, chances)
		return chances
	}
	s.foreteller.state.Foretell(faults, &t.Scene)
	s.foreteller.add(t, pattern{weight: 1, showing: faults}, chances)
	return chances
}

// Again is the chance of each answer of a probe when the net was read before, with the
// given answer: a slip often repeats itself.
func (s *Showing) Again(t *Test, faults []int, answer int) []float64 {
	f := &s.foreteller
	f.state.Foretell(faults, &t.Scene)
	spread := f.state.Nets[t.Net]
	for state, p := range spread {
		if p > 0 {
			spread[state] *= f.reads(t, state)[answer]
		}
	}
	return f.again(t, spread, answer)
}

// UndescribedAgain is the same when the trouble is something the model does not
// describe.
func (s *Showing) UndescribedAgain(t *Test, answer int) []float64 {
	spread := signal.Agnostic()
	for state := range spread {
		spread[state] *= s.foreteller.reads(t, state)[answer]
	}
	return s.foreteller.again(t, spread, answer)
}

// repeats is the share of readings that come out the same when made again, whatever
// is there: the probe is set on the same wrong pin. With it a reading that bears out
// another counts about as much as signal.Likelihood.Again says. Common practice, no
// source.
const repeats = 0.3

// again is the chance of each answer of a second reading of a net.
func (f *Foreteller) again(t *Test, spread signal.Spread, answer int) []float64 {
	chances := make([]float64, t.Answers())
	total := 0.0
	for state, p := range spread {
		if p == 0 {
			continue
		}
		total += p
		for a, q := range f.reads(t, state) {
			chances[a] += p * (1 - repeats) * q
		}
	}
	if total == 0 {
		chances[answer] = 1
		return chances
	}
	for a := range chances {
		chances[a] /= total
	}
	chances[answer] += repeats
	return chances
}

// reads is the chance of each answer of a probe when the net is in a state.
func (f *Foreteller) reads(t *Test, state int) []float64 {
	chances := make([]float64, t.Answers())
	for word := range f.words {
		chances[t.answer(word)] += f.words[word][state]
	}
	return chances
}

// Watched is the chance that a net which is bad comes right, and that it does not,
// when something is done to an item (a Condition): the net is one of those given,
// each with its share.
func (s *Showing) Watched(t *Test, faults, nets []int, shares []float64) []float64 {
	state := s.foreteller.state
	untouched := t.Scene.untouched()
	state.Foretell(faults, &untouched)
	before := make([]float64, len(nets))
	for i, n := range nets {
		before[i] = state.Nets[n][signal.Good]
	}
	right := 0.0
	for _, way := range slices.Clone(state.disturbed(faults, faults, &t.Scene)) {
		state.Foretell(way.showing, &t.Scene)
		for i, n := range nets {
			if bad := 1 - before[i]; shares[i] > 0 && bad > 0 {
				right += way.weight * shares[i] * math.Max(0, state.Nets[n][signal.Good]-before[i]) / bad
			}
		}
	}
	right = seenRight(right)
	return []float64{right, 1 - right}
}

// Undescribed is the same when the trouble is something the model does not
// describe.
func (s *Showing) Undescribed(t *Test) []float64 { return s.foreteller.Undescribed(t) }

// Spread is what a net does when exactly these faults are present and show.
func (s *Showing) Spread(net int, scene *Scene, faults []int) signal.Spread {
	s.foreteller.state.Foretell(faults, scene)
	return s.foreteller.state.Nets[net]
}
