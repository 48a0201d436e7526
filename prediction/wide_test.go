package prediction

import (
	"math"
	"testing"
)

// A stage without feedback follows the gain of its transistor, which spreads by a
// third: that is a wide spread, not something else that the circuit does. Driven by a
// signal elsewhere, and so followed over time with its figures turned one by one, it
// spreads as at rest, where the sensitivities tell (worked out two ways).
func TestWideSpread(t *testing.T) {
	stage := func(kind, value string) *Way {
		p := predictor(t, Settings{},
			written("V1", "dc source", "10 V", "+10", "gnd"), written("R1", "resistor", "1M", "+10", "base"),
			written("R2", "resistor", "2k2", "+10", "collector"), written("Q1", "transistor", "", "collector", "base", "gnd"),
			written("V2", kind, value, "signal", "gnd"), written("R3", "resistor", "1k", "signal", "gnd"))
		f := foretold(t, p, Bench{})
		if len(f.Ways) != 1 {
			t.Errorf("%d ways with a %s: one and its spread is right", len(f.Ways), kind)
		}
		return &f.Ways[0]
	}
	of := Observable{Aspect: Level, Node: "collector"}
	rest, still, _ := stage("dc source", "1 V").Predict(of, nil)
	mean, moving, _ := stage("sine source", "1 V").Predict(of, nil)
	if math.Abs(mean-rest) > 0.02*rest || math.Abs(moving-still) > 0.15*still || still < 1 {
		t.Errorf("%.3g ± %.3g V with a signal elsewhere, %.3g ± %.3g V at rest", mean, moving, rest, still)
	}
}
