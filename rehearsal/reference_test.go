package rehearsal_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"halfsplit/diagnosis"
	"halfsplit/rehearsal"

	"go.yaml.in/yaml/v4"
)

// ordered is a mapping that keeps the order of its keys.
type ordered[T any] struct {
	names []string
	of    map[string]T
}

func (o *ordered[T]) UnmarshalYAML(node *yaml.Node) error {
	o.of = map[string]T{}
	for i := 0; i < len(node.Content); i += 2 {
		var v T
		if err := node.Content[i+1].Load(&v); err != nil {
			return err
		}
		o.names = append(o.names, node.Content[i].Value)
		o.of[node.Content[i].Value] = v
	}
	return nil
}

// collection reads the cases of a file of the collection (diagnosis/testdata/ORIGIN.md).
func collection[Given, Expect any](t testing.TB, file string) map[string]struct {
	Kind   string
	Given  Given
	Expect Expect
} {
	t.Helper()
	content, err := os.ReadFile("../diagnosis/testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var document struct {
		Cases []struct {
			ID, Kind      string
			Given, Expect yaml.Node
		}
	}
	if err := yaml.Load(content, &document); err != nil {
		t.Fatal(err)
	}
	all := map[string]struct {
		Kind   string
		Given  Given
		Expect Expect
	}{}
	for _, c := range document.Cases {
		one := all[c.ID]
		one.Kind = c.Kind
		if err := c.Given.Load(&one.Given); err != nil {
			continue // another kind of case
		}
		if err := c.Expect.Load(&one.Expect); err != nil {
			continue
		}
		all[c.ID] = one
	}
	return all
}

// matrixBench is the bench of a dependency matrix: each state one suspect, a
// pass good.
func matrixBench(t testing.TB, prior map[string]float64, tests []string, cost map[string]float64, matrix ordered[string]) rehearsal.Bench {
	t.Helper()
	var setup rehearsal.Setup
	var weights []float64
	for i, state := range matrix.names {
		setup.Suspects = append(setup.Suspects, rehearsal.Suspect{Name: state})
		setup.Hypotheses = append(setup.Hypotheses, rehearsal.Hypothesis{Name: state, Prior: prior[state], Suspects: []int{i}})
		weights = append(weights, prior[state])
	}
	table, err := diagnosis.NewTable(weights)
	if err != nil {
		t.Fatal(err)
	}
	for j, test := range tests {
		setup.Tests = append(setup.Tests, rehearsal.Test{Name: test, Cost: cost[test], Position: j, Good: 1})
		fails, passes := make([]float64, len(weights)), make([]float64, len(weights))
		for h, state := range matrix.names {
			fails[h] = float64(matrix.of[state][j] - '0')
			passes[h] = 1 - fails[h]
		}
		if _, err := table.Add([][]float64{fails, passes}); err != nil {
			t.Fatal(err)
		}
	}
	bench, err := rehearsal.FromTable(setup, table)
	if err != nil {
		t.Fatal(err)
	}
	return bench
}

