package soak_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"halfsplit/soak"
)

// source returns the same random numbers at each run of the tests.
func source() *rand.Rand { return rand.New(rand.NewPCG(1983, 15)) }

// Units that were not repaired, as varied as a history leaves open, pass the
// soak to the 95 % level by survival no more often than one in twenty.
func TestUnrepairedUnitsRarelyPass(t *testing.T) {
	random := source()
	for _, history := range [][]soak.Run{
		{failed(30, 50)},
		{failed(30, 50), clean(100, 50)},
		{failed(10, 50), failed(50, 50)},
		{failed(30, 50), failed(25, 50), failed(35, 50)},
	} {
		for i, level := range soak.Levels() {
			a := assess(t, history, nil, soak.DefaultAssumptions(0.5))
			need := a.Constant.Targets[i].BySurvival.Total
			rate := distuv.Gamma{Alpha: float64(a.Failures) + 0.5, Beta: a.HistoryTime, Src: random}
			const units = 100_000
			passed := 0
			for range units {
				if random.ExpFloat64()/rate.Rand() > need {
					passed++
				}
			}
			wrong := 1 - level
			sigma := math.Sqrt(wrong * (1 - wrong) / units)
			if got := float64(passed) / units; got > wrong+4*sigma {
				t.Errorf("%d failures in %v: %.4f pass a soak of %.0f to the %v level, want at most %.4f",
					a.Failures, a.HistoryTime, got, need, level, wrong+4*sigma)
			}
		}
	}
}

// One unit with a rate of its own, which is made to fail n times and then not
// repaired: how often it passes the soak of 95 % by survival. By theory
// 0.05^(n/(n+1/2)) with the prior of Jeffreys and 0.05 with the reciprocal
// prior, whatever the rate.
func TestOneUnrepairedUnitAtAnyRate(t *testing.T) {
	random := source()
	for _, n := range []int{1, 2, 3} {
		for _, c := range []struct {
			name  string
			prior soak.Gamma
			want  float64
		}{
			{"Jeffreys", soak.JeffreysRate(), math.Pow(0.05, float64(n)/(float64(n)+0.5))},
			{"reciprocal", soak.Gamma{}, 0.05},
		} {
			t.Run(fmt.Sprintf("%s, %d failures", c.name, n), func(t *testing.T) {
				const trials = 100_000
				rate := math.Exp(3 * random.NormFloat64())
				sum, squares := 0.0, 0.0
				for range trials {
					time := 0.0
					for range n {
						time += random.ExpFloat64() / rate
					}
					belief, err := c.prior.Update(n, time)
					must(t, belief, err)
					next, err := belief.Predictive()
					must(t, next, err)
					pass := math.Exp(-rate * next.TimeAtSurvival(0.05)) // chance, given the history
					sum += pass
					squares += pass * pass
				}
				got := sum / trials
				sigma := math.Sqrt((squares/trials - got*got) / trials)
				if math.Abs(got-c.want) > 4*sigma {
					t.Errorf("passes with chance %.4f ± %.4f, want %.4f", got, sigma, c.want)
				}
			})
		}
	}
}

// Belief is what it says: of units that stand at a belief of p, the fraction p
// is fixed, when repairs are right as often as was put in.
func TestBeliefIsCalibrated(t *testing.T) {
	random := source()
	const units, right = 4_000, 0.6
	history := []soak.Run{failed(20, 50), clean(45, 50)}
	rate := distuv.Gamma{Alpha: 1.5, Beta: 65, Src: random}
	believed, variance, fixed := 0.0, 0.0, 0
	for range units {
		isFixed := random.Float64() < right
		soaked := 100 * random.Float64()
		if !isFixed && random.ExpFloat64()/rate.Rand() < soaked {
			continue // it failed again; nobody believes in it
		}
		p := assess(t, history, []soak.Run{clean(soaked, 50)}, soak.DefaultAssumptions(right)).Proof()
		believed += p.Fixed
		variance += p.Fixed * p.NotFixed
		if isFixed {
			fixed++
		}
	}
	if math.Abs(believed-float64(fixed)) > 4*math.Sqrt(variance) {
		t.Errorf("%d units are fixed, believed were %.0f ± %.0f", fixed, believed, math.Sqrt(variance))
	}
}

