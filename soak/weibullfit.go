package soak

import (
	"errors"
	"fmt"
	"math"
)

// WeibullFit is a Weibull distribution fitted by maximum likelihood.
type WeibullFit struct {
	Weibull
	LogLikelihood float64 // natural logarithm, of densities per unit of time
	AIC           float64 // Akaike's criterion, 2·2 - 2·LogLikelihood; the lower of two fits is the better
}

// FitWeibull fits a Weibull distribution by maximum likelihood to the times of
// failures and of suspensions (units that had not failed when they were last
// seen, at any times). It fails when there is no failure, and when all failures
// fell at one time that no suspension outlived, since any large shape then fits.
// With few failures the fit is far from sure, and biased towards a large
// shape: NewWeibullPosterior says how far.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.1.3; the
// equation for the shape alone is that of A. C. Cohen, Technometrics 7 (1965),
// 579-588.
func FitWeibull(failures, suspensions []float64) (WeibullFit, error) {
	longest, err := checkLives(failures, suspensions)
	if err != nil {
		return WeibullFit{}, err
	}
	meanLog := 0.0 // of the failures, relative to the longest life
	for _, t := range failures {
		meanLog += math.Log(t / longest)
	}
	r := float64(len(failures))
	meanLog /= r

	// sums returns Σ x^shape and Σ x^shape ln x over all lives x, as fractions
	// of the longest, so that no power overflows.
	sums := func(shape float64) (power, weighted float64) {
		for _, lives := range [][]float64{failures, suspensions} {
			for _, t := range lives {
				logX := math.Log(t / longest)
				p := math.Exp(shape * logX)
				power += p
				weighted += p * logX
			}
		}
		return power, weighted
	}
	score := func(shape float64) float64 {
		power, weighted := sums(shape)
		return weighted/power - 1/shape - meanLog // rises with the shape
	}
	shape := positiveRoot(score, 1)
	if !(shape >= smallestShape && shape <= largestShape) {
		return WeibullFit{}, fmt.Errorf("soak: the fitted Weibull shape would be %.3g; the lives are too much alike, or too unlike, to tell a shape from them", shape)
	}
	power, _ := sums(shape)
	scale := longest * math.Exp(math.Log(power/r)/shape)
	fitted := Weibull{shape: shape, scale: scale}
	logLikelihood := 0.0
	for _, t := range failures {
		logLikelihood += fitted.logDensity(t)
	}
	for _, t := range suspensions {
		logLikelihood += fitted.LogSurvival(t)
	}
	return WeibullFit{Weibull: fitted, LogLikelihood: logLikelihood, AIC: 4 - 2*logLikelihood}, nil
}

// checkLives returns the longest of the lives, or an error when they cannot
// determine a two-parameter distribution.
func checkLives(failures, suspensions []float64) (longest float64, err error) {
	if err := first(checkTimes("failure", failures), checkTimes("suspension", suspensions)); err != nil {
		return 0, err
	}
	if len(failures) == 0 {
		return 0, errors.New("soak: no failure among the lives; without one only Weibayes, with an assumed shape, gives an answer")
	}
	shortestFailure := math.Inf(1)
	for _, t := range failures {
		longest = math.Max(longest, t)
		shortestFailure = math.Min(shortestFailure, t)
	}
	for _, t := range suspensions {
		longest = math.Max(longest, t)
	}
	if shortestFailure == longest {
		return 0, fmt.Errorf("soak: all failures fell at one time, %v, which nothing outlived; the spread of lives cannot be told from them: give another failure or a longer suspension", longest)
	}
	return longest, nil
}
