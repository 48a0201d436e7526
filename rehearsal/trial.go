package rehearsal

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"halfsplit/diagnosis"
)

// Trial is one hunt.
type Trial struct {
	Truth  int  // the hypothesis that was true
	Hidden bool // it was kept from whoever looked for it
	Made   []Answered
	// Testing is the cost of the tests, Repair that of replacing afterwards
	// until the unit worked, or of looking beyond what is described.
	Testing, Repair float64
	// Named are the suspects at the end, the likeliest first, with their
	// probabilities; −1 stands for something not described.
	Named  []int
	Stated []float64
	Left   float64 // uncertainty at the end, bits over the sets of suspects
	// Statements are what was said of the first suspect after each test, the
	// start included.
	Statements []Statement
	// Failed says that an answer came that no hypothesis allowed for.
	Failed bool
}

// Statement is a probability stated, and whether it was so.
type Statement struct {
	Stated float64
	Right  bool
}

// hunt plays one hunt.
func hunt(bench Bench, strategy Strategy, rules Rules, truth int, hidden bool, random *rand.Rand) Trial {
	setup := bench.Setup()
	s := &Session{
		Setup: setup, Table: bench.Table().Clone(), Random: random, Rules: rules,
		used: make([]bool, len(setup.Tests)), confirmed: map[int]bool{}, sets: setup.sets(), swaps: setup.swaps(),
	}
	trial := Trial{Truth: truth, Hidden: hidden}
	if hidden && !hide(s.Table, setup, truth) {
		trial.Failed = true
		return trial
	}
	unit := bench.Build(truth, random)
	ask := func(test int) bool {
		answer := unit.Answer(test, random)
		s.used[test] = true
		s.Made = append(s.Made, Answered{test, answer})
		if err := s.Table.Update(test, answer); err != nil {
			trial.Failed = true
			return false
		}
		return true
	}
	ok := true
	for i, t := range setup.Tests {
		if t.Cost == 0 && ok {
			ok = ask(i)
		}
	}
	trial.state(s)
	for ok && len(s.Made) < rules.Tests {
		test := strategy.Next(s)
		if test < 0 {
			break
		}
		trial.Testing += setup.Tests[test].Cost
		ok = ask(test)
		trial.state(s)
	}
	trial.Made = s.Made
	trial.end(s, ok)
	return trial
}

// hide takes every hypothesis with any of the truth's suspects out of the
// table; false when nothing is left.
func hide(table *diagnosis.Table, setup *Setup, truth int) bool {
	weights := slices.Clone(table.Weights())
	for h := range weights {
		for _, x := range setup.Hypotheses[truth].Suspects {
			if slices.Contains(setup.Hypotheses[h].Suspects, x) {
				weights[h] = 0
			}
		}
	}
	return table.Reweigh(weights) == nil
}

// ranking lists suspects by falling probability, something not described among
// them as −1.
func (s *Session) ranking() (named []int, stated []float64) {
	suspects, beyond := s.Suspicion()
	of := func(x int) float64 {
		if x < 0 {
			return beyond
		}
		return suspects[x]
	}
	for x := -1; x < len(suspects); x++ {
		if of(x) > 0 {
			named = append(named, x)
		}
	}
	slices.SortStableFunc(named, func(a, b int) int { return cmp.Compare(of(b), of(a)) })
	for _, x := range named {
		stated = append(stated, of(x))
	}
	return named, stated
}

// bad reports whether a suspect is bad in the truth; −1 asks for something not
// described.
func (t *Trial) bad(setup *Setup, suspect int) bool {
	h := &setup.Hypotheses[t.Truth]
	if suspect < 0 {
		return t.Hidden || h.Undescribed()
	}
	return slices.Contains(h.Suspects, suspect)
}

// state notes what is said of the first suspect now.
func (t *Trial) state(s *Session) {
	named, stated := s.ranking()
	if len(named) > 0 {
		t.Statements = append(t.Statements, Statement{stated[0], t.bad(s.Setup, named[0])})
	}
}

// end names suspects and replaces them until the unit works.
func (t *Trial) end(s *Session, ok bool) {
	t.Left = s.Table.Entropy()
	t.Named, t.Stated = s.ranking()
	if !ok { // no hypothesis is left: only something not described can be named
		t.Named, t.Stated, t.Left = []int{-1}, []float64{1}, 0
	}
	order, _ := diagnosis.ReplaceAll(s.sets, s.Table.Weights(), s.swaps, s.Setup.Lost)
	if t.Hidden || s.Setup.Hypotheses[t.Truth].Undescribed() || !ok {
		inVain := 0.0
		if ok {
			for _, x := range order {
				inVain += s.swaps[x]
			}
		}
		t.Repair = math.Min(inVain, s.Setup.Lost) + s.Setup.Lost
		return
	}
	bad := slices.Clone(s.Setup.Hypotheses[t.Truth].Suspects)
	for _, x := range order {
		t.Repair += s.swaps[x]
		bad = slices.DeleteFunc(bad, func(b int) bool { return b == x })
		if len(bad) == 0 {
			return
		}
		if t.Repair > s.Setup.Lost && s.Setup.Lost > 0 {
			break
		}
	}
	t.Repair += s.Setup.Lost // given up
}
