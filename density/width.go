package density

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// widths are those tried, each 1.4 times the next.
var widths = []float64{1, 0.71, 0.5, 0.35, 0.25, 0.18, 0.13, 0.09}

// foretold is how many samples at the most are foretold by the others to find
// the width.
const foretold = 400

// best gives the density with the width under which the samples foretell each
// other best, or the widest that does not do worse for certain: a narrower one
// has to gain more than the standard error of the gain (the one-standard-error
// rule of L. Breiman et al., "Classification and Regression Trees" (1984), section
// 3.4.3). The wider estimate hangs less on which samples were drawn.
func (c *Cloud) best(columns []int, uncertainty []float64) (*Density, error) {
	best, err := c.blur(columns, uncertainty, widths[0])
	if err != nil {
		return nil, err
	}
	most := c.cross(best, columns)
	gains := make([]float64, len(most))
	for _, width := range widths[1:] {
		d, err := c.blur(columns, uncertainty, width)
		if err != nil {
			return nil, err
		}
		logs := c.cross(d, columns)
		floats.SubTo(gains, logs, most)
		gain, deviation := stat.MeanStdDev(gains, nil)
		if !(gain > deviation/math.Sqrt(float64(len(gains)))) {
			break
		}
		best, most = d, logs
	}
	return best, nil
}

// cross is the logarithm of the density at samples by all the others.
func (c *Cloud) cross(d *Density, columns []int) []float64 {
	step := (len(c.samples) + foretold - 1) / foretold
	at := make([]float64, len(columns))
	var logs []float64
	for k := 0; k < len(c.samples); k += step {
		for i, a := range columns {
			at[i] = c.samples[k][a]
		}
		d.whiten(at)
		logs = append(logs, d.base+d.sum(at, k))
	}
	return logs
}
