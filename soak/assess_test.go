package soak_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"halfsplit/soak"
)

// unknown is a temperature that nobody read.
var unknown = math.NaN()

func failed(duration, temperature float64) soak.Run {
	return soak.Run{Duration: duration, Failed: true, Temperature: temperature}
}

func clean(duration, temperature float64) soak.Run {
	return soak.Run{Duration: duration, Temperature: temperature}
}

func assess(t testing.TB, history, after []soak.Run, given soak.Assumptions) soak.Assessment {
	t.Helper()
	a, err := soak.Assess(history, after, given)
	return must(t, a, err)
}

func near(t *testing.T, name string, got, want, relative float64) {
	t.Helper()
	if err := within(got, want, 0, relative); err != nil {
		t.Errorf("%s: %v", name, err)
	}
}

func target(t *testing.T, p soak.Proof, level float64) soak.Target {
	t.Helper()
	for _, target := range p.Targets {
		if target.Level == level {
			return target
		}
	}
	t.Fatalf("no target for %v", level)
	return soak.Target{}
}

func kinds(cautions []soak.Caution) []soak.CautionKind {
	var out []soak.CautionKind
	for _, c := range cautions {
		out = append(out, c.Kind)
	}
	return out
}

func caution(t *testing.T, a soak.Assessment, kind soak.CautionKind) soak.Caution {
	t.Helper()
	for _, c := range a.Cautions {
		if c.Kind == kind {
			return c
		}
	}
	t.Fatalf("no caution %q among %v", kind, kinds(a.Cautions))
	return soak.Caution{}
}

// One failure at 30 minutes, then 45 minutes without. Worked by hand from
// (T/(T+t))^(n+1/2); minutes throughout.
//
// Outside: worked out by hand from (T/(T+t))^(n+1/2). Within: 1e-13.
func TestAssessByHandOneFailure(t *testing.T) {
	a := assess(t, []soak.Run{failed(30, 48)}, []soak.Run{clean(45, 50)}, soak.DefaultAssumptions(0.7))
	if a.Used != soak.ConstantRate || a.Weibull != nil {
		t.Errorf("used %q with Weibull proof %v; one failure shows no shape", a.Used, a.Weibull)
	}
	survival := math.Pow(30.0/75, 1.5) // 0.25298
	near(t, "survival if unrepaired", a.Constant.SurvivalIfUnrepaired, survival, 1e-14)
	near(t, "survival, printed", a.Constant.SurvivalIfUnrepaired, 0.253, 1e-3)
	near(t, "fixed", a.Constant.Fixed, 0.7/(0.7+0.3*survival), 1e-14)
	near(t, "not fixed", a.Constant.NotFixed, 0.3*survival/(0.7+0.3*survival), 1e-14)

	for _, c := range []struct{ level, survival float64 }{{0.90, 0.10}, {0.95, 0.05}, {0.99, 0.01}} {
		need := target(t, a.Constant, c.level).BySurvival
		total := 30 * (math.Pow(1/c.survival, 1/1.5) - 1)
		near(t, "total", need.Total, total, 1e-13)
		near(t, "continuing", need.Continuing, total-45, 1e-13)
		near(t, "restarting", need.Restarting, total-45, 1e-13)
		// One failure more, at 30 minutes: n = 2 in 60 minutes.
		near(t, "one more failure", need.OneMoreFailure, 60*(math.Pow(1/c.survival, 1/2.5)-1), 1e-13)

		// By belief the unrepaired unit need only be as unlikely as
		// 0.7 (1-level) / (0.3 level).
		odds := 0.7 * (1 - c.level) / (0.3 * c.level)
		near(t, "total by belief", target(t, a.Constant, c.level).ByBelief.Total, 30*(math.Pow(odds, -1/1.5)-1), 1e-12)
	}
	near(t, "95 %, printed", target(t, a.Constant, 0.95).BySurvival.Total, 191, 0.002)

	if a.Advice.Kind != soak.RunOn || len(a.Advice.Lacking) != 2 {
		t.Errorf("advice %+v, want to run on, lacking in both senses", a.Advice)
	}
	near(t, "advised further running", a.Advice.Continuing, 30*(math.Pow(20, 1/1.5)-1)-45, 1e-13)
	if got, want := kinds(a.Cautions), []soak.CautionKind{soak.SingleFailure}; !slices.Equal(got, want) {
		t.Errorf("cautions %v, want %v", got, want)
	}
	if a.HotLimit != 46 {
		t.Errorf("hot from %v, want 46 (48 less the margin of 2 K)", a.HotLimit)
	}
}

