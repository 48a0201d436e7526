package diagnosis_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// TestSearchIsEnumeration: on a small problem the posterior is that of going
// through every set of faults.
func TestSearchIsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawProblem(t)
		posterior, err := diagnosis.Search(context.Background(), d.Problem, diagnosis.Limits{Size: d.Items})
		if d.total == 0 {
			if err == nil {
				t.Fatal("all is impossible, yet there is a posterior")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if !posterior.Exact || posterior.LeftOut != 0 {
			t.Fatalf("exact: %v, left out: %v; want every set weighed", posterior.Exact, posterior.LeftOut)
		}
		if len(posterior.Sets) != len(d.every) {
			t.Fatalf("%d sets, want %d", len(posterior.Sets), len(d.every))
		}
		found := byName(posterior.Sets)
		sizes := make([]int, len(posterior.BySize))
		for _, l := range d.every {
			set, ok := found[fmt.Sprint(l.faults)]
			if !ok {
				t.Fatalf("%v was not weighed", l.faults)
			}
			if want := l.joint() / d.total; math.Abs(set.Probability-want) > 1e-12 {
				t.Errorf("%v has probability %v, want %v", l.faults, set.Probability, want)
			}
			if set.LogLikelihood != l.likelihood {
				t.Errorf("%v has ln likelihood %v, want %v", l.faults, set.LogLikelihood, l.likelihood)
			}
			sizes[len(l.faults)]++
		}
		if !slices.Equal(sizes, posterior.BySize) {
			t.Errorf("sets by size %v, want %v", posterior.BySize, sizes)
		}
		if want := math.Log(d.total); math.Abs(posterior.LogEvidence-want) > 1e-9 {
			t.Errorf("ln evidence %v, want %v", posterior.LogEvidence, want)
		}
		checkPosterior(t, posterior)
	})
}

// TestSearchLeavesOutNoMore: whatever the limits, what was not weighed has at
// most the probability that is admitted.
func TestSearchLeavesOutNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawProblem(t)
		limits := diagnosis.Limits{
			Sets: rapid.IntRange(1, 60).Draw(t, "sets"),
			Size: rapid.IntRange(1, 4).Draw(t, "size"),
			Beam: rapid.IntRange(1, 6).Draw(t, "beam"),
		}
		bounded := rapid.Bool().Draw(t, "a bound is known")
		if m := d.Model.(model); !bounded {
			m.ceiling = math.Inf(1)
			d.Model = m
		}
		if rapid.Bool().Draw(t, "with a sieve") {
			d.Model = sieved{d.Model.(model), rapid.Uint64().Draw(t, "sieve")}
		}
		posterior, err := diagnosis.Search(context.Background(), d.Problem, limits)
		if err != nil {
			if d.possibleWithin(1) {
				t.Fatal(err)
			}
			return // impossible under all that was weighed
		}
		checkPosterior(t, posterior)
		if most := max(limits.Sets, 1+len(d.Faults)); len(posterior.Sets) > most {
			t.Errorf("%d sets weighed, want at most %d", len(posterior.Sets), most)
		}
		if sizes := len(posterior.BySize) - 1; sizes > limits.Size {
			t.Errorf("sets of %d faults weighed, want at most %d", sizes, limits.Size)
		}
		found := byName(posterior.Sets)
		weighed, left := d.Undescribed*math.Exp(d.Model.Undescribed()), 0.0
		for _, l := range d.every {
			if _, ok := found[fmt.Sprint(l.faults)]; ok {
				weighed += l.joint()
			} else {
				left += l.joint()
			}
		}
		if share := left / d.total; share > posterior.LeftOut+1e-12 {
			t.Errorf("%v of the probability was left out, admitted: %v", share, posterior.LeftOut)
		}
		if posterior.Exact && len(found) < len(d.every) {
			t.Errorf("said to be exact with %d of %d sets", len(found), len(d.every))
		}
		if !posterior.Exact && !bounded && posterior.LeftOut != 1 {
			t.Errorf("with no bound known %v is left out, want 1", posterior.LeftOut)
		}
		// Where a size was cut short, the sieve let every set of it through.
		if sieve, ok := d.Model.(diagnosis.Sieve); ok {
			all := make([]int, d.Items+1)
			for _, l := range d.every {
				all[len(l.faults)]++
			}
			for _, set := range posterior.Sets {
				if size := len(set.Faults); posterior.BySize[size] < all[size] && size > 1 && !letThrough(sieve, set.Faults) {
					t.Errorf("%v was weighed against the sieve", set.Faults)
				}
			}
		}
		// What was weighed is in the right proportion.
		for _, l := range d.every {
			if set, ok := found[fmt.Sprint(l.faults)]; ok && math.Abs(set.Probability-l.joint()/weighed) > 1e-12 {
				t.Errorf("%v has probability %v, want %v", l.faults, set.Probability, l.joint()/weighed)
			}
		}
	})
}

