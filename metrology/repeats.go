package metrology

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Repeats is what several readings of the same quantity say about it.
type Repeats struct {
	// N is the number of readings, two or more.
	N int
	// Mean is the arithmetic mean.
	Mean float64
	// Deviation is the experimental standard deviation of a single reading.
	Deviation float64
	// U is the standard uncertainty of the mean, Deviation/√N.
	U float64
	// DOF is the number of degrees of freedom, N − 1.
	DOF float64
}

// TypeA evaluates repeated readings. It needs at least two, all finite, and
// returns an error otherwise. The unit is that of the readings.
//
// Source: JCGM 100:2008, 4.2.1 to 4.2.3.
func TypeA(readings []float64) (Repeats, error) {
	if len(readings) < 2 {
		return Repeats{}, fmt.Errorf("metrology: %d repeated readings; their scatter needs at least two", len(readings))
	}
	for i, r := range readings {
		if math.IsNaN(r) || math.IsInf(r, 0) {
			return Repeats{}, fmt.Errorf("metrology: repeated reading %d is %g; each must be a finite number", i+1, r)
		}
	}
	mean, deviation := stat.MeanStdDev(readings, nil)
	if !finite(mean, deviation) {
		return Repeats{}, fmt.Errorf("metrology: the repeated readings are too large to average; check their unit")
	}
	n := float64(len(readings))
	return Repeats{N: len(readings), Mean: mean, Deviation: deviation, U: deviation / math.Sqrt(n), DOF: n - 1}, nil
}

// Pooled returns the standard deviation of a single reading from several
// groups of readings made under like conditions, each weighed by its degrees
// of freedom, and the degrees of freedom of the result. A bench that knows
// the scatter of its meter from earlier work need not repeat each reading.
// The groups may have different means.
//
// Source: JCGM 100:2008, 4.2.4 and H.3.6 (pooled experimental standard
// deviation).
func Pooled(groups ...Repeats) (deviation, dof float64, err error) {
	sum := 0.0
	for i, g := range groups {
		if !(g.DOF >= 1) || !(g.Deviation >= 0) || !finite(g.DOF, g.Deviation) {
			return 0, 0, fmt.Errorf("metrology: group %d has deviation %g with %g degrees of freedom; each group needs two readings or more", i+1, g.Deviation, g.DOF)
		}
		sum = math.Hypot(sum, math.Sqrt(g.DOF)*g.Deviation)
		dof += g.DOF
	}
	if dof == 0 {
		return 0, 0, fmt.Errorf("metrology: no group of readings to pool")
	}
	return sum / math.Sqrt(dof), dof, nil
}

// Simultaneous evaluates several quantities that were read together, time
// after time: series[i] holds the readings of quantity i, all series being
// equally long. It returns each mean as an input for [Propagate] and the
// correlations of the means, which are those of the readings. Voltage and
// current of a supply that breathes with the mains are a case: their ratio
// is better known than either. A quantity without any scatter is correlated
// with nothing.
//
// Source: JCGM 100:2008, 5.2.3 and H.2.
func Simultaneous(series ...[]float64) ([]Input, Correlation, error) {
	inputs := make([]Input, len(series))
	scaled := make([][]float64, len(series)) // deviations from the mean in standard deviations
	for i, values := range series {
		if len(values) != len(series[0]) {
			return nil, nil, fmt.Errorf("metrology: quantity %d has %d readings and the first has %d; readings made together come in equal numbers", i+1, len(values), len(series[0]))
		}
		repeats, err := TypeA(values)
		if err != nil {
			return nil, nil, fmt.Errorf("%w (quantity %d)", err, i+1)
		}
		inputs[i] = Input{Value: repeats.Mean, U: repeats.U, DOF: repeats.DOF}
		scaled[i] = make([]float64, len(values))
		if repeats.Deviation > 0 {
			for n, v := range values {
				scaled[i][n] = (v - repeats.Mean) / repeats.Deviation
			}
		}
	}
	correlation := make(Correlation, len(series))
	for i := range correlation {
		correlation[i] = make([]float64, len(series))
		correlation[i][i] = 1
		for j := range i {
			r := floats.Dot(scaled[i], scaled[j]) / inputs[i].DOF
			r = max(-1, min(1, r))
			correlation[i][j], correlation[j][i] = r, r
		}
	}
	return inputs, correlation, nil
}

// finite reports whether every value is a finite number.
func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
