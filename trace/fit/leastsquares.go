package fit

import (
	"errors"
	"fmt"
	"math"
)

// A Curve gives the value of a model at x for some parameters, and puts the
// derivative by each parameter into slope.
type Curve func(x float64, parameters, slope []float64) float64

// A Result is a fitted curve.
type Result struct {
	Parameters     []float64
	StandardErrors []float64 // of the parameters, if the residuals are independent and alike
	ResidualSD     float64   // root of the sum of squares over the degrees of freedom
	SumOfSquares   float64
	Freedom        int // points less parameters
	Iterations     int

	inverse [][]float64 // of JᵀJ at the solution
}

// mostIterations ends a fit that finds no end of its own.
const mostIterations = 20000

// LeastSquares finds the parameters for which the sum of squared residuals of a
// curve is least near the start. x and y are of one length, and there are more
// points than parameters. It is an error when the fit does not come to rest, or
// when the points do not determine the parameters.
//
// Source: the method of Levenberg and Marquardt as in K. Madsen, H. B. Nielsen,
// O. Tingleff, "Methods for non-linear least squares problems" (2004), section
// 3.2, with the scaling by the largest slopes met of J. J. Moré, "The
// Levenberg-Marquardt algorithm: implementation and theory" (1978), and with
// Householder reflections in place of normal equations.
func LeastSquares(curve Curve, x, y, start []float64) (Result, error) {
	n, m := len(start), len(x)
	if len(y) != m {
		return Result{}, fmt.Errorf("fit: there are %d values at %d places", len(y), m)
	}
	if m <= n {
		return Result{}, fmt.Errorf("fit: %d points cannot determine %d parameters with their errors; take at least %d", m, n, n+1)
	}
	l := solver{curve: curve, x: x, y: y, rows: m, columns: n}
	p := append([]float64(nil), start...)
	sum := l.at(p)
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return Result{}, errors.New("fit: the curve has no value at the start; begin elsewhere")
	}
	scale := make([]float64, n)
	damping, raise := 1.0, 2.0
	trial := make([]float64, n)
	rest := 0 // steps in a row that no longer help
	for iteration := 1; iteration <= mostIterations; iteration++ {
		l.reduce()
		for j := range scale {
			scale[j] = max(scale[j], l.norm(j))
			if scale[j] == 0 {
				scale[j] = 1
			}
		}
		for {
			step, foretold := l.step(damping, scale)
			if math.IsNaN(foretold) {
				return Result{}, errors.New("fit: the points do not determine the parameters")
			}
			small := true
			for j := range p {
				trial[j] = p[j] + step[j]
				small = small && math.Abs(step[j]) <= 1e-13*(math.Abs(p[j])+1e-300)
			}
			next := l.value(trial)
			if small || foretold <= 1e-30*sum {
				return l.result(p, sum, iteration)
			}
			gain := (sum - next) / foretold
			if gain > 0 && l.matters(trial) { // false for NaN
				if sum-next <= 1e-15*sum {
					rest++
				} else {
					rest = 0
				}
				copy(p, trial)
				sum = l.at(p)
				damping *= max(1.0/3, 1-math.Pow(2*gain-1, 3))
				raise = 2
				break
			}
			damping *= raise
			raise *= 2
			if damping > 1e60 {
				return l.result(p, sum, iteration)
			}
		}
		if rest >= 3 {
			return l.result(p, sum, iteration)
		}
	}
	return Result{}, errors.New("fit: no end was found; the curve may not suit the points, or begins too far off")
}

// solver holds the linear problem at the present parameters: the slopes J, by
// columns, and the residuals, both turned by reflections so that J becomes
// triangular.
type solver struct {
	curve         Curve
	x, y          []float64
	rows, columns int
	slopes        [][]float64 // by parameter
	residual      []float64
	diagonal      []float64
}

// value is the sum of squares for some parameters.
func (l *solver) value(p []float64) float64 {
	slope := make([]float64, l.columns)
	sum := 0.0
	for i, x := range l.x {
		r := l.y[i] - l.curve(x, p, slope)
		sum += r * r
	}
	return sum
}

// at fills in slopes and residuals.
func (l *solver) at(p []float64) float64 {
	if l.slopes == nil {
		l.residual, l.diagonal = make([]float64, l.rows), make([]float64, l.columns)
		for range l.columns {
			l.slopes = append(l.slopes, make([]float64, l.rows))
		}
	}
	slope := make([]float64, l.columns)
	sum := 0.0
	for i, x := range l.x {
		r := l.y[i] - l.curve(x, p, slope)
		l.residual[i] = r
		for j, s := range slope {
			l.slopes[j][i] = s
		}
		sum += r * r
	}
	return sum
}

