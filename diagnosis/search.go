package diagnosis

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// Limits bound the search for sets of faults. Zero or less stands for the
// default.
type Limits struct {
	// Sets is how many sets are weighed at most, 15,000 by default; the empty
	// set and the single faults are weighed in any case.
	Sets int
	Size int // at most so many faults in a set, 6 by default
	Beam int // so many of the best sets are grown further, 80 by default
}

func (l Limits) withDefaults() Limits {
	if l.Sets <= 0 {
		l.Sets = 6_000
	}
	if l.Size <= 0 {
		l.Size = 6
	}
	if l.Beam <= 0 {
		l.Beam = 50
	}
	return l
}

// Set is one set of faults with its posterior probability.
type Set struct {
	Faults      []int // ascending indices into Problem.Faults; empty: nothing is wrong
	Probability float64
	// LogLikelihood is what the model said of it.
	LogLikelihood float64
}

// Posterior is the outcome of weighing all sets that were looked at.
type Posterior struct {
	// Sets are those weighed, by falling probability. Where a Model tells that
	// faults stand apart (Apart), they are left open in them: the probability is
	// that of the set with any of these.
	Sets        []Set
	Undescribed float64 // probability of something not described
	// Exact is true when every possible set was weighed. Otherwise LeftOut is
	// an upper bound of the probability that the truth is a set not weighed;
	// the bound is safe but often far too high. Guess extrapolates: had the
	// sets that were not grown further done as well as those that were, which a
	// set escapes only when none of those it could grow from was grown.
	Exact   bool
	LeftOut float64
	Guess   float64
	// LogEvidence is ln of the chance of all that was read, over everything
	// weighed; its fall from one reading to the next measures surprise.
	LogEvidence float64
	// BySize counts the sets weighed with 0, 1, 2 … faults.
	BySize []int

	leaves *leaves
}

// Search weighs sets of faults: all sets up to the size at which they become
// too many, and beyond that those that grow by one fault from the best of the
// size before. It stops with the context's error when cancelled.
func Search(ctx context.Context, problem Problem, limits Limits) (*Posterior, error) {
	if err := problem.check(); err != nil {
		return nil, err
	}
	limits = limits.withDefaults()
	s := newSearch(&problem, limits)
	for size := 0; size <= limits.Size; size++ {
		level := s.next(size)
		if len(level) == 0 {
			break
		}
		if err := s.weigh(ctx, level); err != nil {
			return nil, err
		}
		if size >= 2 && s.saturated(level) {
			break
		}
	}
	if s.leaves != nil {
		if err := s.leaves.weigh(ctx, s.all); err != nil {
			return nil, err
		}
		s.total = logSum(s.all)
	}
	return s.posterior()
}

// weighed is a set with its unnormalised log posterior.
type weighed struct {
	faults     []int
	alone      float64 // ln prior, were the faults independent
	prior      float64 // ln prior
	likelihood float64 // ln likelihood
}

func (w weighed) log() float64 { return w.prior + w.likelihood }

// search is the state of one Search.
type search struct {
	problem    *Problem
	limits     Limits
	casualties casualties
	leaves     *leaves   // the items that are weighed by themselves; nil when none are
	base       float64   // ln prior of the empty set
	step       []float64 // what each fault adds to the ln prior
	all        []weighed
	last       []weighed // the level weighed last, best first
	bySize     []int
	priors     []float64 // sum of the priors weighed, by size
	whole      int       // every set of fewer faults than this was weighed
	total      float64   // ln of the sum over all
	full       bool      // no size was cut short so far
	share      float64   // the share of the last size's weight that was grown further
	missed     float64   // extrapolated ln of the weights not reached
}

func newSearch(problem *Problem, limits Limits) *search {
	s := &search{problem: problem, limits: limits, total: math.Inf(-1), missed: math.Inf(-1), full: true}
	bad := problem.bad()
	s.casualties = newCasualties(problem, bad)
	s.base = math.Log1p(-problem.Undescribed)
	for _, b := range bad {
		s.base += math.Log1p(-b)
	}
	s.step = make([]float64, len(problem.Faults))
	for i, f := range problem.Faults {
		s.step[i] = math.Log(f.Prior) - math.Log1p(-bad[f.Item])
	}
	s.leaves = newLeaves(s)
	return s
}

// next lists the sets of the given size that are to be weighed.
func (s *search) next(size int) []weighed {
	if size == 0 {
		return []weighed{{faults: []int{}, alone: s.base, prior: s.base}}
	}
	room := s.limits.Sets - len(s.all)
	if s.full {
		if count := len(s.last) * len(s.problem.Faults) / size; count <= room || size == 1 {
			level, _ := s.grow(s.last, true)
			return level
		}
		s.full = false
	}
	level, grown := s.grow(s.last[:min(s.limits.Beam, len(s.last))], false)
	s.share = math.Exp(logSum(s.last[:grown]) - logSum(s.last))
	return level
}

