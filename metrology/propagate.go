package metrology

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/diff/fd"
)

// Input is one quantity that goes into a calculation.
type Input struct {
	// Value is the best estimate.
	Value float64
	// U is its standard uncertainty, zero or more, in the same unit.
	U float64
	// DOF is the number of degrees of freedom of U; zero means infinitely
	// many.
	DOF float64
}

// Correlation holds the correlation coefficients between inputs: a symmetric
// matrix with ones on the diagonal, a row for each input. A nil Correlation
// means independent inputs.
type Correlation [][]float64

func (c Correlation) check(n int) error {
	if c == nil {
		return nil
	}
	if len(c) != n {
		return fmt.Errorf("metrology: the correlation matrix has %d rows for %d inputs", len(c), n)
	}
	for i, row := range c {
		if len(row) != n {
			return fmt.Errorf("metrology: row %d of the correlation matrix has %d entries for %d inputs", i+1, len(row), n)
		}
		if row[i] != 1 {
			return fmt.Errorf("metrology: input %d correlates with itself by %g; that must be 1", i+1, row[i])
		}
		for j, r := range row {
			if !(r >= -1 && r <= 1) || c[j][i] != r {
				return fmt.Errorf("metrology: correlation of inputs %d and %d is %g; it must lie between -1 and 1 and be the same both ways", i+1, j+1, r)
			}
		}
	}
	return nil
}

func (c Correlation) at(i, j int) float64 {
	switch {
	case c != nil:
		return c[i][j]
	case i == j:
		return 1
	}
	return 0
}

// Covariance returns the covariance of two results of the same inputs, from
// the sensitivities ∂f/∂x of each result, the standard uncertainties of the
// inputs and their correlation:
//
//	Σ Σ aᵢ bⱼ uᵢ uⱼ rᵢⱼ.
//
// With b = a it is the square of the combined standard uncertainty.
//
// Source: JCGM 100:2008, 5.2.2 (13) and H.2.3 (H.9).
func Covariance(a, b, u []float64, correlation Correlation) (float64, error) {
	if len(a) != len(u) || len(b) != len(u) {
		return 0, fmt.Errorf("metrology: %d and %d sensitivities for %d inputs", len(a), len(b), len(u))
	}
	if err := correlation.check(len(u)); err != nil {
		return 0, err
	}
	sum, scale := 0.0, 0.0
	for i := range u {
		if !(u[i] >= 0) || !finite(u[i], a[i], b[i]) {
			return 0, fmt.Errorf("metrology: input %d has standard uncertainty %g and sensitivities %g and %g; all must be finite and the first not negative", i+1, u[i], a[i], b[i])
		}
		for j := range u {
			term := (a[i] * u[i]) * (b[j] * u[j]) * correlation.at(i, j)
			sum += term
			scale += math.Abs(term)
		}
	}
	if !finite(sum, scale) {
		return 0, fmt.Errorf("metrology: the covariance is too large for a number; check the units of the inputs")
	}
	// What is left below the rounding of the terms is rounding.
	if math.Abs(sum) <= 1e-15*scale {
		return 0, nil
	}
	return sum, nil
}

// Propagated is the result of a calculation with its uncertainty.
type Propagated struct {
	// Value is the model at the values of the inputs.
	Value float64
	// U is the combined standard uncertainty.
	U float64
	// DOF is the effective number of degrees of freedom; zero means
	// infinitely many.
	DOF float64
	// Sensitivities are the partial derivatives ∂f/∂x at the inputs. That of
	// an exact input (U = 0) is not needed and left at zero.
	Sensitivities []float64
	// Contributions are |sensitivity| × U of each input.
	Contributions []float64
}

// centralDifference is the five-point stencil for a first derivative: exact
// for polynomials of the fourth degree.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, Table
// 25.2, five points.
var centralDifference = fd.Formula{
	Stencil: []fd.Point{
		{Loc: -2, Coeff: 1. / 12}, {Loc: -1, Coeff: -2. / 3},
		{Loc: 1, Coeff: 2. / 3}, {Loc: 2, Coeff: -1. / 12},
	},
	Derivative: 1, Step: 1e-3,
}

// Propagate carries the uncertainty of inputs through a calculation by the
// law of propagation of uncertainty, with sensitivities found numerically.
// The model must be smooth within a thousandth of each input. For
// independent inputs the degrees of freedom follow Welch–Satterthwaite; that
// formula does not hold for correlated ones, and the smallest number among
// the inputs is then given, which errs on the safe side.
//
// It returns an error when an input or the correlation is not valid, or when
// the model gives no finite number.
//
// Source: JCGM 100:2008, 5.1.2 (10), 5.1.3 and 5.2.2 (13).
func Propagate(model func(x []float64) float64, inputs []Input, correlation Correlation) (Propagated, error) {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		if !finite(in.Value, in.U) || in.U < 0 || !validDOF(in.DOF) {
			return Propagated{}, fmt.Errorf("metrology: input %d is %g with standard uncertainty %g and %g degrees of freedom; value and uncertainty must be finite, the uncertainty not negative, the degrees of freedom 0 (infinitely many) or at least 1", i+1, in.Value, in.U, in.DOF)
		}
		x[i] = in.Value
	}
	result := Propagated{Value: model(x), Sensitivities: make([]float64, len(inputs)), Contributions: make([]float64, len(inputs))}
	if !finite(result.Value) {
		return Propagated{}, fmt.Errorf("metrology: the model gives %g at the values of the inputs; it must give a finite number", result.Value)
	}
	u := make([]float64, len(inputs))
	components := make([]Component, len(inputs))
	for i, in := range inputs {
		if in.U == 0 {
			continue
		}
		along := func(v float64) float64 {
			x[i] = v
			return model(x)
		}
		step := 1e-3 * max(math.Abs(in.Value), in.U)
		c := fd.Derivative(along, in.Value, &fd.Settings{Formula: centralDifference, Step: step})
		x[i] = in.Value
		u[i] = in.U
		result.Sensitivities[i] = c
		result.Contributions[i] = math.Abs(c) * in.U
		if !finite(result.Contributions[i]) {
			return Propagated{}, fmt.Errorf("metrology: the model gives no finite number near input %d = %g; it must be smooth there", i+1, in.Value)
		}
		components[i] = Component{U: result.Contributions[i], DOF: in.DOF}
	}
	variance, err := Covariance(result.Sensitivities, result.Sensitivities, u, correlation)
	if err != nil {
		return Propagated{}, err
	}
	if variance < 0 {
		return Propagated{}, fmt.Errorf("metrology: the correlations contradict each other (the variance comes out negative)")
	}
	result.U = math.Sqrt(variance)
	if correlation == nil {
		result.U, result.DOF, err = Combine(components...)
		return result, err
	}
	for _, c := range components {
		if c.U > 0 && c.DOF > 0 && (result.DOF == 0 || c.DOF < result.DOF) {
			result.DOF = c.DOF
		}
	}
	return result, nil
}
