package rehearsal

import (
	"cmp"
	"math"
	"slices"

	"halfsplit/soak"
)

// Share is a share counted in trials, with the limits between which the true
// one lies with 95 % confidence (score interval of Wilson).
type Share struct {
	Count int     `json:"count"`
	Of    int     `json:"of"`
	Value float64 `json:"value"` // 0 when there were no trials
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

const confidence = 0.95

func share(count, of int) Share {
	s := Share{Count: count, Of: of, High: 1}
	if of == 0 {
		return s
	}
	s.Value = float64(count) / float64(of)
	limits, err := soak.Wilson(count, of, confidence, soak.TwoSided)
	if err == nil {
		s.Low, s.High = limits.Lower, limits.Upper
	}
	return s
}

// Average is a mean over trials with its 95 % limits, and what nine trials of
// ten stay at or below.
type Average struct {
	Mean  float64 `json:"mean"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Most  float64 `json:"nine_of_ten"`
	Worst float64 `json:"worst"`
}

// normal95 is the 97.5 % point of the normal distribution.
const normal95 = 1.959964

func average(values []float64) Average {
	if len(values) == 0 {
		return Average{}
	}
	n := float64(len(values))
	mean, square := 0.0, 0.0
	for _, v := range values {
		mean += v / n
	}
	for _, v := range values {
		square += (v - mean) * (v - mean)
	}
	half := 0.0
	if n > 1 {
		half = normal95 * math.Sqrt(square/(n-1)/n)
	}
	sorted := slices.Sorted(slices.Values(values))
	return Average{mean, mean - half, mean + half, sorted[int(math.Ceil(0.9*n))-1], sorted[len(sorted)-1]}
}

// Score is what hunts came to.
type Score struct {
	Strategy string  `json:"strategy"`
	Trials   int     `json:"trials"`
	Tests    Average `json:"tests"`   // how many were made until suspects were named
	Testing  Average `json:"testing"` // what they cost
	Cost     Average `json:"cost"`    // of everything until the unit worked
	// Innocent is how many good parts were replaced.
	Innocent Average `json:"good_parts_replaced"`
	// First and Three: the first suspect named is bad; one of the first three
	// is. A suspect that no test tells from a bad one counts as it. Counted over
	// faults that are described.
	First Share `json:"first_right"`
	Three Share `json:"first_three_right"`
	// Beyond is how often a trouble that is not described was named so before any
	// part was replaced; After, with at most one part replaced in vain.
	Beyond Share   `json:"not_described_recognised"`
	After  Share   `json:"not_described_recognised_after_one_part"`
	Left   float64 `json:"bits_left"` // mean uncertainty at the end
	Calibration
}

// Judge draws the figures from trials of a bench.
func Judge(bench Bench, strategy string, trials []Trial) Score {
	setup := bench.Setup()
	same := groupOf(bench)
	score := Score{Strategy: strategy, Trials: len(trials), Calibration: calibrate(trials)}
	var tests, testing, cost, innocent []float64
	first, three, described, beyond, later, undescribed := 0, 0, 0, 0, 0, 0
	for i := range trials {
		t := &trials[i]
		paid := 0
		for _, m := range t.Answers[:t.Made] {
			if setup.Tests[m.Test].Cost > 0 {
				paid++
			}
		}
		tests = append(tests, float64(paid))
		testing = append(testing, t.Naming)
		innocent = append(innocent, float64(t.Innocent))
		cost = append(cost, t.Testing+t.Repair)
		score.Left += t.Left / float64(len(trials))
		if t.Hidden || setup.Hypotheses[t.Truth].Undescribed() {
			undescribed++
			if len(t.Named) == 0 || t.Named[0] < 0 {
				beyond++
			}
			if t.Beyond && t.Innocent <= 1 {
				later++
			}
			continue
		}
		described++
		for rank, x := range t.Named[:min(3, len(t.Named))] {
			if x >= 0 && t.like(setup, x, same) {
				three++
				if rank == 0 {
					first++
				}
				break
			}
		}
	}
	score.Tests, score.Testing, score.Cost = average(tests), average(testing), average(cost)
	score.Innocent, score.After = average(innocent), share(later, undescribed)
	score.First, score.Three, score.Beyond = share(first, described), share(three, described), share(beyond, undescribed)
	return score
}

// like reports whether a suspect is bad, or cannot be told from one that is.
func (t *Trial) like(setup *Setup, suspect int, same []int) bool {
	return slices.ContainsFunc(setup.Hypotheses[t.Truth].Suspects, func(x int) bool {
		return x == suspect || same[x] == same[suspect]
	})
}

// alike is the difference in the chance of an answer that no bench notices.
const alike = 0.02

// Groups lists suspects that no test tells apart, each group in ascending
// order: bad alone in any one way, they make every test answer alike.
func Groups(bench Bench) [][]int {
	same := groupOf(bench)
	byGroup := map[int][]int{}
	for x, g := range same {
		byGroup[g] = append(byGroup[g], x)
	}
	var groups [][]int
	for _, g := range byGroup {
		if len(g) > 1 {
			groups = append(groups, g)
		}
	}
	slices.SortFunc(groups, func(a, b []int) int { return cmp.Compare(a[0], b[0]) })
	return groups
}

// groupOf numbers the group of each suspect. Two suspects are in one group when
// every way in which either is bad alone has its like in the other.
func groupOf(bench Bench) []int {
	setup := bench.Setup()
	tests := make([]int, len(setup.Tests))
	for i := range tests {
		tests[i] = i
	}
	kind := make([]int, len(setup.Hypotheses)) // what the tests show
	for h := range kind {
		kind[h] = -1 - h
	}
	for g, group := range bench.Table().Groups(tests, alike) {
		for _, h := range group {
			kind[h] = g
		}
	}
	shown := make([][]int, len(setup.Suspects))
	for h := range setup.Hypotheses {
		if one := setup.Hypotheses[h].Suspects; len(one) == 1 {
			shown[one[0]] = append(shown[one[0]], kind[h])
		}
	}
	same := make([]int, len(setup.Suspects))
	for x := range same {
		slices.Sort(shown[x])
		shown[x] = slices.Compact(shown[x])
		same[x] = x
		for y := range x {
			if len(shown[x]) > 0 && slices.Equal(shown[x], shown[y]) {
				same[x] = same[y]
				break
			}
		}
	}
	return same
}