// Three failures at 30 minutes each: about 122 minutes would have done.
func TestAssessByHandThreeFailures(t *testing.T) {
	history := []soak.Run{failed(30, 48), failed(30, 48), failed(30, 48)}
	a := assess(t, history, nil, soak.DefaultAssumptions(0.7))
	need := target(t, a.Constant, 0.95).BySurvival
	near(t, "total", need.Total, 90*(math.Pow(20, 1/3.5)-1), 1e-13)
	near(t, "total, printed", need.Total, 122, 0.002)
	if a.Used != soak.WeibullLives || a.Weibull == nil {
		t.Fatalf("used %q, want Weibull lives", a.Used)
	}
	// Failures that agree so well gather around a time, which shortens the soak.
	if w := target(t, *a.Weibull, 0.95).BySurvival; !(w.Total < need.Total && w.Total > 30) {
		t.Errorf("with Weibull lives %v minutes, want fewer than %v and more than a failure took", w.Total, need.Total)
	}
	if a.ShapeMedian <= 1 || a.ShapeInterval.Lower >= a.ShapeMedian || a.ShapeInterval.Upper <= a.ShapeMedian {
		t.Errorf("shape %v in %v, want a median above 1 inside its interval", a.ShapeMedian, a.ShapeInterval)
	}
	if a.Proof().SurvivalIfUnrepaired != 1 || a.Proof().Fixed != 0.7 {
		t.Errorf("before the soak: survival %v, fixed %v; want 1 and the prior", a.Proof().SurvivalIfUnrepaired, a.Proof().Fixed)
	}
}

func TestAssessStopsInBothSenses(t *testing.T) {
	history := []soak.Run{failed(30, 48)}
	for _, c := range []struct {
		name    string
		minutes float64
		fixed   float64
		kind    soak.AdviceKind
		lacking []soak.Sense
		caution []soak.CautionKind
	}{
		{"both reached", 200, 0.7, soak.Stop, nil, []soak.CautionKind{soak.SingleFailure}},
		{"only believed", 100, 0.9, soak.RunOn, []soak.Sense{soak.BySurvival}, []soak.CautionKind{soak.SingleFailure, soak.RestsOnPrior}},
		{"only survived", 200, 0.2, soak.RunOn, []soak.Sense{soak.ByBelief}, []soak.CautionKind{soak.SingleFailure}},
		{"neither", 45, 0.7, soak.RunOn, []soak.Sense{soak.BySurvival, soak.ByBelief}, []soak.CautionKind{soak.SingleFailure}},
		{"shorter than the failure", 20, 0.7, soak.RunOn, []soak.Sense{soak.BySurvival, soak.ByBelief}, []soak.CautionKind{soak.SingleFailure, soak.ShorterThanFailure}},
		{"certainly right", 45, 1, soak.RunOn, []soak.Sense{soak.BySurvival}, []soak.CautionKind{soak.SingleFailure, soak.CertainPrior, soak.RestsOnPrior}},
		{"certainly wrong", 1e6, 0, soak.RunOn, []soak.Sense{soak.ByBelief}, []soak.CautionKind{soak.SingleFailure, soak.CertainPrior}},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := assess(t, history, []soak.Run{clean(c.minutes, 50)}, soak.DefaultAssumptions(c.fixed))
			if a.Advice.Kind != c.kind || !slices.Equal(a.Advice.Lacking, c.lacking) {
				t.Errorf("advice %q lacking %v, want %q lacking %v", a.Advice.Kind, a.Advice.Lacking, c.kind, c.lacking)
			}
			if got := kinds(a.Cautions); !slices.Equal(got, c.caution) {
				t.Errorf("cautions %v, want %v", got, c.caution)
			}
			switch {
			case c.fixed == 0 && !math.IsInf(a.Advice.Continuing, 1):
				t.Errorf("further running %v, want none that will do", a.Advice.Continuing)
			case c.kind == soak.Stop && (a.Advice.Continuing != 0 || a.Advice.Restarting != 0 || a.Advice.Starts != 0):
				t.Errorf("stop, but advice asks for more: %+v", a.Advice)
			}
		})
	}
}

