package rehearsal

import (
	"math"
	"math/rand/v2"
	"slices"

	"halfsplit/diagnosis"
)

// Strategy names the next test.
type Strategy struct {
	Name string
	// Next is the number of the test to make, −1 to end the testing. It may
	// change nothing but its own notes.
	Next func(*Session) int
}

// Session is what is known at one point of a hunt.
type Session struct {
	Setup  *Setup
	Table  *diagnosis.Table // weighed by all answers so far
	Made   []Answered
	Random *rand.Rand
	Rules  Rules

	used      []bool
	confirmed map[int]int // by suspect, how many tests were made for that
	replaced  []int
	sets      [][]int
	swaps     []float64
}

// Answered is a test that was made.
type Answered struct{ Test, Answer int }

// Rules say when testing ends. Zero stands for the default.
type Rules struct {
	// Sure ends the testing when a suspect, or something not described, is as
	// probable as that: 0.9 by default.
	Sure float64
	// Leaning lets a suspect as probable as that be replaced when no test is
	// expected to save anything: 0.75 by default; 1 or more for never.
	Leaning float64
	// Bits is what a test must tell to be worth making: 0.02 by default.
	Bits float64
	// Tests is how many tests are made at most, 60 by default.
	Tests int
}

func (r Rules) withDefaults() Rules {
	if r.Sure <= 0 {
		r.Sure = 0.9
	}
	if r.Leaning <= 0 {
		r.Leaning = 0.75
	}
	if r.Bits <= 0 {
		r.Bits = 0.02
	}
	if r.Tests <= 0 {
		r.Tests = 60
	}
	return r
}

// Suspicion is the probability, for each suspect, that it is bad and still in the
// unit, and that of something not described.
func (s *Session) Suspicion() (suspects []float64, beyond float64) {
	suspects = make([]float64, len(s.Setup.Suspects))
	for h, w := range s.Table.Weights() {
		if s.Setup.Hypotheses[h].Undescribed() {
			beyond += w
		}
		for _, x := range s.Setup.Hypotheses[h].Suspects {
			suspects[x] += w
		}
	}
	for _, x := range s.replaced {
		suspects[x] = 0
	}
	return suspects, beyond
}

// remaining lists, for each hypothesis, the bad suspects still in the unit; nil
// for something not described.
func (s *Session) remaining() [][]int {
	if len(s.replaced) == 0 {
		return s.sets
	}
	left := make([][]int, len(s.sets))
	for h, set := range s.sets {
		if set != nil {
			left[h] = slices.DeleteFunc(slices.Clone(set), func(x int) bool { return slices.Contains(s.replaced, x) })
		}
	}
	return left
}

// sure is the largest of the probabilities.
func (s *Session) sure() float64 {
	suspects, beyond := s.Suspicion()
	return max(beyond, slices.Max(append(suspects, 0)))
}

// open lists the tests that can still be made.
func (s *Session) open() []int {
	var list []int
	for i, t := range s.Setup.Tests {
		if t.Cost > 0 && (t.Repeat || !s.used[i]) && (t.After == nil || slices.Contains(s.Made, *t.After)) {
			list = append(list, i)
		}
	}
	return list
}

// ended reports whether the rules end the testing.
func (s *Session) ended() bool { return s.sure() >= s.Rules.Sure }

// gains gives what each open test tells, in bits; tests that tell too little
// are left out.
func (s *Session) gains() (tests []int, gains []float64) {
	for _, i := range s.open() {
		if g := s.Table.Gain(i); g >= s.Rules.Bits {
			tests, gains = append(tests, i), append(gains, g)
		}
	}
	return tests, gains
}

// OneAhead makes the test that tells most for its cost.
func OneAhead() Strategy {
	return Strategy{"one test ahead", func(s *Session) int {
		if s.ended() {
			return -1
		}
		return s.mostForItsCost(s.gains())
	}}
}

func (s *Session) mostForItsCost(tests []int, gains []float64) int {
	best, most := -1, 0.0
	for k, i := range tests {
		if worth := gains[k] / s.Setup.Tests[i].Cost; worth > most+1e-12 {
			best, most = i, worth
		}
	}
	return best
}

// Unguarded makes the test that tells most for its cost, looked ahead to the end
// when few suspects are left; no test where a suspect is likely enough and none
// saves anything.
func Unguarded() Strategy { return Strategy{"unguarded", (*Session).next} }