// TestSequencing: hunts over the dependency matrices of the test-sequencing
// literature. Played often enough, the cost comes to that of the best of all
// plans, which the bound finds too; the state is named rightly up to what no
// test tells apart. Every strategy that tests to the end costs at least that.
//
// Outside: diagnosis/testdata/test-sequencing.yaml, worked out by enumeration (dynamic
// programming). Within: 1e-9.
func TestSequencing(t *testing.T) {
	cases := collection[struct {
		Tests  []string
		Cost   map[string]float64
		Prior  map[string]float64
		Matrix ordered[string]
	}, struct {
		Optimum float64    `yaml:"optimal_expected_cost"`
		Groups  [][]string `yaml:"ambiguity_groups"`
	}](t, "test-sequencing.yaml")
	if len(cases) != 8 {
		t.Fatalf("%d cases, want 8", len(cases))
	}
	for id, c := range cases {
		t.Run(id, func(t *testing.T) {
			bench := matrixBench(t, c.Given.Prior, c.Given.Tests, c.Given.Cost, c.Given.Matrix)
			rules := rehearsal.Rules{Sure: 1 - 1e-12, Leaning: 2, Bits: 1e-9}
			bound, err := rehearsal.Bound(bench, 0, 0, 10_000)
			if err != nil || !bound.Known || math.Abs(bound.Optimum-c.Expect.Optimum) > 1e-9 {
				t.Fatalf("bound %+v, %v; want an optimum of %v", bound, err, c.Expect.Optimum)
			}
			if bound.Testing > bound.Optimum*(1+1e-9) && len(c.Expect.Groups) == 0 {
				t.Errorf("no plan below %v, yet the best costs %v", bound.Testing, bound.Optimum)
			}
			const trials = 2000
			for _, s := range []rehearsal.Strategy{rehearsal.Halfsplit(), rehearsal.OneAhead(), rehearsal.AtRandom()} {
				hunts, err := rehearsal.Play(context.Background(), bench, s, rehearsal.Options{Trials: trials, Draw: 4, Rules: rules})
				if err != nil {
					t.Fatal(err)
				}
				score := rehearsal.Judge(bench, s.Name, hunts)
				if score.First.Value != 1 {
					t.Errorf("%s: %v of %v named rightly", s.Name, score.First.Count, score.First.Of)
				}
				if score.Testing.Mean < 0.99*c.Expect.Optimum {
					t.Errorf("%s: costs %v, less than the best of all plans, %v", s.Name, score.Testing.Mean, c.Expect.Optimum)
				}
				if s.Name == "halfsplit" && score.Testing.Mean > 1.01*c.Expect.Optimum {
					t.Errorf("halfsplit costs %v, the best of all plans %v", score.Testing.Mean, c.Expect.Optimum)
				}
				t.Logf("%s: %.3f, optimum %.3f", s.Name, score.Testing.Mean, c.Expect.Optimum)
			}
			var groups [][]string
			for _, group := range rehearsal.Groups(bench) {
				var names []string
				for _, x := range group {
					names = append(names, bench.Setup().Suspects[x].Name)
				}
				groups = append(groups, names)
			}
			if fmt.Sprint(groups) != fmt.Sprint(c.Expect.Groups) {
				t.Errorf("groups %v, want %v", groups, c.Expect.Groups)
			}
		})
	}
}

// TestNoisyBisection: an intermittent fault in one of many cells, chilled half by
// half, each answer right with a given chance. After each number of answers the
// likeliest cell is right, and the uncertainty left, as often as exact
// enumeration says (noisy-and-intermittent.yaml).
func TestNoisyBisection(t *testing.T) {
	cases := collection[struct {
		Cells      int
		PCorrect   float64 `yaml:"p_correct"`
		MaxAnswers int     `yaml:"max_answers"`
	}, struct {
		By map[string]struct {
			PCorrect float64 `yaml:"p_correct"`
			Entropy  float64 `yaml:"expected_entropy_bits"`
		} `yaml:"by_answers"`
	}](t, "noisy-and-intermittent.yaml")
	checked := 0
	for id, c := range cases {
		if c.Kind != "noisy-bisection-mean" {
			continue
		}
		t.Run(id, func(t *testing.T) {
			bench := bisectionBench(t, c.Given.Cells, c.Given.PCorrect)
			const trials = 4000
			for _, answers := range []int{1, 3, 6, 9, c.Given.MaxAnswers} {
				hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.OneAhead(), rehearsal.Options{
					Trials: trials, Draw: 9, Rules: rehearsal.Rules{Sure: 1 - 1e-12, Leaning: 2, Bits: 1e-9, Tests: answers},
				})
				if err != nil {
					t.Fatal(err)
				}
				score := rehearsal.Judge(bench, "", hunts)
				want := c.Expect.By[fmt.Sprint(answers)]
				if err := math.Abs(score.First.Value - want.PCorrect); err > 4*math.Sqrt(want.PCorrect*(1-want.PCorrect)/trials) {
					t.Errorf("after %d answers the first is right in %.4f, want %.4f", answers, score.First.Value, want.PCorrect)
				}
				if math.Abs(score.Left-want.Entropy) > 0.08 {
					t.Errorf("after %d answers %.3f bits are left, want %.3f", answers, score.Left, want.Entropy)
				}
				if score.Error > 3*score.Chance+0.01 {
					t.Errorf("after %d answers the calibration error is %.4f, %.4f by chance", answers, score.Error, score.Chance)
				}
			}
			checked++
		})
	}
	if checked != 2 {
		t.Errorf("%d cases checked, want 2", checked)
	}
}

