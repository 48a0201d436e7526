package soak_test

import (
	"fmt"
	"math"

	"halfsplit/soak"
)

// The Ostrel VT-9 display terminal shut down once, 30 minutes after switch-on,
// with 48 °C at the supply. A joint was resoldered, which the restorers held to
// be right with 70 %. It has now run for 45 minutes at 50 °C. Times are in
// minutes throughout.
func ExampleAssess() {
	before := []soak.Run{{Duration: 30, Failed: true, Temperature: 48}}
	since := []soak.Run{{Duration: 45, Temperature: 50}}

	a, err := soak.Assess(before, since, soak.DefaultAssumptions(0.7))
	if err != nil {
		fmt.Println(err)
		return
	}
	proof := a.Proof()
	fmt.Printf("not repaired, it would have got this far with a chance of %.1f %%\n", 100*proof.SurvivalIfUnrepaired)
	fmt.Printf("it is fixed with a chance of %.1f %%\n", 100*proof.Fixed)
	fmt.Printf("advice: %s, for %.0f minutes more\n", a.Advice.Kind, a.Advice.Continuing)
	for _, t := range proof.Targets {
		fmt.Printf("%.0f %% by survival: %.0f minutes in all; by belief: %.0f\n", 100*t.Level, t.BySurvival.Total, t.ByBelief.Total)
	}
	// Output:
	// not repaired, it would have got this far with a chance of 25.3 %
	// it is fixed with a chance of 90.2 %
	// advice: run on, for 146 minutes more
	// 90 % by survival: 109 minutes in all; by belief: 44
	// 95 % by survival: 191 minutes in all; by belief: 91
	// 99 % by survival: 616 minutes in all; by belief: 335
}

// Before any repair, Assess is a plan: what would seeing more failures first
// have saved?
func ExampleAssess_plan() {
	var before []soak.Run
	for n := 1; n <= 3; n++ {
		before = append(before, soak.Run{Duration: 30, Failed: true, Temperature: 48})
		a, err := soak.Assess(before, nil, soak.DefaultAssumptions(0.7))
		if err != nil {
			fmt.Println(err)
			return
		}
		need := a.Constant.Targets[1].BySurvival
		fmt.Printf("%d failures seen: soak %.0f minutes; one more would save %.0f\n", n, need.Total, need.Total-need.OneMoreFailure)
	}
	// Output:
	// 1 failures seen: soak 191 minutes; one more would save 52
	// 2 failures seen: soak 139 minutes; one more would save 17
	// 3 failures seen: soak 122 minutes; one more would save 8
}

// The Ferrand 220 deck controller came up wrong at 3 of 8 cold starts. After a
// connector was reseated, how many clean starts are enough?
func ExampleAssessStarts() {
	p, err := soak.AssessStarts(soak.Starts{Failed: 3, Total: 8}, 4, 0.6, soak.JeffreysProportion())
	if err != nil {
		fmt.Println(err)
		return
	}
	t := p.Targets[1]
	fmt.Printf("after %d clean starts: survival %.1f %%, fixed %.1f %%\n", p.Clean, 100*p.SurvivalIfUnrepaired, 100*p.Fixed)
	fmt.Printf("%.0f %% by survival: %.0f starts in all; by belief: %.0f\n", 100*t.Level, t.BySurvival, t.ByBelief)
	// Output:
	// after 4 clean starts: survival 19.2 %, fixed 88.7 %
	// 95 % by survival: 10 starts in all; by belief: 8
}

// NIST/SEMATECH e-Handbook, section 8.4.5.1: two failures in 800 hours.
//
// Outside: NIST/SEMATECH e-Handbook, section 8.4.5.1. Within: the digits printed.
func ExampleMTBFLimits() {
	limits, err := soak.MTBFLimits(800, 2, 0.90, soak.TimeTerminated, soak.TwoSided)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f h, between %.3f h and %.3f h with 90 %%\n", limits.Estimate, limits.Lower, limits.Upper)
	// Output: 400 h, between 127.069 h and 2251.229 h with 90 %
}

// NIST/SEMATECH e-Handbook, section 8.3.1.1: show 200 hours with 90 %
// confidence, allowing four failures.
//
// Outside: NIST/SEMATECH e-Handbook, section 8.3.1.1. Within: the digits printed.
func ExampleTestLength() {
	hours, err := soak.TestLength(200, 4, 0.90)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f h\n", hours)
	// Output: 1599 h
}

