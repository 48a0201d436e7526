package soak

import (
	"errors"
	"math"
	"slices"
)

// Assumptions is what is put in besides the runs. Begin with
// DefaultAssumptions and change what is known better.
type Assumptions struct {
	Fixed     float64    // chance, before the soak, that the repair was right; between 0 and 1, as from the diagnosis
	Rate      Gamma      // prior of the failure rate of a unit not repaired
	Shape     ShapePrior // prior of the Weibull shape, used from two failures on
	Start     Beta       // prior of the chance that a cold start fails
	Margin    float64    // kelvin by which a run may be cooler than the coolest failure and still count
	StopLevel float64    // level of certainty at which the advice is to stop, such as 0.95
}

// DefaultMargin is how much cooler than the coolest failure a run may be and
// still count, in kelvin: about what two readings of one thermometer, taped on
// twice, differ by. Common practice, no source.
const DefaultMargin = 2

// DefaultAssumptions returns the priors of Jeffreys, the default shape prior, a
// margin of DefaultMargin and a stop level of 0.95, for a repair that was right
// with the chance fixed.
func DefaultAssumptions(fixed float64) Assumptions {
	return Assumptions{
		Fixed:     fixed,
		Rate:      JeffreysRate(),
		Shape:     DefaultShapePrior(),
		Start:     JeffreysProportion(),
		Margin:    DefaultMargin,
		StopLevel: 0.95,
	}
}

// StrictAssumptions returns the same with the reciprocal prior of the failure
// rate, which knows nothing of how long units run before they fail. A soak to
// 95 % that ends well then is wrong in no more than 5 % of all units, repaired
// and not, whatever their failure rates, if failures come at random or gather
// around a time; see Assess. From no failure at all it concludes nothing.
func StrictAssumptions(fixed float64) Assumptions {
	a := DefaultAssumptions(fixed)
	a.Rate = Gamma{}
	return a
}

func (a Assumptions) check() error {
	if !(a.Start.a > 0 && a.Start.b > 0) {
		return errors.New("soak: the prior of the chance that a cold start fails is empty; begin with DefaultAssumptions")
	}
	return first(
		checkProbability("chance that the repair was right", a.Fixed),
		a.Shape.check(),
		checkNotNegative("temperature margin", a.Margin),
		checkLevel("stop level", a.StopLevel),
	)
}

// Law names a law for the running of a unit that has not been repaired.
type Law string

// The laws.
const (
	ConstantRate Law = "constant failure rate" // exponential lives, rate unknown
	WeibullLives Law = "Weibull lives"         // shape and scale unknown
)

// Assessment is what the runs before and after a repair say about it.
type Assessment struct {
	Failures        int     // failures before the repair
	HistoryTime     float64 // running before the repair that counts, failures included, seconds
	MeanFailureTime float64 // mean duration of the runs that failed; with none, HistoryTime; seconds
	CleanTime       float64 // clean running after the repair that counts, seconds
	HotLimit        float64 // temperature from which clean running counts, degrees Celsius; -Inf when all counts
	FailedAgain     bool    // whether a run after the repair failed

	Used     Law    // the law that the advice and the curve rest on
	Constant Proof  // with a constant failure rate
	Weibull  *Proof // with Weibull lives; nil for fewer than two failures

	// ShapeMedian and ShapeInterval, 90 % equal-tailed, say how the failures
	// bunch; both are zero for fewer than two failures.
	ShapeMedian   float64
	ShapeInterval Interval

	Starts   *StartProof // cold starts as an alternative; nil when no failure was timed
	Advice   Advice
	Cautions []Caution
	Curve    []Point // confidence against hot running time under the law used; nil when nothing has been run at all
}

// Proof returns the proof under the law used.
func (a Assessment) Proof() Proof {
	if a.Used == WeibullLives && a.Weibull != nil {
		return *a.Weibull
	}
	return a.Constant
}

