package density

import (
	"fmt"
	"math"
)

// A Cloud is what simulated circuits with the same fault would show. It does not
// change and may be shared.
type Cloud struct {
	samples  [][]float64
	mean     []float64
	variance [][]float64 // covariance, symmetric
}

// New makes a cloud of samples: one row for each simulated circuit, one column
// for each reading, in whatever unit the readings are in. Use units in which the
// spread is about even everywhere, such as decibels for gains. There must be at
// least two rows, all of the same length, of finite numbers; several times more
// rows than readings make a good estimate. The rows are not copied.
func New(samples [][]float64) (*Cloud, error) {
	if len(samples) < 2 {
		return nil, fmt.Errorf("%d samples say nothing of a spread; there must be at least 2, better some hundred", len(samples))
	}
	readings := len(samples[0])
	if readings == 0 {
		return nil, fmt.Errorf("sample 0 has no readings; there must be at least one")
	}
	c := &Cloud{samples: samples, mean: make([]float64, readings), variance: make([][]float64, readings)}
	for i, s := range samples {
		if len(s) != readings {
			return nil, fmt.Errorf("sample %d has %d readings, sample 0 has %d; they must be the same readings", i, len(s), readings)
		}
		for j, v := range s {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("sample %d: reading %d is %g; leave out what could not be worked out", i, j, v)
			}
			c.mean[j] += v / float64(len(samples))
		}
	}
	for j := range readings {
		c.variance[j] = make([]float64, readings)
		for k := range j + 1 {
			sum := 0.0
			for _, s := range samples {
				sum += (s[j] - c.mean[j]) * (s[k] - c.mean[k])
			}
			c.variance[j][k] = sum / float64(len(samples)-1)
			c.variance[k][j] = c.variance[j][k]
		}
	}
	return c, nil
}

// Readings is how many readings each sample has.
func (c *Cloud) Readings() int { return len(c.mean) }

// Of gives the density of the readings that were taken, named by their columns,
// each with the standard uncertainty of the meter in the unit of the reading.
// The width of the kernels is found from the samples.
//
// Errors: a column that is not there or named twice; an uncertainty that is not
// greater than 0 and finite (no meter is perfect, and a perfect one would make
// impossible what the samples happen to miss).
func (c *Cloud) Of(columns []int, uncertainty []float64) (*Density, error) {
	if err := c.check(columns, uncertainty); err != nil {
		return nil, err
	}
	return c.best(columns, uncertainty)
}

// OfWidth is like Of with kernels of the given width, from just above 0 to 1, as
// a share of the spread of the cloud. At 1 the density is one normal distribution
// with the mean and covariance of the samples.
func (c *Cloud) OfWidth(columns []int, uncertainty []float64, width float64) (*Density, error) {
	if err := c.check(columns, uncertainty); err != nil {
		return nil, err
	}
	if !(width > 0 && width <= 1) {
		return nil, fmt.Errorf("a width of %g; it must be above 0 and at most 1, the spread of the whole cloud", width)
	}
	return c.blur(columns, uncertainty, width)
}

func (c *Cloud) check(columns []int, uncertainty []float64) error {
	if len(columns) == 0 || len(columns) != len(uncertainty) {
		return fmt.Errorf("%d readings with %d uncertainties; there must be one for each, and at least one reading", len(columns), len(uncertainty))
	}
	seen := map[int]bool{}
	for i, column := range columns {
		if column < 0 || column >= c.Readings() {
			return fmt.Errorf("there is no reading %d; the samples have readings 0 to %d", column, c.Readings()-1)
		}
		if seen[column] {
			return fmt.Errorf("reading %d is named twice; average what was read twice, or give it a column of its own", column)
		}
		seen[column] = true
		if u := uncertainty[i]; !(u > 0) || math.IsInf(u, 1) {
			return fmt.Errorf("reading %d has an uncertainty of %g; it must be greater than 0", column, u)
		}
	}
	return nil
}
