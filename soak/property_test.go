package soak_test

import (
	"math"
	"testing"

	"halfsplit/soak"
	"pgregory.net/rapid"
)

var (
	durations    = rapid.Float64Range(0.5, 500)
	chances      = rapid.Float64Range(0.01, 0.99)
	temperatures = rapid.SampledFrom([]float64{30, 45, 48, 50, unknown})
)

func drawRuns(t *rapid.T, label string, least, most int, canFail bool) []soak.Run {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) soak.Run {
		return soak.Run{
			Duration:    durations.Draw(t, "duration"),
			Failed:      canFail && rapid.Bool().Draw(t, "failed"),
			Temperature: temperatures.Draw(t, "temperature"),
		}
	}), least, most).Draw(t, label)
}

func mustAssess(t *rapid.T, history, after []soak.Run, given soak.Assumptions) soak.Assessment {
	a, err := soak.Assess(history, after, given)
	if err != nil {
		t.Fatal(err)
	}
	checkSane(t, a)
	return a
}

// proofs returns the proofs that both of two assessments have, in pairs.
func proofs(a, b soak.Assessment) [][2]soak.Proof {
	pairs := [][2]soak.Proof{{a.Constant, b.Constant}}
	if a.Weibull != nil && b.Weibull != nil {
		pairs = append(pairs, [2]soak.Proof{*a.Weibull, *b.Weibull})
	}
	return pairs
}

func TestMoreCleanRunningNeverLowersConfidence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := soak.DefaultAssumptions(chances.Draw(t, "fixed"))
		history := drawRuns(t, "history", 0, 5, true)
		after := drawRuns(t, "after", 1, 3, false)
		more := append([]soak.Run{}, after...)
		if rapid.Bool().Draw(t, "new run") {
			more = append(more, drawRuns(t, "another", 1, 1, false)...)
		} else {
			more[len(more)-1].Duration += durations.Draw(t, "longer")
		}
		const digits = 1e-12
		for _, p := range proofs(mustAssess(t, history, after, given), mustAssess(t, history, more, given)) {
			if p[1].Fixed < p[0].Fixed-digits || p[1].SurvivalIfUnrepaired > p[0].SurvivalIfUnrepaired+digits {
				t.Fatalf("more running lowers confidence: %+v, then %+v", p[0], p[1])
			}
		}
	})
}

// At an equal mean time, and so with proportionally more running, each further
// failure seen before the repair shortens the soak or leaves it as it is.
func TestMoreFailuresNeverLengthenTheSoak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := soak.DefaultAssumptions(chances.Draw(t, "fixed"))
		each := durations.Draw(t, "mean time")
		var history []soak.Run
		var before *soak.Assessment
		for n := range rapid.IntRange(1, 12).Draw(t, "failures") {
			history = append(history, failed(each, 50))
			now := mustAssess(t, history, nil, given)
			if before != nil {
				for _, p := range proofs(*before, now) {
					for i := range p[0].Targets {
						was, is := p[0].Targets[i], p[1].Targets[i]
						if is.BySurvival.Total > was.BySurvival.Total*(1+1e-12) {
							t.Fatalf("failure %d lengthens the soak: %+v, then %+v", n+1, was, is)
						}
					}
				}
			}
			before = &now
		}
	})
}

// What one more failure would have saved is what it does save when it is seen.
func TestOneMoreFailureIsWhatSeeingItGives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := soak.DefaultAssumptions(chances.Draw(t, "fixed"))
		history := drawRuns(t, "history", 1, 5, true)
		for i := range history {
			history[i].Temperature = 50
		}
		now := mustAssess(t, history, nil, given)
		then := mustAssess(t, append(history, failed(now.MeanFailureTime, 50)), nil, given)
		for _, p := range proofs(now, then) {
			for i := range p[0].Targets {
				forecast, seen := p[0].Targets[i], p[1].Targets[i]
				for _, pair := range [][2]float64{
					{forecast.BySurvival.OneMoreFailure, seen.BySurvival.Total},
					{forecast.ByBelief.OneMoreFailure, seen.ByBelief.Total},
				} {
					if math.Abs(pair[0]-pair[1]) > 1e-9*pair[1] {
						t.Fatalf("forecast %v, seen %v", pair[0], pair[1])
					}
				}
			}
		}
	})
}