// matters tells whether every parameter still matters to some point, beside how
// much it did at the present parameters. A step to
// where one does not, as beyond the end of an exponential, leads nowhere.
func (l *solver) matters(p []float64) bool {
	slope, greatest := make([]float64, l.columns), make([]float64, l.columns)
	for _, x := range l.x {
		l.curve(x, p, slope)
		for j, s := range slope {
			greatest[j] = max(greatest[j], math.Abs(s))
		}
	}
	for j, g := range greatest {
		if !(g > 1e-14*l.norm(j)) {
			return false
		}
	}
	return true
}

// reduce makes the slopes triangular: column j then holds, above its diagonal,
// the upper triangle.
func (l *solver) reduce() {
	for j, column := range l.slopes {
		l.diagonal[j] = reflect(column, l.slopes[j+1:], l.residual, j)
	}
}

// reflect makes a column zero below its place k by a Householder reflection,
// applies it to the others, and gives what comes to stand at k.
func reflect(column []float64, others [][]float64, right []float64, k int) float64 {
	norm := 0.0
	for _, v := range column[k:] {
		norm = math.Hypot(norm, v)
	}
	if norm == 0 {
		return 0
	}
	if column[k] > 0 {
		norm = -norm
	}
	column[k] -= norm // the reflection's direction stays in the column
	length := -norm * column[k]
	apply := func(to []float64) {
		dot := 0.0
		for i := k; i < len(column); i++ {
			dot += column[i] * to[i]
		}
		dot /= length
		for i := k; i < len(column); i++ {
			to[i] -= dot * column[i]
		}
	}
	for _, to := range others {
		apply(to)
	}
	apply(right)
	return norm
}

// upper is the entry of the triangle.
func (l *solver) upper(i, j int) float64 {
	if i == j {
		return l.diagonal[j]
	}
	return l.slopes[j][i]
}

// norm is the length of a column of slopes.
func (l *solver) norm(j int) float64 {
	sum := 0.0
	for i := 0; i <= j; i++ {
		sum = math.Hypot(sum, l.upper(i, j))
	}
	return sum
}

// step solves the damped linear problem, and foretells by how much the sum of
// squares will fall.
func (l *solver) step(damping float64, scale []float64) (step []float64, foretold float64) {
	n := l.columns
	columns := make([][]float64, n)
	right := make([]float64, 2*n)
	copy(right, l.residual[:n])
	for j := range columns {
		columns[j] = make([]float64, 2*n)
		for i := 0; i <= j; i++ {
			columns[j][i] = l.upper(i, j)
		}
		columns[j][n+j] = math.Sqrt(damping) * scale[j]
	}
	diagonal := make([]float64, n)
	for j := range columns {
		diagonal[j] = reflect(columns[j], columns[j+1:], right, j)
	}
	step = make([]float64, n)
	for j := n - 1; j >= 0; j-- {
		v := right[j]
		for k := j + 1; k < n; k++ {
			v -= columns[k][j] * step[k]
		}
		step[j] = v / diagonal[j]
	}
	for i := range n { // |r|² - |r - J·step|², and what the damping held back
		v := 0.0
		for j := i; j < n; j++ {
			v += l.upper(i, j) * step[j]
		}
		foretold += v * v
		foretold += 2 * damping * scale[i] * scale[i] * step[i] * step[i]
	}
	return step, foretold
}

// result works out the errors at the solution.
func (l *solver) result(p []float64, sum float64, iterations int) (Result, error) {
	l.at(p)
	l.reduce()
	r := Result{Parameters: p, SumOfSquares: sum, Freedom: l.rows - l.columns, Iterations: iterations}
	r.ResidualSD = math.Sqrt(sum / float64(r.Freedom))
	n := l.columns
	inverse := make([][]float64, n) // of the triangle, by columns
	for j := range inverse {
		if l.diagonal[j] == 0 || math.IsNaN(l.diagonal[j]) {
			return Result{}, errors.New("fit: the points do not determine the parameters")
		}
		inverse[j] = make([]float64, n)
		inverse[j][j] = 1 / l.diagonal[j]
		for i := j - 1; i >= 0; i-- {
			v := 0.0
			for k := i + 1; k <= j; k++ {
				v -= l.upper(i, k) * inverse[j][k]
			}
			inverse[j][i] = v / l.diagonal[i]
		}
	}
	r.inverse = make([][]float64, n)
	for i := range n {
		r.inverse[i] = make([]float64, n)
		for j := range n {
			for k := max(i, j); k < n; k++ {
				r.inverse[i][j] += inverse[k][i] * inverse[k][j]
			}
		}
		r.StandardErrors = append(r.StandardErrors, r.ResidualSD*math.Sqrt(r.inverse[i][i]))
	}
	return r, nil
}
