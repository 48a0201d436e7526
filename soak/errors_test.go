package soak_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/soak"
)

// Whatever cannot be right is an error that names it and says what would be.
func TestErrorsTeach(t *testing.T) {
	given := soak.DefaultAssumptions(0.5)
	with := func(change func(*soak.Assumptions)) soak.Assumptions {
		changed := given
		change(&changed)
		return changed
	}
	assessing := func(history, after []soak.Run, given soak.Assumptions) func() error {
		return func() error { _, err := soak.Assess(history, after, given); return err }
	}
	half := soak.JeffreysProportion()
	rate := soak.JeffreysRate()
	sprt := func(upper, lower, alpha, beta float64, corrected bool) func() error {
		return func() error {
			_, err := soak.SPRT{Upper: upper, Lower: lower, Alpha: alpha, Beta: beta, Corrected: corrected}.Plan()
			return err
		}
	}
	plan := func(rows ...soak.SequentialRow) func() error {
		return func() error { _, err := soak.SequentialPlan{Rows: rows}.Decide(nil, 1); return err }
	}
	never := math.Inf(1)
	good := soak.SequentialPlans()[2]

	for _, c := range []struct {
		name string
		run  func() error
		want []string // what the message must say
	}{
		{"negative duration", assessing([]soak.Run{failed(30, 48), clean(-5, 48)}, nil, given), []string{"run 2 before the repair", "-5"}},
		{"duration not a number", assessing(nil, []soak.Run{clean(math.NaN(), 48)}, given), []string{"run 1 after the repair", "NaN"}},
		{"endless duration", assessing(nil, []soak.Run{clean(never, 48)}, given), []string{"+Inf", "lasts between"}},
		{"failed at once", assessing([]soak.Run{failed(0, 48)}, nil, given), []string{"failed after 0", "cold starts"}},
		{"below absolute zero", assessing([]soak.Run{failed(30, -300)}, nil, given), []string{"-300", "degrees Celsius"}},
		{"infinitely hot", assessing([]soak.Run{failed(30, never)}, nil, given), []string{"+Inf", "NaN when it is not known"}},
		{"prior in per cent", assessing(nil, nil, soak.DefaultAssumptions(80)), []string{"repair was right", "80 % is written 0.8"}},
		{"prior not a number", assessing(nil, nil, soak.DefaultAssumptions(math.NaN())), []string{"repair was right"}},
		{"negative margin", assessing(nil, nil, with(func(a *soak.Assumptions) { a.Margin = -1 })), []string{"margin", "zero or more"}},
		{"stop level in per cent", assessing(nil, nil, with(func(a *soak.Assumptions) { a.StopLevel = 95 })), []string{"stop level", "0.95"}},
		{"nothing assumed", assessing(nil, nil, soak.Assumptions{}), []string{"DefaultAssumptions"}},
		{"shape prior too wide", assessing(nil, nil, with(func(a *soak.Assumptions) { a.Shape.Spread = 50 })), []string{"spread", "between 1"}},
		{"shape prior off", assessing(nil, nil, with(func(a *soak.Assumptions) { a.Shape.Median = 0 })), []string{"median", "0.1"}},

		{"more failed starts than starts", func() error { _, err := soak.AssessStarts(soak.Starts{Failed: 3, Total: 2}, 0, 0.5, half); return err }, []string{"3 events in 2 trials"}},
		{"negative clean starts", func() error { _, err := soak.AssessStarts(soak.Starts{Failed: 1, Total: 2}, -1, 0.5, half); return err }, []string{"clean starts", "-1"}},
		{"starts without prior", func() error {
			_, err := soak.AssessStarts(soak.Starts{Failed: 1, Total: 2}, 1, 0.5, soak.Beta{})
			return err
		}, []string{"JeffreysProportion"}},

		{"gamma shape", func() error { _, err := soak.NewGamma(-1, 1); return err }, []string{"shape of the gamma"}},
		{"gamma rate", func() error { _, err := soak.NewGamma(1, math.NaN()); return err }, []string{"rate of the gamma", "NaN"}},
		{"gamma update", func() error { _, err := rate.Update(-1, 1); return err }, []string{"number of failures", "-1"}},
		{"nothing seen", func() error { _, err := rate.Interval(0.9); return err }, []string{"no running time"}},
		{"nothing seen to predict from", func() error { _, err := rate.Predictive(); return err }, []string{"no running time"}},
		{"no failure and no prior", func() error { _, err := gamma(t, 0, 30).MTBFInterval(0.9); return err }, []string{"no failure", "JeffreysRate"}},
		{"level of a rate", func() error { _, err := gamma(t, 1, 1).Interval(1); return err }, []string{"level", "0.95"}},
		{"confidence of a mean time", func() error { _, err := gamma(t, 1, 1).MTBFQuantile(90); return err }, []string{"confidence is 90"}},
		{"target mean time", func() error { _, err := gamma(t, 1, 1).MTBFExceeds(0); return err }, []string{"target", "greater than zero"}},
		{"negative count", func() error { _, err := gamma(t, 1, 1).CountProbability(-1, 1); return err }, []string{"-1"}},
		{"guesses the wrong way round", func() error { _, err := soak.ElicitGamma(250, 600, 0.95); return err }, []string{"below the median"}},
		{"guesses of the wrong confidence", func() error { _, err := soak.ElicitGamma(600, 250, 0.4); return err }, []string{"above 0.5"}},
		{"guesses too far apart", func() error { _, err := soak.ElicitGamma(1e12, 1e-9, 0.51); return err }, []string{"too far apart"}},
		{"guesses too close together", func() error { _, err := soak.ElicitGamma(600, 599.999, 0.99); return err }, []string{"too close together"}},

		{"Lomax shape", func() error { _, err := soak.NewLomax(0, 1); return err }, []string{"shape of the Lomax"}},
		{"time survived", func() error { l, _ := soak.NewLomax(1, 1); _, err := l.After(-1); return err }, []string{"time survived"}},
		{"needed run, survival", func() error { _, err := soak.NeededRun(1, 1, 0, rate); return err }, []string{"survival is 1"}},
		{"needed run, no prior", func() error { _, err := soak.NeededRun(0.9, 1, 0, soak.Gamma{}); return err }, []string{"JeffreysRate"}},

		{"beta parameter", func() error { _, err := soak.NewBeta(1, 0); return err }, []string{"second parameter"}},
		{"beta update", func() error { _, err := half.Update(2, 1); return err }, []string{"2 events in 1 trials"}},
		{"beta level", func() error { _, err := half.Interval(0); return err }, []string{"level is 0"}},
		{"empty beta", func() error { _, err := soak.Beta{}.Predictive(0, 3); return err }, []string{"NewBeta"}},
		{"beta prediction", func() error { _, err := half.Predictive(-1, 3); return err }, []string{"-1 events"}},
		{"proportion", func() error { _, err := soak.JeffreysInterval(-1, 3, 0.9); return err }, []string{"-1 events"}},

		{"exact limits, counts", func() error { _, err := soak.ClopperPearson(5, 4, 0.9, soak.TwoSided); return err }, []string{"5 events in 4 trials"}},
		{"exact limits, confidence", func() error { _, err := soak.ClopperPearson(1, 4, 95, soak.TwoSided); return err }, []string{"confidence is 95", "0.95"}},
		{"exact limits, sides", func() error { _, err := soak.ClopperPearson(1, 4, 0.9, "both"); return err }, []string{`"both"`, `"two"`}},
		{"score limits", func() error { _, err := soak.Wilson(1, 4, 0.9, ""); return err }, []string{"sides"}},

		{"no running time", func() error { _, err := soak.MTBFLimits(0, 0, 0.9, soak.TimeTerminated, soak.TwoSided); return err }, []string{"total running time is 0"}},
		{"ended at no failure", func() error {
			_, err := soak.MTBFLimits(10, 0, 0.9, soak.FailureTerminated, soak.TwoSided)
			return err
		}, []string{"at least one failure"}},
		{"termination", func() error { _, err := soak.MTBFLimits(10, 1, 0.9, "boredom", soak.TwoSided); return err }, []string{`"boredom"`, `"time"`}},
		{"test length", func() error { _, err := soak.TestLength(-1, 0, 0.9); return err }, []string{"objective"}},
		{"Bayesian test length", func() error { _, err := soak.BayesTestLength(1, 0, 0.9, soak.Gamma{}); return err }, []string{"shape above 0"}},

		{"Weibull shape", func() error { _, err := soak.NewWeibull(0, 1); return err }, []string{"shape is 0", "0.3 and 10"}},
		{"no failure to fit", func() error { _, err := soak.FitWeibull(nil, []float64{3}); return err }, []string{"no failure", "Weibayes"}},
		{"one failure to fit", func() error { _, err := soak.FitWeibull([]float64{3}, nil); return err }, []string{"one time, 3"}},
		{"failures hardly apart", func() error { _, err := soak.FitWeibull([]float64{3, 3.0000001}, nil); return err }, []string{"too much alike"}},
		{"failure at zero", func() error { _, err := soak.FitLognormal([]float64{3, 0}, nil); return err }, []string{"failure 2 is 0"}},
		{"no failure to estimate", func() error { _, err := soak.KaplanMeier(nil, []float64{3}); return err }, []string{"no failure"}},
		{"one failure for a posterior", func() error {
			_, err := soak.NewWeibullPosterior([]float64{3}, nil, rate, soak.DefaultShapePrior())
			return err
		}, []string{"two or more"}},
		{"suspension before zero", func() error {
			_, err := soak.NewWeibullPosterior([]float64{3, 4}, []float64{-1}, rate, soak.DefaultShapePrior())
			return err
		}, []string{"suspension 1 is -1"}},
		{"shape interval", func() error {
			_, err := soak.WeibullPosterior{}.ShapeInterval(2)
			return err
		}, []string{"level is 2"}},
		{"more failures than units", func() error { _, err := soak.Weibayes([]float64{3}, 2, 1, 0.9); return err }, []string{"2 events in 1 trials"}},
		{"assumed shape", func() error { _, err := soak.Weibayes([]float64{3}, 0, -2, 0.9); return err }, []string{"shape is -2"}},

		{"success run", func() error { _, _, err := soak.SuccessRun(1, 0.9); return err }, []string{"reliability is 1"}},
		{"endless success run", func() error { _, _, err := soak.SuccessRun(1-1e-16, 0.9); return err }, []string{"lower reliability"}},
		{"demonstration", func() error { _, _, err := soak.Demonstration{Reliability: 0.9, Confidence: 0.9}.Units(3); return err }, []string{"shape is 0"}},
		{"no unit under test", func() error {
			_, err := soak.Demonstration{Reliability: 0.9, Confidence: 0.9, Shape: 1, Life: 3}.TestTime(0)
			return err
		}, []string{"at least one"}},

		{"fixed test", func() error { _, err := soak.FixedLengthTest{Time: 1, Accept: -1}.PassProbability(1); return err }, []string{"accepted is -1"}},
		{"fixed test, mean time", func() error { _, err := soak.FixedLengthTest{Time: 1}.FailProbability(0); return err }, []string{"mean time between failures is 0"}},
		{"fixed plan", func() error { _, err := soak.FixedLengthPlans()[0].Test(-1); return err }, []string{"lower mean time"}},
		{"good below bad", sprt(100, 300, 0.1, 0.1, false), []string{"not above the lower one"}},
		{"risks of a coin", sprt(300, 100, 0.5, 0.5, false), []string{"toss of a coin"}},
		{"risks for the correction", sprt(300, 1, 0.4, 0.4, true), []string{"smaller risks or no correction"}},
		{"good and bad alike", sprt(100.001, 100, 0.1, 0.1, false), []string{"so close", "move them apart"}},
		{"characteristic parameter", func() error {
			_, _, err := soak.SPRT{Upper: 2, Lower: 1, Alpha: 0.1, Beta: 0.1}.OperatingCharacteristic(math.NaN())
			return err
		}, []string{"parameter h"}},
		{"acceptance at no mean time", func() error {
			_, err := soak.SPRT{Upper: 2, Lower: 1, Alpha: 0.1, Beta: 0.1}.AcceptProbability(0)
			return err
		}, []string{"mean time between failures is 0"}},
		{"empty plan", plan(), []string{"0 rows"}},
		{"plan without end", plan(soak.SequentialRow{AcceptFrom: 4}, soak.SequentialRow{RejectUpTo: 3, AcceptFrom: never}), []string{"does not end"}},
		{"plan that falls back", plan(soak.SequentialRow{AcceptFrom: 4}, soak.SequentialRow{RejectUpTo: 2, AcceptFrom: 3}, soak.SequentialRow{RejectUpTo: 5, AcceptFrom: never}), []string{"row 1"}},
		{"plan that is not numbers", plan(soak.SequentialRow{AcceptFrom: math.NaN()}, soak.SequentialRow{RejectUpTo: 5, AcceptFrom: never}), []string{"row 0"}},
		{"failures out of order", func() error { _, err := good.Decide([]float64{3, 2}, 9); return err }, []string{"failure 2", "in order"}},
		{"failure in the future", func() error { _, err := good.Decide([]float64{3}, 2); return err }, []string{"not later than now"}},
		{"now not a number", func() error { _, err := good.Decide(nil, math.NaN()); return err }, []string{"now is NaN"}},
		{"scale", func() error { _, err := good.Scaled(0); return err }, []string{"scale factor"}},
		{"characteristic of a plan", func() error { _, err := good.Characteristic(-1); return err }, []string{"mean time between failures is -1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := c.run()
			if err == nil {
				t.Fatal("no error")
			}
			for _, want := range append(c.want, "soak: ") {
				if !strings.Contains(err.Error(), want) {
					t.Errorf("%q does not say %q", err, want)
				}
			}
		})
	}
}

