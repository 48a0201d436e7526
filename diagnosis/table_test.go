package diagnosis_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// drawTable draws one to seven hypotheses and one to four tests of one to four
// answers. build makes the table anew over other weights.
func drawTable(t *rapid.T) (weights []float64, build func(weights []float64) *diagnosis.Table) {
	n := rapid.IntRange(1, 7).Draw(t, "hypotheses")
	chance := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.001, 1))
	weights = rapid.SliceOfN(chance, n, n).Draw(t, "weights")
	weights[rapid.IntRange(0, n-1).Draw(t, "one possible")] = 0.5
	var tests [][][]float64
	for range rapid.IntRange(1, 4).Draw(t, "tests") {
		test := make([][]float64, rapid.IntRange(1, 4).Draw(t, "answers"))
		for a := range test {
			test[a] = make([]float64, n)
		}
		for h := range n {
			sum := 0.0
			for a := range test {
				test[a][h] = chance.Draw(t, "chance")
				sum += test[a][h]
			}
			if sum == 0 {
				test[0][h], sum = 1, 1
			}
			for a := range test {
				test[a][h] /= sum
			}
		}
		tests = append(tests, test)
	}
	return weights, func(weights []float64) *diagnosis.Table {
		table, err := diagnosis.NewTable(weights)
		if err != nil {
			t.Fatal(err)
		}
		for i, test := range tests {
			if number, err := table.Add(test); err != nil || number != i {
				t.Fatalf("test %d has number %d, error %v", i, number, err)
			}
		}
		return table
	}
}

// TestGainIsExpectedFall: the gain of a test is the entropy now, less the
// entropy after each answer weighed by its chance.
func TestGainIsExpectedFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights, build := drawTable(t)
		table := build(weights)
		if sum := sumOf(table.Weights()); math.Abs(sum-1) > 1e-12 {
			t.Errorf("weights add up to %v", sum)
		}
		most := 0.0
		for test := range table.Tests() {
			chances := slices.Clone(table.Answers(test))
			if sum := sumOf(chances); math.Abs(sum-1) > 1e-12 {
				t.Errorf("answers of test %d add up to %v", test, sum)
			}
			fall := table.Entropy()
			for answer, p := range chances {
				next := build(table.Weights())
				before := slices.Clone(next.Weights())
				err := next.Update(test, answer)
				foreseen := after(table, test, answer)
				if p == 0 {
					if err == nil {
						t.Errorf("answer %d of test %d is impossible, yet taken in", answer, test)
					}
					if !slices.Equal(next.Weights(), before) {
						t.Errorf("a refused answer changed the weights from %v to %v", before, next.Weights())
					}
					if sumOf(foreseen) != 0 {
						t.Errorf("after an impossible answer: %v, want nothing", foreseen)
					}
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				for h, w := range next.Weights() {
					if math.Abs(w-foreseen[h]) > 1e-12 {
						t.Errorf("hypothesis %d has %v after the answer, foreseen was %v", h, w, foreseen[h])
					}
				}
				fall -= p * next.Entropy()
			}
			if gain := table.Gain(test); math.Abs(gain-fall) > 1e-12 || gain < 0 {
				t.Errorf("gain of test %d is %v, want %v", test, gain, fall)
			}
			most = max(most, table.Gain(test))
		}
		best, gain := table.Best(ones(table.Tests()))
		if math.Abs(gain-most) > 1e-11 || math.Abs(table.Gain(best)-gain) > 1e-12 {
			t.Errorf("best is test %d with %v, want %v", best, gain, most)
		}
	})
}

func sumOf(p []float64) float64 {
	sum := 0.0
	for _, x := range p {
		sum += x
	}
	return sum
}

