package prediction

import (
	"math"
	"testing"

	"halfsplit/fault"
	"halfsplit/signal"
)

// A node that should carry a signal is bad once it has lost it, though its steady
// voltage is as it should be: behind a divider of two equal resistors a sine of 1 V
// RMS leaves √2 V from peak to peak (exact), and nothing once the upper one is open.
func TestLostSignal(t *testing.T) {
	p := predictor(t, Settings{},
		with(written("V1", "sine source", "1 V", "in", "gnd"), "frequency", "1 kHz"),
		written("R1", "resistor", "1k", "in", "out"), written("R2", "resistor", "1k", "out", "gnd"))
	rail := Rail{Expectation: signal.Expectation{Low: -0.1, High: 0.1}, Ripple: 2, Signal: 0.7}
	var open fault.Act
	for _, act := range fault.Acts("resistor", 2) {
		if act.Mode == "open" {
			open = act
		}
	}
	for _, c := range []struct {
		name     string
		troubles []Trouble
		ripple   float64
		state    signal.State
		rail     Rail
		keeps    bool
	}{
		{"sound", nil, math.Sqrt2, signal.Good, rail, true},
		{"R1 open", []Trouble{{Part: "R1", Act: open}}, 0, signal.Absent, rail, false},
		{"R1 open where no signal belongs", []Trouble{{Part: "R1", Act: open}}, 0, signal.Good, Rail{Expectation: rail.Expectation, Ripple: 2}, true},
	} {
		way := &foretold(t, p, Bench{}, c.troubles...).Ways[0]
		level, _, _ := way.Predict(Observable{Aspect: Level, Node: "out"}, nil)
		ripple, _, ok := way.Predict(Observable{Aspect: Ripple, Node: "out"}, nil)
		if !ok || math.Abs(ripple-c.ripple) > 0.02 {
			t.Errorf("%s: %.3g V from peak to peak, want %.3g V", c.name, ripple, c.ripple)
		}
		if got := c.rail.Keeps(level, ripple); got != c.keeps {
			t.Errorf("%s: keeps what it should have: %v", c.name, got)
		}
		if bad := way.Bad("out", c.rail, nil); (bad > 0.5) == c.keeps {
			t.Errorf("%s: bad with %.3g", c.name, bad)
		}
		if state := way.State("out", c.rail); state[c.state] < 0.9 {
			t.Errorf("%s: %v", c.name, state)
		}
	}
}
