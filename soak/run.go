package soak

import (
	"fmt"
	"math"
)

// Run is one stretch of running at about one temperature, from a start to the
// failure that is being chased or to the end of watching.
//
// Count it the same way before and after the repair: from switch-on, or from
// the moment the unit is as hot as it gets, but not once so and once so. A
// failed run lasts longer than nothing: write the shortest time that the clock
// can tell. What is known only as "it failed at once" belongs to AssessStarts.
type Run struct {
	Duration    float64 // running time, seconds; zero or more, above zero if failed
	Failed      bool    // whether the run ended in the failure that is being chased
	Temperature float64 // degrees Celsius at the place where the fault is felt, as low as it was in this run; NaN when not known (left out, it means 0 °C)
}

// tally is the runs sorted by what they say.
type tally struct {
	failures    []float64 // durations of the runs that failed before the repair
	suspensions []float64 // durations of the clean runs before the repair that count
	clean       []float64 // durations of the clean runs after the repair that count
	hotLimit    float64   // temperature from which a run counts; -Inf when all do
	failedAgain bool
	cautions    []Caution
}

// sortRuns applies the temperature rule: a clean run counts when it was at least as
// hot as the coolest failure, less the margin. Failures always count, and so do
// runs of unknown temperature, with a caution.
//
// A failure after the repair makes all that was seen the history of a unit that
// is not fixed.
func sortRuns(history, after []Run, margin float64) (tally, error) {
	if err := first(checkRuns("before the repair", history), checkRuns("after the repair", after)); err != nil {
		return tally{}, err
	}
	t := tally{hotLimit: math.Inf(-1)}
	for _, run := range after {
		t.failedAgain = t.failedAgain || run.Failed
	}
	if t.failedAgain {
		history = append(append([]Run{}, history...), after...)
		after = nil
		t.cautions = append(t.cautions, Caution{Kind: FailedAfterRepair})
	}

	coolest := math.Inf(1)
	unknown := Caution{Kind: FailureTemperatureUnknown}
	for _, run := range history {
		switch {
		case !run.Failed:
		case math.IsNaN(run.Temperature):
			unknown.add(run)
		default:
			coolest = math.Min(coolest, run.Temperature)
		}
	}
	if !math.IsInf(coolest, 1) {
		t.hotLimit = coolest - margin
	}

	cold := Caution{Kind: HistoryTooCold, Limit: t.hotLimit}
	for _, run := range history {
		switch {
		case run.Failed:
			t.failures = append(t.failures, run.Duration)
		case run.Temperature < t.hotLimit:
			cold.add(run)
		default:
			t.suspensions = append(t.suspensions, run.Duration)
		}
	}
	coldAfter := Caution{Kind: RunTooCold, Limit: t.hotLimit}
	unknownAfter := Caution{Kind: RunTemperatureUnknown}
	for _, run := range after {
		if run.Temperature < t.hotLimit {
			coldAfter.add(run)
			continue
		}
		if math.IsNaN(run.Temperature) {
			unknownAfter.add(run)
		}
		t.clean = append(t.clean, run.Duration)
	}
	for _, c := range []Caution{unknown, cold, unknownAfter, coldAfter} {
		if c.Runs > 0 {
			t.cautions = append(t.cautions, c)
		}
	}
	return t, nil
}

// checkRuns returns an error that names the first run that cannot be right.
func checkRuns(where string, runs []Run) error {
	for i, run := range runs {
		name := fmt.Sprintf("run %d %s", i+1, where)
		switch {
		case !(run.Duration >= 0 && run.Duration <= longestTime):
			return fmt.Errorf("soak: %s lasted %v; a run lasts between 0 and %v seconds", name, run.Duration, longestTime)
		case run.Failed && run.Duration < shortestTime:
			return fmt.Errorf("soak: %s failed after %v; write the shortest time that the clock can tell, or count cold starts instead of time", name, run.Duration)
		case run.Temperature < -273.15 || math.IsInf(run.Temperature, 0):
			return fmt.Errorf("soak: %s was at %v degrees Celsius; give the temperature in degrees Celsius, or NaN when it is not known", name, run.Temperature)
		}
	}
	return nil
}

// total returns the sum of durations.
func total(durations []float64) float64 {
	sum := 0.0
	for _, d := range durations {
		sum += d
	}
	return sum
}

// longest returns the largest of durations, and 0 when there is none.
func longest(durations []float64) float64 {
	most := 0.0
	for _, d := range durations {
		most = math.Max(most, d)
	}
	return most
}
