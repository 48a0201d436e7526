package hazard

import (
	"fmt"
	"math"
)

// amount is a value under its name, for messages.
type amount struct {
	name  string
	value float64
}

// above checks that values are finite and above zero.
func above(amounts ...amount) error {
	for _, a := range amounts {
		if !(a.value > 0) || math.IsInf(a.value, 0) {
			return fmt.Errorf("%s is %g; it must be above zero", a.name, a.value)
		}
	}
	return nil
}

// notBelow checks that values are finite and not below zero.
func notBelow(amounts ...amount) error {
	for _, a := range amounts {
		if !(a.value >= 0) || math.IsInf(a.value, 0) {
			return fmt.Errorf("%s is %g; it cannot be below zero", a.name, a.value)
		}
	}
	return nil
}
