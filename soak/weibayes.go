package soak

import "math"

// Weibayes returns the characteristic life of units whose Weibull shape is
// known or assumed from experience, from the running times of all units
// (failed or not) and the number of failures among them: the estimate, and the
// lower limit that holds with the given confidence for a test ended at a set
// time. Without a failure the estimate is +Inf and the limit still stands; at a
// confidence of 1 - 1/e it is then the scale as if a failure were just about to
// happen. Upper is not given by the method and is +Inf.
//
// Source: R. B. Abernethy, The New Weibull Handbook, 5th edition (2006), chapter
// 6. After the power transform t^shape lives are exponential, which gives the
// chi-square limit.
func Weibayes(times []float64, failures int, shape, confidence float64) (Limits, error) {
	err := first(checkTimes("running time", times), checkShape(shape), checkLevel("confidence", confidence))
	if err != nil {
		return Limits{}, err
	}
	if err := checkTrials(failures, len(times)); err != nil {
		return Limits{}, err
	}
	if len(times) == 0 {
		return Limits{Estimate: math.Inf(1), Lower: 0, Upper: math.Inf(1)}, nil
	}
	logs := make([]float64, len(times))
	for i, t := range times {
		logs[i] = shape * math.Log(t)
	}
	logSum := logSumExp(logs)
	limits := Limits{Estimate: math.Inf(1), Upper: math.Inf(1)}
	r := float64(failures)
	if failures > 0 {
		limits.Estimate = math.Exp((logSum - math.Log(r)) / shape)
	}
	limits.Lower = math.Exp((logSum - math.Log(gammaQuantile(r+1, confidence, 1-confidence))) / shape)
	return limits, nil
}
