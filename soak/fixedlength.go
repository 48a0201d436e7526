package soak

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// FixedLengthTest is a test of a fleet of like units for a set total running
// time, which is passed when no more than Accept failures happen in it.
type FixedLengthTest struct {
	Time   float64 // total running time of all units together, above zero
	Accept int     // largest number of failures that still passes
}

// PassProbability returns the chance that units with the given true mean time
// between failures pass the test (its operating characteristic).
func (f FixedLengthTest) PassProbability(mtbf float64) (float64, error) {
	if err := first(f.check(), checkPositive("mean time between failures", mtbf)); err != nil {
		return 0, err
	}
	return poissonAtMost(f.Accept, f.Time/mtbf), nil
}

// FailProbability returns the chance that such units fail the test, computed
// by itself so that a small chance keeps its digits.
func (f FixedLengthTest) FailProbability(mtbf float64) (float64, error) {
	if err := first(f.check(), checkPositive("mean time between failures", mtbf)); err != nil {
		return 0, err
	}
	return poissonAtLeast(f.Accept+1, f.Time/mtbf), nil
}

func (f FixedLengthTest) check() error {
	return first(checkPositive("time of the test", f.Time), checkCount("number of failures accepted", f.Accept))
}

// NewFixedLengthTest returns the shortest fixed-length test that fails units of
// the upper mean time between failures with a chance of alpha (producer's risk:
// good units sent back) and passes units of the lower one with a chance of at
// most beta (consumer's risk: bad units kept).
//
// It is also where a sequential test is cut short: the smallest number of
// failures r with χ²(alpha; 2r)/χ²(1-beta; 2r) >= lower/upper, and the time
// upper·χ²(alpha; 2r)/2.
//
// Source: B. Epstein and M. Sobel, Sequential Life Tests in the Exponential
// Case, Annals of Mathematical Statistics 26 (1955), 82-93; MIL-HDBK-781A,
// section 5.9.
func NewFixedLengthTest(upper, lower, alpha, beta float64) (FixedLengthTest, error) {
	if err := checkHypotheses(upper, lower, alpha, beta); err != nil {
		return FixedLengthTest{}, err
	}
	const mostFailures = 1_000_000
	enough := func(r int) bool {
		shape := float64(r)
		return gammaQuantile(shape, alpha, 1-alpha) >= lower/upper*gammaQuantile(shape, 1-beta, beta)
	}
	if !enough(mostFailures) {
		return FixedLengthTest{}, fmt.Errorf("soak: upper %v and lower %v mean time between failures lie so close that more than %d failures would be needed to tell them apart; move them apart or allow greater risks",
			upper, lower, mostFailures)
	}
	// Double until enough, then bisect: the criterion is monotone in r.
	high := 1
	for !enough(high) {
		high *= 2
	}
	low := high / 2
	r := low + 1 + sort.Search(high-low-1, func(i int) bool { return enough(low + 1 + i) })
	return FixedLengthTest{Time: upper * gammaQuantile(float64(r), alpha, 1-alpha), Accept: r - 1}, nil
}

// checkHypotheses returns an error unless two mean times between failures and
// two risks can make a test.
func checkHypotheses(upper, lower, alpha, beta float64) error {
	err := first(
		checkTime("upper mean time between failures", upper),
		checkTime("lower mean time between failures", lower),
		checkLevel("producer's risk alpha", alpha),
		checkLevel("consumer's risk beta", beta),
	)
	if err != nil {
		return err
	}
	if !(upper > lower) {
		return fmt.Errorf("soak: upper mean time between failures %v is not above the lower one, %v; the first is that of good units, the second that of bad ones", upper, lower)
	}
	if !(alpha+beta < 1) {
		return errors.New("soak: risks alpha and beta add up to 1 or more; a toss of a coin would do as well: choose risks such as 0.1 and 0.1")
	}
	return nil
}

// FixedLengthPlan is a published fixed-length test.
type FixedLengthPlan struct {
	Name   string  // designation in the handbook
	Ratio  float64 // discrimination ratio: upper over lower mean time between failures
	Time   float64 // total running time, in multiples of the lower mean time between failures
	Accept int     // largest number of failures that still passes
}

// FixedLengthPlans returns the standard fixed-length plans.
//
// Source: MIL-HDBK-781A, Reliability Test Methods, Plans, and Environments for
// Engineering, Development, Qualification, and Production (1996),
// fixed-duration test plans IX-D to XXI-D; the parameters are from memory, the
// risks that follow from them agree with those remembered except for the
// producer's risk of XX-D (remembered 28.8 %, computed 28.3 %).
func FixedLengthPlans() []FixedLengthPlan {
	return []FixedLengthPlan{
		{"IX-D", 1.5, 45.0, 36},
		{"X-D", 1.5, 29.9, 25},
		{"XI-D", 1.5, 21.5, 17},
		{"XII-D", 2.0, 18.8, 13},
		{"XIII-D", 2.0, 12.4, 9},
		{"XIV-D", 2.0, 7.8, 5},
		{"XV-D", 3.0, 9.3, 5},
		{"XVI-D", 3.0, 5.4, 3},
		{"XVII-D", 3.0, 4.3, 2},
		{"XIX-D", 1.5, 8.0, 6},
		{"XX-D", 2.0, 3.7, 2},
		{"XXI-D", 3.0, 1.1, 0},
	}
}

// Test returns the plan as a test for a given lower mean time between
// failures, above zero.
func (p FixedLengthPlan) Test(lower float64) (FixedLengthTest, error) {
	if err := checkPositive("lower mean time between failures", lower); err != nil {
		return FixedLengthTest{}, err
	}
	test := FixedLengthTest{Time: p.Time * lower, Accept: p.Accept}
	return test, test.check()
}

// ProducerRisk returns the chance that units of the upper mean time between
// failures fail the plan.
func (p FixedLengthPlan) ProducerRisk() float64 {
	return poissonAtLeast(p.Accept+1, p.Time/math.Max(p.Ratio, 1))
}

// ConsumerRisk returns the chance that units of the lower mean time between
// failures pass the plan.
func (p FixedLengthPlan) ConsumerRisk() float64 { return poissonAtMost(p.Accept, p.Time) }
