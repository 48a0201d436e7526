package soak_test

import (
	"fmt"
	"math"
	"testing"

	"halfsplit/soak"
)

// wholeTable is what a case expects of a table that agrees in every row.
const wholeTable = "every row of the CSV"

func prior(t *testing.T, in inputs) soak.Gamma {
	t.Helper()
	return gamma(t, in.number(t, "prior_a"), in.number(t, "prior_b"))
}

func gamma(t testing.TB, shape, rate float64) soak.Gamma {
	t.Helper()
	g, err := soak.NewGamma(shape, rate)
	return must(t, g, err)
}

func posterior(t *testing.T, in inputs, failures, time string) soak.Gamma {
	t.Helper()
	g, err := prior(t, in).Update(in.count(t, failures), in.number(t, time))
	return must(t, g, err)
}

func mtbfLimits(t *testing.T, in inputs) results {
	limits, err := soak.MTBFLimits(in.number(t, "total_time"), in.count(t, "failures"), in.number(t, "confidence"),
		soak.Termination(in.word(t, "termination")), soak.Sides(in.word(t, "sides")))
	must(t, limits, err)
	return results{"estimate": limits.Estimate, "lower": limits.Lower, "upper": limits.Upper}
}

// factors are the limits for a running time of one for each failure.
func factors(t *testing.T, failures int, confidence float64) soak.Limits {
	t.Helper()
	limits, err := soak.MTBFLimits(float64(failures), failures, confidence, soak.TimeTerminated, soak.TwoSided)
	return must(t, limits, err)
}

func mtbfFactors(t *testing.T, in inputs) results {
	limits := factors(t, in.count(t, "failures"), in.number(t, "confidence"))
	return results{"lower_factor": limits.Lower, "upper_factor": limits.Upper}
}

// agree compares a figure with that in a column of a table.
func agree(t *testing.T, r row, column string, got, absolute, relative float64) {
	t.Helper()
	if err := within(got, r.number(t, column), absolute, relative); err != nil {
		t.Errorf("row %v: %s: %v", r, column, err)
	}
}

func tableMTBFFactors(t *testing.T, in inputs) results {
	for _, r := range in.rows(t) {
		limits := factors(t, r.count(t, "failures_r"), r.number(t, "confidence_two_sided"))
		agree(t, r, "lower_factor", limits.Lower, 0, 1e-9)
		agree(t, r, "upper_factor", limits.Upper, 0, 1e-9)
	}
	return results{"table": wholeTable}
}

func tableTestLength(t *testing.T, in inputs) results {
	for _, r := range in.rows(t) {
		time, err := soak.TestLength(1, r.count(t, "failures_allowed_r"), r.number(t, "confidence_one_sided"))
		agree(t, r, "factor_times_mtbf_objective", must(t, time, err), 0, 1e-9)
	}
	return results{"table": wholeTable}
}

func testLength(t *testing.T, in inputs) results {
	objective := in.number(t, "mtbf_objective")
	time, err := soak.TestLength(objective, in.count(t, "failures_allowed"), in.number(t, "confidence"))
	must(t, time, err)
	return results{"test_time": time, "factor": time / objective}
}

func fixedTestCharacteristic(t *testing.T, in inputs) results {
	test := soak.FixedLengthTest{Time: in.number(t, "test_time"), Accept: in.count(t, "accept_failures")}
	p, err := test.PassProbability(in.number(t, "true_mtbf"))
	return results{"pass_probability": must(t, p, err)}
}

func tableFixedPlans(t *testing.T, in inputs) results {
	rows := in.rows(t)
	plans := soak.FixedLengthPlans()
	if len(plans) != len(rows) {
		t.Fatalf("%d plans, want %d", len(plans), len(rows))
	}
	for i, r := range rows {
		if plans[i].Name != r["plan"] {
			t.Errorf("plan %d is %s, want %s", i, plans[i].Name, r["plan"])
		}
		agree(t, r, "discrimination_ratio_d", plans[i].Ratio, 0, 0)
		agree(t, r, "test_time_multiples_of_theta1", plans[i].Time, 0, 0)
		agree(t, r, "accept_max_failures", float64(plans[i].Accept), 0, 0)
		agree(t, r, "reject_min_failures", float64(plans[i].Accept+1), 0, 0)
		agree(t, r, "producer_risk_true", plans[i].ProducerRisk(), 1e-6, 0)
		agree(t, r, "consumer_risk_true", plans[i].ConsumerRisk(), 1e-6, 0)
	}
	return results{"table": wholeTable}
}

