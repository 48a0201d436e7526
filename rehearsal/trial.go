package rehearsal

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"halfsplit/diagnosis"
)

// Trial is one hunt.
type Trial struct {
	Truth  int  // the hypothesis that was true
	Hidden bool // it was kept from whoever looked for it
	// Answers are the tests made, of which Made before suspects were first named,
	// at the cost Naming.
	Answers []Answered
	Made    int
	Naming  float64
	// Named are the suspects then, the likeliest first, with their probabilities;
	// −1 stands for something not described.
	Named  []int
	Stated []float64
	Left   float64 // uncertainty then, bits over the sets of suspects
	// Then the likeliest for its cost is replaced, and where the unit still does
	// not work, the hunt goes on. Testing is the cost of all tests, Repair that
	// of replacing and of looking beyond what is described; Innocent counts good
	// parts replaced; Beyond says that the trouble was taken in the end for
	// something not described.
	Testing, Repair float64
	Innocent        int
	Beyond          bool
	// Statements are what was said of the first suspect after each test, the
	// start included.
	Statements []Statement
	Last       int // the one among them at which suspects were first named
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
		used: make([]bool, len(setup.Tests)), confirmed: map[int]int{}, sets: setup.sets(), swaps: setup.swaps(),
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
		if err := s.learn(unit, test, answer); err != nil {
			trial.Failed = true
			return false
		}
		s.forget()
		return true
	}
	ok := true
	for i, t := range setup.Tests {
		if t.Cost == 0 && ok {
			ok = ask(i)
		}
	}
	trial.state(s)
	for {
		for ok && len(s.Made) < rules.Tests {
			test := strategy.Next(s)
			if test < 0 {
				break
			}
			trial.Testing += setup.Tests[test].Cost
			ok = ask(test)
			trial.state(s)
		}
		if trial.Named == nil {
			trial.name(s, ok)
		}
		if trial.replace(s, &ok) {
			trial.Answers = s.Made
			return trial
		}
	}
}

// learn takes in the answer to a test.
func (s *Session) learn(unit Unit, test, answer int) error {
	weigher, ok := unit.(Weigher)
	if !ok {
		return s.Table.Update(test, answer)
	}
	weights := slices.Clone(s.Table.Weights())
	weigher.Weigh(answer, weights)
	return s.Table.Reweigh(weights)
}

// forgotten is the probability below which a hypothesis is no longer followed.
const forgotten = 1e-8

// forget drops hypotheses of no account, which saves most of the work.
func (s *Session) forget() {
	weights := slices.Clone(s.Table.Weights())
	for h, w := range weights {
		if w < forgotten {
			weights[h] = 0
		}
	}
	if err := s.Table.Reweigh(weights); err != nil {
		panic(err) // they added up to one
	}
}

// hide takes every hypothesis with any of the truth's suspects out of the
// table; false when nothing is left.
func hide(table *diagnosis.Table, setup *Setup, truth int) bool {
	weights := slices.Clone(table.Weights())
	for h := range weights {
		for _, x := range setup.Hypotheses[truth].Suspects {
			if slices.Contains(setup.Hypotheses[h].Suspects, x) || slices.Contains(setup.Hypotheses[h].Like, x) {
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

// name notes what is said when the first testing ends.
func (t *Trial) name(s *Session, ok bool) {
	t.Made, t.Naming, t.Left = len(s.Made), t.Testing, s.Table.Entropy()
	t.Named, t.Stated = s.ranking()
	t.Last = len(t.Statements) - 1
	if !ok { // no hypothesis is left: only something not described can be named
		t.Named, t.Stated, t.Left = []int{-1}, []float64{1}, 0
	}
}

// replace replaces the suspect that is likeliest for its cost, and reports
// whether the hunt is over: the unit works, or it is time to look beyond what
// is described. ok turns false when nothing described is left.
func (t *Trial) replace(s *Session, ok *bool) bool {
	named, _ := s.ranking()
	if !*ok || len(named) == 0 || named[0] < 0 {
		t.Beyond = true
		t.Repair += s.Setup.Lost
		return true
	}
	order, _ := diagnosis.ReplaceAll(s.remaining(), s.Table.Weights(), s.swaps, s.Setup.Lost)
	if len(order) == 0 || t.Repair > s.Setup.Lost {
		t.Repair += s.Setup.Lost // given up
		return true
	}
	swapped := order[0]
	t.Repair += s.swaps[swapped]
	s.replaced = append(s.replaced, swapped)
	if !t.bad(s.Setup, swapped) || t.Hidden {
		t.Innocent++
	}
	works := func(h *Hypothesis) bool {
		return !h.Undescribed() && !slices.ContainsFunc(h.Suspects, func(x int) bool { return !slices.Contains(s.replaced, x) })
	}
	if truth := &s.Setup.Hypotheses[t.Truth]; !t.Hidden && works(truth) {
		return true
	}
	weights := slices.Clone(s.Table.Weights())
	for h := range weights {
		if works(&s.Setup.Hypotheses[h]) {
			weights[h] = 0
		}
	}
	if s.Table.Reweigh(weights) != nil {
		*ok = false
	}
	return false
}