// NIST/SEMATECH e-Handbook, section 8.2.5: as likely above as below 600 hours,
// and 95 % sure of 250.
//
// Outside: NIST/SEMATECH e-Handbook, section 8.2.5. Within: the digits printed.
func ExampleElicitGamma() {
	prior, err := soak.ElicitGamma(600, 250, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("shape %.3f, rate %.1f h\n", prior.Shape(), prior.Rate())
	// Output: shape 2.863, rate 1522.5 h
}

// One failure in 250 hours of playing: what will the next 100 hours bring?
func ExampleGamma() {
	belief, err := soak.JeffreysRate().Update(1, 250)
	if err != nil {
		fmt.Println(err)
		return
	}
	mtbf, err := belief.MTBFInterval(0.90)
	if err != nil {
		fmt.Println(err)
		return
	}
	next, err := belief.Predictive()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean time between failures %.0f h to %.0f h\n", mtbf.Lower, mtbf.Upper)
	fmt.Printf("100 h without failure: %.1f %%; median %.0f h, mean %.0f h\n", 100*next.Survival(100), next.Median(), next.Mean())
	// Output:
	// mean time between failures 64 h to 1421 h
	// 100 h without failure: 60.4 %; median 147 h, mean 500 h
}

// How long must a repaired unit run clean before an evening of 24 hours can be
// promised with 90 %?
func ExampleNeededRun() {
	hours, err := soak.NeededRun(0.90, 24, 0, soak.JeffreysRate())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f h\n", hours)
	// Output: 102 h
}

// NIST/SEMATECH e-Handbook, section 8.4.1.3: ten of twenty units failed by 500
// hours.
//
// Outside: NIST/SEMATECH e-Handbook, section 8.4.1.3. Within: the digits printed.
func ExampleFitWeibull() {
	failures := []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386}
	suspensions := []float64{500, 500, 500, 500, 500, 500, 500, 500, 500, 500}
	fit, err := soak.FitWeibull(failures, suspensions)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("shape %.4f, scale %.3f h, mean %.3f h, AIC %.2f\n", fit.Shape(), fit.Scale(), fit.Mean(), fit.AIC)
	// Output: shape 1.7208, scale 606.528 h, mean 540.737 h, AIC 154.27
}

// The same lives, lognormal: the handbook prints the AIC only.
//
// Outside: NIST/SEMATECH e-Handbook, section 8.4.1.3. Within: the digits printed of the
// AIC.
func ExampleFitLognormal() {
	failures := []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386}
	suspensions := []float64{500, 500, 500, 500, 500, 500, 500, 500, 500, 500}
	fit, err := soak.FitLognormal(failures, suspensions)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("median %.0f h, AIC %.2f\n", math.Exp(fit.Mu), fit.AIC)
	// Output: median 506 h, AIC 154.39
}

// A drum machine of the same family dropped out after 28, 31, 30 and 33
// minutes: failures that gather around a time need a shorter soak.
func ExampleNewWeibullPosterior() {
	p, err := soak.NewWeibullPosterior([]float64{28, 31, 30, 33}, nil, soak.JeffreysRate(), soak.DefaultShapePrior())
	if err != nil {
		fmt.Println(err)
		return
	}
	shape, err := p.ShapeInterval(0.90)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("shape %.1f, between %.1f and %.1f\n", p.MedianShape(), shape.Lower, shape.Upper)
	fmt.Printf("one run in twenty would get past %.0f minutes\n", p.TimeAtSurvival(0.05))
	// Output:
	// shape 3.6, between 1.2 and 9.4
	// one run in twenty would get past 49 minutes
}

// Three units ran 1000, 1500 and 2000 hours without failure; parts of this kind
// wear out with a shape of 2. Abernethy's convention of a failure just about to
// happen is a confidence of 1 - 1/e.
//
// Outside: R. B. Abernethy, convention of a failure about to happen, closed form.
// Within: the digits printed.
func ExampleWeibayes() {
	limits, err := soak.Weibayes([]float64{1000, 1500, 2000}, 0, 2, 1-1/math.E)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("characteristic life above %.0f h\n", limits.Lower)
	// Output: characteristic life above 2693 h
}