// Halfsplit is the strategy of the program: the same, but before a suspect is named,
// the test is made that best tells it from something not described, mostly a test of
// the part by itself; and around one that is only likely all is read: inputs good,
// supplies good, output bad. It costs more, and keeps innocent parts in their place.
func Halfsplit() Strategy {
	return Strategy{"halfsplit", func(s *Session) int {
		if test := s.next(); test >= 0 {
			return test
		}
		return s.confirming()
	}}
}

func (s *Session) next() int {
	if s.ended() {
		return -1
	}
	tests, gains := s.gains()
	if len(tests) == 0 || s.sure() >= s.Rules.Leaning && !s.saves(tests, gains) {
		return -1
	}
	best := s.mostForItsCost(tests, gains)
	if len(s.Setup.Hypotheses) > few && (s.Table.Entropy() > nearEnd || s.scattered()) {
		return best
	}
	if chosen := s.ahead(tests); chosen >= 0 {
		return chosen
	}
	return best
}

// tells is the least, in bits, that a test must tell of an even doubt between a
// suspect and something not described, to be worth making before the suspect is
// named.
const tells = 0.3

// confirming is the test that tells most for its cost of whether the first
// suspect is bad or something not described is; −1 when there is none, or it
// was made. It asks twice: against all that is not described, for which mostly the
// part is tested by itself, and against what may do anything, for which a reading
// must be what the suspect makes of it.
func (s *Session) confirming() int {
	named, _ := s.ranking()
	if len(named) == 0 || named[0] < 0 {
		return -1
	}
	for suspect := named[0]; s.confirmed[suspect] < 2; {
		s.confirmed[suspect]++
		if test := s.against(suspect, s.confirmed[suspect] == 2); test >= 0 {
			return test
		}
	}
	if s.sure() >= s.Rules.Sure {
		return -1
	}
	return s.surroundings(named[0])
}

// surroundings is a reading around the suspect that was not made: its inputs good, its
// supplies good, its output bad. What tells next to nothing is left out.
func (s *Session) surroundings(suspect int) int {
	doubt := s.doubted(suspect, true)
	if doubt == nil {
		return -1
	}
	best, most := -1, 0.0
	for _, i := range s.open() {
		if !slices.Contains(s.Setup.Tests[i].Around, suspect) || s.used[i] {
			continue
		}
		if g := doubt.Gain(i); g >= shows && g/s.Setup.Tests[i].Cost > most {
			best, most = i, g/s.Setup.Tests[i].Cost
		}
	}
	return best
}

// shows is the same for a reading around the suspect.
const shows = 0.08

// against is the test that best tells a suspect from something not described, or
// from that of it which may do anything.
func (s *Session) against(suspect int, anything bool) int {
	doubt := s.doubted(suspect, anything)
	if doubt == nil {
		return -1
	}
	best, most := -1, 0.0
	for _, i := range s.open() {
		if g := doubt.Gain(i); g >= tells && g/s.Setup.Tests[i].Cost > most {
			best, most = i, g/s.Setup.Tests[i].Cost
		}
	}
	return best
}

// doubted is the table with an even doubt between a suspect and something not
// described, or that of it which may do anything; nil when there is none of either.
func (s *Session) doubted(suspect int, anything bool) *diagnosis.Table {
	weights := slices.Clone(s.Table.Weights())
	class := make([]int, len(weights))
	var total [2]float64 // of something not described, of the suspect
	for h := range weights {
		one := &s.Setup.Hypotheses[h]
		switch {
		case one.Undescribed() && !(anything && len(one.Like) > 0):
			total[0] += weights[h]
		case slices.Contains(one.Suspects, suspect):
			class[h] = 1
			total[1] += weights[h]
		default:
			weights[h] = 0
		}
	}
	if total[0] == 0 || total[1] == 0 {
		return nil
	}
	for h := range weights {
		weights[h] /= total[class[h]]
	}
	doubt := s.Table.Clone()
	if doubt.Reweigh(weights) != nil || doubt.Join(class) != nil {
		return nil
	}
	return doubt
}

// nearEnd is the uncertainty, in bits, below which it pays to look ahead, and few
// the number of hypotheses that one always looks ahead with.
const (
	nearEnd = 4.5
	few     = 64
)

