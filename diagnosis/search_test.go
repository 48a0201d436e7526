package diagnosis_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// drawn is a small random problem together with all its sets of faults.
type drawn struct {
	diagnosis.Problem
	every   []listed
	total   float64 // chance of what was read, over every set and the undescribed
	highest float64 // the largest ln likelihood
}

// listed is one set with its prior and its ln likelihood.
type listed struct {
	faults     []int
	prior      float64
	likelihood float64
}

func (l listed) joint() float64 { return l.prior * math.Exp(l.likelihood) }

// drawProblem draws up to eight items with one to three faults each, at most
// about a thousand sets, and a likelihood of its own for every set, one in
// eight of them zero.
func drawProblem(t *rapid.T) *drawn {
	d := &drawn{highest: math.Inf(-1)}
	sets := 1
	for items := rapid.IntRange(1, 8).Draw(t, "items"); d.Items < items && sets <= 512; d.Items++ {
		modes := rapid.IntRange(1, 3).Draw(t, "faults of an item")
		sets *= 1 + modes
		for range modes {
			d.Faults = append(d.Faults, diagnosis.Fault{Item: d.Items, Prior: rapid.Float64Range(1e-4, 0.3).Draw(t, "prior")})
		}
	}
	// Faults of one item need not stand together.
	d.Faults = rapid.Permutation(d.Faults).Draw(t, "faults")
	if rapid.Bool().Draw(t, "something may be undescribed") {
		d.Undescribed = rapid.Float64Range(0, 0.5).Draw(t, "undescribed")
	}
	table := rapid.Uint64().Draw(t, "table of likelihoods")
	of := func(faults []int) float64 {
		x := scramble(table)
		for _, f := range faults {
			x = scramble(x ^ uint64(f+1))
		}
		if x%8 == 0 {
			return math.Inf(-1)
		}
		return 5 - 45*float64(x>>11)/(1<<53)
	}
	undescribed := rapid.Float64Range(-45, 5).Draw(t, "ln likelihood of the undescribed")

	good := make([]float64, d.Items)
	for item := range good {
		good[item] = 1
		for _, f := range d.Faults {
			if f.Item == item {
				good[item] -= f.Prior
			}
		}
	}
	var list func(item int, faults []int, prior float64)
	list = func(item int, faults []int, prior float64) {
		if item == d.Items {
			set := slices.Clone(faults)
			slices.Sort(set)
			d.every = append(d.every, listed{set, prior, of(set)})
			return
		}
		list(item+1, faults, prior*good[item])
		for i, f := range d.Faults {
			if f.Item == item {
				list(item+1, append(slices.Clone(faults), i), prior*f.Prior)
			}
		}
	}
	list(0, nil, 1-d.Undescribed)
	for _, l := range d.every {
		d.total += l.joint()
		d.highest = max(d.highest, l.likelihood)
	}
	d.total += d.Undescribed * math.Exp(undescribed)
	d.Model = model{of: of, undescribed: undescribed, ceiling: d.highest}
	return d
}

// scramble spreads the bits of a number (the finaliser of SplitMix64, Steele,
// Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

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