// Running exactly what is said to be needed reaches the level exactly.
func TestNeededRunReachesTheLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := soak.DefaultAssumptions(chances.Draw(t, "fixed"))
		history := append(drawRuns(t, "history", 0, 4, true), failed(durations.Draw(t, "failure"), 50))
		after := drawRuns(t, "after", 1, 2, false)
		for i := range after {
			after[i].Temperature = 50
		}
		now := mustAssess(t, history, after, given)
		i := rapid.IntRange(0, 2).Draw(t, "level")
		level, target := soak.Levels()[i], now.Proof().Targets[i]
		if math.Max(target.BySurvival.Restarting, target.ByBelief.Continuing) > 1e9 {
			return // longer than a run may last
		}
		continued := append([]soak.Run{}, after...)
		continued[len(continued)-1].Duration += target.BySurvival.Continuing
		restarted := append(append([]soak.Run{}, after...), clean(target.BySurvival.Restarting, 50))
		for _, runs := range [][]soak.Run{continued, restarted, {clean(target.BySurvival.Total, 50)}} {
			p := mustAssess(t, history, runs, given).Proof()
			if target.BySurvival.Continuing > 0 && math.Abs(p.SurvivalIfUnrepaired/(1-level)-1) > 1e-9 {
				t.Fatalf("at %v: survival %v after %v", level, p.SurvivalIfUnrepaired, runs)
			}
		}
		believed := append([]soak.Run{}, after...)
		believed[len(believed)-1].Duration += target.ByBelief.Continuing
		if p := mustAssess(t, history, believed, given).Proof(); p.Fixed < level-1e-9 {
			t.Fatalf("at %v: fixed %v", level, p.Fixed)
		}
	})
}

// The unit of time is nobody's business: hours or seconds give the same chances,
// and needs that scale.
func TestUnitOfTimeDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := soak.DefaultAssumptions(chances.Draw(t, "fixed"))
		history := drawRuns(t, "history", 1, 5, true)
		after := drawRuns(t, "after", 1, 3, false)
		scale := func(runs []soak.Run, factor float64) []soak.Run {
			out := append([]soak.Run{}, runs...)
			for i := range out {
				out[i].Duration *= factor
			}
			return out
		}
		hours, seconds := mustAssess(t, history, after, given), mustAssess(t, scale(history, 3600), scale(after, 3600), given)
		for _, p := range proofs(hours, seconds) {
			if math.Abs(p[0].Fixed-p[1].Fixed) > 1e-10 {
				t.Fatalf("fixed %v in hours, %v in seconds", p[0].Fixed, p[1].Fixed)
			}
			for i := range p[0].Targets {
				h, s := p[0].Targets[i].BySurvival.Total, p[1].Targets[i].BySurvival.Total
				if math.Abs(h*3600-s) > 1e-9*s {
					t.Fatalf("needed %v hours or %v seconds", h, s)
				}
			}
		}
	})
}

// Each distribution: survival and its inverse, and the two tails.
func TestQuantilesInvertSurvival(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := rapid.Float64Range(0.3, 50).Draw(t, "shape")
		other := rapid.Float64Range(0.3, 50).Draw(t, "other")
		p := math.Exp(rapid.Float64Range(-30, -1e-3).Draw(t, "ln p"))

		g, _ := soak.NewGamma(shape, other)
		b, _ := soak.NewBeta(shape, other)
		l, _ := soak.NewLomax(shape, other)
		w, _ := soak.NewWeibull(shape, other)
		for name, got := range map[string]float64{
			"gamma":   g.CDF(g.Quantile(p)),
			"beta":    b.CDF(b.Quantile(p)),
			"Lomax":   l.Survival(l.TimeAtSurvival(p)),
			"Weibull": w.CDF(w.Quantile(p)),
		} {
			if math.Abs(got/p-1) > 1e-9 {
				t.Fatalf("%s(%v, %v): quantile of %v gives back %v", name, shape, other, p, got)
			}
		}
		x := g.Quantile(p)
		if sum := g.CDF(x) + g.Survival(x); math.Abs(sum-1) > 1e-12 {
			t.Fatalf("gamma tails add to %v", sum)
		}
		y := b.Quantile(p)
		if sum := b.CDF(y) + b.Survival(y); math.Abs(sum-1) > 1e-12 {
			t.Fatalf("beta tails add to %v", sum)
		}
	})
}

// The exact limits of a proportion are where plain binomial sums equal the
// error.
func TestClopperPearsonByBinomialSums(t *testing.T) {
	atMost := func(k, n int, p float64) float64 {
		sum, term := 0.0, math.Pow(1-p, float64(n))
		for i := 0; i <= k; i++ {
			sum += term
			term *= float64(n-i) / float64(i+1) * p / (1 - p)
		}
		return sum
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "trials")
		k := rapid.IntRange(1, n-1).Draw(t, "events")
		confidence := rapid.Float64Range(0.5, 0.999).Draw(t, "confidence")
		limits, err := soak.ClopperPearson(k, n, confidence, soak.TwoSided)
		if err != nil {
			t.Fatal(err)
		}
		tail := (1 - confidence) / 2
		if got := atMost(k, n, limits.Upper); math.Abs(got/tail-1) > 1e-8 {
			t.Fatalf("upper limit %v: at most %d of %d with chance %v, want %v", limits.Upper, k, n, got, tail)
		}
		// At least k events are at most n-k non-events.
		if got := atMost(n-k, n, 1-limits.Lower); math.Abs(got/tail-1) > 1e-8 {
			t.Fatalf("lower limit %v: at least %d of %d with chance %v, want %v", limits.Lower, k, n, got, tail)
		}
	})
}
