package experience_test

import (
	"math"
	"os"
	"testing"

	"go.yaml.in/yaml/v4"
	"gonum.org/v1/gonum/stat/distuv"

	"halfsplit/experience"
	"halfsplit/fault"
)

// The asthma example of Bayesian Data Analysis, 3rd edition, section 2.6: a prior of
// shape 3 and rate 5, so a usual rate of 0.6, and 3 deaths in 2.0 units of exposure,
// then 30 in 20.0. Its shape is the strength that a bench's usual odds have here, so
// that chips which fail as people there die must come out with the figures of the
// book.
func TestAsthmaExample(t *testing.T) {
	text, err := os.ReadFile("testdata/gamma-posteriors.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID     string
			Inputs struct {
				Events   int
				Exposure float64
				PriorA   float64 `yaml:"prior_a"`
				PriorB   float64 `yaml:"prior_b"`
			}
			Expected map[string]struct {
				Value      float64
				Recomputed float64
			}
		}
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) != 2 {
		t.Fatalf("%d cases", len(file.Cases))
	}
	chip, _ := fault.Find("chip")
	for _, c := range file.Cases {
		t.Run(c.ID, func(t *testing.T) {
			if c.Inputs.PriorA != fault.Steadiness {
				t.Fatalf("the book's prior has shape %v", c.Inputs.PriorA)
			}
			usual := c.Inputs.PriorA / c.Inputs.PriorB
			age := experience.BandOf(44)
			years := usual * c.Inputs.Exposure / chip.Rate(fault.Life{Age: age.Middle()})
			e := estimate(t, experience.Key{Kind: "chip"}, experience.Record{
				Bench: "one", ID: "1", Revision: 1, Key: experience.Key{Kind: "chip"}, Age: age, Count: experience.Count{Failed: c.Inputs.Events, Years: years},
			})
			posterior := distuv.Gamma{Alpha: e.Shape, Beta: e.Rate}
			for _, check := range []struct {
				name string
				got  float64
			}{
				{"post_a", e.Shape}, {"post_b", e.Rate / usual}, {"mean", usual * e.Factor},
				{"lower", usual * posterior.Quantile(0.025)}, {"upper", usual * posterior.Quantile(0.975)}, {"upper_one_sided", usual * e.High},
				{"prob_above", posterior.Survival(1 / usual)},
			} {
				expected, ok := c.Expected[check.name]
				if !ok {
					t.Fatalf("nothing is expected of %s", check.name)
				}
				want := expected.Value
				if expected.Recomputed != 0 {
					want = expected.Recomputed
				}
				if math.Abs(check.got-want) > 1e-6*want {
					t.Errorf("%s %v, want %v", check.name, check.got, want)
				}
			}
		})
	}
}

// The ends of the interval are the quantiles that gonum's own search gives.
func TestIntervalBesideGonum(t *testing.T) {
	for _, n := range []int{0, 1, 3, 30, 1000} {
		e := estimate(t, experience.Key{Kind: "tantalum"}, experience.Record{
			Bench: "one", ID: "1", Revision: 1, Key: experience.Key{Kind: "tantalum"}, Count: experience.Count{Failed: n, Good: 200},
		})
		g := distuv.Gamma{Alpha: e.Shape, Beta: e.Rate}
		if low, high := g.Quantile(0.05), g.Quantile(0.95); math.Abs(e.Low-low) > 1e-6*low || math.Abs(e.High-high) > 1e-6*high {
			t.Errorf("%d failed: %v to %v, gonum %v to %v", n, e.Low, e.High, low, high)
		}
	}
}

func estimate(t *testing.T, key experience.Key, records ...experience.Record) experience.Estimate {
	t.Helper()
	book, err := experience.NewBook(records...)
	if err != nil {
		t.Fatal(err)
	}
	e, err := book.Tally().Estimate(key)
	if err != nil {
		t.Fatal(err)
	}
	return e
}
