package library_test

import (
	"context"
	"math"
	"testing"

	"halfsplit/circuit"
	"halfsplit/prediction"
	"halfsplit/wiring"
)

// TestVerticalRamp: C1 charges through R1 towards the supply, and R3 takes its share:
// the ramp begins with (12 V)/R1 C1 and bends with (R1 ∥ R3) C1 (charge through a
// resistor, any textbook). The yoke's current follows it by R5 / R3 R7.
func TestVerticalRamp(t *testing.T) {
	const r1, r3, c1, supply = 56e3, 100e3, 1e-6, 12.0
	_, s := solver(t, variant(t, "vertical-deflection"), "vertical", wiring.Running)
	trace := followed(t, s, circuit.Run{Until: 60e-3}, "ramp", "sense")
	read := func(node string, when float64) float64 {
		v, err := trace.At(circuit.Voltage(node), when)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	// the second pulse lasts from 20 to 21 ms
	early, late := 21.5e-3, 22.5e-3
	slope := (read("ramp", late) - read("ramp", early)) / (late - early)
	near(t, "slope of the ramp at its beginning", slope, supply/(r1*c1), 0.06)
	settles, tau := supply*r3/(r1+r3), r1*r3/(r1+r3)*c1
	near(t, "end of the ramp", read("ramp", 39.9e-3), settles*(1-math.Exp(-18.9e-3/tau)), 0.02)
	fall := read("sense", 25e-3) - read("sense", 38e-3) // R7 is 1 ohm
	rise := read("ramp", 38e-3) - read("ramp", 25e-3)
	near(t, "current of the yoke over voltage of the ramp", fall/rise, 15e3/r3, 0.03)
}

// TestRetrace: while the switch is off, yoke and primary ring with C1 for half a
// period, T = π√(L C), and the pulse is as high as the supply and the flux of the
// trace ask: V ≈ supply (1 + π/2 · trace / retrace) (from memory of the usual
// textbooks on television receivers; the same half period is told in SGS-Thomson's
// application note of the TEA2028, section on the line output stage).
func TestRetrace(t *testing.T) {
	const supply, period = 11.75, 64e-6
	pulse := func(pairs ...string) *circuit.Steady {
		wired, s := solver(t, variant(t, "horizontal-output", pairs...), "horizontal", wiring.Running)
		steady, err := s.Steady(context.Background(), circuit.Repeat{Period: wired.Period, Record: []circuit.Quantity{circuit.Voltage("collector")}})
		if err != nil {
			t.Fatal(err)
		}
		return steady
	}
	steady := pulse()
	begins := crossing(t, steady.Trace, "collector", supply, true, steady.Time[0])
	ends := crossing(t, steady.Trace, "collector", supply, false, begins)
	inductance, c1 := 1/(1/130e-6+1/1e-3), 120e-9
	retrace := math.Pi * math.Sqrt(inductance*c1)
	near(t, "retrace", ends-begins, retrace, 0.15)
	sound, err := steady.Whole(circuit.Voltage("collector"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "retrace pulse", sound.Max, supply*(1+math.Pi/2*(period-retrace)/retrace), 0.12)
	// a smaller C1 makes a higher pulse, and so more high voltage: never do it
	small, err := pulse("120 nF 400 V", "68 nF 400 V").Whole(circuit.Voltage("collector"))
	if err != nil {
		t.Fatal(err)
	}
	if small.Max < 1.2*sound.Max {
		t.Errorf("with 68 nF in the place of 120 nF the pulse is %.3g V, with it %.3g V", small.Max, sound.Max)
	}
}

// TestAnodeVoltage: on average a winding holds no voltage (so the steady voltage of
// the collector is the supply's), and the anode has the pulse times the turns.
func TestAnodeVoltage(t *testing.T) {
	s := variant(t, "horizontal-output")
	_, way := read(t, s, s.Circuits[0].Value)
	feed := level(t, way, prediction.Level, "feed")
	near(t, "steady voltage at the collector", level(t, way, prediction.Level, "collector"), feed, 0.02)
	pulse := level(t, way, prediction.Ripple, "collector") - feed // less what is below the supply
	near(t, "anode", level(t, way, prediction.Level, "anode"), pulse*2600/20, 0.1)
}