// Both tails of a test in its own right, and a published plan in units of time:
// plan XV-D is 9.3 times the lower mean time, passed with 5 failures.
//
// Outside: MIL-HDBK-781A, plan XV-D. Within: 1e-12.
func TestFixedLengthPlanInHours(t *testing.T) {
	for _, plan := range soak.FixedLengthPlans() {
		test, err := plan.Test(100)
		must(t, test, err)
		pass, err := test.PassProbability(100)
		must(t, pass, err)
		fail, err := test.FailProbability(100)
		must(t, fail, err)
		near(t, plan.Name+", both tails", pass+fail, 1, 1e-14)
		near(t, plan.Name+", consumer's risk", pass, plan.ConsumerRisk(), 1e-12)
		if plan.Name == "XV-D" && (math.Abs(test.Time-930) > 1e-9 || test.Accept != 5) {
			t.Errorf("plan XV-D for 100 h: %+v", test)
		}
	}
	// Units that never fail: the chance to fail them keeps its digits.
	fail, err := soak.FixedLengthTest{Time: 1, Accept: 1}.FailProbability(1e9)
	near(t, "two or more of 1e-9", must(t, fail, err), 0.5e-18, 1e-8)
}

// What looks like an error but has an answer.
func TestEdgesHaveAnswers(t *testing.T) {
	limits, err := soak.MTBFLimits(100, 0, 0.9, soak.TimeTerminated, soak.TwoSided)
	must(t, limits, err)
	if !math.IsInf(limits.Estimate, 1) || !math.IsInf(limits.Upper, 1) || !(limits.Lower > 0) {
		t.Errorf("no failure: %+v", limits)
	}
	for name, limits := range map[string]func() (soak.Interval, error){
		"exact": func() (soak.Interval, error) { return soak.ClopperPearson(0, 0, 0.9, soak.TwoSided) },
		"score": func() (soak.Interval, error) { return soak.Wilson(0, 0, 0.9, soak.TwoSided) },
	} {
		got, err := limits()
		if must(t, got, err) != (soak.Interval{Lower: 0, Upper: 1}) {
			t.Errorf("%s limits without trials: %v", name, got)
		}
	}
	none, err := soak.Weibayes(nil, 0, 2, 0.9)
	must(t, none, err)
	if none.Lower != 0 || !math.IsInf(none.Estimate, 1) {
		t.Errorf("Weibayes without units: %+v", none)
	}
	enough, err := soak.NeededRun(0.9, 10, 0, gamma(t, 1, 1000))
	if must(t, enough, err) != 0 {
		t.Errorf("the prior alone suffices, yet %v is needed", enough)
	}
	short, err := soak.BayesTestLength(1, 0, 0.9, gamma(t, 1, 1000))
	if must(t, short, err) != 0 {
		t.Errorf("the prior alone suffices, yet %v is needed", short)
	}
	p, err := gamma(t, 2, 3).CountProbability(0, 0)
	if must(t, p, err) != 1 {
		t.Errorf("no failure in no time has chance %v", p)
	}
	p, err = gamma(t, 2, 3).CountProbability(1, 0)
	if must(t, p, err) != 0 {
		t.Errorf("a failure in no time has chance %v", p)
	}
	next, err := gamma(t, 0.5, 100).Predictive()
	if !math.IsInf(must(t, next, err).Mean(), 1) {
		t.Errorf("mean %v, want +Inf for a shape of 1/2", next.Mean())
	}
	design := soak.SPRT{Upper: 300, Lower: 100, Alpha: 0.1, Beta: 0.1}
	for mtbf, want := range map[float64]float64{1e-9: 0, 1e12: 1} {
		accept, err := design.AcceptProbability(mtbf)
		if math.Abs(must(t, accept, err)-want) > 1e-6 {
			t.Errorf("units of mean time %v accepted with chance %v, want %v", mtbf, accept, want)
		}
	}
	plan, err := design.Plan()
	must(t, plan, err)
	for _, mtbf := range []float64{1e-9, 1e12} {
		c, err := plan.Characteristic(mtbf)
		must(t, c, err)
		if sum := c.Accept + c.Reject; math.Abs(sum-1) > 1e-9 || math.IsNaN(c.ExpectedTime) {
			t.Errorf("units of mean time %v: %+v", mtbf, c)
		}
	}
}
