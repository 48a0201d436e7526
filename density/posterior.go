package density

import (
	"fmt"
	"math"
)

// Posterior is the chance of each hypothesis after readings: its prior times
// the density of the readings under it, as shares of the sum (Bayes' theorem).
// The priors need not add up to one; all densities must be of the same readings.
// When no hypothesis can have brought about the readings (each density is 0, as
// for a reading that is no number) they say nothing, and the priors are returned
// as shares.
//
// The error names a prior that is negative or no number, or that there are not as
// many priors as densities, or that no prior is above 0.
func Posterior(priors []float64, densities []*Density, values []float64) ([]float64, error) {
	if len(priors) != len(densities) {
		return nil, fmt.Errorf("%d priors for %d hypotheses; there must be one for each", len(priors), len(densities))
	}
	logs := make([]float64, len(priors))
	most, total := math.Inf(-1), 0.0
	for i, p := range priors {
		if !(p >= 0) || math.IsInf(p, 1) {
			return nil, fmt.Errorf("hypothesis %d has a prior of %g; it must be at least 0", i, p)
		}
		total += p
		logs[i] = math.Inf(-1)
		if p > 0 {
			logs[i] = math.Log(p) + densities[i].Log(values)
		}
		most = max(most, logs[i])
	}
	if !(total > 0) || math.IsInf(total, 1) {
		return nil, fmt.Errorf("the priors add up to %g; at least one must be above 0, and their sum finite", total)
	}
	posterior := make([]float64, len(priors))
	if math.IsInf(most, -1) {
		for i, p := range priors {
			posterior[i] = p / total
		}
		return posterior, nil
	}
	sum := 0.0
	for i, l := range logs {
		posterior[i] = math.Exp(l - most)
		sum += posterior[i]
	}
	for i := range posterior {
		posterior[i] /= sum
	}
	return posterior, nil
}
