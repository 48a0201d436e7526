package metrology

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// CalibrationLine is a straight line through corrections found by comparing
// a meter with a better one:
//
//	correction = Intercept + Slope·(reading − Reference).
//
// It lets an old meter with a known error be trusted between the points
// where it was checked.
type CalibrationLine struct {
	// Reference is the reading at which the intercept is stated.
	Reference float64
	// Intercept and Slope are the least-squares estimates.
	Intercept, Slope float64
	// UIntercept and USlope are their standard uncertainties.
	UIntercept, USlope float64
	// Correlation is the correlation coefficient of intercept and slope.
	Correlation float64
	// Deviation is the standard deviation of the corrections about the line.
	Deviation float64
	// DOF is the number of degrees of freedom: points less two.
	DOF float64

	covariance float64
}

// FitCalibration fits a line by least squares through pairs of reading and
// correction. Readings are taken as exact, corrections as equally good. It
// needs three or more points, at two or more different readings.
//
// Source: JCGM 100:2008, H.3.2 to H.3.4.
func FitCalibration(readings, corrections []float64, reference float64) (CalibrationLine, error) {
	n := len(readings)
	if n != len(corrections) || n < 3 {
		return CalibrationLine{}, fmt.Errorf("metrology: %d readings and %d corrections; a calibration line needs three or more of each, in pairs", n, len(corrections))
	}
	if !finite(reference) || !finite(readings...) || !finite(corrections...) {
		return CalibrationLine{}, fmt.Errorf("metrology: a reading, correction or reference of the calibration line is not a finite number")
	}
	x := make([]float64, n)
	for i := range readings {
		x[i] = readings[i] - reference
	}
	mean, variance := stat.MeanVariance(x, nil)
	sxx := variance * float64(n-1)
	if !(sxx > 0) || !finite(mean, sxx) {
		return CalibrationLine{}, fmt.Errorf("metrology: the calibration readings do not differ; a line needs at least two different readings")
	}
	intercept, slope := stat.LinearRegression(x, corrections, nil, false)
	rest := 0.0
	for i := range x {
		rest = math.Hypot(rest, corrections[i]-intercept-slope*x[i])
	}
	line := CalibrationLine{Reference: reference, Intercept: intercept, Slope: slope, DOF: float64(n - 2)}
	s := rest / math.Sqrt(line.DOF)
	line.Deviation = s
	line.USlope = s / math.Sqrt(sxx)
	line.UIntercept = Quadrature(s/math.Sqrt(float64(n)), mean*line.USlope)
	line.covariance = -mean * line.USlope * line.USlope
	line.Correlation = -mean / Quadrature(math.Sqrt(sxx/float64(n)), mean)
	if !finite(intercept, slope, s, line.UIntercept, line.covariance) {
		return CalibrationLine{}, fmt.Errorf("metrology: the calibration points are too large for a number; check their units")
	}
	return line, nil
}

// Correction returns the correction to add to a reading, with its standard
// uncertainty and degrees of freedom.
//
// Source: JCGM 100:2008, H.3.5 (H.14, H.15).
func (l CalibrationLine) Correction(reading float64) Input {
	x := reading - l.Reference
	variance := l.UIntercept*l.UIntercept + x*x*l.USlope*l.USlope + 2*x*l.covariance
	return Input{Value: l.Intercept + l.Slope*x, U: math.Sqrt(max(0, variance)), DOF: l.DOF}
}