// sieved is a model with an arbitrary opinion of which faults are worth adding.
// Whatever it is, what it keeps out counts as left out.
type sieved struct {
	model
	table uint64
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

// possibleWithin reports whether some set up to the size, or the undescribed,
// explains what was read.
func (d *drawn) possibleWithin(size int) bool {
	return d.Undescribed > 0 || slices.ContainsFunc(d.every, func(l listed) bool { return len(l.faults) <= size && l.joint() > 0 })
}

func byName(sets []diagnosis.Set) map[string]diagnosis.Set {
	found := map[string]diagnosis.Set{}
	for _, set := range sets {
		found[fmt.Sprint(set.Faults)] = set
	}
	return found
}

// checkPosterior checks what holds for every posterior.
func checkPosterior(t interface {
	Errorf(string, ...any)
}, p *diagnosis.Posterior) {
	sum := p.Undescribed
	for i, set := range p.Sets {
		sum += set.Probability
		if i > 0 && set.Probability > p.Sets[i-1].Probability {
			t.Errorf("set %d is more probable than the one before it", i)
		}
		if !slices.IsSorted(set.Faults) {
			t.Errorf("faults %v are not in order", set.Faults)
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("probabilities add up to %v", sum)
	}
	if !(0 <= p.Guess && p.Guess <= p.LeftOut && p.LeftOut <= 1) {
		t.Errorf("left out: guess %v, at most %v; want the guess from 0 to the bound, and the bound to 1", p.Guess, p.LeftOut)
	}
	if len(byName(p.Sets)) != len(p.Sets) {
		t.Errorf("a set was weighed twice")
	}
	weighed := 0
	for _, n := range p.BySize {
		weighed += n
	}
	if weighed != len(p.Sets) {
		t.Errorf("by size %v, but %d sets", p.BySize, len(p.Sets))
	}
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
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Size: 4})
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
	// Sets: 41 of up to one fault, then ten of the forty singles times 39 others,
	// pairs counted once: 345 of the 780 pairs.
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 700, Size: 2, Beam: 10})
	if err != nil {
		t.Fatal(err)
	}
	checkPosterior(t, posterior)
	if !slices.Equal(posterior.BySize, []int{1, 40, 345}) {
		t.Fatalf("%v sets by size, want 1, 40 and 345", posterior.BySize)
	}
	pairs := 0.0
	for _, set := range posterior.Sets {
		if len(set.Faults) == 2 {
			pairs += set.Probability
		}
	}
	// A quarter of the weight of the singles was grown: three times as much
	// again was missed. (Each pair has two ways to be reached, so this is more
	// than the truth.)
	missed := 3 * pairs
	if want := missed / (1 + missed); math.Abs(posterior.Guess-want) > 1e-9 {
		t.Errorf("guess %v, want %v", posterior.Guess, want)
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

// TestSearchCancelled: a search that is no longer wanted stops soon, and says
// why.
func TestSearchCancelled(t *testing.T) {
	t.Run("before it starts", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		for range 20 {
			if _, err := diagnosis.Search(ctx, manyItems(3, func([]int) float64 { return 0 }), diagnosis.Limits{}); !errors.Is(err, context.Canceled) {
				t.Fatalf("error %v, want %v", err, context.Canceled)
			}
		}
	})
	t.Run("on the way", func(t *testing.T) {
		ctx, cancel := context.WithCancelCause(context.Background())
		var asked atomic.Int64
		problem := manyItems(60, func([]int) float64 {
			if asked.Add(1) == 100 {
				cancel(nil)
			}
			return 0
		})
		if _, err := diagnosis.Search(ctx, problem, diagnosis.Limits{}); !errors.Is(err, context.Canceled) {
			t.Fatalf("error %v, want %v", err, context.Canceled)
		}
		if n := asked.Load(); n > 1000 {
			t.Errorf("the model was asked %d times, want not many more than 100", n)
		}
	})
}

// TestSearchRefuses: problems that make no sense are refused, with the place
// and what would be right.
func TestSearchRefuses(t *testing.T) {
	fine := described(func([]int) float64 { return 0 })
	one := []diagnosis.Fault{{Item: 0, Prior: 0.1}}
	always := func(ln float64) diagnosis.Model { return described(func([]int) float64 { return ln }) }
	cases := []struct {
		name    string
		problem diagnosis.Problem
		says    string
	}{
		{"no model", diagnosis.Problem{Items: 1, Faults: one}, "no model"},
		{"items below zero", diagnosis.Problem{Items: -1, Model: fine}, "-1 items"},
		{"item below zero", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: -1, Prior: 0.1}}, Model: fine}, "fault 0 belongs to item -1"},
		{"item beyond the last", diagnosis.Problem{Items: 2, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.1}, {Item: 2, Prior: 0.1}}, Model: fine}, "fault 1 belongs to item 2"},
		{"prior zero", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0}}, Model: fine}, "prior 0"},
		{"prior one", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: 1}}, Model: fine}, "prior 1"},
		{"prior not a number", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: math.NaN()}}, Model: fine}, "prior NaN"},
		{"priors of an item", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.5}, {Item: 0, Prior: 0.5}}, Model: fine}, "item 0 add up to 1"},
		{"undescribed below zero", diagnosis.Problem{Undescribed: -0.1, Model: fine}, "-0.1"},
		{"undescribed one", diagnosis.Problem{Undescribed: 1, Model: fine}, "prior 1"},
		{"undescribed not a number", diagnosis.Problem{Undescribed: math.NaN(), Model: fine}, "NaN"},
		{"likelihood not a number", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.NaN())}, "NaN for faults []"},
		{"likelihood without bound", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.Inf(1))}, "+Inf for faults []"},
		{"likelihood of the undescribed", diagnosis.Problem{Items: 1, Faults: one, Undescribed: 0.1, Model: model{of: func([]int) float64 { return 0 }, undescribed: math.Inf(1)}}, "undescribed"},
		{"ceiling not a number", diagnosis.Problem{Items: 1, Faults: one, Model: model{of: func([]int) float64 { return 0 }, ceiling: math.NaN()}}, "ceiling"},
		{"all impossible", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.Inf(-1))}, "impossible"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			posterior, err := diagnosis.Search(context.Background(), c.problem, diagnosis.Limits{})
			if err == nil {
				t.Fatalf("no error, but %+v", posterior)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %q does not say %q", err, c.says)
			}
		})
	}
}
