package hazard

import (
	"fmt"
	"math"

	"halfsplit/quantity"
)

// SafeVoltage is the voltage down to which a capacitor is discharged before it
// is touched, where nothing else is asked: 50 V. Common practice; some codes
// ask for 60 V, others for 30 V.
const SafeVoltage = 50.0

// Discharge is a capacitance that discharges through a resistance.
type Discharge struct {
	Capacitance float64 // farad
	Voltage     float64 // volt at the start; the sign does not matter
	Resistance  float64 // ohm
}

// Check refuses values that no real discharge has.
func (d Discharge) Check() error {
	if err := (Store{d.Capacitance, d.Voltage}).Check(); err != nil {
		return err
	}
	return above(amount{"the resistance", d.Resistance})
}

// TimeConstant is RC in seconds.
func (d Discharge) TimeConstant() float64 { return d.Resistance * d.Capacitance }

// At is the voltage after t seconds, V₀ exp(−t/RC).
func (d Discharge) At(t float64) float64 { return d.Voltage * math.Exp(-t/d.TimeConstant()) }

// TimeTo is the time in seconds until the voltage has fallen to v volts,
// RC ln(V₀/v): 0 when it is there already, +Inf when v is not above zero.
func (d Discharge) TimeTo(v float64) float64 {
	start := math.Abs(d.Voltage)
	switch {
	case v >= start:
		return 0
	case !(v > 0):
		return math.Inf(1)
	}
	return d.TimeConstant() * math.Log(start/v)
}

// PeakCurrent is the current at the start, in amperes.
func (d Discharge) PeakCurrent() float64 { return math.Abs(d.Voltage) / d.Resistance }

// PeakPower is the power in the resistor at the start, in watts.
func (d Discharge) PeakPower() float64 { return d.Voltage * d.Voltage / d.Resistance }

// Recovered is the voltage that comes back after a short discharge by
// dielectric absorption, for the share given; 0.1 for an old electrolytic and
// 0.05 for a picture tube are usual guesses, common practice without source.
// Above the safe voltage it must be discharged again.
func Recovered(voltage, share float64) float64 { return math.Abs(voltage) * share }

// MainsFilter judges the discharge of a capacitor across the mains after the
// plug is pulled: above 0.1 µF the time constant must not exceed 1 s (plug of
// type A, as on household equipment) or 10 s (type B, industrial plugs; from
// memory). The bleeder is +Inf when there is none.
func MainsFilter(capacitance, bleeder float64, household bool) (Judgement, error) {
	if err := above(amount{"the capacitance", capacitance}); err != nil {
		return Judgement{}, err
	}
	if !(bleeder > 0) {
		return Judgement{}, fmt.Errorf("the bleeder is %g ohm; it must be above zero", bleeder)
	}
	limit := 10.0
	if household {
		limit = 1
	}
	tau := bleeder * capacitance
	j := Judgement{Rule: "pins of a pulled plug", Source: source60950, Passes: true}
	switch {
	case capacitance <= touchCapacitance:
		j.Text = "at 0.1 µF or less no discharge is asked for"
	case math.IsInf(bleeder, 1):
		j.Passes, j.Text = false, fmt.Sprintf("no bleeder across %s", quantity.FormatDigits(capacitance, quantity.Farad, 3))
	default:
		j.Passes = tau <= limit*(1+1e-12)
		j.Text = fmt.Sprintf("time constant %s; at most %s", quantity.FormatDigits(tau, quantity.Second, 3), quantity.FormatDigits(limit, quantity.Second, 2))
	}
	return j, nil
}

// LargestBleeder is the largest resistance in ohms that brings a capacitance
// from one voltage down to another within a time: t/(C ln(V₀/V)). It is +Inf
// when the start is already low enough.
func LargestBleeder(capacitance, start, end, within float64) (float64, error) {
	if err := above(amount{"the capacitance", capacitance}, amount{"the voltage to reach", end}, amount{"the time", within}); err != nil {
		return 0, err
	}
	if err := (Store{capacitance, start}).Check(); err != nil {
		return 0, err
	}
	if start = math.Abs(start); start <= end {
		return math.Inf(1), nil
	}
	return within / (capacitance * math.Log(start/end)), nil
}