func (s sieved) Helping(faults []int) []bool {
	helping := make([]bool, 24) // of at most eight items with three faults each
	for f := range helping {
		x := s.table
		for _, g := range append(slices.Clone(faults), f) {
			x = scramble(x ^ uint64(g+1))
		}
		helping[f] = x%2 == 0
	}
	return helping
}

// letThrough reports whether the set grew by a fault that the sieve lets through.
func letThrough(sieve diagnosis.Sieve, faults []int) bool {
	for i, f := range faults {
		if sieve.Helping(slices.Delete(slices.Clone(faults), i, i+1))[f] {
			return true
		}
	}
	return false
}

// TestSearchLeftOutIsNotRounded: twenty items, each bad once in ten thousand;
// five bad together are a matter of 1e-16, which one minus the rest would
// lose. If they alone explain what was read, they are as likely as not.
func TestSearchLeftOutIsNotRounded(t *testing.T) {
	problem := diagnosis.Problem{Items: 20, Model: model{
		of: func(faults []int) float64 {
			if len(faults) < 5 {
				return -36
			}
			return 0
		},
		undescribed: math.Inf(-1),
	}}
	for item := range problem.Items {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: item, Prior: 1e-4})
	}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 10_000, Size: 4})
	if err != nil {
		t.Fatal(err)
	}
	// Σ over k ≥ 5 of C(20,k)·1e-4^k·(1−1e-4)^(20−k), against e^-36 for
	// the rest.
	five, choose := 0.0, 15504.0
	for k := 5; k <= 20; k++ {
		five += choose * math.Pow(1e-4, float64(k)) * math.Pow(1-1e-4, float64(20-k))
		choose *= float64(20-k) / float64(k+1)
	}
	want := five / (five + math.Exp(-36))
	if math.Abs(posterior.LeftOut-want) > 1e-9 {
		t.Errorf("left out %.12g, want %.12g", posterior.LeftOut, want)
	}
}

// TestSearchGrowsFromTheBest: forty items that can each be bad in six ways
// make far too many sets of three to weigh. Three symptoms, each brought about
// by one fault only, lead to the three nevertheless, one at a time.
func TestSearchGrowsFromTheBest(t *testing.T) {
	culprits := []int{17, 101, 222}
	problem := diagnosis.Problem{Items: 40, Undescribed: 0.01, Model: model{
		of: func(faults []int) float64 {
			ln := 0.0
			for _, c := range culprits {
				if slices.Contains(faults, c) {
					ln += math.Log(0.95)
				} else {
					ln += math.Log(0.0001)
				}
			}
			return ln
		},
		undescribed: 3 * math.Log(0.001),
	}}
	for f := range 240 {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: f / 6, Prior: 0.002})
	}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 12_000})
	if err != nil {
		t.Fatal(err)
	}
	checkPosterior(t, posterior)
	if posterior.Exact {
		t.Error("12,000 of some 10 million sets are said to be all")
	}
	if len(posterior.Sets) > 12_000 {
		t.Errorf("%d sets weighed, want at most 12,000", len(posterior.Sets))
	}
	if best := posterior.Sets[0]; best.Probability < 0.5 || !slices.Equal(best.Faults, culprits) {
		t.Errorf("best set %v with probability %v, want %v with more than half", best.Faults, best.Probability, culprits)
	}
}

// withSieve is a model that knows which faults are worth adding.
type withSieve struct {
	model
	helping func(faults []int) []bool
}

func (m withSieve) Helping(faults []int) []bool { return m.helping(faults) }

// TestSearchWithSieve: three of two hundred faults each bring about one of
// three symptoms. A sieve that knows which symptoms are still without a cause
// leads to the three after a few hundred sets.
func TestSearchWithSieve(t *testing.T) {
	culprits := []int{30, 90, 150}
	of := func(faults []int) float64 {
		ln := 0.0
		for _, c := range culprits {
			if !slices.Contains(faults, c) {
				ln -= 10
			}
		}
		return ln
	}
	problem := manyItems(200, of)
	problem.Model = withSieve{model{of: of, undescribed: math.Inf(-1)}, func(faults []int) []bool {
		helping := make([]bool, 200)
		for _, c := range culprits {
			helping[c] = !slices.Contains(faults, c)
		}
		return helping
	}}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 1000})
	if err != nil {
		t.Fatal(err)
	}
	checkPosterior(t, posterior)
	if best := posterior.Sets[0].Faults; !slices.Equal(best, culprits) {
		t.Errorf("best set %v, want %v", best, culprits)
	}
	// All of up to one fault; of larger sets only such as a culprit was added to.
	for _, set := range posterior.Sets {
		if len(set.Faults) > 1 && !slices.ContainsFunc(set.Faults, func(f int) bool { return slices.Contains(culprits, f) }) {
			t.Errorf("%v was weighed, though the sieve lets no fault of it through", set.Faults)
		}
	}
}

