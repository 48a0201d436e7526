package diagnosis_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/diagnosis"
)

// addTest enters a test given state by state: of(state) lists the chance of
// each answer.
func addTest(t testing.TB, table *diagnosis.Table, states []string, of func(state string) []float64) int {
	t.Helper()
	var chance [][]float64
	for h, state := range states {
		for a, p := range of(state) {
			if h == 0 {
				chance = append(chance, make([]float64, len(states)))
			}
			chance[a][h] = p
		}
	}
	number, err := table.Add(chance)
	if err != nil {
		t.Fatal(err)
	}
	return number
}

// after is the table's weights after an answer.
func after(table *diagnosis.Table, test, answer int) []float64 {
	weights := make([]float64, len(table.Weights()))
	table.After(test, answer, weights)
	return weights
}

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// gainOfWords: tests whose answers are words. The binary symmetric channel is
// that of Cover and Thomas, Elements of Information Theory, section 7.1.4.
func gainOfWords(r *reference) {
	g := given[struct {
		Prior ordered[float64]
		Tests ordered[struct {
			Cost     float64
			Outcomes []string
			P        map[string][]float64
		}]
	}](r)
	tests := g.Tests.sorted()
	table := newTable(r, g.Prior.values())
	r.near("entropy", table.Entropy(), want[float64](r, "prior_entropy_bits"))
	costs := make([]float64, len(tests.names))
	for i, name := range tests.names {
		test := tests.of[name]
		addTest(r, table, g.Prior.names, func(state string) []float64 { return test.P[state] })
		costs[i] = test.Cost
		if costs[i] == 0 {
			costs[i] = 1
		}
		r.near("gain of "+name, table.Gain(i), want[float64](r, "tests", name, "eig_bits"))
		r.near("gain per cost of "+name, table.Gain(i)/costs[i], want[float64](r, "tests", name, "eig_per_cost"))
		outcomes := want[map[string]struct {
			Probability float64
			Posterior   map[string]float64
		}](r, "tests", name, "outcomes")
		for a, outcome := range test.Outcomes {
			r.nearRelative(name+" "+outcome, table.Answers(i)[a], outcomes[outcome].Probability)
			for h, weight := range after(table, i, a) {
				r.nearRelative(name+" "+outcome+" then "+g.Prior.names[h], weight, outcomes[outcome].Posterior[g.Prior.names[h]])
			}
		}
	}
	compare := func(costs []float64, field string) {
		r.Helper()
		var order []string
		for _, i := range byGain(table, costs) {
			order = append(order, tests.names[i])
		}
		same(r, field, order, want[[]string](r, field))
		best, gain := table.Best(costs)
		if tests.names[best] != order[0] {
			r.Errorf("best is %s, want %s", tests.names[best], order[0])
		}
		r.near("gain of the best", gain, table.Gain(best)/costs[best])
	}
	compare(ones(len(costs)), "order_by_eig")
	compare(costs, "order_by_eig_per_cost")
}

// gainOfReadings: tests whose answers are numbers. A reading cut in steps much
// finer than its spread is a table of answers like any other, and its gain is
// the integral that the collection evaluates.
func gainOfReadings(r *reference) {
	g := given[struct {
		Prior ordered[float64]
		Tests ordered[struct{ Mean, SD map[string]float64 }]
	}](r)
	tests := g.Tests.sorted()
	table := newTable(r, g.Prior.values())
	r.near("entropy", table.Entropy(), want[float64](r, "prior_entropy_bits"))
	gains := want[map[string]float64](r, "eig_bits")
	for i, name := range tests.names {
		test := tests.of[name]
		low, high, finest := math.Inf(1), math.Inf(-1), math.Inf(1)
		for state, mean := range test.Mean {
			low = min(low, mean-12*test.SD[state])
			high = max(high, mean+12*test.SD[state])
			finest = min(finest, test.SD[state])
		}
		step := finest / 20
		var chance [][]float64
		for x := low; x < high; x += step {
			row := make([]float64, len(g.Prior.names))
			for h, state := range g.Prior.names {
				row[h] = step * math.Exp(gaussian(x, test.Mean[state], test.SD[state]))
			}
			chance = append(chance, row)
		}
		if _, err := table.Add(chance); err != nil {
			r.Fatal(err)
		}
		r.near("gain of "+name, table.Gain(i), gains[name])
	}
	var order []string
	for _, i := range byGain(table, ones(len(tests.names))) {
		order = append(order, tests.names[i])
	}
	same(r, "order", order, want[[]string](r, "order"))
	if best, _ := table.Best(ones(len(tests.names))); tests.names[best] != order[0] {
		r.Errorf("best is %s, want %s", tests.names[best], order[0])
	}
}

// gaussian is ln of the normal density.
func gaussian(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	return -z*z/2 - math.Log(sd*math.Sqrt(2*math.Pi))
}