// Nine starts in ten shown with 90 % confidence.
func ExampleSuccessRun() {
	n, reached, err := soak.SuccessRun(0.90, 0.90)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d clean starts in a row, %.1f %%\n", n, 100*reached)
	// Output: 22 clean starts in a row, 90.2 %
}

// How many rebuilt supplies must run 1000 hours clean, to show that 90 %
// survive 500 hours?
func ExampleDemonstration() {
	d := soak.Demonstration{Reliability: 0.90, Confidence: 0.90, Shape: 2, Life: 500}
	exact, units, err := d.Units(1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	alone, err := d.TestTime(1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d units (%.2f); or one unit for %.0f h\n", units, exact, alone)
	// Output: 6 units (5.46); or one unit for 2337 h
}

// Three of five units failed; two were taken off, one of them early.
func ExampleKaplanMeier() {
	steps, err := soak.KaplanMeier([]float64{30, 49, 82}, []float64{45, 100})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range steps {
		fmt.Printf("%.0f h: %d of %d failed, %.3f ± %.3f survive\n", s.Time, s.Failures, s.AtRisk, s.Survival, s.StandardError)
	}
	// Output:
	// 30 h: 1 of 5 failed, 0.800 ± 0.179 survive
	// 49 h: 1 of 3 failed, 0.533 ± 0.248 survive
	// 82 h: 1 of 2 failed, 0.267 ± 0.226 survive
}

// NIST/SEMATECH e-Handbook, section 7.2.4.1: 4 of 20 defective.
//
// Outside: NIST/SEMATECH e-Handbook, section 7.2.4.1. Within: the digits printed.
func ExampleClopperPearson() {
	limits, err := soak.ClopperPearson(4, 20, 0.90, soak.TwoSided)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f to %.4f\n", limits.Lower, limits.Upper)
	// Output: 0.0714 to 0.4010
}

// NIST/SEMATECH e-Handbook, section 7.2.4.1: 26 of 200 defective, lower limit.
//
// Outside: NIST/SEMATECH e-Handbook, section 7.2.4.1. Within: the digits printed.
func ExampleWilson() {
	limits, err := soak.Wilson(26, 200, 0.95, soak.LowerOnly)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("at least %.5f\n", limits.Lower)
	// Output: at least 0.09577
}

// A test of twelve like terminals that keeps those of 300 hours between
// failures and sends back those of 100.
func ExampleNewFixedLengthTest() {
	test, err := soak.NewFixedLengthTest(300, 100, 0.10, 0.10)
	if err != nil {
		fmt.Println(err)
		return
	}
	pass, err := test.PassProbability(100)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f h in all, pass with at most %d failures; bad ones pass with %.3f\n", test.Time, test.Accept, pass)
	// Output: 946 h in all, pass with at most 5 failures; bad ones pass with 0.091
}

// The same terminals in a sequential test.
func ExampleSPRT() {
	design := soak.SPRT{Upper: 300, Lower: 100, Alpha: 0.10, Beta: 0.10}
	lines, err := design.Lines()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("without failure, accept at %.0f h; each failure costs %.0f h\n", lines.AcceptIntercept, lines.Slope)
	plan, err := design.Plan()
	if err != nil {
		fmt.Println(err)
		return
	}
	good, err := plan.Characteristic(300)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("good ones are accepted with %.3f, after %.0f h on average\n", good.Accept, good.ExpectedTime)
	// Output:
	// without failure, accept at 330 h; each failure costs 165 h
	// good ones are accepted with 0.896, after 555 h on average
}

// Plan III-D of MIL-HDBK-781A for 100 hours, with failures at 150 h and 420 h
// of the running of all units together.
//
// Outside: MIL-HDBK-781A, plan III-D. Within: the digits printed.
func ExampleSequentialPlan_Decide() {
	plan, err := soak.SequentialPlans()[2].Scaled(100)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, now := range []float64{500, 800} {
		d, err := plan.Decide([]float64{150, 420}, now)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("at %.0f h: %s, as of %.0f h\n", now, d.Outcome, d.Time)
	}
	// Output:
	// at 500 h: continue, as of 500 h
	// at 800 h: accept, as of 718 h
}