func gammaDistributionFunction(t *testing.T, in inputs) results {
	return results{"cdf": gamma(t, in.number(t, "a"), in.number(t, "b")).CDF(in.number(t, "x"))}
}

func gammaPriorElicit(t *testing.T, in inputs) results {
	g, err := soak.ElicitGamma(in.number(t, "mtbf_median"), in.number(t, "mtbf_low"), in.number(t, "low_confidence"))
	must(t, g, err)
	return results{"a": g.Shape(), "b": g.Rate()}
}

func bayesTestLength(t *testing.T, in inputs) results {
	time, err := soak.BayesTestLength(in.number(t, "mtbf_objective"), in.count(t, "failures_allowed"), in.number(t, "confidence"), prior(t, in))
	return results{"test_time": must(t, time, err)}
}

func bayesMTBF(t *testing.T, in inputs) results {
	g := posterior(t, in, "failures", "total_time")
	median, err := g.MTBFQuantile(0.5)
	must(t, median, err)
	lower, err := g.MTBFQuantile(in.number(t, "confidence"))
	must(t, lower, err)
	exceeds, err := g.MTBFExceeds(in.number(t, "mtbf_target"))
	must(t, exceeds, err)
	return results{"post_a": g.Shape(), "post_b": g.Rate(), "mtbf_median": median, "mtbf_lower": lower, "prob_exceeds": exceeds}
}

func lomaxPrediction(t *testing.T, in inputs) results {
	g := posterior(t, in, "failures", "total_time")
	next, err := g.Predictive()
	must(t, next, err)
	time := in.number(t, "t")
	got := results{
		"survival":            next.Survival(time),
		"median_time_to_next": next.Median(),
		"mean_time_to_next":   next.Mean(),
		"hazard_now":          next.HazardNow(),
		"prob_at_least_one":   next.CDF(time),
	}
	for k := range 3 {
		p, err := g.CountProbability(k, time)
		got[fmt.Sprintf("p_count_%d", k)] = must(t, p, err)
	}
	return got
}

func lomaxConditional(t *testing.T, in inputs) results {
	next, err := posterior(t, in, "failures", "total_time").Predictive()
	must(t, next, err)
	t1 := in.number(t, "t1")
	rest, err := next.After(t1)
	return results{"survival": must(t, rest, err).Survival(in.number(t, "t2") - t1)}
}

func lomaxQuantile(t *testing.T, in inputs) results {
	next, err := posterior(t, in, "failures", "total_time").Predictive()
	return results{"t": must(t, next, err).TimeAtSurvival(in.number(t, "survival"))}
}

func lomaxNeededRun(t *testing.T, in inputs) results {
	time, err := soak.NeededRun(in.number(t, "survival"), in.number(t, "t"), in.count(t, "failures"), prior(t, in))
	return results{"total_time": must(t, time, err)}
}

func weibullMLE(t *testing.T, in inputs) results {
	fit, err := soak.FitWeibull(in.numbers(t, "failures"), in.numbers(t, "suspensions"))
	must(t, fit, err)
	return results{
		"shape": fit.Shape(), "scale": fit.Scale(), "log_likelihood": fit.LogLikelihood, "aic": fit.AIC,
		"mean": fit.Mean(), "sd": fit.StandardDeviation(), "b10": fit.Quantile(0.1),
	}
}

func lognormalMLE(t *testing.T, in inputs) results {
	fit, err := soak.FitLognormal(in.numbers(t, "failures"), in.numbers(t, "suspensions"))
	must(t, fit, err)
	return results{"mu": fit.Mu, "sigma": fit.Sigma, "aic": fit.AIC}
}

