package soak

import (
	"errors"
	"math"
	"slices"
)

// KaplanMeierStep is one step down of the product-limit estimate.
type KaplanMeierStep struct {
	Time          float64 // time of the failures, the same unit as given
	AtRisk        int     // units still running just before
	Failures      int     // failures at this time
	Survival      float64 // estimated chance of outliving this time
	StandardError float64 // of Survival, by Greenwood's formula; 0 when none is left
}

// KaplanMeier returns the product-limit estimate of the chance of survival, a
// step for each distinct time of failure, in order. It assumes no shape of the
// distribution. A unit suspended at the time of a failure counts as at risk
// then.
//
// Source: E. L. Kaplan and P. Meier, Nonparametric Estimation from Incomplete
// Observations, Journal of the American Statistical Association 53 (1958),
// 457-481.
func KaplanMeier(failures, suspensions []float64) ([]KaplanMeierStep, error) {
	if err := first(checkTimes("failure", failures), checkTimes("suspension", suspensions)); err != nil {
		return nil, err
	}
	if len(failures) == 0 {
		return nil, errors.New("soak: no failure among the lives; the estimate has no step and survival stays at 1")
	}
	failed, suspended := slices.Sorted(slices.Values(failures)), slices.Sorted(slices.Values(suspensions))
	var steps []KaplanMeierStep
	survival, greenwood := 1.0, 0.0
	gone := 0 // suspensions before the present time
	for i := 0; i < len(failed); {
		t := failed[i]
		for gone < len(suspended) && suspended[gone] < t {
			gone++
		}
		atRisk := len(failed) - i + len(suspended) - gone
		deaths := 0
		for i < len(failed) && failed[i] == t {
			deaths++
			i++
		}
		left := atRisk - deaths
		survival *= float64(left) / float64(atRisk)
		step := KaplanMeierStep{Time: t, AtRisk: atRisk, Failures: deaths, Survival: survival}
		if left > 0 {
			greenwood += float64(deaths) / float64(atRisk) / float64(left)
			step.StandardError = survival * math.Sqrt(greenwood)
		}
		steps = append(steps, step)
	}
	return steps, nil
}
