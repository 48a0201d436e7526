package soak

import (
	"errors"
	"math"
)

// LognormalFit is a lognormal distribution of lives fitted by maximum
// likelihood: the logarithm of a life is normal with mean Mu and standard
// deviation Sigma. It stands beside FitWeibull to be compared by AIC.
type LognormalFit struct {
	Mu, Sigma     float64 // Mu is the natural logarithm of the median life, Sigma is dimensionless
	LogLikelihood float64 // natural logarithm, of densities per unit of time
	AIC           float64 // Akaike's criterion, 2·2 - 2·LogLikelihood
}

// Survival returns the chance of running a time t without failure. It is 1 for
// a time of zero or less.
func (f LognormalFit) Survival(t float64) float64 {
	if !(t > 0) || !(f.Sigma > 0) {
		return 1
	}
	return math.Exp(logNormalUpper((math.Log(t) - f.Mu) / f.Sigma))
}

// FitLognormal fits a lognormal distribution by maximum likelihood to the times
// of failures and of suspensions. It fails where FitWeibull does.
//
// In the parameters 1/sigma and mu/sigma the log-likelihood is concave, so that
// Newton's method with a shortened step where needed finds the one maximum.
//
// Source of the model: NIST/SEMATECH e-Handbook of Statistical Methods,
// sections 8.1.6.4 and 8.4.1.3; of the concavity: J. Burridge, Journal of the
// Royal Statistical Society B 43 (1981), 41-45.
func FitLognormal(failures, suspensions []float64) (LognormalFit, error) {
	if _, err := checkLives(failures, suspensions); err != nil {
		return LognormalFit{}, err
	}
	// Logarithms of the lives, centred on those of the failures.
	centre := 0.0
	for _, t := range failures {
		centre += math.Log(t) / float64(len(failures))
	}
	logs := func(lives []float64) []float64 {
		out := make([]float64, len(lives))
		for i, t := range lives {
			out[i] = math.Log(t) - centre
		}
		return out
	}
	failed, suspended := logs(failures), logs(suspensions)

	spread := 0.0
	for _, y := range append(append([]float64{}, failed...), suspended...) {
		spread = math.Max(spread, math.Abs(y))
	}
	state := lognormalState{precision: 1 / spread}
	state.evaluate(failed, suspended)
	for range 200 {
		stepP, stepL := state.newtonStep()
		improved := false
		for scale := 1.0; scale > 1e-12; scale /= 2 {
			next := lognormalState{precision: state.precision + scale*stepP, location: state.location + scale*stepL}
			if next.precision <= 0 {
				continue
			}
			if next.evaluate(failed, suspended); next.logLikelihood > state.logLikelihood {
				state, improved = next, true
				break
			}
		}
		if !improved {
			break
		}
	}
	sigma := 1 / state.precision
	if !finite(sigma) || !finite(state.logLikelihood) {
		return LognormalFit{}, errors.New("soak: the lognormal fit did not settle; the lives are too much alike to tell their spread")
	}
	logLikelihood := state.logLikelihood
	for _, y := range failed {
		logLikelihood -= y + centre // density of the life, not of its logarithm
	}
	return LognormalFit{
		Mu:            centre + state.location*sigma,
		Sigma:         sigma,
		LogLikelihood: logLikelihood,
		AIC:           4 - 2*logLikelihood,
	}, nil
}

// lognormalState is a point of the search, with the log-likelihood of the
// logarithms of the lives there, its gradient and its second derivatives.
type lognormalState struct {
	precision, location float64 // 1/sigma and mu/sigma
	logLikelihood       float64
	gradP, gradL        float64
	hessPP, hessPL      float64
	hessLL              float64
}

func (s *lognormalState) evaluate(failed, suspended []float64) {
	for _, y := range failed {
		z := s.precision*y - s.location
		s.logLikelihood += math.Log(s.precision) - z*z/2 - math.Log(2*math.Pi)/2
		s.gradP += 1/s.precision - z*y
		s.gradL += z
		s.hessPP += -1/(s.precision*s.precision) - y*y
		s.hessPL += y
		s.hessLL--
	}
	for _, y := range suspended {
		z := s.precision*y - s.location
		logUpper := logNormalUpper(z)
		s.logLikelihood += logUpper
		hazard := math.Exp(-z*z/2 - math.Log(2*math.Pi)/2 - logUpper)
		curve := math.Max(0, hazard*(hazard-z)) // between 0 and 1
		s.gradP -= hazard * y
		s.gradL += hazard
		s.hessPP -= curve * y * y
		s.hessPL += curve * y
		s.hessLL -= curve
	}
}

// newtonStep returns the step to the maximum of the quadratic that touches the
// log-likelihood here. The second derivatives are negative definite.
func (s *lognormalState) newtonStep() (precision, location float64) {
	det := s.hessPP*s.hessLL - s.hessPL*s.hessPL
	return -(s.hessLL*s.gradP - s.hessPL*s.gradL) / det, -(s.hessPP*s.gradL - s.hessPL*s.gradP) / det
}
