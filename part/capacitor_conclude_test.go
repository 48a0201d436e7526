package part

import (
	"testing"

	"pgregory.net/rapid"
)

// The order of reasons changes nothing in the verdict but their own order.
func TestOrderOfReasonsIsIrrelevant(t *testing.T) {
	words := []Condition{Good, CannotTell, Worn, Spent, Dangerous}
	rapid.Check(t, func(t *rapid.T) {
		reasons := rapid.SliceOf(rapid.Custom(func(t *rapid.T) Reason {
			best := rapid.IntRange(0, len(words)-1).Draw(t, "best")
			worst := rapid.IntRange(best, len(words)-1).Draw(t, "worst")
			return Reason{
				Quantity: Quantity(rapid.IntRange(int(QuantityCapacitance), int(QuantityAge)).Draw(t, "quantity")),
				Best:     words[best],
				Worst:    words[worst],
			}
		})).Draw(t, "reasons")
		needs := Capacitor{Kind: AluminiumElectrolytic}.needs()
		one := conclude(reasons, needs)
		other := conclude(rapid.Permutation(reasons).Draw(t, "shuffled"), needs)
		if one.Condition != other.Condition || one.Best != other.Best || one.Worst != other.Worst || len(one.Missing) != len(other.Missing) {
			t.Fatalf("%v\n%v", one, other)
		}
	})
}