// student is ln of Student's t density with location and scale.
func student(x, location, scale, nu float64) float64 {
	z := (x - location) / scale
	a, _ := math.Lgamma((nu + 1) / 2)
	b, _ := math.Lgamma(nu / 2)
	return a - b - math.Log(scale*math.Sqrt(nu*math.Pi)) - (nu+1)/2*math.Log1p(z*z/nu)
}

// erringTests: the best adaptive plan of N tests is found by trying them all,
// each answer taken in by Update. (The package itself looks one test ahead.)
func erringTests(r *reference) {
	g := given[struct {
		Prior    ordered[float64]
		PFail    ordered[map[string]float64] `yaml:"p_fail_reading"`
		MaxTests int                         `yaml:"max_tests"`
	}](r)
	start := func(weights []float64) *diagnosis.Table {
		table := newTable(r, weights)
		for _, test := range g.PFail.names {
			addTest(r, table, g.Prior.names, func(state string) []float64 {
				p := g.PFail.of[test][state]
				return []float64{p, 1 - p}
			})
		}
		return table
	}
	var best func(weights []float64, tests int) (correct float64, first int)
	best = func(weights []float64, tests int) (float64, int) {
		if tests == 0 {
			return slices.Max(weights), -1
		}
		correct, first := 0.0, -1
		for test := range g.PFail.names {
			sum := 0.0
			for answer := range 2 {
				table := start(weights)
				chance := table.Answers(test)[answer]
				if err := table.Update(test, answer); err != nil {
					r.Fatal(err)
				}
				after, _ := best(table.Weights(), tests-1)
				sum += chance * after
			}
			if sum > correct+1e-12 {
				correct, first = sum, test
			}
		}
		return correct, first
	}
	for tests := range g.MaxTests + 1 {
		correct, first := best(g.Prior.values(), tests)
		n := fmt.Sprint(tests)
		r.near("chance to be right after "+n, correct, want[float64](r, "by_number_of_tests", n, "p_correct"))
		name := want[*string](r, "by_number_of_tests", n, "first_test")
		if (first < 0) != (name == nil) || name != nil && g.PFail.names[first] != *name {
			r.Errorf("first of %d tests is number %d, want %v", tests, first, name)
		}
	}
	gains := want[map[string]float64](r, "eig_bits_first_step")
	table := start(g.Prior.values())
	for i, test := range g.PFail.names {
		r.near("gain of "+test, table.Gain(i), gains[test])
	}
}

