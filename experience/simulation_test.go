package experience_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"halfsplit/experience"
	"halfsplit/fault"
)

// Benches drawn at random: the factor of a kind about the usual odds, and those of
// its families, makers and batches about the one above, each gamma of mean 1 and the
// strength that the package takes; then counts of failures by Poisson. Of the
// intervals of 90 % about 90 % must hold the factor drawn, at every level, of sorts
// that were seen and of such as were not.
func TestIntervalsHold(t *testing.T) {
	const (
		benches      = 1500
		first, close = fault.Steadiness, 2 * fault.Steadiness // shapes: of the kind, of all below it
	)
	source := rand.NewPCG(5, 8)
	random := rand.New(source)
	gamma := func(shape float64) float64 { return distuv.Gamma{Alpha: shape, Beta: shape, Src: source}.Rand() }
	chip, _ := fault.Find("chip")
	age := experience.BandOf(44)
	rate := chip.Rate(fault.Life{Age: age.Middle()})
	held, asked := map[string]int{}, map[string]int{}
	for range benches {
		type truth struct {
			level  string
			key    experience.Key
			factor float64
		}
		book := &experience.Book{}
		kind := truth{"kind", experience.Key{Kind: "chip"}, gamma(first)}
		truths := []truth{kind}
		for f := range 3 {
			family := truth{"family", experience.Key{Kind: "chip", Family: fmt.Sprint("family ", f)}, kind.factor * gamma(close)}
			truths = append(truths, family)
			for m := range 2 {
				maker := truth{"maker", family.key, family.factor * gamma(close)}
				maker.key.Maker = fmt.Sprint("maker ", m)
				truths = append(truths, maker)
				for b := range 2 {
					batch := truth{"batch", maker.key, maker.factor * gamma(close)}
					batch.key.Batch = fmt.Sprint("81", b)
					expected := random.ExpFloat64() * random.ExpFloat64() * 2
					if random.IntN(6) == 0 || expected*batch.factor == 0 { // never seen
						batch.level = "batch never seen"
						truths = append(truths, batch)
						continue
					}
					truths = append(truths, batch)
					err := book.Add(experience.Record{
						Bench: "one", ID: fmt.Sprint(f, m, b), Revision: 1, Key: batch.key, Age: age,
						Count: experience.Count{Failed: int(distuv.Poisson{Lambda: expected * batch.factor, Src: source}.Rand()), Years: expected / rate},
					})
					if err != nil {
						t.Fatal(err)
					}
				}
			}
		}
		tally := book.Tally()
		for _, truth := range truths {
			e, err := tally.Estimate(truth.key)
			if err != nil {
				t.Fatal(err)
			}
			asked[truth.level]++
			if e.Low <= truth.factor && truth.factor <= e.High {
				held[truth.level]++
			}
		}
	}
	for level, n := range asked {
		share := float64(held[level]) / float64(n)
		t.Logf("%s: %.1f %% of %d", level, 100*share, n)
		if share < 0.87 || share > 0.945 {
			t.Errorf("%s: of the intervals of 90 %% %.1f %% hold the factor", level, 100*share)
		}
	}
}
