package diagnosis

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// randomTable is a table of the given size over even weights: every chance is
// drawn, no hypothesis ever ruled out.
func randomTable(b *testing.B, hypotheses, tests, answers int) *Table {
	b.Helper()
	random := rand.New(rand.NewPCG(1, 2))
	weights := make([]float64, hypotheses)
	for h := range weights {
		weights[h] = 1
	}
	table, err := NewTable(weights)
	if err != nil {
		b.Fatal(err)
	}
	for range tests {
		chance := make([][]float64, answers)
		for a := range chance {
			chance[a] = make([]float64, hypotheses)
		}
		for h := range hypotheses {
			sum := 0.0
			for a := range chance {
				chance[a][h] = 0.05 + random.Float64()
				sum += chance[a][h]
			}
			for a := range chance {
				chance[a][h] /= sum
			}
		}
		if _, err := table.Add(chance); err != nil {
			b.Fatal(err)
		}
	}
	return table
}

var tableSizes = []struct{ hypotheses, tests, answers int }{
	{1_000, 200, 10},
	{10_000, 500, 2},
}

// BenchmarkNextTest takes one answer in and chooses the next test.
func BenchmarkNextTest(b *testing.B) {
	for _, size := range tableSizes {
		b.Run(fmt.Sprintf("%dx%dx%d", size.hypotheses, size.tests, size.answers), func(b *testing.B) {
			table := randomTable(b, size.hypotheses, size.tests, size.answers)
			costs := make([]float64, size.tests)
			for i := range costs {
				costs[i] = 1 + float64(i%7)
			}
			prior := append([]float64(nil), table.weights...)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				copy(table.weights, prior) // as before the answer
				if err := table.Update(i%size.tests, i%size.answers); err != nil {
					b.Fatal(err)
				}
				if best, _ := table.Best(costs); best < 0 {
					b.Fatal("no test")
				}
			}
		})
	}
}

// mixedTable is a table of half numbers and half words over ten thousand
// hypotheses, in a thousand classes or each by itself.
func mixedTable(b *testing.B, hypotheses, tests int, joined bool) (*Table, []float64) {
	b.Helper()
	random := rand.New(rand.NewPCG(5, 6))
	table := randomTable(b, hypotheses, 0, 2)
	for i := range tests {
		if i%2 == 0 {
			chance := [][]float64{make([]float64, hypotheses), make([]float64, hypotheses), make([]float64, hypotheses)}
			for h := range hypotheses {
				p := random.Float64()
				chance[0][h], chance[1][h], chance[2][h] = p/2, 1-p, p/2
			}
			if _, err := table.Add(chance); err != nil {
				b.Fatal(err)
			}
			continue
		}
		mean, sd := make([]float64, hypotheses), make([]float64, hypotheses)
		for h := range hypotheses {
			mean[h], sd[h] = 12*random.Float64(), 0.1*math.Exp(random.NormFloat64()/2)
		}
		if _, err := table.AddReadings(mean, sd, 0.01); err != nil {
			b.Fatal(err)
		}
	}
	if joined {
		class := make([]int, hypotheses)
		for h := range class {
			class[h] = h / 10
		}
		if err := table.Join(class); err != nil {
			b.Fatal(err)
		}
	}
	costs := make([]float64, tests)
	for i := range costs {
		costs[i] = 1 + float64(i%7)
	}
	return table, costs
}

