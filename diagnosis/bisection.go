package diagnosis

import "fmt"

// Bisection is a table for the hunt after a fault that comes and goes: the
// board is a row of cells with the given weights, the fault is in one of them,
// and test k−1, for k from 1 to one less than the number of cells, chills
// (heats, presses, taps) the cells below k at once and looks whether the
// trouble answers. It does with the chance caught when the fault is among
// them, and with the chance chance when it is not; caught is above chance, both
// lie from 0 to 1. Answer 0 says that the trouble answered.
//
// Such tests may be made again: what they say each time is independent given
// the place of the fault. The test that tells most cuts what is suspected near
// its middle, though every answer may be wrong (probabilistic bisection:
// Horstein, "Sequential transmission using noiseless feedback", IEEE
// Transactions on Information Theory 9, 1963).
func Bisection(weights []float64, caught, chance float64) (*Table, error) {
	if !(0 <= chance && chance < caught && caught <= 1) {
		return nil, fmt.Errorf("diagnosis: the trouble answers with %v when the fault is reached and %v when not; the first must be larger, both from 0 to 1", caught, chance)
	}
	if len(weights) < 2 {
		return nil, fmt.Errorf("diagnosis: %d cells cannot be halved; at least two are needed", len(weights))
	}
	t, err := NewTable(weights)
	if err != nil {
		return nil, err
	}
	for cut := 1; cut < len(weights); cut++ {
		answers, silent := make([]float64, len(weights)), make([]float64, len(weights))
		for cell := range weights {
			answers[cell] = chance
			if cell < cut {
				answers[cell] = caught
			}
			silent[cell] = 1 - answers[cell]
		}
		if _, err := t.Add([][]float64{answers, silent}); err != nil {
			return nil, err
		}
	}
	return t, nil
}
