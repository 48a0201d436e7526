package diagnosis_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/diagnosis"
)

// TestGainAsDefined: what a test tells of the class is, whatever was answered
// before, the mutual information worked out from its definition, Σ p(c, a)·log2
// (p(c, a) / (p(c)·p(a))) (Cover and Thomas, Elements of Information Theory,
// equation 2.28), over all hypotheses, however little weight they have left.
func TestGainAsDefined(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, answers := rapid.IntRange(2, 12).Draw(t, "hypotheses"), rapid.IntRange(2, 4).Draw(t, "answers")
		weights, class := make([]float64, n), make([]int, n)
		for h := range weights {
			weights[h] = math.Pow(10, rapid.Float64Range(-18, 0).Draw(t, "weight"))
			class[h] = rapid.IntRange(0, 3).Draw(t, "class")
		}
		table, err := diagnosis.NewTable(weights)
		if err != nil {
			t.Fatal(err)
		}
		chance := make([][]float64, answers)
		for a := range chance {
			chance[a] = make([]float64, n)
		}
		for h := range n {
			sum := 0.0
			for a := range chance {
				chance[a][h] = rapid.Float64Range(0.01, 1).Draw(t, "chance")
				sum += chance[a][h]
			}
			for a := range chance {
				chance[a][h] /= sum
			}
		}
		if _, err := table.Add(chance); err != nil {
			t.Fatal(err)
		}
		if err := table.Join(class); err != nil {
			t.Fatal(err)
		}
		for range 6 {
			want, joint, of := 0.0, map[[2]int]float64{}, map[int]float64{}
			answer := make([]float64, answers)
			for h, w := range table.Weights() {
				of[class[h]] += w
				for a := range chance {
					joint[[2]int{class[h], a}] += w * chance[a][h]
					answer[a] += w * chance[a][h]
				}
			}
			for k, p := range joint {
				if p > 0 {
					want += p * math.Log2(p/(of[k[0]]*answer[k[1]]))
				}
			}
			if got := table.Gain(0); math.Abs(got-want) > 1e-9 {
				t.Fatalf("gain %v, by definition %v", got, want)
			}
			if got := table.Clone().Gain(0); math.Abs(got-want) > 1e-9 {
				t.Fatalf("gain of a clone %v, by definition %v", got, want)
			}
			if err := table.Update(0, rapid.IntRange(0, answers-1).Draw(t, "answer")); err != nil {
				t.Fatal(err)
			}
		}
	})
}