// TestUpdateIsBayes: two answers one after the other come to the same as
// their chances multiplied, in either order.
func TestUpdateIsBayes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights, build := drawTable(t)
		one, other := build(weights), build(weights)
		a := rapid.IntRange(0, one.Tests()-1).Draw(t, "first test")
		b := rapid.IntRange(0, one.Tests()-1).Draw(t, "second test")
		x := rapid.IntRange(0, len(one.Answers(a))-1).Draw(t, "first answer")
		y := rapid.IntRange(0, len(one.Answers(b))-1).Draw(t, "second answer")
		possible := one.Update(a, x) == nil && one.Update(b, y) == nil
		if turned := other.Update(b, y) == nil && other.Update(a, x) == nil; turned != possible {
			t.Fatalf("possible in one order: %v, in the other: %v", possible, turned)
		}
		if !possible {
			return
		}
		for h := range weights {
			if math.Abs(one.Weights()[h]-other.Weights()[h]) > 1e-12 {
				t.Errorf("hypothesis %d: %v in one order, %v in the other", h, one.Weights()[h], other.Weights()[h])
			}
		}
	})
}

// TestBest weighs gain against cost.
func TestBest(t *testing.T) {
	table := chain(t, ones(8), 1) // seven cuts; the fourth halves
	cases := []struct {
		name  string
		costs []float64
		want  int
	}{
		{"all as easy", ones(7), 3},
		{"the middle under a shield", []float64{1, 1, 1, 10, 1, 1, 1}, 2}, // cuts 3 and 5 tell as much; the first is taken
		{"one end at hand", []float64{0.1, 1, 1, 1, 1, 1, 1}, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, gain := table.Best(c.costs)
			if want := table.Gain(c.want) / c.costs[c.want]; got != c.want || gain != want {
				t.Errorf("test %d with %v bits for each unit of cost, want %d with %v", got, gain, c.want, want)
			}
		})
	}
	if got, gain := newTable(t, ones(2)).Best(nil); got != -1 || gain != 0 {
		t.Errorf("with no test: %d and %v, want -1 and 0", got, gain)
	}
}

// TestEntropy: a fair coin is one bit (Shannon 1948, section 6), and so are
// half, quarter and quarter one and a half.
//
// Outside: C. E. Shannon, "A mathematical theory of communication", Bell System
// Technical Journal 27 (1948), section 6. Within: 1e-15.
func TestEntropy(t *testing.T) {
	for _, c := range []struct {
		p    []float64
		want float64
	}{
		{nil, 0},
		{[]float64{1, 0}, 0},
		{[]float64{0.5, 0.5}, 1},
		{[]float64{0.5, 0.25, 0.25}, 1.5},
	} {
		if got := diagnosis.Entropy(c.p); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("entropy of %v is %v, want %v", c.p, got, c.want)
		}
	}
}

// TestTableRefuses: weights and chances that make no sense are refused.
func TestTableRefuses(t *testing.T) {
	for _, c := range []struct {
		name    string
		weights []float64
		says    string
	}{
		{"no hypothesis", nil, "no hypothesis"},
		{"no weight", []float64{0, 0}, "no hypothesis has any weight"},
		{"a weight below zero", []float64{1, -1}, "hypothesis 1 has weight -1"},
		{"a weight not a number", []float64{math.NaN()}, "hypothesis 0 has weight NaN"},
		{"a weight without bound", []float64{math.Inf(1), 1}, "hypothesis 0 has weight +Inf"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := diagnosis.NewTable(c.weights); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v does not say %q", err, c.says)
			}
		})
	}
	for _, c := range []struct {
		name   string
		chance [][]float64
		says   string
	}{
		{"no answer", nil, "add up to 0"},
		{"a hypothesis missing", [][]float64{{1}}, "answer 0 has 1 chances for 2 hypotheses"},
		{"a chance below zero", [][]float64{{1, -0.5}, {0, 1.5}}, "chance -0.5"},
		{"a chance above one", [][]float64{{1.5, 1}}, "chance 1.5"},
		{"a chance not a number", [][]float64{{1, math.NaN()}}, "chance NaN"},
		{"chances short of one", [][]float64{{0.5, 0.5}, {0.5, 0.4}}, "hypothesis 1 add up to 0.9"},
	} {
		t.Run(c.name, func(t *testing.T) {
			table := newTable(t, ones(2))
			if _, err := table.Add(c.chance); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v does not say %q", err, c.says)
			}
			if table.Tests() != 0 {
				t.Errorf("a refused test was entered")
			}
		})
	}
	table := chain(t, []float64{1, 0}, 1)
	if err := table.Update(0, 1); err == nil || !strings.Contains(err.Error(), "answer 1 of test 0 is impossible") {
		t.Errorf("error %v does not name the answer", err)
	}
}

