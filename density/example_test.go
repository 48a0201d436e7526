package density_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"halfsplit/density"
)

// A divider of 10 kΩ and 4.7 kΩ, 5 % each, across 12 V. Is it sound, or has the
// upper resistor drifted 20 % up? A hundred boards are worked out for each.
func Example() {
	random := rand.New(rand.NewPCG(1, 1))
	boards := func(drift float64) *density.Density {
		var rows [][]float64
		for range 100 {
			upper := 10e3 * drift * (1 + 0.05*(2*random.Float64()-1))
			lower := 4.7e3 * (1 + 0.05*(2*random.Float64()-1))
			rows = append(rows, []float64{12 * lower / (upper + lower)})
		}
		cloud, err := density.New(rows)
		if err != nil {
			panic(err)
		}
		at, err := cloud.Of([]int{0}, []float64{0.02}) // the meter is good for 20 mV
		if err != nil {
			panic(err)
		}
		return at
	}
	faults := []*density.Density{boards(1), boards(1.2)}
	for _, volts := range []float64{3.85, 3.58, 3.30} {
		p, err := density.Posterior([]float64{0.9, 0.1}, faults, []float64{volts})
		if err != nil {
			panic(err)
		}
		fmt.Printf("%.2f V: sound %.0f %%, drifted %.0f %%\n", volts, math.Round(100*p[0]), math.Round(100*p[1]))
	}
	// Output:
	// 3.85 V: sound 100 %, drifted 0 %
	// 3.58 V: sound 71 %, drifted 29 %
	// 3.30 V: sound 0 %, drifted 100 %
}