// Assess says how far the runs after a repair prove it, and what is still
// lacking, from the runs before it (failures and clean runs) and those since,
// both in the order in which they were made. With no run since the repair it
// is a plan for the soak.
//
// With n failures in a running time T before the repair and the prior of
// Jeffreys, a unit not repaired would run a further t with the chance
// (T/(T+t))^(n+1/2); see Lomax. From two failures on, lives are taken as
// Weibull with unknown shape and scale instead, and both answers are given;
// see WeibullPosterior.
//
// Chances by survival are averages over what the history leaves open about the
// failure rate, so that one unrepaired unit in twenty passes a soak to the
// 95 % level when units are as varied as the prior supposes. They are not a
// bound for each single unit. Made to fail n times and then not repaired, a unit
// of constant failure rate passes that soak with the chance 0.05^(n/(n+1/2))
// under the constant law and the prior of Jeffreys: 13.6 % after one failure,
// 9.1 % after two, 7.7 % after three. Under Weibull lives it passes no more often
// than that, and more rarely the more its failures gather around a time; one
// whose failures come mostly early (true shape 1/2) passes more often, about
// 15 % after two. The zero Gamma as Rate is stricter: under the constant law it
// makes the chance 5 % whatever the rate.
//
// A failure after the repair makes the chance of being fixed 0, and all runs
// the history for the next repair: targets, advice and curve are then those for
// the soak after it, should that be right with the same chance beforehand.
//
// A failed run with no duration, a duration or temperature that cannot be, or
// an assumption out of range is an error that names it.
func Assess(history, after []Run, given Assumptions) (Assessment, error) {
	if err := given.check(); err != nil {
		return Assessment{}, err
	}
	runs, err := sortRuns(history, after, given.Margin)
	if err != nil {
		return Assessment{}, err
	}
	n := len(runs.failures)
	a := Assessment{
		Failures:    n,
		HistoryTime: total(runs.failures) + total(runs.suspensions),
		CleanTime:   total(runs.clean),
		HotLimit:    runs.hotLimit,
		FailedAgain: runs.failedAgain,
		Used:        ConstantRate,
		Cautions:    runs.cautions,
	}
	a.MeanFailureTime = a.HistoryTime
	if n > 0 {
		a.MeanFailureTime = mean(runs.failures)
	}
	levels := Levels()
	if !slices.Contains(levels, given.StopLevel) {
		levels = append(levels, given.StopLevel)
	}
	scale := math.Max(a.MeanFailureTime, shortestTime)

	var law predictive = constantRate(given.Rate, n, a.HistoryTime)
	a.Constant = prove(law, constantRate(given.Rate, n+1, a.HistoryTime+a.MeanFailureTime),
		runs.clean, given.Fixed, levels, scale)
	if n >= 2 {
		posterior, err := NewWeibullPosterior(runs.failures, runs.suspensions, given.Rate, given.Shape)
		if err != nil {
			return Assessment{}, err
		}
		more, err := NewWeibullPosterior(append(slices.Clone(runs.failures), a.MeanFailureTime), runs.suspensions, given.Rate, given.Shape)
		if err != nil {
			return Assessment{}, err
		}
		proof := prove(posterior, more, runs.clean, given.Fixed, levels, scale)
		law, a.Used, a.Weibull = posterior, WeibullLives, &proof
		a.ShapeMedian = posterior.MedianShape()
		if a.ShapeInterval, err = posterior.ShapeInterval(0.9); err != nil {
			return Assessment{}, err
		}
	}
	if n > 0 {
		if a.Starts, err = startsFromRuns(runs, given, levels); err != nil {
			return Assessment{}, err
		}
	}
	if a.FailedAgain {
		a.markFailed()
	}
	a.Cautions = append(a.Cautions, a.weaknesses(runs, given)...)
	a.Advice = a.advise(given.StopLevel, len(after) > 0 && len(runs.clean) == 0)
	a.Curve = confidenceCurve(law, runs.clean, given.Fixed, curveEnd(a.Proof().target(given.StopLevel), a.CleanTime, a.HistoryTime))
	return a, nil
}

