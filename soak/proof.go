package soak

import "math"

// predictive is a law for the running of a unit that has not been repaired.
// After the runs that were survived, it gives the natural logarithm of the
// chance to have come through them and one last run of any length besides.
type predictive interface {
	survivalAfter(survived []float64) func(last float64) float64
}

// survivalAfter implements predictive: with a constant failure rate only the
// total running time matters.
func (l Lomax) survivalAfter(survived []float64) func(last float64) float64 {
	before := total(survived)
	return func(last float64) float64 { return l.LogSurvival(before + last) }
}

// noKnowledge is the law when nothing was seen before the repair: no run proves
// anything.
type noKnowledge struct{}

func (noKnowledge) survivalAfter([]float64) func(last float64) float64 {
	return func(float64) float64 { return 0 }
}

// timeUntil returns how much longer than start a last run must be for its
// logSurvival to fall to the target; 0 when it already has, and +Inf when it
// never does. The scale is a time of the right order.
func timeUntil(logSurvival func(last float64) float64, start, target, scale float64) float64 {
	if logSurvival(start) <= target {
		return 0
	}
	if math.IsInf(target, -1) {
		return math.Inf(1)
	}
	return positiveRoot(func(more float64) float64 { return target - logSurvival(start+more) }, scale)
}

// Need is the running that reaches a level in one sense, seconds. Any of the
// times may be 0, and +Inf when no running will do.
type Need struct {
	Total      float64 // one unbroken clean run, had nothing been run since the repair
	Continuing float64 // still to run if the last run goes on unbroken
	Restarting float64 // still to run in one run from a new start; equal to Continuing when the failure rate is constant

	// OneMoreFailure is what Total would be had one more failure been seen
	// before the repair, after a running time of Assessment.MeanFailureTime.
	// Total - OneMoreFailure is what that would have saved.
	OneMoreFailure float64
}

// Target is the running that makes one sure at a level.
type Target struct {
	Level      float64 // such as 0.95
	BySurvival Need    // until the chance that an unrepaired unit survives is at most 1 - Level
	ByBelief   Need    // until the chance of being fixed is at least Level
}

// Proof is what the running since the repair shows under one law of failure.
type Proof struct {
	// SurvivalIfUnrepaired is the chance that a unit not repaired at all would
	// have come through the same running, given the failures before. It is 1
	// when nothing has been run that counts.
	SurvivalIfUnrepaired    float64
	LogSurvivalIfUnrepaired float64 // its natural logarithm, which keeps its digits when the chance is tiny

	// Fixed is the chance that the unit is fixed, given the running and the
	// chance beforehand that the repair was right. NotFixed is its complement,
	// computed by itself so that a small doubt keeps its digits.
	Fixed, NotFixed float64

	Targets []Target // for each of Levels, and then for the stop level when it is another one
}

// Levels returns the levels for which targets are always given: 0.90, 0.95 and
// 0.99.
func Levels() []float64 { return []float64{0.90, 0.95, 0.99} }

// target returns the target for a level, which must be among those given.
func (p Proof) target(level float64) Target {
	for _, t := range p.Targets {
		if t.Level == level {
			return t
		}
	}
	return Target{Level: level}
}

// lacking reports in which senses a level is not reached.
func (p Proof) lacking(level float64) []Sense {
	var senses []Sense
	t := p.target(level)
	if t.BySurvival.Continuing > 0 {
		senses = append(senses, BySurvival)
	}
	if t.ByBelief.Continuing > 0 {
		senses = append(senses, ByBelief)
	}
	return senses
}

// belief applies the theorem of Bayes: prior is the chance that the repair was
// right, and a unit that is fixed survives for certain.
func belief(prior, logSurvival float64) (fixed, notFixed float64) {
	survival := math.Exp(logSurvival)
	evidence := prior + (1-prior)*survival
	if evidence == 0 { // certainly wrong, yet survived what could not be survived
		return 0, 1
	}
	return prior / evidence, (1 - prior) * survival / evidence
}

// beliefTarget returns the logarithm of the survival of an unrepaired unit at
// which belief reaches the level.
func beliefTarget(prior, level float64) float64 {
	switch {
	case prior <= 0:
		return math.Inf(-1)
	case prior >= 1:
		return 0
	}
	return math.Min(0, math.Log(prior)-math.Log1p(-prior)+math.Log1p(-level)-math.Log(level))
}

// prove works out the proof under one law. The law oneMore is that with one
// more failure seen before the repair, and scale a time of the order of the
// answers.
func prove(law, oneMore predictive, clean []float64, prior float64, levels []float64, scale float64) Proof {
	survived, last := clean, 0.0
	if n := len(clean); n > 0 {
		survived, last = clean[:n-1], clean[n-1]
	}
	var (
		fromNew    = law.survivalAfter(nil)
		continuing = law.survivalAfter(survived)
		restarting = law.survivalAfter(clean)
		better     = oneMore.survivalAfter(nil)
	)
	need := func(target float64) Need {
		return Need{
			Total:          timeUntil(fromNew, 0, target, scale),
			Continuing:     timeUntil(continuing, last, target, scale),
			Restarting:     timeUntil(restarting, 0, target, scale),
			OneMoreFailure: timeUntil(better, 0, target, scale),
		}
	}
	p := Proof{LogSurvivalIfUnrepaired: continuing(last)}
	p.SurvivalIfUnrepaired = math.Exp(p.LogSurvivalIfUnrepaired)
	p.Fixed, p.NotFixed = belief(prior, p.LogSurvivalIfUnrepaired)
	for _, level := range levels {
		p.Targets = append(p.Targets, Target{
			Level:      level,
			BySurvival: need(math.Log1p(-level)),
			ByBelief:   need(beliefTarget(prior, level)),
		})
	}
	return p
}
