package findings

import (
	"fmt"
	"math"

	"halfsplit/quantity"
	"halfsplit/soak"
)

// prove fills in how far the repair is proved, or what the proof will take.
func (w *work) prove() {
	var history, after []soak.Run
	var starts soak.Starts
	clean := 0
	repaired := false
	for i := range w.logCase.Log {
		e := &w.logCase.Log[i]
		if e.Corrected() {
			continue
		}
		switch e.Verb() {
		case "swap", "mend":
			// what ran before a repair is the history of the next one
			history = append(history, after...)
			after = nil
			repaired = true
		case "failed", "soak":
			run := soak.Run{Temperature: math.NaN()}
			if e.State.Temperature != nil {
				run.Temperature = e.State.Temperature.Value
			}
			if e.Failed != nil {
				run.Duration, run.Failed = e.Failed.Value, true
			} else {
				run.Duration = e.Soak.Value
			}
			if repaired {
				after = append(after, run)
			} else {
				history = append(history, run)
			}
		case "cold starts":
			if repaired {
				clean += *e.Cycles
			} else {
				starts.Total += *e.Cycles
			}
		}
	}
	p := &Proof{Sure: 0.95, Repaired: repaired, Done: w.logCase.Proof.Done}
	if w.logCase.Proof.Sure != nil {
		p.Sure = w.logCase.Proof.Sure.Value
	}
	if repaired && w.steady(history, after) {
		p.Steady = true
		for _, run := range after {
			p.Clean += run.Duration
		}
		w.report.Proof = p
		return
	}
	if len(history)+len(after)+clean+starts.Total == 0 {
		return
	}
	p.Prior, p.PriorFrom = w.priorRight(repaired)
	given := soak.StrictAssumptions(p.Prior)
	given.StopLevel = p.Sure
	a, err := soak.Assess(history, after, given)
	if err != nil {
		w.report.Unused = append(w.report.Unused, Unused{Why: err.Error()})
		return
	}
	proof := a.Proof()
	p.Assessment, p.Law, p.Again = a, string(a.Used), a.FailedAgain
	p.Survival, p.Fixed = proof.SurvivalIfUnrepaired, proof.Fixed
	p.Failures, p.Clean = a.Failures, a.CleanTime
	for _, t := range proof.Targets {
		further := math.Max(t.BySurvival.Continuing, t.ByBelief.Continuing)
		p.Needs = append(p.Needs, Need{Level: t.Level, Further: finiteOr(further, -1)})
		if t.Level == p.Sure {
			p.OneMore = finiteOr(t.BySurvival.Total-t.BySurvival.OneMoreFailure, 0)
		}
	}
	for _, c := range a.Cautions {
		p.Cautions = append(p.Cautions, caution(c))
	}
	w.report.Proof = p
}

// steady reports whether the fault was there whenever the unit was on: no run
// ended in it, none went without it before the repair, and what showed it was never
// seen good by itself. Then its absence after the repair is proof in itself, and a
// soak only shows that nothing else is wrong.
func (w *work) steady(history, after []soak.Run) bool {
	if len(history) > 0 || len(w.symptoms) == 0 {
		return false
	}
	for _, run := range after {
		if run.Failed {
			return false
		}
	}
	for _, p := range w.symptoms {
		for i := range w.observations {
			o := &w.observations[i]
			if o.epoch == 0 && o.place.signal == p.signal && !o.special() && o.good >= shownGood {
				return false
			}
		}
	}
	return true
}

func finiteOr(x, otherwise float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return otherwise
	}
	return x
}

// priorRight is the chance, before the soak, that the repair was right.
func (w *work) priorRight(repaired bool) (p float64, from string) {
	if w.logCase.Proof.Right != nil {
		return w.logCase.Proof.Right.Value, "the case"
	}
	if !repaired {
		return 0.5, "not repaired yet, 50 % assumed"
	}
	best := 0.0
	for _, r := range w.report.Replaced {
		best = math.Max(best, r.Needed)
	}
	return math.Min(math.Max(best, 0.05), 0.95), "the suspicion of what was replaced, kept within 5 % and 95 %"
}

// caution puts a caution of package soak into words.
func caution(c soak.Caution) string {
	length := quantity.FormatDuration(c.Time)
	switch c.Kind {
	case soak.FailedAfterRepair:
		return "it failed after the repair: it is not fixed, and all runs count as history"
	case soak.NoFailureSeen:
		return "no failure was timed before the repair, so a clean run proves little: see it fail once more where you can"
	case soak.SingleFailure:
		return "one failure gives a rate, but cannot show whether failures gather around a time"
	case soak.FailureTemperatureUnknown:
		return fmt.Sprintf("how hot it was is not known for %d of the failures: what counts as hot is uncertain", c.Runs)
	case soak.HistoryTooCold:
		return fmt.Sprintf("%s before the repair was cooler than the failures and is left out", length)
	case soak.RunTemperatureUnknown:
		return fmt.Sprintf("how hot it was is not known for %s since the repair; it is counted", length)
	case soak.RunTooCold:
		return fmt.Sprintf("%s since the repair was cooler than %s and does not count", length, quantity.Quantity{Value: c.Limit, Unit: quantity.Celsius})
	case soak.ShorterThanFailure:
		return fmt.Sprintf("the longest clean run, %s, is shorter than the longest time to a failure, %s", length, quantity.FormatDuration(c.Limit))
	case soak.RestsOnPrior:
		return "the level is reached only with the trust in the repair; the running alone does not show it"
	case soak.ModelsDisagree:
		return "constant failure rate and Weibull lives give different answers at this level"
	}
	return string(c.Kind)
}
