package spectrum

import (
	"fmt"
	"math"
	"slices"
)

// Origin is where a line of ripple comes from.
type Origin string

// The origins.
const (
	Mains       Origin = "mains"
	TwiceMains  Origin = "twice mains"
	OddMains    Origin = "odd multiple of mains"
	EvenMains   Origin = "even multiple of mains"
	Switching   Origin = "switching"
	HalfSwitch  Origin = "half of switching"
	MultiSwitch Origin = "multiple of switching"
	Slow        Origin = "slow"
	Harmonic    Origin = "multiple of another line"
	Other       Origin = "other"
)

// meanings says what each usually means. Common practice, no source.
var meanings = map[Origin]string{
	Mains:       "half-wave rectification, or one half of a full-wave rectifier open; also stray pick-up from a transformer, or a ground loop",
	TwiceMains:  "ripple of a full-wave rectifier: reservoir capacitor low or dried out, too heavy a load, or the regulator short of input",
	OddMains:    "stray field or current of a transformer in saturation, or a ground loop",
	EvenMains:   "goes with the line at twice the mains: the shape of its ripple",
	Switching:   "ripple of the switcher: series resistance of its output capacitor has risen, or the filter behind it is open",
	HalfSwitch:  "every other stroke differs: the control loop is unstable",
	MultiSwitch: "goes with the line at the switching frequency: its edges",
	Harmonic:    "goes with the line that it is a multiple of: its shape",
	Slow:        "starts and stops by itself: cycling, motorboating, or a load that comes and goes",
	Other:       "no multiple of mains or switching: an oscillation, a clock, a display being refreshed, or pick-up",
}

// Meaning is what lines of an origin usually mean.
func (o Origin) Meaning() string { return meanings[o] }

// A Named line has an origin.
type Named struct {
	Line
	Origin   Origin  `json:"origin"`
	Multiple float64 `json:"multiple,omitempty"` // of the mains or the switching frequency
	Means    string  `json:"usually_means"`
}

// String names the line.
func (n Named) String() string {
	switch n.Origin {
	case OddMains, EvenMains:
		return fmt.Sprintf("%g × mains", n.Multiple)
	case MultiSwitch:
		return fmt.Sprintf("%g × switching", n.Multiple)
	case Harmonic:
		return fmt.Sprintf("%g × %.4g Hz", n.Multiple, n.Frequency/n.Multiple)
	}
	return string(n.Origin)
}

// MainsOf guesses the mains frequency of a spectrum: 50 or 60 Hz, whichever has
// more at itself and twice; 0 where neither shows.
func MainsOf(lines []Line, step float64) float64 {
	found := func(mains float64) float64 {
		sum := 0.0
		for _, l := range lines {
			for _, f := range []float64{mains, 2 * mains} {
				if math.Abs(l.Frequency-f) < tolerance(f, step) {
					sum += l.Amplitude
				}
			}
		}
		return sum
	}
	at50, at60 := found(50), found(60)
	switch {
	case at50 == 0 && at60 == 0:
		return 0
	case at60 > at50:
		return 60
	}
	return 50
}

// SwitchingOf guesses the switching frequency: the largest line from 5 kHz up that
// is no multiple of a larger one; 0 where there is none.
func SwitchingOf(lines []Line, step float64) float64 {
	best := Line{}
	for _, l := range lines {
		if l.Frequency >= 5e3 && l.Amplitude > best.Amplitude && !slices.ContainsFunc(lines, func(larger Line) bool {
			return larger.Amplitude > l.Amplitude && multipleOf(l.Frequency, larger.Frequency, 50, step) > 1
		}) {
			best = l
		}
	}
	return best.Frequency
}

// multipleOf is which multiple of another frequency a frequency is, up to the
// most; 0 where it is none.
func multipleOf(f, of, most, step float64) float64 {
	if !(of > 0) {
		return 0
	}
	m := math.Round(f / of)
	if near := tolerance(m*of, step); m >= 1 && m <= most && math.Abs(f-m*of) < near && near < of/4 {
		return m
	}
	return 0
}

// tolerance is how far a line may lie from a frequency and still be it: one per
// cent, for what a generator or an island grid may do, or the width of a line.
func tolerance(f, step float64) float64 { return max(0.01*f, 1.5*step) }

// Name says of each line where it comes from. mains and switching are in hertz,
// 0 where there is none; step is that of the spectrum.
func Name(lines []Line, mains, switching, step float64) []Named {
	var named []Named
	for _, l := range lines {
		n := Named{Line: l, Origin: Other}
		near := func(f float64) bool { return f > 0 && math.Abs(l.Frequency-f) < tolerance(f, step) }
		switch m, s := multipleOf(l.Frequency, mains, 24, step), multipleOf(l.Frequency, switching, 50, step); {
		case m == 1:
			n.Origin = Mains
		case m == 2:
			n.Origin = TwiceMains
		case s == 1:
			n.Origin = Switching
		case near(switching / 2):
			n.Origin = HalfSwitch
		case s > 1:
			n.Origin, n.Multiple = MultiSwitch, s
		case m > 1 && math.Mod(m, 2) == 1:
			n.Origin, n.Multiple = OddMains, m
		case m > 1:
			n.Origin, n.Multiple = EvenMains, m
		case l.Frequency < 20:
			n.Origin = Slow
		}
		named = append(named, n)
	}
	for i := range named {
		n := &named[i]
		if n.Origin == Other {
			for _, larger := range named {
				if m := multipleOf(n.Frequency, larger.Frequency, 50, step); larger.Origin == Other && larger.Amplitude > n.Amplitude && m > 1 {
					n.Origin, n.Multiple = Harmonic, m
					break
				}
			}
		}
		n.Means = n.Origin.Meaning()
	}
	return named
}

// Even gives the interval at which readings were taken, and an error where they
// were not taken evenly enough for a spectrum: each must lie within a tenth of
// an interval of where it belongs.
func Even(times []float64) (float64, error) {
	n := len(times)
	if n < 2 {
		return 0, fmt.Errorf("spectrum: %d readings have no interval", n)
	}
	interval := (times[n-1] - times[0]) / float64(n-1)
	if !(interval > 0) {
		return 0, fmt.Errorf("spectrum: all readings are of one time")
	}
	for i, t := range times {
		if off := math.Abs(t - times[0] - float64(i)*interval); off > 0.1*interval {
			return 0, fmt.Errorf("spectrum: the readings were not taken at equal intervals (that at %.6g s is %.2g of an interval off); a logger's polling is too uneven for a spectrum, a scope's is not", t, off/interval)
		}
	}
	return interval, nil
}