// BenchmarkPosterior takes one reading in: 10,000 hypotheses among 500 tests.
func BenchmarkPosterior(b *testing.B) {
	table, _ := mixedTable(b, 10_000, 500, false)
	prior := append([]float64(nil), table.weights...)
	b.ReportAllocs()
	for b.Loop() {
		copy(table.weights, prior)
		if err := table.Read(1, 5); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNextReading chooses the next of 500 tests, half of them numbers,
// over 10,000 hypotheses.
func BenchmarkNextReading(b *testing.B) {
	for _, joined := range []bool{false, true} {
		b.Run(fmt.Sprintf("joined=%v", joined), func(b *testing.B) {
			table, costs := mixedTable(b, 10_000, 500, joined)
			b.ReportAllocs()
			for b.Loop() {
				if best, _ := table.Best(costs); best < 0 {
					b.Fatal("no test")
				}
			}
		})
	}
}

// BenchmarkAddReadings prepares one numeric test over 10,000 hypotheses.
func BenchmarkAddReadings(b *testing.B) {
	table, _ := mixedTable(b, 10_000, 2, false)
	r := table.tests[1].readings
	for b.Loop() {
		if _, err := table.AddReadings(r.mean, r.sd, 0.01); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLookAhead looks two tests ahead from each of the eight best: what
// the best test after each of their answers would tell.
func BenchmarkLookAhead(b *testing.B) {
	for _, size := range tableSizes {
		b.Run(fmt.Sprintf("%dx%dx%d", size.hypotheses, size.tests, size.answers), func(b *testing.B) {
			table := randomTable(b, size.hypotheses, size.tests, size.answers)
			costs := make([]float64, size.tests)
			for i := range costs {
				costs[i] = 1
			}
			next := table.Clone()
			b.ReportAllocs()
			for b.Loop() {
				for test := range 8 {
					gain := table.Gain(test)
					for answer, p := range table.Answers(test) {
						table.After(test, answer, next.weights)
						_, then := next.Best(costs)
						gain += p * then
					}
					if gain <= 0 {
						b.Fatal("nothing to gain")
					}
				}
			}
		})
	}
}

// manyModes is a cheap model: sixty items with six modes each, ten readings,
// each disturbed by some of the faults.
type manyModes struct{ shift [][]float64 } // by fault, by reading

const readings = 10

func newManyModes(faults int) manyModes {
	random := rand.New(rand.NewPCG(3, 4))
	m := manyModes{shift: make([][]float64, faults)}
	for f := range m.shift {
		m.shift[f] = make([]float64, readings)
		for r := range m.shift[f] {
			if random.IntN(4) == 0 {
				m.shift[f][r] = 6 * random.NormFloat64()
			}
		}
	}
	return m
}

func (m manyModes) LogLikelihood(faults []int) float64 {
	ln := 0.0
	for r := range readings {
		x := m.shift[100][r] + m.shift[250][r] // what is read: two faults at once
		for _, f := range faults {
			x -= m.shift[f][r]
		}
		ln -= x * x / 2
	}
	return ln
}

func (m manyModes) Undescribed() float64 { return -40 }
func (m manyModes) Ceiling() float64     { return 0 }

func manyModesProblem() Problem {
	problem := Problem{Items: 60, Undescribed: 0.02}
	for f := range 360 {
		problem.Faults = append(problem.Faults, Fault{Item: f / 6, Prior: 0.001})
	}
	problem.Model = newManyModes(len(problem.Faults))
	return problem
}

// BenchmarkSearch weighs sets of faults of sixty items with six modes each,
// with the usual limits; two faults are at work.
func BenchmarkSearch(b *testing.B) {
	problem := manyModesProblem()
	var posterior *Posterior
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if posterior, err = Search(context.Background(), problem, Limits{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(posterior.Sets)), "sets")
	b.ReportMetric(math.Log10(max(posterior.LeftOut, 1e-300)), "log10-left-out")
	if best := posterior.Sets[0].Faults; len(best) != 2 || best[0] != 100 || best[1] != 250 {
		b.Errorf("best set %v, want the two faults at work", best)
	}
}

// BenchmarkExplanations folds the same posterior.
func BenchmarkExplanations(b *testing.B) {
	problem := manyModesProblem()
	posterior, err := Search(context.Background(), problem, Limits{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if posterior.Explanations(&problem) == nil {
			b.Fatal("no explanation")
		}
	}
}
