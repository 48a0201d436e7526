package flow

import "halfsplit/signal"

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

// Undescribed is the same when the trouble is something the model does not
// describe.
func (s *Showing) Undescribed(t *Test) []float64 { return s.foreteller.Undescribed(t) }

// Spread is what a net does when exactly these faults are present and show.
func (s *Showing) Spread(net int, scene *Scene, faults []int) signal.Spread {
	s.foreteller.state.Foretell(faults, scene)
	return s.foreteller.state.Nets[net]
}
