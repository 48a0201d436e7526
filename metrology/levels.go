package metrology

import (
	"fmt"
	"math"
)

// Level is what a voltage means to a logic input.
type Level int

// The levels of a logic input.
const (
	// LevelUndefined: between the thresholds; neither is sure.
	LevelUndefined Level = iota
	// LevelLow: surely taken as low.
	LevelLow
	// LevelHigh: surely taken as high.
	LevelHigh
)

// String returns the level in a word.
func (l Level) String() string {
	switch l {
	case LevelUndefined:
		return "undefined"
	case LevelLow:
		return "low"
	case LevelHigh:
		return "high"
	}
	return fmt.Sprintf("Level(%d)", int(l))
}

// Thresholds are the worst-case levels of a logic family, in volts.
type Thresholds struct {
	// Family is the family's name.
	Family string
	// InputLowMax and InputHighMin bound what an input surely understands.
	InputLowMax, InputHighMin float64
	// OutputLowMax and OutputHighMin bound what a loaded output gives.
	OutputLowMax, OutputHighMin float64
	// Source says where the figures come from.
	Source string
}

// Level returns what an input makes of a voltage, thresholds included.
func (t Thresholds) Level(volts float64) Level {
	switch {
	case volts <= t.InputLowMax:
		return LevelLow
	case volts >= t.InputHighMin:
		return LevelHigh
	}
	return LevelUndefined
}

// NoiseMargins returns how many volts of noise a low and a high level
// survive between an output and an input.
func (t Thresholds) NoiseMargins() (low, high float64) {
	return t.InputLowMax - t.OutputLowMax, t.OutputHighMin - t.InputHighMin
}

// LogicThresholds returns the levels of a logic family by its series ("74",
// "54", "74LS", "54LS", "4000B"). For TTL the supply voltage, in volts, is
// not used; for CMOS it must be within 10 % of 5, 10 or 15 V, for which
// levels are published. The output levels of CMOS follow from the published
// noise margins.
func LogicThresholds(family string, supply float64) (Thresholds, error) {
	const seen = "DC characteristics, Texas Instruments SDLS025B and Motorola SN54/74LS00"
	const remembered = "Texas Instruments TTL data book, 1976 (from memory)"
	const cmos = "DC characteristics, CD4512BC, Fairchild, and CD4000BMS, Intersil"
	switch name := folded(family); name {
	case "74", "7400", "sn74", "ttl", "standardttl":
		return Thresholds{"74", 0.8, 2, 0.4, 2.4, remembered}, nil
	case "54", "5400", "sn54":
		return Thresholds{"54", 0.8, 2, 0.4, 2.4, remembered}, nil
	case "74ls", "sn74ls", "lsttl":
		return Thresholds{"74LS", 0.8, 2, 0.5, 2.7, seen + "; output low at 8 mA"}, nil
	case "54ls", "sn54ls":
		return Thresholds{"54LS", 0.7, 2, 0.4, 2.5, seen}, nil
	case "4000b", "cd4000b", "cmos", "cmos4000", "cmos4000b":
		rows := []struct{ supply, low, high, margin float64 }{{5, 1.5, 3.5, 1}, {10, 3, 7, 2}, {15, 4, 11, 2.5}}
		for _, r := range rows {
			if math.Abs(supply-r.supply) <= 0.1*r.supply {
				return Thresholds{"4000B", r.low, r.high, r.low - r.margin, r.high + r.margin, cmos}, nil
			}
		}
		return Thresholds{}, fmt.Errorf("metrology: no published CMOS levels at a supply of %g V; there are some at 5, 10 and 15 V", supply)
	}
	return Thresholds{}, fmt.Errorf("metrology: no levels known for the logic family %q; known are 74, 54, 74LS, 54LS and 4000B", family)
}

// SerialLevel is what a voltage means to an RS-232 receiver.
type SerialLevel int

// The levels of an RS-232 line.
const (
	// SerialUndefined: between −3 and +3 V, or beyond ±25 V.
	SerialUndefined SerialLevel = iota
	// Mark: −25 to −3 V; data bit 1, control off, and the idle state.
	Mark
	// Space: +3 to +25 V; data bit 0, control on.
	Space
)

// String returns the level in a word.
func (s SerialLevel) String() string {
	switch s {
	case SerialUndefined:
		return "undefined"
	case Mark:
		return "mark"
	case Space:
		return "space"
	}
	return fmt.Sprintf("SerialLevel(%d)", int(s))
}

// Bit returns the data bit of a level; ok is false for an undefined one.
func (s SerialLevel) Bit() (bit int, ok bool) {
	switch s {
	case Mark:
		return 1, true
	case Space:
		return 0, true
	}
	return 0, false
}

// The levels of RS-232, in volts. A driver gives at least SerialDriverMin
// either side of zero and a receiver needs SerialReceiverMin, which leaves
// 2 V for the cable. Real receivers switch between 0.75 and 2.35 V, so a
// signal of 0 to 5 V often works all the same.
//
// Source: EIA-232-D as quoted in the MC1488 data sheet, Motorola (driver);
// IN145403 data sheet, Integral (receiver).
const (
	SerialDriverMin   = 5.0
	SerialReceiverMin = 3.0
	SerialReceiverMax = 25.0
)

// ReceivedLevel returns what an RS-232 receiver makes of a voltage on the
// line. Some tables end the valid range at 15 V instead of 25 V.
func ReceivedLevel(volts float64) SerialLevel {
	switch size := math.Abs(volts); {
	case !(size >= SerialReceiverMin && size <= SerialReceiverMax):
		return SerialUndefined
	case volts < 0:
		return Mark
	}
	return Space
}