// scattered reports whether more hypotheses are possible than a look ahead can
// take in.
func (s *Session) scattered() bool {
	sorted := slices.Sorted(slices.Values(s.Table.Weights()))
	left := 0.0
	for _, w := range sorted[:max(0, len(sorted)-lookedAt)] {
		left += w
	}
	return left > 0.02
}

// lookedAt is the number of hypotheses that a look ahead takes in.
const lookedAt = 24

// ahead looks to the end, or is −1 where that is not possible.
func (s *Session) ahead(tests []int) int {
	costs := make([]float64, len(s.Setup.Tests))
	for i := range costs {
		costs[i] = math.Inf(1) // not to be made
	}
	for _, i := range tests {
		costs[i] = s.Setup.Tests[i].Cost
	}
	most := lookedAt
	if len(s.Setup.Hypotheses) <= few {
		most = few
	}
	choice, err := s.Table.Choose(diagnosis.Goal{Costs: costs, Sure: s.Rules.Sure}, diagnosis.Effort{Hypotheses: most, States: 1000})
	if err != nil || choice.Test < 0 || !slices.Contains(tests, choice.Test) {
		return -1
	}
	return choice.Test
}

// saves reports whether a test is expected to save at least half a unit of cost
// against replacing at once.
func (s *Session) saves(tests []int, gains []float64) bool {
	sets := s.remaining()
	_, now := diagnosis.ReplaceAll(sets, s.Table.Weights(), s.swaps, s.Setup.Lost)
	after := make([]float64, len(s.Setup.Hypotheses))
	order := slices.Clone(tests)
	worth := map[int]float64{}
	for k, i := range tests {
		worth[i] = gains[k] / s.Setup.Tests[i].Cost
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case worth[a] > worth[b]:
			return -1
		case worth[a] < worth[b]:
			return 1
		}
		return 0
	})
	const looked = 6
	for _, i := range order[:min(looked, len(order))] {
		saved := now - s.Setup.Tests[i].Cost
		for a, p := range slices.Clone(s.Table.Answers(i)) {
			if p < 1e-6 {
				continue
			}
			s.Table.After(i, a, after)
			_, then := diagnosis.ReplaceAll(sets, after, s.swaps, s.Setup.Lost)
			saved -= p * then
		}
		if saved >= 0.5 {
			return true
		}
	}
	return false
}

// AtRandom makes any test that still tells something.
func AtRandom() Strategy {
	return Strategy{"at random", func(s *Session) int {
		if s.ended() {
			return -1
		}
		tests := s.open()
		s.Random.Shuffle(len(tests), func(i, j int) { tests[i], tests[j] = tests[j], tests[i] })
		for _, i := range tests { // the first in a random order is any of those that tell
			if s.Table.Gain(i) >= s.Rules.Bits {
				return i
			}
		}
		return -1
	}}
}

// UsualSuspects makes no test: parts are replaced at once, those first that are
// bad most often for what they cost.
func UsualSuspects() Strategy {
	return Strategy{"usual suspects first", func(*Session) int { return -1 }}
}

// ByPosition reads in the middle between the last place found good and the
// first found bad along the way of the signal, whatever the odds and costs.
func ByPosition() Strategy {
	return Strategy{"halving by position", func(s *Session) int {
		low, high := -1, math.MaxInt
		for _, m := range s.Made {
			t := &s.Setup.Tests[m.Test]
			switch {
			case t.Position < 0:
			case m.Answer == t.Good:
				low = max(low, t.Position)
			default:
				high = min(high, t.Position)
			}
		}
		var between []int
		for _, i := range s.open() {
			if p := s.Setup.Tests[i].Position; p > low && p < high && !s.used[i] {
				between = append(between, i)
			}
		}
		if s.ended() || len(between) == 0 {
			return -1
		}
		slices.SortStableFunc(between, func(a, b int) int { return s.Setup.Tests[a].Position - s.Setup.Tests[b].Position })
		return between[(len(between)-1)/2]
	}}
}

// Strategies are all of them, that of the program first.
func Strategies() []Strategy {
	return []Strategy{Halfsplit(), Unguarded(), OneAhead(), ByPosition(), AtRandom(), UsualSuspects()}
}
