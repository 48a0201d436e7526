package density

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Density is the probability density of certain readings under one hypothesis,
// the uncertainty of the meter included. It does not change and may be shared.
type Density struct {
	width   float64
	factor  []float64   // lower triangle of the Cholesky factor of the kernel, row by row
	centres [][]float64 // in units of the kernel: factor⁻¹ times where each kernel stands
	base    float64     // logarithm of the peak of one kernel over the number of them
}

// Width is that of the kernels, as a share of the spread of the cloud.
func (d *Density) Width() float64 { return d.width }

// blur puts a kernel of the given width at every sample.
func (c *Cloud) blur(columns []int, uncertainty []float64, width float64) (*Density, error) {
	n := len(columns)
	kernel := mat.NewSymDense(n, nil)
	for i, a := range columns {
		for j, b := range columns[:i+1] {
			kernel.SetSym(i, j, width*width*c.variance[a][b])
		}
		kernel.SetSym(i, i, kernel.At(i, i)+uncertainty[i]*uncertainty[i])
	}
	var cholesky mat.Cholesky
	if !cholesky.Factorize(kernel) {
		return nil, fmt.Errorf("the readings %v follow each other so closely that uncertainties of %v are lost in rounding; leave one out", columns, uncertainty)
	}
	var lower mat.TriDense
	cholesky.LTo(&lower)
	d := &Density{width: width, factor: make([]float64, 0, n*(n+1)/2), centres: make([][]float64, len(c.samples))}
	for i := range n {
		for j := range i + 1 {
			d.factor = append(d.factor, lower.At(i, j))
		}
	}
	d.base = -math.Log(float64(len(c.samples))) - float64(n)/2*math.Log(2*math.Pi) - cholesky.LogDet()/2
	towards := math.Sqrt(1 - width*width)
	all := make([]float64, n*len(c.samples))
	for k, s := range c.samples {
		centre := all[k*n : (k+1)*n]
		for i, a := range columns {
			centre[i] = c.mean[a] + towards*(s[a]-c.mean[a])
		}
		d.whiten(centre)
		d.centres[k] = centre
	}
	return d, nil
}

// whiten solves factor y = x in place.
func (d *Density) whiten(x []float64) {
	row := d.factor
	for i := range x {
		for j := range i {
			x[i] -= row[j] * x[j]
		}
		x[i] /= row[i]
		row = row[i+1:]
	}
}

// Log is the natural logarithm of the density at what was read, in the order of
// the columns that were asked for: greater where the hypothesis foretells it
// better. Far from every sample it falls as the square of the distance. What is
// not a finite number, or not one value for each column, has a density of 0,
// whose logarithm is minus infinity.
func (d *Density) Log(values []float64) float64 {
	if len(values) != len(d.centres[0]) {
		return math.Inf(-1)
	}
	at := append(make([]float64, 0, 16), values...)
	d.whiten(at)
	return d.base + d.sum(at, -1)
}

// sum is the logarithm of the sum of kernels, each 1 at its centre, at a
// whitened point; the kernel of one sample may be left out.
func (d *Density) sum(at []float64, without int) float64 {
	nearest := math.Inf(1) // square of the distance to the nearest so far
	total := 0.0           // of exp((nearest - square)/2)
	for k, centre := range d.centres {
		square := 0.0
		for i, v := range at {
			square += (v - centre[i]) * (v - centre[i])
		}
		switch {
		case k == without || !(square < math.MaxFloat64):
		case square < nearest:
			total = 1 + total*math.Exp((square-nearest)/2)
			nearest = square
		case square < nearest+80: // what is farther adds less than rounding takes
			total += math.Exp((nearest - square) / 2)
		}
	}
	if total == 0 {
		return math.Inf(-1)
	}
	return math.Log(total) - nearest/2
}
