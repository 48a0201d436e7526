package rehearsal

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"halfsplit/diagnosis"
)

// Bench is what a rehearsal is played on: a kind of unit of which one can be
// built with any of the faults that are described. It must be safe for
// concurrent use.
type Bench interface {
	// Setup describes the bench; it does not change.
	Setup() *Setup
	// Table holds what each test would answer under each hypothesis, as far as
	// whoever looks for the fault knows. Hypotheses and tests are numbered as in
	// the setup. It is cloned, not changed.
	Table() *diagnosis.Table
	// Build makes one unit in which the hypothesis is true: one sample of its
	// tolerances.
	Build(hypothesis int, random *rand.Rand) Unit
}

// Unit is one faulty unit.
type Unit interface {
	// Answer makes a test: the number of its answer.
	Answer(test int, random *rand.Rand) int
}

// Weigher is a unit whose answers say more than their number: what was read as a
// figure.
type Weigher interface {
	Unit
	// Weigh multiplies the weights of hypotheses by how the answer that was given
	// last speaks for each, given those before. A common factor does not matter.
	Weigh(answer int, weights []float64)
}

// Setup describes a bench.
type Setup struct {
	Suspects   []Suspect
	Hypotheses []Hypothesis
	Tests      []Test
	// Lost is the cost of a trouble that replacing does not mend: of looking
	// beyond what is described.
	Lost float64
}

// Suspect is something that can be replaced or mended.
type Suspect struct {
	Name    string
	Replace float64 // cost of replacing it, zero or more
}

// Hypothesis is one way the unit can be.
type Hypothesis struct {
	Name string
	// Prior is how likely it is beforehand, relative to the others.
	Prior float64
	// Suspects are those that are bad, ascending; none means something that is
	// not described.
	Suspects []int
	// Like are described suspects that something not described acts like.
	Like []int
}

// Undescribed reports whether the hypothesis is that of something not described.
func (h *Hypothesis) Undescribed() bool { return len(h.Suspects) == 0 }

// Test is something that can be done.
type Test struct {
	Name string
	// Cost is above zero, or zero for what comes with the unit, such as the
	// complaint: that is made at the start.
	Cost float64
	// Position is the place along the way of the signal, for whoever halves by
	// position; below zero where there is none.
	Position int
	// Good is the answer that means that all is well up to there.
	Good int
	// Repeat allows the test to be made again, each answer being independent
	// given what is wrong.
	Repeat bool
	// After, when set, is what another test must have said before: whether a part is
	// really bad is asked once it tested bad.
	After *Answered
	// Around are the suspects of which it is an input, a supply or an output.
	Around []int
}

// check reports the first thing in a bench that makes no sense.
func check(bench Bench) error {
	s, table := bench.Setup(), bench.Table()
	switch {
	case len(s.Hypotheses) == 0:
		return errors.New("rehearsal: nothing is described that could be wrong")
	case len(s.Tests) == 0:
		return errors.New("rehearsal: there is no test")
	case len(table.Weights()) != len(s.Hypotheses) || table.Tests() != len(s.Tests):
		return fmt.Errorf("rehearsal: the table has %d hypotheses and %d tests, the bench %d and %d",
			len(table.Weights()), table.Tests(), len(s.Hypotheses), len(s.Tests))
	case !(s.Lost >= 0) || math.IsInf(s.Lost, 1):
		return fmt.Errorf("rehearsal: looking beyond what is described costs %v; it must be zero or more", s.Lost)
	}
	for i, x := range s.Suspects {
		if !(x.Replace >= 0) || math.IsInf(x.Replace, 1) {
			return fmt.Errorf("rehearsal: replacing %s (suspect %d) costs %v; it must be zero or more", x.Name, i, x.Replace)
		}
	}
	total := 0.0
	for i, h := range s.Hypotheses {
		if !(h.Prior >= 0) || math.IsInf(h.Prior, 1) {
			return fmt.Errorf("rehearsal: hypothesis %d (%s) has prior %v", i, h.Name, h.Prior)
		}
		total += h.Prior
		for k, x := range h.Suspects {
			if x < 0 || x >= len(s.Suspects) || k > 0 && x <= h.Suspects[k-1] {
				return fmt.Errorf("rehearsal: hypothesis %d (%s) has suspects %v; they are numbered from 0 to %d, in ascending order", i, h.Name, h.Suspects, len(s.Suspects)-1)
			}
		}
	}
	if total == 0 {
		return errors.New("rehearsal: no hypothesis has any weight")
	}
	for i, t := range s.Tests {
		if t.After != nil && (t.After.Test < 0 || t.After.Test >= i || t.After.Answer < 0) {
			return fmt.Errorf("rehearsal: test %d (%s) waits for test %d; that must come before it", i, t.Name, t.After.Test)
		}
		for _, x := range t.Around {
			if x < 0 || x >= len(s.Suspects) {
				return fmt.Errorf("rehearsal: test %d (%s) shows what is around suspect %d, but there are %d", i, t.Name, x, len(s.Suspects))
			}
		}
		if !(t.Cost >= 0) || math.IsInf(t.Cost, 1) {
			return fmt.Errorf("rehearsal: test %d (%s) costs %v; it must be zero or more", i, t.Name, t.Cost)
		}
	}
	return nil
}

// classes numbers hypotheses by the suspects that are bad in them.
func (s *Setup) classes() []int {
	number := map[string]int{}
	class := make([]int, len(s.Hypotheses))
	for i := range s.Hypotheses {
		key := fmt.Sprint(s.Hypotheses[i].Suspects)
		n, known := number[key]
		if !known {
			n = len(number)
			number[key] = n
		}
		class[i] = n
	}
	return class
}

// sets lists the suspects of each hypothesis, nil for something not described.
func (s *Setup) sets() [][]int {
	sets := make([][]int, len(s.Hypotheses))
	for i := range s.Hypotheses {
		if !s.Hypotheses[i].Undescribed() {
			sets[i] = s.Hypotheses[i].Suspects
		}
	}
	return sets
}

func (s *Setup) swaps() []float64 {
	costs := make([]float64, len(s.Suspects))
	for i, x := range s.Suspects {
		costs[i] = x.Replace
	}
	return costs
}
