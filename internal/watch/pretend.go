package watch

import (
	"context"
	"math"
	"math/rand/v2"

	"halfsplit/instrument"
	"halfsplit/instrument/simulator"
	"halfsplit/metrology"
)

// Demonstration lists what is watched when somebody has no meter and names none:
// the +5 V rail of a terminal that shuts down when warm, and its heatsink.
func Demonstration() []string {
	return []string{"+5=pretend limits=4.75..5.25 V", "heatsink=pretend measure=temperature limits=at most 70 °C"}
}

// Pretend serves a simulated meter for a wanted one until the context ends, and
// gives its address. What it measures lies in the middle of the limits, and
// behaves like something that warms up: temperatures rise, voltages sink a
// little, and from time to time a supply shuts down and starts again.
func Pretend(ctx context.Context, w *Wanted, c *Channel, source *rand.Rand, now Clock) error {
	begun := now()
	m := &simulator.Meter{
		Identity: "Tarn,pretended meter,0,0",
		Source: func(string) float64 {
			return pretended(now().Sub(begun).Seconds(), middle(c), w.Setup.Function.Kind, source.NormFloat64())
		},
	}
	address, _, err := m.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		return err
	}
	w.Setup.Address, err = instrument.ParseAddress(address)
	return err
}

// middle is a value that is right.
func middle(c *Channel) float64 {
	l := c.Limit
	switch {
	case l == nil || math.IsInf(l.Low, 0) && math.IsInf(l.High, 0):
		return 5
	case math.IsInf(l.Low, 0):
		return l.High - math.Abs(l.High)/2
	case math.IsInf(l.High, 0):
		return l.Low + math.Abs(l.Low)/2
	}
	return (l.Low + l.High) / 2
}

// pretended is what is measured so many seconds after the start: noise is
// normally distributed about zero.
func pretended(t, right float64, kind metrology.Function, noise float64) float64 {
	const (
		warming = 60.0 // time constant, s
		hot     = 90.0 // shuts down from here on, s
		every   = 30.0 // between two shutdowns, s
		off     = 2.0  // how long it is off, s
	)
	warm := 1 - math.Exp(-t/warming)
	switch kind {
	case metrology.Temperature:
		return 22 + 38*warm + 0.05*noise
	case metrology.DCVolts:
		if t > hot && math.Mod(t-hot, every) < off {
			return right * 0.08 * (1 + 0.1*noise)
		}
		return right * (1.004 - 0.01*warm + 0.0002*noise)
	}
	return right * (1 + 0.005*warm + 0.0005*noise)
}