func weibayesLimits(t *testing.T, in inputs) results {
	shape, at := in.number(t, "shape"), in.number(t, "at")
	if at != 100 {
		t.Fatalf("the expected figure is for 100 h, not %v", at)
	}
	limits, err := soak.Weibayes(in.numbers(t, "times"), in.count(t, "failures"), shape, in.number(t, "confidence"))
	must(t, limits, err)
	lower, err := soak.NewWeibull(shape, limits.Lower)
	return results{"eta_lower": limits.Lower, "eta_estimate": limits.Estimate, "r_lower_at_100": must(t, lower, err).Survival(at)}
}

func demonstration(t *testing.T, in inputs) soak.Demonstration {
	t.Helper()
	return soak.Demonstration{
		Reliability: in.number(t, "reliability"),
		Confidence:  in.number(t, "confidence"),
		Shape:       in.number(t, "shape"),
		Life:        in.number(t, "life"),
	}
}

func zeroFailureUnits(t *testing.T, in inputs) results {
	exact, units, err := demonstration(t, in).Units(in.number(t, "test_time"))
	must(t, exact, err)
	return results{"n_real": exact, "n": float64(units)}
}

func zeroFailureTime(t *testing.T, in inputs) results {
	time, err := demonstration(t, in).TestTime(in.count(t, "n"))
	return results{"test_time": must(t, time, err)}
}

func successRun(t *testing.T, in inputs) results {
	n, reached, err := soak.SuccessRun(in.number(t, "reliability"), in.number(t, "confidence"))
	must(t, n, err)
	return results{"n": float64(n), "confidence_reached": reached}
}

func kaplanMeier(t *testing.T, in inputs) results {
	steps, err := soak.KaplanMeier(in.numbers(t, "failures"), in.numbers(t, "suspensions"))
	must(t, steps, err)
	var survival []float64
	for _, s := range steps {
		survival = append(survival, s.Survival)
	}
	return results{"survival": survival}
}

func sprtLines(t *testing.T, in inputs) results {
	design := soak.SPRT{
		Upper: in.number(t, "theta0"), Lower: in.number(t, "theta1"),
		Alpha: in.number(t, "alpha"), Beta: in.number(t, "beta"),
		Corrected: in.flag(t, "corrected_A"),
	}
	lines, err := design.Lines()
	must(t, lines, err)
	end, err := design.Truncation()
	must(t, end, err)
	return results{
		"A": lines.A, "B": lines.B, "slope": lines.Slope,
		"accept_intercept": lines.AcceptIntercept, "reject_intercept": lines.RejectIntercept,
		"r0": float64(end.Accept + 1), "T0": end.Time,
	}
}

func sprtCharacteristic(t *testing.T, in inputs) results {
	design := soak.SPRT{
		Upper: in.number(t, "theta0"), Lower: in.number(t, "theta1"),
		Alpha: in.number(t, "alpha"), Beta: in.number(t, "beta"),
	}
	theta, accept, err := design.OperatingCharacteristic(in.number(t, "h"))
	must(t, theta, err)
	// The other way round, from the mean time between failures.
	again, err := design.AcceptProbability(theta)
	if err := within(must(t, again, err), accept, 0, 1e-9); err != nil {
		t.Errorf("acceptance at the mean time between failures %v: %v", theta, err)
	}
	return results{"theta": theta, "accept_probability": accept}
}

// publishedPlan returns the plan of the package that a table holds, after
// checking that it is the same entry for entry.
func publishedPlan(t *testing.T, in inputs) soak.SequentialPlan {
	t.Helper()
	table, rows := in.word(t, "table"), in.rows(t)
	for _, plan := range soak.SequentialPlans() {
		if table != "tables/mil_hdbk_781a_sprt_plan_"+plan.Name+".csv" {
			continue
		}
		if len(plan.Rows) != len(rows) {
			t.Fatalf("plan %s has %d rows, want %d", plan.Name, len(plan.Rows), len(rows))
		}
		for i, r := range rows {
			want := soak.SequentialRow{AcceptFrom: math.Inf(1)}
			if r["reject_if_time_at_most"] != "" {
				want.RejectUpTo = r.number(t, "reject_if_time_at_most")
			}
			if r["accept_if_time_at_least"] != "" {
				want.AcceptFrom = r.number(t, "accept_if_time_at_least")
			}
			if r.count(t, "failures") != i || plan.Rows[i] != want {
				t.Errorf("plan %s, row %d is %v, want %v", plan.Name, i, plan.Rows[i], want)
			}
		}
		return plan
	}
	t.Fatalf("no plan for %s", table)
	return soak.SequentialPlan{}
}