func bisectionBench(t testing.TB, cells int, right float64) rehearsal.Bench {
	t.Helper()
	weights := make([]float64, cells)
	var setup rehearsal.Setup
	for i := range weights {
		weights[i] = 1
		setup.Suspects = append(setup.Suspects, rehearsal.Suspect{Name: fmt.Sprint("cell ", i)})
		setup.Hypotheses = append(setup.Hypotheses, rehearsal.Hypothesis{Prior: 1, Suspects: []int{i}})
	}
	table, err := diagnosis.Bisection(weights, right, 1-right)
	if err != nil {
		t.Fatal(err)
	}
	for cut := 1; cut < cells; cut++ {
		setup.Tests = append(setup.Tests, rehearsal.Test{Name: fmt.Sprint("chill below ", cut), Cost: 1, Position: -1, Repeat: true})
	}
	bench, err := rehearsal.FromTable(setup, table)
	if err != nil {
		t.Fatal(err)
	}
	return bench
}

// TestStuckAt: single stuck wires of logic boards (c17 of Brglez and Fujiwara,
// 1985; a half and a full adder), hunted with input patterns of which one only
// sees whether the board answers rightly. Where the best of all plans can be
// worked out, hunts cost within 3 per cent of it; always the wire is named, up
// to what no pattern tells apart.
//
// Outside: c17 of F. Brglez and H. Fujiwara, ISCAS 1985; best plans by enumeration.
// Within: 3 % of the best plan.
func TestStuckAt(t *testing.T) {
	cases := collection[struct{ Inputs []string }, struct {
		Detecting ordered[[]string] `yaml:"detecting_vectors"`
	}](t, "stuck-at.yaml")
	if len(cases) != 3 {
		t.Fatalf("%d cases, want 3", len(cases))
	}
	for id, c := range cases {
		t.Run(id, func(t *testing.T) {
			matrix := ordered[string]{of: map[string]string{}}
			prior, cost := map[string]float64{}, map[string]float64{}
			var patterns []string
			for n := range 1 << len(c.Given.Inputs) {
				pattern := fmt.Sprintf("%0*b", len(c.Given.Inputs), n)
				patterns = append(patterns, pattern)
				cost[pattern] = 1
			}
			for _, fault := range c.Expect.Detecting.names {
				row := make([]byte, len(patterns))
				for j, pattern := range patterns {
					row[j] = '0'
					if slices.Contains(c.Expect.Detecting.of[fault], pattern) {
						row[j] = '1'
					}
				}
				matrix.names = append(matrix.names, fault)
				matrix.of[fault] = string(row)
				prior[fault] = 1
			}
			bench := matrixBench(t, prior, patterns, cost, matrix)
			// every fault as often as any other, and all perfect: one hunt each tells all
			hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{
				Trials: len(matrix.names), Draw: 1, Rules: rehearsal.Rules{Sure: 1 - 1e-12, Leaning: 2, Bits: 1e-9},
			})
			if err != nil {
				t.Fatal(err)
			}
			score := rehearsal.Judge(bench, "", hunts)
			if score.First.Value != 1 {
				t.Errorf("%d of %d named rightly", score.First.Count, score.First.Of)
			}
			bound, err := rehearsal.Bound(bench, 0, score.Left, 100_000)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d faults, %d groups: %.3f patterns; at least %.3f; optimum %.3f (%v)", len(prior), len(rehearsal.Groups(bench)), score.Testing.Mean, bound.Testing, bound.Optimum, bound.Known)
			if bound.Known && score.Testing.Mean > 1.03*bound.Optimum {
				t.Errorf("%v patterns, the best of all plans takes %v", score.Testing.Mean, bound.Optimum)
			}
			if score.Testing.Mean < bound.Testing-1e-9 || score.Testing.Mean > 1.5*bound.Testing {
				t.Errorf("%v patterns; want from %v, below which no plan goes, to half as much again", score.Testing.Mean, bound.Testing)
			}
		})
	}
}