// TestNewTableKeepsWeights: the caller's weights stay as they were.
func TestNewTableKeepsWeights(t *testing.T) {
	weights := []float64{3, 1}
	table := chain(t, weights, 0.9)
	if err := table.Update(0, 1); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(weights, []float64{3, 1}) {
		t.Errorf("the caller's weights are now %v", weights)
	}
}

// TestTableAllocatesNothing: taking an answer in and choosing the next test
// leave no garbage.
func TestTableAllocatesNothing(t *testing.T) {
	table := chain(t, ones(16), 0.8)
	costs := ones(15)
	into := make([]float64, 16)
	n := testing.AllocsPerRun(20, func() {
		test, _ := table.Best(costs)
		table.After(test, 1, into)
		if err := table.Update(test, 0); err != nil {
			t.Fatal(err)
		}
	})
	if n != 0 {
		t.Errorf("%v allocations, want none", n)
	}
}

// TestGroups: of four suspects two answer every reachable test alike.
func TestGroups(t *testing.T) {
	table := newTable(t, ones(4))
	states := []string{"fuse", "bridge", "wire", "regulator"}
	raw := addTest(t, table, states, func(state string) []float64 {
		if state == "regulator" {
			return []float64{0.98, 0.02}
		}
		return []float64{0.01, 0.99}
	})
	ohms := addTest(t, table, states, func(state string) []float64 {
		switch state {
		case "fuse":
			return []float64{0, 1}
		case "wire":
			return []float64{0.96, 0.04}
		}
		return []float64{0.95, 0.05}
	})
	for _, c := range []struct {
		name      string
		tests     []int
		tolerance float64
		want      [][]int
	}{
		{"no test", nil, 0, [][]int{{0, 1, 2, 3}}},
		{"one test", []int{raw}, 0, [][]int{{0, 1, 2}}},
		{"the other", []int{ohms}, 0, [][]int{{1, 3}}},
		{"both", []int{raw, ohms}, 0, nil},
		{"both, a hair apart counts as alike", []int{raw, ohms}, 0.0105, [][]int{{1, 2}}},
		{"both, a hair more than is tolerated", []int{raw, ohms}, 0.0095, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := table.Groups(c.tests, c.tolerance)
			if !slices.EqualFunc(got, c.want, slices.Equal) {
				t.Errorf("%v, want %v", got, c.want)
			}
		})
	}
}

// TestGroupsStayTogether: no sequence of answers changes the odds within a
// group, and some answer does change them between groups.
func TestGroupsStayTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "hypotheses")
		// Few kinds of behaviour, so that some are shared.
		kind := rapid.SliceOfN(rapid.IntRange(0, 2), n, n).Draw(t, "kinds")
		table, err := diagnosis.NewTable(ones(n))
		if err != nil {
			t.Fatal(err)
		}
		tests := rapid.IntRange(1, 3).Draw(t, "tests")
		var all []int
		for test := range tests {
			yes, no := make([]float64, n), make([]float64, n)
			byKind := rapid.SliceOfN(rapid.Float64Range(0.1, 0.9), 3, 3).Draw(t, "chance of yes")
			for h := range n {
				yes[h], no[h] = byKind[kind[h]], 1-byKind[kind[h]]
			}
			if _, err := table.Add([][]float64{yes, no}); err != nil {
				t.Fatal(err)
			}
			all = append(all, test)
		}
		group := make([]int, n)
		for h := range group {
			group[h] = -1 - h // alone
		}
		for i, members := range table.Groups(all, 0) {
			if len(members) < 2 || !slices.IsSorted(members) {
				t.Errorf("group %v", members)
			}
			for _, h := range members {
				if group[h] >= 0 {
					t.Errorf("hypothesis %d is in two groups", h)
				}
				group[h] = i
			}
		}
		for h := range n {
			for g := range h {
				apart := false
				for test := range tests {
					for answer := range 2 {
						w := after(table, test, answer)
						apart = apart || w[h] != w[g]
					}
				}
				if together := group[h] == group[g]; together == apart {
					t.Errorf("hypotheses %d and %d: told apart %v, in one group %v", g, h, apart, together)
				}
			}
		}
	})
}