// The walk through a plan and the exact calculation of its risks agree.
func TestSequentialPlanBySimulation(t *testing.T) {
	random := source()
	design := soak.SPRT{Upper: 900, Lower: 300, Alpha: 0.1, Beta: 0.1, Corrected: true}
	plan, err := design.Plan()
	must(t, plan, err)
	for _, mtbf := range []float64{200, 300, 500, 900} {
		exact, err := plan.Characteristic(mtbf)
		must(t, exact, err)
		if sum := exact.Accept + exact.Reject; math.Abs(sum-1) > 1e-12 {
			t.Errorf("chances add to %v", sum)
		}
		const tests = 20_000
		accepted, time, squares := 0, 0.0, 0.0
		for range tests {
			var failures []float64
			now := 0.0
			for {
				now += mtbf * random.ExpFloat64()
				d, err := plan.Decide(failures, now)
				must(t, d, err)
				if d.Outcome == soak.Continue {
					failures = append(failures, now)
					d, err = plan.Decide(failures, now)
					must(t, d, err)
				}
				if d.Outcome != soak.Continue {
					if d.Outcome == soak.Accept {
						accepted++
					}
					time += d.Time
					squares += d.Time * d.Time
					break
				}
			}
		}
		got := float64(accepted) / tests
		if sigma := math.Sqrt(exact.Accept * exact.Reject / tests); math.Abs(got-exact.Accept) > 4*sigma {
			t.Errorf("mean time %v: accepted %.4f, calculated %.4f", mtbf, got, exact.Accept)
		}
		mean := time / tests
		if sigma := math.Sqrt((squares/tests - mean*mean) / tests); math.Abs(mean-exact.ExpectedTime) > 4*sigma {
			t.Errorf("mean time %v: test lasts %.1f on average, calculated %.1f", mtbf, mean, exact.ExpectedTime)
		}
	}
}

// A unit whose failures gather around a time, or come at random, made to fail n
// times and not repaired: with Weibull lives it passes the soak of 95 % by
// survival no more often than a unit of constant rate does with the constant
// law, whatever its true shape from 1 up, and the soak is the shorter the more
// its failures gather.
func TestOneUnrepairedUnitWithWeibullLives(t *testing.T) {
	random := source()
	for _, n := range []int{2, 3, 5} {
		bound := math.Pow(0.05, float64(n)/(float64(n)+0.5))
		before := math.Inf(1)
		for _, shape := range []float64{1, 2, 4} {
			const trials, scale = 1000, 1800
			sum, squares, needed := 0.0, 0.0, 0.0
			truth, err := soak.NewWeibull(shape, scale)
			must(t, truth, err)
			for range trials {
				var failures []float64
				for range n {
					failures = append(failures, truth.Quantile(random.Float64()))
				}
				need := posteriorOf(t, failures, nil, soak.JeffreysRate(), soak.DefaultShapePrior()).TimeAtSurvival(0.05)
				pass := truth.Survival(need)
				sum += pass
				squares += pass * pass
				needed += math.Log(need/scale) / trials
			}
			got := sum / trials
			if sigma := math.Sqrt((squares/trials - got*got) / trials); got > bound+4*sigma {
				t.Errorf("%d failures of true shape %v: passes with chance %.4f ± %.4f, want at most %.4f", n, shape, got, sigma, bound)
			}
			if needed > before {
				t.Errorf("%d failures of true shape %v: the soak is longer than for a smaller shape", n, shape)
			}
			before = needed
		}
	}
}

// Failures that come mostly early are the case in which a soak to 95 % by
// survival promises too much: the figure stated at Assess.
func TestOneUnrepairedUnitThatFailsEarly(t *testing.T) {
	random := source()
	truth, err := soak.NewWeibull(0.5, 1800)
	must(t, truth, err)
	const trials = 4000
	pass := 0.0
	for range trials {
		failures := []float64{truth.Quantile(random.Float64()), truth.Quantile(random.Float64())}
		need := posteriorOf(t, failures, nil, soak.JeffreysRate(), soak.DefaultShapePrior()).TimeAtSurvival(0.05)
		pass += truth.Survival(need) / trials
	}
	if math.Abs(pass-0.15) > 0.015 {
		t.Errorf("passes with chance %.3f, stated 0.15", pass)
	}
}
