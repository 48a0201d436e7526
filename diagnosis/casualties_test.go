package diagnosis_test

import (
	"context"
	"math"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// flat is a model to which everything is alike, so that the posterior is the
// prior.
type flat struct{}

func (flat) LogLikelihood([]int) float64 { return 0 }
func (flat) Undescribed() float64        { return 0 }
func (flat) Ceiling() float64            { return 0 }

// A regulator that passes too much (chance 0.02) takes the chip on its rail with
// it: the chip's odds of 1 to 49 become 20 to 49, a chance of 0.29. Other faults
// of the regulator do the chip nothing.
func TestCasualty(t *testing.T) {
	problem := diagnosis.Problem{
		Items: 2,
		Faults: []diagnosis.Fault{
			{Item: 0, Prior: 0.02}, // passes too much
			{Item: 0, Prior: 0.03}, // dead
			{Item: 1, Prior: 0.02}, // the chip
		},
		Model:      flat{},
		Casualties: []diagnosis.Casualty{{Cause: 0, Item: 1, Times: 20}},
	}
	p, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	chance := map[string]float64{}
	for _, s := range p.Sets {
		name := ""
		for _, f := range s.Faults {
			name += string(rune('a' + f))
		}
		chance[name] = s.Probability
	}
	for name, want := range map[string]float64{
		"ac": 0.02 * 20 * 0.02 / (0.98 + 20*0.02), "a": 0.02 * 0.98 / (0.98 + 20*0.02),
		"bc": 0.03 * 0.02, "b": 0.03 * 0.98, "c": 0.95 * 0.02, "": 0.95 * 0.98,
	} {
		if math.Abs(chance[name]-want) > 1e-12 {
			t.Errorf("%q: %.6f, want %.6f", name, chance[name], want)
		}
	}
}

// Whatever takes what with it, as long as nothing is its own cause the chances of
// all sets add up to one: none is left out.
func TestCasualtiesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := rapid.IntRange(2, 6).Draw(t, "items")
		problem := diagnosis.Problem{Items: items, Model: flat{}}
		for i := range items {
			for range rapid.IntRange(1, 2).Draw(t, "ways") {
				problem.Faults = append(problem.Faults, diagnosis.Fault{Item: i, Prior: rapid.Float64Range(0.01, 0.3).Draw(t, "prior")})
			}
		}
		for f, fault := range problem.Faults {
			for i := fault.Item + 1; i < items; i++ {
				if rapid.Bool().Draw(t, "takes") {
					problem.Casualties = append(problem.Casualties, diagnosis.Casualty{Cause: f, Item: i, Times: rapid.Float64Range(1, 50).Draw(t, "times")})
				}
			}
		}
		p, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if !p.Exact || math.Abs(p.LogEvidence) > 1e-9 {
			t.Fatalf("all sets together have ln chance %v, want 0 (exact: %v)", p.LogEvidence, p.Exact)
		}
	})
}

// What makes no sense is refused.
func TestCasualtyRefused(t *testing.T) {
	for _, c := range []diagnosis.Casualty{{Cause: 3, Item: 0, Times: 2}, {Cause: 0, Item: 5, Times: 2}, {Cause: 0, Item: 0, Times: 2}, {Cause: 0, Item: 1, Times: 0.5}, {Cause: 0, Item: 1, Times: math.Inf(1)}} {
		problem := diagnosis.Problem{Items: 2, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.1}, {Item: 1, Prior: 0.1}}, Model: flat{}, Casualties: []diagnosis.Casualty{c}}
		if _, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{}); err == nil {
			t.Errorf("%+v is taken", c)
		}
	}
}
