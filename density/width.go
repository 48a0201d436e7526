package density

import "math"

// widths are those tried, each 1.4 times the next.
var widths = []float64{1, 0.71, 0.5, 0.35, 0.25, 0.18, 0.13, 0.09}

// foretold is how many samples at the most are foretold by the others to find
// the width.
const foretold = 400

// best gives the density with the width under which the samples foretell each
// other best. Samples that are equally well foretold by two widths get the
// greater, which is the smoother.
func (c *Cloud) best(columns []int, uncertainty []float64) (*Density, error) {
	var best *Density
	most := math.Inf(-1)
	for _, width := range widths {
		d, err := c.blur(columns, uncertainty, width)
		if err != nil {
			return nil, err
		}
		if sum := c.cross(d, columns); best == nil || sum > most {
			best, most = d, sum
		} else {
			break
		}
	}
	return best, nil
}

// cross is the mean logarithm of the density at a sample by all the others.
func (c *Cloud) cross(d *Density, columns []int) float64 {
	step := (len(c.samples) + foretold - 1) / foretold
	at := make([]float64, len(columns))
	sum, count := 0.0, 0.0
	for k := 0; k < len(c.samples); k += step {
		for i, a := range columns {
			at[i] = c.samples[k][a]
		}
		d.whiten(at)
		sum += d.sum(at, k)
		count++
	}
	return sum/count + d.base
}
