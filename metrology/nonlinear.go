package metrology

import (
	"fmt"
	"math"
)

// SecondOrder returns the next terms of the variance of a calculation,
//
//	Σ Σ [ ½(∂²f/∂xᵢ∂xⱼ)² + ∂f/∂xᵢ · ∂³f/∂xᵢ∂xⱼ² ] uᵢ² uⱼ²,
//
// for independent, normal inputs. Add it to the square of the uncertainty
// from [Propagate] when the calculation bends strongly within the
// uncertainty of its inputs, or when a sensitivity is zero just at the
// values read, as at the balance of a bridge. The terms may be negative.
// Derivatives are taken as differences over one standard uncertainty, so the
// model must be defined two standard uncertainties to either side.
//
// Source: JCGM 100:2008, 5.1.2 Note, and H.1.7.
func SecondOrder(model func(x []float64) float64, inputs []Input) (float64, error) {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		if !finite(in.Value, in.U) || in.U < 0 {
			return 0, fmt.Errorf("metrology: input %d is %g with standard uncertainty %g; both must be finite and the second not negative", i+1, in.Value, in.U)
		}
		x[i] = in.Value
	}
	// at evaluates the model a standard uncertainties along i and b along j.
	at := func(i int, a float64, j int, b float64) float64 {
		x[i] += a * inputs[i].U
		x[j] += b * inputs[j].U
		y := model(x)
		x[i], x[j] = inputs[i].Value, inputs[j].Value
		return y
	}
	sum := 0.0
	for i := range inputs {
		for j := range inputs {
			first := (at(i, 1, j, 0) - at(i, -1, j, 0)) / 2
			var second, third float64
			if i == j {
				second = at(i, 1, j, 0) - 2*at(i, 0, j, 0) + at(i, -1, j, 0)
				third = (at(i, 2, j, 0) - 2*at(i, 1, j, 0) + 2*at(i, -1, j, 0) - at(i, -2, j, 0)) / 2
			} else {
				pp, pm, mp, mm := at(i, 1, j, 1), at(i, 1, j, -1), at(i, -1, j, 1), at(i, -1, j, -1)
				second = (pp - pm - mp + mm) / 4
				third = (pp - 2*at(i, 1, j, 0) + pm - mp + 2*at(i, -1, j, 0) - mm) / 2
			}
			sum += second*second/2 + first*third
		}
	}
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return 0, fmt.Errorf("metrology: the model gives no finite number within two standard uncertainties of the inputs")
	}
	return sum, nil
}
