package part

import (
	"fmt"
	"math"
	"strings"
)

// SafetyClass is the class of a capacitor for interference suppression on the
// mains, after IEC 60384-14: class X between the lines, class Y from a line to
// earth or to anything that can be touched.
type SafetyClass uint8

// The safety classes of IEC 60384-14. X3 and Y3 were dropped by later editions
// but stand on parts of the period.
const (
	NoSafetyClass SafetyClass = iota
	ClassX1
	ClassX2
	ClassX3
	ClassY1
	ClassY2
	ClassY3
	ClassY4
)

var safetyClassNames = [...]string{"no safety class", "X1", "X2", "X3", "Y1", "Y2", "Y3", "Y4"}

// String gives the class as it is printed on the part.
func (s SafetyClass) String() string {
	if int(s) < len(safetyClassNames) {
		return safetyClassNames[s]
	}
	return fmt.Sprintf("SafetyClass(%d)", uint8(s))
}

// ProofVoltage returns the direct voltage, in volts, that a new part of class
// X1 or X2 withstands between its terminals: 4.3 times the rated alternating
// voltage. It reports false for the other classes, whose level is not of this
// simple form. Repeating the test can itself harm a part. Source: Kyocera,
// "Safety standard: subclasses of safety capacitors", class X table.
func (s SafetyClass) ProofVoltage(ratedVoltage float64) (volts float64, ok bool) {
	if s != ClassX1 && s != ClassX2 {
		return 0, false
	}
	return 4.3 * ratedVoltage, true
}

// ParseSafetyClass reads a class as it is printed on a part, such as "X2" or
// "y1". The error says which there are.
func ParseSafetyClass(text string) (SafetyClass, error) {
	for class := ClassX1; class <= ClassY4; class++ {
		if strings.EqualFold(strings.TrimSpace(text), class.String()) {
			return class, nil
		}
	}
	return NoSafetyClass, fmt.Errorf("%q is no safety class; the classes are %s", text, strings.Join(safetyClassNames[1:], ", "))
}

// IsX and IsY tell between which conductors a part of the class belongs.
func (s SafetyClass) IsX() bool { return s >= ClassX1 && s <= ClassX3 }

// IsY tells whether a part of the class belongs from a line to earth, or to what
// can be touched.
func (s SafetyClass) IsY() bool { return s >= ClassY1 && s <= ClassY4 }

// ImpulseVoltage returns the peak voltage of the impulses, in volts, that a new
// part of the class and of a capacitance in farads withstands before its
// endurance test, and false where the class has none. For X1, X2 and Y2 it falls
// as 1/√C above 1 µF. Source: IEC 60384-14, as TechOverflow's "Impulse withstand
// rating" prints it.
func (s SafetyClass) ImpulseVoltage(capacitance float64) (volts float64, ok bool) {
	scaled := true
	switch s {
	case ClassX1:
		volts = 4000
	case ClassX2, ClassY4:
		volts, scaled = 2500, s == ClassX2
	case ClassY1:
		volts, scaled = 8000, false
	case ClassY2:
		volts = 5000
	default:
		return 0, false
	}
	if microfarads := capacitance * 1e6; scaled && microfarads > 1 {
		volts /= math.Sqrt(microfarads)
	}
	return volts, true
}

// MayServeAs tells whether a part of this class may stand in the place of one of
// another class, at the same rated alternating voltage or a higher one, and says
// why it may not. A better class may serve in the place of a lesser, Y may serve
// as X, and X never as Y; no part without a class may stand across the mains.
// Common practice after the impulse levels of IEC 60384-14.
func (s SafetyClass) MayServeAs(original SafetyClass) (ok bool, why string) {
	switch {
	case original == NoSafetyClass || s == original:
		return true, ""
	case s == NoSafetyClass:
		return false, fmt.Sprintf("a part without a safety class does not stand in for class %v, whatever its direct voltage: on the mains it may fail shorted or burn", original)
	case s.IsX() && original.IsY():
		return false, fmt.Sprintf("class %v in the place of %v: a class X part may fail shorted, which there puts the mains on what can be touched", s, original)
	case s.IsX() == original.IsX() && s > original:
		return false, fmt.Sprintf("class %v is below class %v", s, original)
	case s.IsY() && original.IsX():
		mine, _ := s.ImpulseVoltage(0)
		needed, known := original.ImpulseVoltage(0)
		if known && mine < needed {
			return false, fmt.Sprintf("class %v stands impulses of %.0f V where class %v asks for %.0f V", s, mine, original, needed)
		}
	}
	return true, ""
}

// TantalumWorkingVoltage returns the direct voltage, in volts, to which a solid
// tantalum of a rated voltage should be held up to 85 °C: half of it for
// manganese dioxide, in circuits of low impedance such as supply rails. Source:
// KEMET, "How much do you derate tantalum capacitors" (2015).
func TantalumWorkingVoltage(rated float64) float64 { return 0.5 * rated }

// PolymerTantalumWorkingVoltage is the same for a polymer tantalum: 90 % of a
// rating up to 10 V, 80 % above. Source: KEMET, "How much do I need to derate
// polymer capacitors".
func PolymerTantalumWorkingVoltage(rated float64) float64 {
	if rated <= 10 {
		return 0.9 * rated
	}
	return 0.8 * rated
}
