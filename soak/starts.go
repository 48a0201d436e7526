package soak

import "math"

// Starts is a number of cold starts and how many of them failed. A start that
// failed is one after which the failure came within the cycle that is counted,
// however long that is.
type Starts struct {
	Failed, Total int
}

// StartTarget is the number of clean cold starts that makes one sure at a
// level. It may be 0, and +Inf when no number will do.
type StartTarget struct {
	Level               float64
	BySurvival          float64 // in all since the repair, until an unrepaired unit survives with a chance of at most 1 - Level
	ByBelief            float64 // in all since the repair, until the chance of being fixed is at least Level
	BySurvivalRemaining float64 // still lacking for BySurvival
	ByBeliefRemaining   float64 // still lacking for ByBelief
}

// StartProof is what clean cold starts since the repair show.
type StartProof struct {
	// CycleLength is how long a start must be left running to count, seconds:
	// the longest time that a failure took. AssessStarts leaves it 0.
	CycleLength float64

	Before                  Starts  // starts before the repair
	Clean                   int     // clean starts since
	SurvivalIfUnrepaired    float64 // chance that a unit not repaired would have come through them
	LogSurvivalIfUnrepaired float64 // its natural logarithm
	Fixed, NotFixed         float64 // chance that the unit is fixed, and its complement
	Targets                 []StartTarget
}

// target returns the target for a level, which must be among those given.
func (p StartProof) target(level float64) StartTarget {
	for _, t := range p.Targets {
		if t.Level == level {
			return t
		}
	}
	return StartTarget{Level: level}
}

// AssessStarts says what clean cold starts since the repair prove, for a fault
// that shows itself at some starts and not at others. Each start is taken to
// fail with the same chance, unknown but for the starts before the repair and
// the prior (JeffreysProportion when nothing else is known). The chance that
// the repair was right, before any start, is fixed, between 0 and 1. With k
// failures in n starts before, an unrepaired unit comes through m more with the
// chance
//
//	B(k+a, n-k+b+m) / B(k+a, n-k+b)
//
// where B is the beta function and a and b are those of the prior. A start that
// failed after the repair needs no reckoning: the unit is not fixed.
//
// Source: beta-binomial prediction, A. Gelman and others, Bayesian Data
// Analysis, 3rd edition, section 2.4.
func AssessStarts(before Starts, clean int, fixed float64, prior Beta) (StartProof, error) {
	err := first(checkCount("number of clean starts", clean), checkProbability("chance that the repair was right", fixed))
	if err != nil {
		return StartProof{}, err
	}
	return proveStarts(before, clean, fixed, prior, Levels())
}

func proveStarts(before Starts, clean int, fixed float64, prior Beta, levels []float64) (StartProof, error) {
	if err := prior.check(); err != nil {
		return StartProof{}, err
	}
	posterior, err := prior.Update(before.Failed, before.Total)
	if err != nil {
		return StartProof{}, err
	}
	p := StartProof{Before: before, Clean: clean, LogSurvivalIfUnrepaired: posterior.logNone(float64(clean))}
	p.SurvivalIfUnrepaired = math.Exp(p.LogSurvivalIfUnrepaired)
	p.Fixed, p.NotFixed = belief(fixed, p.LogSurvivalIfUnrepaired)
	for _, level := range levels {
		t := StartTarget{
			Level:      level,
			BySurvival: startsUntil(posterior, math.Log1p(-level)),
			ByBelief:   startsUntil(posterior, beliefTarget(fixed, level)),
		}
		t.BySurvivalRemaining = math.Max(0, t.BySurvival-float64(clean))
		t.ByBeliefRemaining = math.Max(0, t.ByBelief-float64(clean))
		p.Targets = append(p.Targets, t)
	}
	return p, nil
}

// startsUntil returns the smallest number of clean starts after which the
// logarithm of the survival of an unrepaired unit is at most the target.
func startsUntil(posterior Beta, target float64) float64 {
	if target >= 0 {
		return 0
	}
	high := 1.0
	for posterior.logNone(high) > target {
		if high >= most {
			return math.Inf(1)
		}
		high *= 2
	}
	low := math.Floor(high / 2)
	for high-low > 1 {
		middle := math.Floor((low + high) / 2)
		if posterior.logNone(middle) > target {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}