// chain is a bisection over cells in a row whose answers are right with chance
// p. Answer 0 of test k−1 says: in a cell below k.
func chain(t testing.TB, weights []float64, p float64) *diagnosis.Table {
	t.Helper()
	table, err := diagnosis.Bisection(weights, p, 1-p)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// capacity is the most that a test with two answers, right with chance p, can
// tell: its gain when both answers are equally likely.
func capacity(t testing.TB, p float64) float64 {
	return chain(t, []float64{1, 1}, p).Gain(0)
}

// noisyHalfSplit: in a chain the test that tells most is the cut nearest the
// middle of what is suspected, though every answer may be wrong.
func noisyHalfSplit(r *reference) {
	g := given[struct {
		Cells    int
		PCorrect float64 `yaml:"p_correct"`
		Answers  []string
	}](r)
	table := chain(r, ones(g.Cells), g.PCorrect)
	steps := want[[]struct {
		Cut       int
		Posterior []float64
		Entropy   float64 `yaml:"entropy_bits"`
	}](r, "steps")
	for i, answer := range g.Answers {
		test, _ := table.Best(ones(g.Cells - 1))
		if test+1 != steps[i].Cut {
			r.Fatalf("step %d: best cut is %d, want %d", i, test+1, steps[i].Cut)
		}
		if err := table.Update(test, slices.Index([]string{"left", "right"}, answer)); err != nil {
			r.Fatal(err)
		}
		for cell, p := range steps[i].Posterior {
			r.nearRelative(fmt.Sprintf("step %d, cell %d", i, cell), table.Weights()[cell], p)
		}
		r.near(fmt.Sprintf("step %d, entropy", i), table.Entropy(), steps[i].Entropy)
	}
	most := capacity(r, g.PCorrect)
	r.near("capacity", most, want[float64](r, "capacity_bits_per_answer"))
	r.near("answers at capacity", chain(r, ones(g.Cells), g.PCorrect).Entropy()/most, want[float64](r, "answers_per_log2_n_at_capacity"))
}

// noisyHalfSplitOnAverage follows every sequence of answers.
func noisyHalfSplitOnAverage(r *reference) {
	g := given[struct {
		Cells      int
		PCorrect   float64 `yaml:"p_correct"`
		MaxAnswers int     `yaml:"max_answers"`
	}](r)
	correct := make([]float64, g.MaxAnswers+1)
	entropy := make([]float64, g.MaxAnswers+1)
	tests := chain(r, ones(g.Cells), g.PCorrect)
	var follow func(weights []float64, chance float64, answers int)
	follow = func(weights []float64, chance float64, answers int) {
		correct[answers] += chance * slices.Max(weights)
		entropy[answers] += chance * diagnosis.Entropy(weights)
		if answers == g.MaxAnswers {
			return
		}
		table := chain(r, weights, g.PCorrect)
		test, _ := table.Best(ones(tests.Tests()))
		for answer, p := range slices.Clone(table.Answers(test)) {
			follow(after(table, test, answer), chance*p, answers+1)
		}
	}
	follow(tests.Weights(), 1, 0)
	for n := range g.MaxAnswers + 1 {
		r.near(fmt.Sprintf("right after %d answers", n), correct[n], want[float64](r, "by_answers", fmt.Sprint(n), "p_correct"))
		r.near(fmt.Sprintf("entropy after %d answers", n), entropy[n], want[float64](r, "by_answers", fmt.Sprint(n), "expected_entropy_bits"))
	}
	r.near("capacity", capacity(r, g.PCorrect), want[float64](r, "capacity_bits_per_answer"))
}

// testSequencing: tables of causes and effects with perfect tests. One-step
// choice by Best gives the cost the collection calls greedy; where several
// states have one signature, Groups finds them. Optimum finds the cost of the
// best of all plans and the tests it may begin with; the tree of the collection
// is followed too, every answer taken in, to see that it costs as much and ends
// where nothing splits. Two other rules of thumb and the bound from coding are
// not the package's job (notChecked).
func testSequencing(r *reference) {
	g := given[struct {
		Tests  []string
		Cost   map[string]float64
		Prior  map[string]float64
		Matrix ordered[string]
	}](r)
	states := g.Matrix.names
	start := func(weights []float64) *diagnosis.Table {
		table := newTable(r, weights)
		for j := range g.Tests {
			addTest(r, table, states, func(state string) []float64 {
				if g.Matrix.of[state][j] == '1' {
					return []float64{1, 0} // fails
				}
				return []float64{0, 1}
			})
		}
		return table
	}
	var prior, costs []float64
	for _, state := range states {
		prior = append(prior, g.Prior[state])
	}
	all := make([]int, len(g.Tests))
	for j, test := range g.Tests {
		costs = append(costs, g.Cost[test])
		all[j] = j
	}

	var greedy func(weights []float64) float64
	greedy = func(weights []float64) float64 {
		table := start(weights)
		test, gain := table.Best(costs)
		if gain < 1e-12 {
			return 0 // no test splits what is left
		}
		cost := costs[test]
		for answer, p := range slices.Clone(table.Answers(test)) {
			cost += p * greedy(after(table, test, answer))
		}
		return cost
	}
	r.near("cost when looking one test ahead", greedy(prior), want[float64](r, "greedy_info_gain_per_cost"))

	table := start(prior)
	groups := names(states, table.Groups(all, 0))
	sameSets(r, "groups", groups, want[[][]string](r, "ambiguity_groups"))
	alone := map[string]float64{} // signature: what is told apart
	for _, state := range states {
		alone[g.Matrix.of[state]] += g.Prior[state]
	}
	var told []float64
	for _, p := range alone {
		told = append(told, p)
	}
	r.near("bound by entropy", diagnosis.Entropy(told)*slices.Min(costs), want[float64](r, "entropy_lower_bound_times_min_cost"))

	// The tree: a test with what follows each answer, or the states left.
	var follow func(weights []float64, tree any) float64
	follow = func(weights []float64, tree any) float64 {
		if left, ok := tree.([]any); ok {
			var possible, expected []string
			for h, w := range weights {
				if w > 0 {
					possible = append(possible, states[h])
				}
			}
			for _, state := range left {
				expected = append(expected, state.(string))
			}
			sameSets(r, "end of the tree", [][]string{possible}, [][]string{expected})
			return 0
		}
		node := tree.(map[string]any)
		table := start(weights)
		test := slices.Index(g.Tests, node["test"].(string))
		cost := costs[test]
		for answer, p := range slices.Clone(table.Answers(test)) {
			cost += p * follow(after(table, test, answer), node[[]string{"fail", "pass"}[answer]])
		}
		return cost
	}
	best, err := start(prior).Optimum(diagnosis.Goal{Costs: costs}, 10_000)
	if err != nil {
		r.Fatal(err)
	}
	r.near("cost of the best plan", best.Cost, want[float64](r, "optimal_expected_cost"))
	same(r, "first tests of a best plan", pick(g.Tests, best.Tests), want[[]string](r, "optimal_first_tests"))
	choice, err := start(prior).Choose(diagnosis.Goal{Costs: costs}, diagnosis.Effort{})
	if err != nil {
		r.Fatal(err)
	}
	r.near("cost of the choice", choice.Cost, best.Cost)
	if !choice.Exact || !slices.Contains(best.Tests, choice.Test) {
		r.Errorf("chose %+v, want one of %v", choice, best.Tests)
	}
	r.near("cost of the best tree", follow(prior, want[any](r, "optimal_tree")), want[float64](r, "optimal_expected_cost"))
}
