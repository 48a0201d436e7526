package soak

import (
	"fmt"
	"math"
)

// The longest and the shortest time that a run may last. They keep sums and
// ratios far inside the range of a float64: 1e12 seconds are 31 700 years.
const (
	shortestTime = 1e-9
	longestTime  = 1e12
)

// finite reports whether x is neither NaN nor infinite.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// checkTime returns an error unless x is a time that a thing can have lasted.
func checkTime(name string, x float64) error {
	if !(x >= shortestTime && x <= longestTime) {
		return fmt.Errorf("soak: %s is %v; it must lie between %v and %v, in the one unit of time used throughout",
			name, x, shortestTime, longestTime)
	}
	return nil
}

// checkPositive returns an error unless x is a finite number above zero.
func checkPositive(name string, x float64) error {
	if !(x > 0) || math.IsInf(x, 1) {
		return fmt.Errorf("soak: %s is %v; it must be a finite number greater than zero", name, x)
	}
	return nil
}

// checkNotNegative returns an error unless x is a finite number, zero or more.
func checkNotNegative(name string, x float64) error {
	if !(x >= 0) || math.IsInf(x, 1) {
		return fmt.Errorf("soak: %s is %v; it must be a finite number, zero or more", name, x)
	}
	return nil
}

// checkCount returns an error unless n is a count.
func checkCount(name string, n int) error {
	if n < 0 {
		return fmt.Errorf("soak: %s is %d; a count is zero or more", name, n)
	}
	return nil
}

// checkProbability returns an error unless p lies in [0, 1].
func checkProbability(name string, p float64) error {
	if !(p >= 0 && p <= 1) {
		return fmt.Errorf("soak: %s is %v; a probability lies between 0 and 1, so 80 %% is written 0.8", name, p)
	}
	return nil
}

// checkLevel returns an error unless p lies strictly between 0 and 1.
func checkLevel(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("soak: %s is %v; it must lie strictly between 0 and 1, so 95 %% is written 0.95", name, p)
	}
	return nil
}

// checkTimes applies checkTime to each of a list of lives.
func checkTimes(name string, times []float64) error {
	for i, t := range times {
		if err := checkTime(fmt.Sprintf("%s %d", name, i+1), t); err != nil {
			return err
		}
	}
	return nil
}

// first returns the first error that is not nil.
func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