// grow adds one fault to each of the sets. When complete, the sets hold every
// set of their size, and each larger set is made once by adding faults in
// ascending order; else duplicates are dropped by name, and growing stops when
// the level has its share of the room. It tells how many of the sets were grown.
func (s *search) grow(from []weighed, complete bool) (level []weighed, grown int) {
	seen := map[string]bool{}
	faults := s.problem.Faults
	sieve, sieved := s.problem.Model.(Sieve)
	room := s.limits.Sets - len(s.all)
	if !complete {
		room -= room / 3 // leave some for larger sets
	}
	for i, set := range from {
		var helping []bool
		if sieved && !complete {
			helping = sieve.Helping(set.faults)
		}
		for f := range faults {
			if helping != nil && !helping[f] || s.leaves.isApart(f) {
				continue
			}
			if len(level) >= room && !complete {
				return level, i
			}
			if slices.ContainsFunc(set.faults, func(g int) bool { return faults[g].Item == faults[f].Item }) {
				continue
			}
			if complete && len(set.faults) > 0 && f < set.faults[len(set.faults)-1] {
				continue
			}
			larger := make([]int, len(set.faults), len(set.faults)+1)
			copy(larger, set.faults)
			at, _ := slices.BinarySearch(larger, f)
			larger = slices.Insert(larger, at, f)
			if !complete {
				key := name(larger)
				if seen[key] {
					continue
				}
				seen[key] = true
			}
			alone := set.alone + s.step[f]
			level = append(level, weighed{faults: larger, alone: alone, prior: alone + s.casualties.extra(larger)})
		}
	}
	return level, len(from)
}

// name is a set's key in a map.
func name(faults []int) string {
	key := make([]byte, 0, 4*len(faults))
	for _, f := range faults {
		key = append(key, byte(f), byte(f>>8), byte(f>>16), ',')
	}
	return string(key)
}

// weigh asks the model for every set of a level, on all cores.
func (s *search) weigh(ctx context.Context, level []weighed) error {
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(level)) {
		workers.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(level) {
					return
				}
				level[i].likelihood = s.problem.Model.LogLikelihood(level[i].faults)
			}
		})
	}
	workers.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	prior := 0.0
	for _, w := range level {
		if math.IsNaN(w.likelihood) || math.IsInf(w.likelihood, 1) {
			return fmt.Errorf("diagnosis: the model gave ln likelihood %v for faults %v", w.likelihood, w.faults)
		}
		s.total = logAdd(s.total, w.log())
		prior += math.Exp(w.prior)
	}
	if !s.full && s.share > 0 && s.share < 1 {
		// a set of k faults is reached from any of the k sets it is one fault more than
		never := math.Pow(1-s.share, float64(len(s.bySize)))
		s.missed = logAdd(s.missed, math.Log(never/(1-never))+logSum(level))
	}
	s.bySize = append(s.bySize, len(level))
	s.priors = append(s.priors, prior)
	if s.full {
		s.whole++
	}
	s.all = append(s.all, level...)
	s.last = slices.Clone(level)
	slices.SortStableFunc(s.last, func(a, b weighed) int { return cmp.Compare(b.log(), a.log()) })
	return nil
}

// saturated reports whether a beam level added next to nothing.
func (s *search) saturated(level []weighed) bool {
	if s.full {
		return false
	}
	return logSum(level)-s.total < math.Log(1e-4)
}

// logSum is ln of the sum of the weights of sets.
func logSum(level []weighed) float64 {
	sum := math.Inf(-1)
	for _, w := range level {
		sum = logAdd(sum, w.log())
	}
	return sum
}

// posterior normalises what was weighed.
func (s *search) posterior() (*Posterior, error) {
	undescribed := math.Inf(-1)
	if s.problem.Undescribed > 0 {
		l := s.problem.Model.Undescribed()
		if math.IsNaN(l) || math.IsInf(l, 1) {
			return nil, fmt.Errorf("diagnosis: the model gave ln likelihood %v for an undescribed fault", l)
		}
		undescribed = math.Log(s.problem.Undescribed) + l
	}
	ceiling := s.problem.Model.Ceiling()
	if math.IsNaN(ceiling) {
		return nil, fmt.Errorf("diagnosis: the model gave %v as ceiling of its ln likelihood", ceiling)
	}
	total := logAdd(s.total, undescribed)
	if math.IsInf(total, -1) {
		return nil, fmt.Errorf("diagnosis: what was read is impossible under every set of faults that was weighed")
	}
	p := &Posterior{Undescribed: math.Exp(undescribed - total), LogEvidence: total, leaves: s.leaves}
	for _, w := range s.all {
		for len(w.faults) >= len(p.BySize) {
			p.BySize = append(p.BySize, 0)
		}
		p.BySize[len(w.faults)]++
		p.Sets = append(p.Sets, Set{Faults: w.faults, Probability: math.Exp(w.log() - total), LogLikelihood: w.likelihood})
	}
	slices.SortStableFunc(p.Sets, func(a, b Set) int { return cmp.Compare(b.Probability, a.Probability) })
	bad, scale := s.leaves.core(s.problem.bad())
	sizes := sizesOf(1-s.problem.Undescribed, bad)
	for i := range s.priors {
		s.priors[i] *= scale
	}
	p.Exact = s.whole == len(sizes)
	if left := s.left(sizes); left > 0 {
		over := math.Log(left) + ceiling - total
		p.LeftOut = 1 / (1 + math.Exp(-over))
		p.Guess = min(1/(1+math.Exp(total-s.missed)), p.LeftOut)
	}
	return p, nil
}

// left is the prior chance of the sets not weighed, given that of each size.
// It is summed size by size: as one minus what was weighed, a chance below
// 1e-16 would be lost in rounding, and may yet be all that explains the
// readings.
func (s *search) left(sizes []float64) float64 {
	const rounding = 1e-12 // of the sum over one size
	left := 0.0
	for size, all := range sizes {
		switch {
		case size < s.whole:
		case size < len(s.priors):
			left += max(all-s.priors[size], all*rounding)
		default:
			left += all
		}
	}
	if len(s.problem.Casualties) > 0 { // they make larger sets likelier
		weighed := 0.0
		for _, prior := range s.priors {
			weighed += prior
		}
		left = max(left, 1-s.problem.Undescribed-weighed)
	}
	return left
}