func TestAssessTemperatureRule(t *testing.T) {
	given := soak.DefaultAssumptions(0.5)
	history := []soak.Run{failed(30, 50), failed(40, 46), clean(300, 25), clean(20, 45), clean(25, unknown)}
	after := []soak.Run{clean(100, 24), clean(15, 44), clean(60, 55), clean(10, unknown)}
	a := assess(t, history, after, given)
	if a.HotLimit != 44 {
		t.Errorf("hot from %v, want 44: the coolest failure, 46, less 2 K", a.HotLimit)
	}
	near(t, "history", a.HistoryTime, 30+40+20+25, 0)
	near(t, "clean", a.CleanTime, 15+60+10, 0)
	if got := caution(t, a, soak.HistoryTooCold); got.Runs != 1 || got.Time != 300 || got.Limit != 44 {
		t.Errorf("cold history: %+v", got)
	}
	if got := caution(t, a, soak.RunTooCold); got.Runs != 1 || got.Time != 100 || got.Limit != 44 {
		t.Errorf("cold run: %+v", got)
	}
	if got := caution(t, a, soak.RunTemperatureUnknown); got.Runs != 1 || got.Time != 10 {
		t.Errorf("unknown run: %+v", got)
	}

	// No margin: the run at 44 no longer counts.
	given.Margin = 0
	if a := assess(t, history, after, given); a.CleanTime != 70 || a.HotLimit != 46 {
		t.Errorf("without margin %v minutes count from %v, want 70 from 46", a.CleanTime, a.HotLimit)
	}

	// Only cold minutes since the repair: warm it up first.
	cold := assess(t, history, []soak.Run{clean(500, 25)}, given)
	if cold.Advice.Kind != soak.WarmUp || cold.CleanTime != 0 || cold.Proof().Fixed != 0.5 {
		t.Errorf("cold soak: advice %q after %v minutes that count, fixed %v", cold.Advice.Kind, cold.CleanTime, cold.Proof().Fixed)
	}

	// Nobody read a temperature at the failure: everything counts, with a caution.
	blind := assess(t, []soak.Run{failed(30, unknown)}, []soak.Run{clean(45, 20)}, given)
	if blind.CleanTime != 45 || !math.IsInf(blind.HotLimit, -1) {
		t.Errorf("unknown failure temperature: %v minutes count from %v", blind.CleanTime, blind.HotLimit)
	}
	if got := caution(t, blind, soak.FailureTemperatureUnknown); got.Runs != 1 || got.Time != 30 {
		t.Errorf("unknown failure temperature: %+v", got)
	}
}

func TestAssessFailedAgain(t *testing.T) {
	given := soak.DefaultAssumptions(0.8)
	a := assess(t, []soak.Run{failed(30, 48)}, []soak.Run{clean(45, 50), failed(20, 40)}, given)
	if !a.FailedAgain || a.Advice.Kind != soak.RepairAgain {
		t.Errorf("failed again %v, advice %q", a.FailedAgain, a.Advice.Kind)
	}
	for _, p := range []soak.Proof{a.Constant, *a.Weibull} {
		if p.Fixed != 0 || p.NotFixed != 1 || p.SurvivalIfUnrepaired != 1 {
			t.Errorf("proof after a failure: %+v", p)
		}
	}
	if a.Starts.Fixed != 0 || a.Starts.NotFixed != 1 {
		t.Errorf("starts after a failure: %+v", a.Starts)
	}
	caution(t, a, soak.FailedAfterRepair)
	// What was seen is the history of the next soak: two failures in 95 minutes.
	if a.Failures != 2 || a.HistoryTime != 95 || a.CleanTime != 0 || a.HotLimit != 38 {
		t.Errorf("history %d failures in %v, hot from %v, clean %v", a.Failures, a.HistoryTime, a.HotLimit, a.CleanTime)
	}
	near(t, "next soak", target(t, a.Constant, 0.95).BySurvival.Total, 95*(math.Pow(20, 1/2.5)-1), 1e-13)
}