// TestSearchGuess: forty faults explain alike, each alone, and any two of them
// much better. Ten of the forty are grown further; the guess is that the other
// thirty would have done as well.
func TestSearchGuess(t *testing.T) {
	problem := manyItems(40, nil)
	problem.Model = described(func(faults []int) float64 { return 8 * min(float64(len(faults))-2, 0) })
	// Growing ten of the forty singles, each by 39 others, with pairs counted
	// once, gives 345 of the 780 pairs. A quarter of the weight of the singles
	// was grown: three times as much again was missed. (Each pair has two ways to
	// be reached, so this is more than the truth.) It makes no difference whether
	// ten is the width of the beam or as far as the number of sets allows.
	for _, limits := range []diagnosis.Limits{{Sets: 700, Size: 2, Beam: 10}, {Sets: 41 + 345*3/2, Size: 2, Beam: 40}} {
		posterior, err := diagnosis.Search(context.Background(), problem, limits)
		if err != nil {
			t.Fatal(err)
		}
		checkPosterior(t, posterior)
		if !slices.Equal(posterior.BySize, []int{1, 40, 345}) {
			t.Fatalf("%+v: %v sets by size, want 1, 40 and 345", limits, posterior.BySize)
		}
		pairs := 0.0
		for _, set := range posterior.Sets {
			if len(set.Faults) == 2 {
				pairs += set.Probability
			}
		}
		missed := 9. / 7 * pairs
		if want := missed / (1 + missed); math.Abs(posterior.Guess-want) > 1e-9 {
			t.Errorf("%+v: guess %v, want %v", limits, posterior.Guess, want)
		}
	}
}

// TestSearchUndescribed: when the sheet explains badly what was read, the
// trouble is more probably something it does not describe. By hand: the fault
// foretells the reading with 1 %, no fault with 0.1 %, the undescribed with
// 20 %; priors 0.9·0.1, 0.9·0.9 and 0.1.
func TestSearchUndescribed(t *testing.T) {
	problem := diagnosis.Problem{
		Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.1}}, Undescribed: 0.1,
		Model: model{undescribed: math.Log(0.2), of: func(faults []int) float64 {
			if len(faults) == 1 {
				return math.Log(0.01)
			}
			return math.Log(0.001)
		}},
	}
	posterior := searchExactly(t, problem)
	all := 0.9*0.1*0.01 + 0.9*0.9*0.001 + 0.1*0.2
	if want := 0.1 * 0.2 / all; math.Abs(posterior.Undescribed-want) > 1e-12 {
		t.Errorf("undescribed %v, want %v", posterior.Undescribed, want)
	}
	if want := math.Log(all); math.Abs(posterior.LogEvidence-want) > 1e-12 {
		t.Errorf("ln evidence %v, want %v", posterior.LogEvidence, want)
	}
}

// TestSearchNothingToSuspect: with no faults listed there is one set, the
// empty one.
func TestSearchNothingToSuspect(t *testing.T) {
	posterior := searchExactly(t, diagnosis.Problem{Model: described(func([]int) float64 { return -3 })})
	if len(posterior.Sets) != 1 || len(posterior.Sets[0].Faults) != 0 || posterior.Sets[0].Probability != 1 {
		t.Errorf("%+v, want the empty set with certainty", posterior.Sets)
	}
}

// TestSearchIsRepeatable: weighing on several cores does not change the
// outcome in the last digit.
func TestSearchIsRepeatable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawProblem(t)
		limits := diagnosis.Limits{Sets: 100, Size: 4, Beam: 5}
		first, err := diagnosis.Search(context.Background(), d.Problem, limits)
		if err != nil {
			return
		}
		second, err := diagnosis.Search(context.Background(), d.Problem, limits)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := fmt.Sprintf("%+v", first), fmt.Sprintf("%+v", second); a != b {
			t.Errorf("twice the same search: %s, then %s", a, b)
		}
	})
}

// TestSearchLimitsByDefault: limits of zero or less stand for the defaults,
// and those bound the search of thirty items.
func TestSearchLimitsByDefault(t *testing.T) {
	problem := manyItems(30, func([]int) float64 { return -1 })
	var counts [][]int
	for _, limits := range []diagnosis.Limits{{}, {Sets: -1, Size: -1, Beam: -1}} {
		posterior, err := diagnosis.Search(context.Background(), problem, limits)
		if err != nil {
			t.Fatal(err)
		}
		if posterior.Exact {
			t.Errorf("%+v: every one of a thousand million sets is said to be weighed", limits)
		}
		counts = append(counts, posterior.BySize)
	}
	if !slices.Equal(counts[0], counts[1]) || len(counts[0]) < 3 {
		t.Errorf("%v and %v sets by size, want the same, up to two faults and more", counts[0], counts[1])
	}
}

// manyItems is a problem of items with one fault each.
func manyItems(items int, of func([]int) float64) diagnosis.Problem {
	problem := diagnosis.Problem{Items: items, Model: model{of: of, undescribed: math.Inf(-1)}}
	for item := range items {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: item, Prior: 0.01})
	}
	return problem
}
