package soak

// Sense is one of the two things that "95 % sure" can mean.
type Sense string

// The two senses of being sure.
const (
	// BySurvival: a unit not repaired at all would hardly have come through the
	// same running. It needs no opinion of the repair. 95 % sure in this sense
	// is a chance of survival of at most 5 %.
	BySurvival Sense = "by survival"
	// ByBelief: this unit is fixed, all told, which includes how likely the
	// repair was to be right before the soak. 95 % sure in this sense is a
	// chance of being fixed of at least 95 %.
	ByBelief Sense = "by belief"
)

// AdviceKind says what to do next.
type AdviceKind string

// What to do next.
const (
	// Stop: the wanted level is reached in both senses.
	Stop AdviceKind = "stop"
	// RunOn: it is not reached yet; the advice says how much is lacking.
	RunOn AdviceKind = "run on"
	// WarmUp: the unit has run since the repair, but never as hot as the
	// failures were, so that none of it counts.
	WarmUp AdviceKind = "warm up"
	// ProvokeFailure: no failure was timed before the repair, so a clean run
	// proves little however long; if the repair can be undone, or a twin is at
	// hand, see it fail first.
	ProvokeFailure AdviceKind = "provoke failure"
	// RepairAgain: it failed after the repair and is not fixed.
	RepairAgain AdviceKind = "repair again"
)

// Advice is what to do next, in numbers. Times and counts are for both senses
// together, which is to say for the slower one.
type Advice struct {
	Kind       AdviceKind
	Level      float64 // the level that was wanted, such as 0.95
	Lacking    []Sense // the senses in which it is not reached yet
	Continuing float64 // further running if the last run simply goes on, seconds; +Inf when no running will do
	Restarting float64 // further running if it begins with a new start, seconds; +Inf when no running will do
	Starts     float64 // further clean cold starts that would do instead; +Inf when none will or no failure was timed
}

// CautionKind says what weakens an assessment.
type CautionKind string

// What weakens an assessment.
const (
	// FailedAfterRepair: a run after the repair failed. All runs together are
	// taken as the history of a unit that is not fixed.
	FailedAfterRepair CautionKind = "failed after repair"
	// NoFailureSeen: no failure was timed before the repair.
	NoFailureSeen CautionKind = "no failure seen"
	// SingleFailure: one failure gives a rate but cannot show whether failures
	// gather around a time; the failure rate is taken as constant.
	SingleFailure CautionKind = "single failure"
	// FailureTemperatureUnknown: for Runs failures it is not known how hot the
	// unit was, so that what counts as hot rests on the others, or on nothing.
	FailureTemperatureUnknown CautionKind = "failure temperature unknown"
	// HistoryTooCold: Runs clean runs before the repair, Time long, were below
	// Limit and are left out.
	HistoryTooCold CautionKind = "history too cold"
	// RunTemperatureUnknown: Runs runs after the repair, Time long, count
	// although it is not known how hot they were.
	RunTemperatureUnknown CautionKind = "run temperature unknown"
	// RunTooCold: Runs runs after the repair, Time long, were below Limit and
	// do not count.
	RunTooCold CautionKind = "run too cold"
	// ShorterThanFailure: the longest run after the repair, Time, ended before
	// the longest time that a failure took, Limit.
	ShorterThanFailure CautionKind = "shorter than failure"
	// RestsOnPrior: the level is reached by belief but not by survival; the
	// running itself does not show it.
	RestsOnPrior CautionKind = "rests on prior"
	// CertainPrior: the repair was put down as certainly right or certainly
	// wrong, which no running can change.
	CertainPrior CautionKind = "certain prior"
	// ModelsDisagree: at the wanted level the constant failure rate and the
	// Weibull lives do not give the same answer.
	ModelsDisagree CautionKind = "models disagree"
)

// Caution is one thing that weakens an assessment, in numbers; the meaning of
// each is at its kind, and what a kind does not use is zero.
type Caution struct {
	Kind  CautionKind
	Runs  int     // runs concerned
	Time  float64 // their running time, seconds
	Limit float64 // what it is compared with: seconds, or degrees Celsius for a temperature
}

// add counts a run among those concerned.
func (c *Caution) add(run Run) {
	c.Runs++
	c.Time += run.Duration
}