func TestAssessWithoutFailure(t *testing.T) {
	given := soak.DefaultAssumptions(0.6)
	for _, c := range []struct {
		name     string
		history  []soak.Run
		survival float64
		total    float64
	}{
		{"nothing run before", nil, 1, math.Inf(1)},
		{"run of no length", []soak.Run{clean(0, 40)}, 1, math.Inf(1)},
		{"clean running before", []soak.Run{clean(30, 40)}, math.Sqrt(30.0 / 75), 30 * 399},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := assess(t, c.history, []soak.Run{clean(45, 40)}, given)
			near(t, "survival", a.Constant.SurvivalIfUnrepaired, c.survival, 1e-14)
			if got := target(t, a.Constant, 0.95).BySurvival.Total; got != c.total && math.Abs(got/c.total-1) > 1e-12 {
				t.Errorf("needed %v, want %v", got, c.total)
			}
			if a.Advice.Kind != soak.ProvokeFailure || a.Starts != nil || !math.IsInf(a.Advice.Starts, 1) {
				t.Errorf("advice %+v, starts %v", a.Advice, a.Starts)
			}
			caution(t, a, soak.NoFailureSeen)
		})
	}
	// Without a prior shape either, no run proves anything.
	given.Rate = soak.Gamma{}
	a := assess(t, []soak.Run{clean(30, 40)}, []soak.Run{clean(45, 40)}, given)
	if a.Constant.SurvivalIfUnrepaired != 1 || a.Constant.Fixed != 0.6 {
		t.Errorf("reciprocal prior without failure: %+v", a.Constant)
	}
}

// A run begun anew weighs less than the same run continued when failures come
// late in a run, and the same when they come at random.
func TestAssessContinuingAndRestarting(t *testing.T) {
	history := []soak.Run{failed(28, 48), failed(30, 48), failed(33, 48), failed(31, 48)}
	a := assess(t, history, []soak.Run{clean(25, 48)}, soak.DefaultAssumptions(0.5))
	need := target(t, *a.Weibull, 0.95).BySurvival
	near(t, "continued to the total", need.Continuing, need.Total-25, 1e-12)
	if !(need.Restarting > need.Continuing) {
		t.Errorf("restarting %v, continuing %v; a start from cold should need more", need.Restarting, need.Continuing)
	}
	constant := target(t, a.Constant, 0.95).BySurvival
	near(t, "constant rate", constant.Restarting, constant.Continuing, 1e-13)
	if !slices.Contains(kinds(assess(t, history, []soak.Run{clean(60, 48)}, soak.DefaultAssumptions(0.5)).Cautions), soak.ModelsDisagree) {
		t.Error("after an hour Weibull lives are satisfied and a constant rate is not; want a caution")
	}
}

