package hazard

import (
	"fmt"
	"math"

	"halfsplit/quantity"
)

// Store is a charged capacitance.
type Store struct {
	Capacitance float64 // farad
	Voltage     float64 // volt; the sign does not matter
}

// Energy is what it holds, ½CV², in joules.
func (s Store) Energy() float64 { return s.Capacitance * s.Voltage * s.Voltage / 2 }

// Charge is what it holds, CV, in coulombs.
func (s Store) Charge() float64 { return s.Capacitance * math.Abs(s.Voltage) }

// Check refuses a capacitance that is not above zero, and values that are not
// finite.
func (s Store) Check() error {
	if err := above(amount{"the capacitance", s.Capacitance}); err != nil {
		return err
	}
	return notBelow(amount{"the voltage", math.Abs(s.Voltage)})
}

// The levels of stored energy and charge.
const (
	hazardousEnergy  = 20.0   // J at 2 V or more
	lowestForEnergy  = 2.0    // V
	startleVoltage   = 42.4   // V, peak: below it no rule of stored charge applies
	chargeVoltage    = 450.0  // V: up to it a capacitance counts, above it the charge
	energyVoltage    = 15e3   // V: above it the energy counts
	touchCapacitance = 0.1e-6 // F
	touchCharge      = 45e-6  // C
	touchEnergy      = 0.35   // J
)

// HazardousEnergy judges by the 20 J rule: so much energy at 2 V or more burns,
// and throws metal about, even where the voltage is harmless.
func (s Store) HazardousEnergy() Judgement {
	j := Judgement{Rule: "energy that burns and melts", Source: source60950High, Passes: true}
	e := s.Energy()
	if math.Abs(s.Voltage) >= lowestForEnergy && e >= hazardousEnergy {
		j.Passes = false
	}
	j.Text = fmt.Sprintf("%s; hazardous from 20 J", quantity.FormatDigits(e, quantity.Joule, 3))
	return j
}

// Touch judges whether the charge of a part that can be touched is within the
// rule for accessible parts: 0.1 µF up to 450 V peak, 45 µC up to 15 kV, 0.35 J
// above. At 42.4 V and less no such rule applies. A store that fails it must be
// discharged before hands come near.
func (s Store) Touch() Judgement {
	j := Judgement{Rule: "charge that may be touched", Source: source60335}
	v := math.Abs(s.Voltage)
	switch {
	case v <= startleVoltage:
		j.Passes, j.Text = true, fmt.Sprintf("%s is at or below 42.4 V", quantity.FormatDigits(v, quantity.Volt, 3))
	case v <= chargeVoltage:
		j.Passes = s.Capacitance <= touchCapacitance
		j.Text = fmt.Sprintf("%s at %s; at most 100 nF up to 450 V", quantity.FormatDigits(s.Capacitance, quantity.Farad, 3), quantity.FormatDigits(v, quantity.Volt, 3))
	case v <= energyVoltage:
		j.Passes = s.Charge() <= touchCharge
		j.Text = fmt.Sprintf("%.3g µC at %s; at most 45 µC up to 15 kV", s.Charge()*1e6, quantity.FormatDigits(v, quantity.Volt, 3))
	default:
		j.Passes = s.Energy() <= touchEnergy
		j.Text = fmt.Sprintf("%s; at most 0.35 J above 15 kV", quantity.FormatDigits(s.Energy(), quantity.Joule, 3))
	}
	return j
}