func sprtPlan(t *testing.T, in inputs) results {
	plan := publishedPlan(t, in)
	if plan.Ratio != in.number(t, "discrimination_ratio") {
		t.Errorf("discrimination ratio %v, want %v", plan.Ratio, in.number(t, "discrimination_ratio"))
	}
	producer, err := plan.ProducerRisk()
	must(t, producer, err)
	consumer, err := plan.ConsumerRisk()
	must(t, consumer, err)
	good, err := plan.Characteristic(plan.Ratio)
	must(t, good, err)
	bad, err := plan.Characteristic(1)
	must(t, bad, err)
	return results{
		"producer_risk": producer, "consumer_risk": consumer,
		"expected_time_theta0": good.ExpectedTime, "expected_time_theta1": bad.ExpectedTime,
	}
}

func sprtWalk(t *testing.T, in inputs) results {
	plan, err := publishedPlan(t, in).Scaled(in.number(t, "theta1"))
	must(t, plan, err)
	now := math.Inf(1)
	if _, running := in["now"]; running {
		now = in.number(t, "now")
	}
	d, err := plan.Decide(in.numbers(t, "failure_times"), now)
	must(t, d, err)
	return results{"decision": string(d.Outcome), "decision_time": d.Time, "failures_at_decision": float64(d.Failures)}
}

func betaPosterior(t *testing.T, in inputs) results {
	successes, trials, level := in.count(t, "successes"), in.count(t, "trials"), in.number(t, "level")
	a, b := in.number(t, "prior_a"), in.number(t, "prior_b")
	before, err := soak.NewBeta(a, b)
	must(t, before, err)
	d, err := before.Update(successes, trials)
	must(t, d, err)
	interval, err := d.Interval(level)
	must(t, interval, err)
	if in.flag(t, "zero_edge") {
		if a != 0.5 || b != 0.5 {
			t.Fatal("the edge convention belongs to the prior of Jeffreys")
		}
		interval, err = soak.JeffreysInterval(successes, trials, level)
		must(t, interval, err)
	}
	return results{
		"post_a": d.A(), "post_b": d.B(), "mean": d.Mean(), "sd": d.StandardDeviation(),
		"median": d.Quantile(0.5), "lower": interval.Lower, "upper": interval.Upper,
	}
}

func betaBinomial(t *testing.T, in inputs) results {
	before, err := soak.NewBeta(in.number(t, "prior_a"), in.number(t, "prior_b"))
	must(t, before, err)
	d, err := before.Update(in.count(t, "successes"), in.count(t, "trials"))
	must(t, d, err)
	future := in.count(t, "future")
	got := results{}
	for k := range future + 1 {
		p, err := d.Predictive(k, future)
		got[fmt.Sprintf("p_%d", k)] = must(t, p, err)
	}
	return got
}

func gammaPosterior(t *testing.T, in inputs) results {
	g := posterior(t, in, "events", "exposure")
	level := in.number(t, "level")
	interval, err := g.Interval(level)
	must(t, interval, err)
	got := results{
		"post_a": g.Shape(), "post_b": g.Rate(), "mean": g.Mean(), "sd": g.StandardDeviation(),
		"lower": interval.Lower, "upper": interval.Upper, "upper_one_sided": g.Quantile(level),
	}
	if _, asked := in["threshold"]; asked {
		got["prob_above"] = g.Survival(in.number(t, "threshold"))
	}
	return got
}

func clopperPearson(t *testing.T, in inputs) results {
	limits, err := soak.ClopperPearson(in.count(t, "successes"), in.count(t, "trials"), in.number(t, "confidence"), soak.Sides(in.word(t, "sides")))
	must(t, limits, err)
	return results{"lower": limits.Lower, "upper": limits.Upper}
}

func wilson(t *testing.T, in inputs) results {
	limits, err := soak.Wilson(in.count(t, "successes"), in.count(t, "trials"), in.number(t, "confidence"), soak.Sides(in.word(t, "sides")))
	must(t, limits, err)
	return results{"lower": limits.Lower, "upper": limits.Upper}
}