// One start out of one failed: beta(1.5, 0.5). By hand an unrepaired unit comes
// through m more with chance 1/4, 1/8, 5/64, 7/128, 21/512 ...
func TestAssessStarts(t *testing.T) {
	want := []float64{1, 1.0 / 4, 1.0 / 8, 5.0 / 64, 7.0 / 128, 21.0 / 512}
	for m, survival := range want {
		p, err := soak.AssessStarts(soak.Starts{Failed: 1, Total: 1}, m, 0.5, soak.JeffreysProportion())
		must(t, p, err)
		near(t, "survival", p.SurvivalIfUnrepaired, survival, 1e-13)
		near(t, "fixed", p.Fixed, 1/(1+survival), 1e-13)
		for _, target := range p.Targets {
			if target.Level == 0.95 && (target.BySurvival != 5 || target.BySurvivalRemaining != float64(5-m)) {
				t.Errorf("after %d clean starts: %+v, want 5 in all", m, target)
			}
		}
	}
	// From runs: a start counts when it ran as long as the longest failure took.
	history := []soak.Run{failed(30, 48), clean(29, 48), clean(30, 48), failed(12, 48)}
	after := []soak.Run{clean(10, 48), clean(31, 48), clean(30, 48)}
	a := assess(t, history, after, soak.DefaultAssumptions(0.5))
	if s := a.Starts; s.CycleLength != 30 || s.Before != (soak.Starts{Failed: 2, Total: 3}) || s.Clean != 2 {
		t.Errorf("starts %+v, want cycles of 30, 2 of 3 failed, 2 clean since", s)
	}
	// A start that never fails in 20 million still leaves an answer, not a loop.
	p, err := soak.AssessStarts(soak.Starts{Total: 20_000_000}, 0, 1e-9, soak.JeffreysProportion())
	must(t, p, err)
	if last := p.Targets[len(p.Targets)-1]; !math.IsInf(last.ByBelief, 1) || math.IsInf(last.BySurvival, 1) {
		t.Errorf("many starts: %+v, want no number by belief and one by survival", last)
	}
}

func TestAssessCurve(t *testing.T) {
	given := soak.DefaultAssumptions(0.7)
	history := []soak.Run{failed(30, 48), failed(50, 48)}
	after := []soak.Run{clean(20, 48), clean(40, 48)}
	a := assess(t, history, after, given)
	first, last := a.Curve[0], a.Curve[len(a.Curve)-1]
	if first.Time != 0 || first.SurvivalIfUnrepaired != 1 || math.Abs(first.Fixed-0.7) > 1e-15 {
		t.Errorf("curve begins at %+v", first)
	}
	if !(last.SurvivalIfUnrepaired < 0.05 && last.Fixed > 0.95) {
		t.Errorf("curve ends at %+v, want past the level", last)
	}
	for i := 1; i < len(a.Curve); i++ {
		if a.Curve[i].Fixed < a.Curve[i-1].Fixed || a.Curve[i].SurvivalIfUnrepaired > a.Curve[i-1].SurvivalIfUnrepaired {
			t.Fatalf("confidence falls at %v", a.Curve[i].Time)
		}
	}
	// Each point is what would have been said at that time.
	for _, p := range a.Curve {
		runs := []soak.Run{clean(math.Min(p.Time, 20), 48)}
		if p.Time > 20 {
			runs = append(runs, clean(p.Time-20, 48))
		}
		then := assess(t, history, runs, given)
		near(t, "curve", p.Fixed, then.Proof().Fixed, 1e-12)
	}
	if a := assess(t, nil, nil, given); a.Curve != nil {
		t.Error("a curve although nothing has been run")
	}
}

func TestAssessStopLevel(t *testing.T) {
	given := soak.DefaultAssumptions(0.7)
	given.StopLevel = 0.8
	a := assess(t, []soak.Run{failed(30, 48)}, []soak.Run{clean(60, 48)}, given)
	// (30/90)^1.5 = 0.192.
	if a.Advice.Kind != soak.Stop || a.Advice.Level != 0.8 || len(a.Constant.Targets) != 4 {
		t.Errorf("advice %+v with %d targets, want to stop at 80 %%", a.Advice, len(a.Constant.Targets))
	}
}

// TestAssessLeavesInputAlone guards the slices of the caller.
func TestAssessLeavesInputAlone(t *testing.T) {
	history := append(make([]soak.Run, 0, 8), failed(30, 48), clean(10, 40))
	after := append(make([]soak.Run, 0, 8), failed(20, 48))
	assess(t, history, after, soak.DefaultAssumptions(0.5))
	if !reflect.DeepEqual(history, []soak.Run{failed(30, 48), clean(10, 40)}) || history[:3][2] != (soak.Run{}) || after[0] != failed(20, 48) {
		t.Error("the runs given were changed")
	}
}
