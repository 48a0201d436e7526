package metrology

import (
	"fmt"
	"math"
)

// Estimate is a value with its standard uncertainty: normal about the value,
// or Student's t when the degrees of freedom are few.
type Estimate struct {
	// Value is the best estimate.
	Value float64
	// U is the standard uncertainty, zero or more.
	U float64
	// DOF is the number of degrees of freedom, 1 or more; zero means
	// infinitely many.
	DOF float64
}

func (e Estimate) check() error {
	switch {
	case !finite(e.Value):
		return fmt.Errorf("metrology: the value is %g; it must be a finite number", e.Value)
	case !(e.U >= 0) || math.IsInf(e.U, 0):
		return fmt.Errorf("metrology: the standard uncertainty is %g; it must be zero or more, and finite", e.U)
	case !validDOF(e.DOF):
		return fmt.Errorf("metrology: %g degrees of freedom; give 1 or more, or 0 for infinitely many", e.DOF)
	}
	return nil
}

// Conformity holds the chances that a measured quantity keeps its limits.
type Conformity struct {
	// Conforming is the chance that it lies within the limits.
	Conforming float64
	// Nonconforming is the chance that it does not, computed as such, so that
	// small chances are right too.
	Nonconforming float64
	// Below and Above are the chances of lying beyond either limit.
	Below, Above float64
}

// Conform returns the chances that a quantity lies within limits, given its
// estimate:
//
//	p = Φ((High − y)/u) − Φ((Low − y)/u),
//
// with Student's t in place of Φ when the degrees of freedom are few. With
// no uncertainty at all the chances are 0 or 1, the limits belonging to the
// interval. An invalid estimate or limit gives an error.
//
// Source: JCGM 106:2012, 7.2 to 7.4; Student's t by JCGM 100:2008, G.3.
func Conform(e Estimate, l Limit) (Conformity, error) {
	if err := e.check(); err != nil {
		return Conformity{}, err
	}
	if err := l.Check(); err != nil {
		return Conformity{}, err
	}
	return conform(e, l), nil
}

// conform is Conform for an estimate and limits known to be valid.
func conform(e Estimate, l Limit) Conformity {
	toLow, toHigh := e.Value-l.Low, l.High-e.Value
	if e.U == 0 {
		switch {
		case toLow < 0:
			return Conformity{Below: 1, Nonconforming: 1}
		case toHigh < 0:
			return Conformity{Above: 1, Nonconforming: 1}
		}
		return Conformity{Conforming: 1}
	}
	s, zLow, zHigh := spread(e.DOF), toLow/e.U, toHigh/e.U
	c := Conformity{Below: s.tail(zLow), Above: s.tail(zHigh)}
	switch {
	case zLow < 0:
		c.Conforming = s.tail(-zLow) - c.Above
	case zHigh < 0:
		c.Conforming = s.tail(-zHigh) - c.Below
	default:
		c.Conforming = s.central(zLow) + s.central(zHigh)
	}
	c.Conforming = max(0, min(1, c.Conforming))
	c.Nonconforming = min(1, c.Below+c.Above)
	return c
}

// MarginFactor returns how many standard uncertainties a value must keep from
// a single limit for the quantity to conform with probability p, between 0
// and 1: 1.64 for 95 %. It is negative for p below one half.
//
// Source: JCGM 106:2012, 7.3, Table 1.
func MarginFactor(p float64) (float64, error) {
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("metrology: required probability %g; it must lie between 0 and 1, for instance 0.95", p)
	}
	return -math.Sqrt2 * math.Erfcinv(2*p), nil
}

// Prior is what is known of a quantity before it is read: the mean and the
// standard deviation of the lot it comes from.
type Prior struct {
	Mean, Deviation float64
}

// WithPrior returns the estimate of a single item after its reading, given
// the lot it comes from. Both count by the inverse of their variance, so that
// a reading far from the rest of the lot is drawn towards it. The estimate
// must have infinitely many degrees of freedom, and the prior a deviation
// above zero.
//
// Source: JCGM 106:2012, 6.2 and 6.3 (normal prior, normal measurement).
func (e Estimate) WithPrior(prior Prior) (Estimate, error) {
	if err := e.check(); err != nil {
		return Estimate{}, err
	}
	if e.DOF != 0 && !math.IsInf(e.DOF, 1) {
		return Estimate{}, fmt.Errorf("metrology: a prior cannot be joined to an estimate with only %g degrees of freedom; give its scatter from earlier work (see Pooled) and 0 degrees of freedom", e.DOF)
	}
	if !finite(prior.Mean, prior.Deviation) || !(prior.Deviation > 0) {
		return Estimate{}, fmt.Errorf("metrology: prior with mean %g and deviation %g; both must be finite and the deviation above zero", prior.Mean, prior.Deviation)
	}
	if e.U == 0 {
		return e, nil
	}
	// With h = √(u² + s²): weight of the reading (s/h)², of the prior (u/h)²,
	// deviation of the result u·s/h.
	h := math.Hypot(e.U, prior.Deviation)
	ofReading, ofPrior := prior.Deviation/h, e.U/h
	return Estimate{Value: ofReading*ofReading*e.Value + ofPrior*ofPrior*prior.Mean, U: e.U * ofReading}, nil
}