// constantRate is the law of a constant failure rate after a history, or no
// knowledge when the history and the prior give none.
func constantRate(prior Gamma, failures int, time float64) predictive {
	law, err := NewLomax(prior.shape+float64(failures), prior.rate+time)
	if err != nil {
		return noKnowledge{}
	}
	return law
}

// startsFromRuns counts runs as cold starts. A start counts as clean only when
// it was left running as long as the longest failure took.
func startsFromRuns(runs tally, given Assumptions, levels []float64) (*StartProof, error) {
	cycle := longest(runs.failures)
	full := func(durations []float64) int {
		count := 0
		for _, d := range durations {
			if d >= cycle {
				count++
			}
		}
		return count
	}
	failed := len(runs.failures)
	before := Starts{Failed: failed, Total: failed + full(runs.suspensions)}
	proof, err := proveStarts(before, full(runs.clean), given.Fixed, given.Start, levels)
	if err != nil {
		return nil, err
	}
	proof.CycleLength = cycle
	return &proof, nil
}

// markFailed sets the chance of being fixed for a unit that failed again.
func (a *Assessment) markFailed() {
	a.Constant.Fixed, a.Constant.NotFixed = 0, 1
	if a.Weibull != nil {
		a.Weibull.Fixed, a.Weibull.NotFixed = 0, 1
	}
	if a.Starts != nil {
		a.Starts.Fixed, a.Starts.NotFixed = 0, 1
	}
}

// weaknesses returns the cautions that follow from the answer itself.
func (a Assessment) weaknesses(runs tally, given Assumptions) []Caution {
	var cautions []Caution
	switch a.Failures {
	case 0:
		cautions = append(cautions, Caution{Kind: NoFailureSeen})
	case 1:
		cautions = append(cautions, Caution{Kind: SingleFailure, Runs: 1, Time: a.MeanFailureTime})
	}
	if clean, failure := longest(runs.clean), longest(runs.failures); len(runs.clean) > 0 && clean < failure {
		cautions = append(cautions, Caution{Kind: ShorterThanFailure, Runs: len(runs.clean), Time: clean, Limit: failure})
	}
	if given.Fixed == 0 || given.Fixed == 1 {
		cautions = append(cautions, Caution{Kind: CertainPrior})
	}
	if a.FailedAgain {
		return cautions
	}
	if slices.Equal(a.Proof().lacking(given.StopLevel), []Sense{BySurvival}) {
		cautions = append(cautions, Caution{Kind: RestsOnPrior})
	}
	if a.Weibull != nil && !slices.Equal(a.Weibull.lacking(given.StopLevel), a.Constant.lacking(given.StopLevel)) {
		cautions = append(cautions, Caution{Kind: ModelsDisagree})
	}
	return cautions
}

// advise says what to do next; onlyCold tells that nothing run since the repair
// counts.
func (a Assessment) advise(level float64, onlyCold bool) Advice {
	proof := a.Proof()
	t := proof.target(level)
	advice := Advice{
		Level:      level,
		Lacking:    proof.lacking(level),
		Continuing: math.Max(t.BySurvival.Continuing, t.ByBelief.Continuing),
		Restarting: math.Max(t.BySurvival.Restarting, t.ByBelief.Restarting),
		Starts:     math.Inf(1),
	}
	if a.Starts != nil {
		s := a.Starts.target(level)
		advice.Starts = math.Max(s.BySurvivalRemaining, s.ByBeliefRemaining)
	}
	switch {
	case a.FailedAgain:
		advice.Kind = RepairAgain
	case len(advice.Lacking) == 0:
		advice.Kind = Stop
		advice.Starts = 0
	case a.Failures == 0:
		advice.Kind = ProvokeFailure
	case onlyCold:
		advice.Kind = WarmUp
	default:
		advice.Kind = RunOn
	}
	return advice
}
