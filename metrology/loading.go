package metrology

import (
	"fmt"
	"math"
)

// Resistance is a resistance in ohms, zero or more, with its standard
// uncertainty in ohms.
type Resistance struct {
	Ohms, U float64
}

func (r Resistance) check(name string) error {
	if !(r.Ohms >= 0) || !(r.U >= 0) || !finite(r.Ohms, r.U) {
		return fmt.Errorf("metrology: the resistance of the %s is %g Ω with standard uncertainty %g Ω; both must be zero or more, and finite", name, r.Ohms, r.U)
	}
	return nil
}

// Loading is a meter's disturbance of the circuit that it measures. One
// ratio serves both cases:
//
//   - A voltmeter of resistance Shunt across a source of resistance Series
//     reads low by Shunt/(Series + Shunt).
//   - A current meter whose shunt is Series in a loop of resistance Shunt
//     lowers the current by that same ratio.
//
// The true value is the reading times 1 + Series/Shunt. The zero value is no
// loading at all.
type Loading struct {
	Series, Shunt Resistance
}

// VoltmeterLoading returns the loading of a source by a voltmeter. The meter
// must have a resistance above zero.
func VoltmeterLoading(source, meter Resistance) (Loading, error) {
	if err := source.check("source"); err != nil {
		return Loading{}, err
	}
	if err := meter.check("meter"); err != nil {
		return Loading{}, err
	}
	if meter.Ohms == 0 {
		return Loading{}, fmt.Errorf("metrology: a voltmeter of 0 Ω shorts the source; give its input resistance, mostly 10 MΩ")
	}
	return Loading{Series: source, Shunt: meter}, nil
}

// BurdenLoading returns the loading of a loop by the shunt of a current
// meter. The loop must have a resistance above zero.
func BurdenLoading(shunt, loop Resistance) (Loading, error) {
	if err := shunt.check("shunt"); err != nil {
		return Loading{}, err
	}
	if err := loop.check("loop"); err != nil {
		return Loading{}, err
	}
	if loop.Ohms == 0 {
		return Loading{}, fmt.Errorf("metrology: a loop of 0 Ω has no current to measure; give the resistance of the load")
	}
	return Loading{Series: shunt, Shunt: loop}, nil
}

// Ratio returns reading over true value, at most 1.
func (l Loading) Ratio() float64 { return 1 / l.Factor() }

// Error returns the relative error of the uncorrected reading, zero or
// negative: −0.0909 for 1 MΩ read by 10 MΩ.
func (l Loading) Error() float64 {
	if l.Shunt.Ohms == 0 {
		return 0
	}
	return -l.Series.Ohms / (l.Series.Ohms + l.Shunt.Ohms)
}

// Factor returns true value over reading, 1 + Series/Shunt.
func (l Loading) Factor() float64 {
	if l.Shunt.Ohms == 0 {
		return 1
	}
	return 1 + l.Series.Ohms/l.Shunt.Ohms
}

// UFactor returns the standard uncertainty of [Loading.Factor], by the
// sensitivities 1/Shunt and Series/Shunt².
func (l Loading) UFactor() float64 {
	if l.Shunt.Ohms == 0 {
		return 0
	}
	return Quadrature(l.Series.U, l.Series.Ohms/l.Shunt.Ohms*l.Shunt.U) / l.Shunt.Ohms
}

// Correct returns what would be there without the meter, with the standard
// uncertainty that the correction brings along.
func (l Loading) Correct(reading float64) (value, u float64) {
	return reading * l.Factor(), math.Abs(reading) * l.UFactor()
}

// Divider returns the open-circuit voltage and the source resistance of two
// resistors across a supply, seen from their junction (Thévenin).
func Divider(supply, top, bottom float64) (volts, ohms float64, err error) {
	if !finite(supply, top, bottom) || !(top > 0) || !(bottom > 0) {
		return 0, 0, fmt.Errorf("metrology: a divider of %g Ω and %g Ω across %g V; the resistances must be above zero", top, bottom, supply)
	}
	ratio := 1 / (1 + top/bottom)
	return supply * ratio, top * ratio, nil
}

// SourceFromTwo finds the source behind two readings of the same point, one
// through a meter of first ohms and one through a meter of second ohms (or
// the same meter with a resistor across it). It gives the voltage without any
// meter and the resistance of the source. The higher reading must belong to
// the higher resistance.
func SourceFromTwo(reading1, first, reading2, second float64) (volts, ohms float64, err error) {
	if !finite(reading1, first, reading2, second) || !(first > 0) || !(second > 0) || first == second {
		return 0, 0, fmt.Errorf("metrology: two loads of %g Ω and %g Ω; they must differ and be above zero", first, second)
	}
	current1, current2 := reading1/first, reading2/second
	ohms = (reading2 - reading1) / (current1 - current2)
	if !finite(ohms) || ohms < 0 {
		return 0, 0, fmt.Errorf("metrology: %g V into %g Ω and %g V into %g Ω fit no source; the higher load must read higher, and draw less", reading1, first, reading2, second)
	}
	return reading1 + current1*ohms, ohms, nil
}

// Burden returns the voltage that the shunt of a current meter takes from
// the circuit, in volts, and the power in the shunt, in watts.
func Burden(shunt, amperes float64) (volts, watts float64) {
	return shunt * amperes, shunt * amperes * amperes
}

// LeadCorrection takes the resistance of the test leads, read with their tips
// held together, off a low-ohm reading. All are ohms; the uncertainties of
// the two readings are taken as independent.
func LeadCorrection(reading, leads Resistance) (Resistance, error) {
	if err := reading.check("part with its leads"); err != nil {
		return Resistance{}, err
	}
	if err := leads.check("leads"); err != nil {
		return Resistance{}, err
	}
	rest := Resistance{Ohms: reading.Ohms - leads.Ohms, U: Quadrature(reading.U, leads.U)}
	if rest.Ohms < -3*rest.U {
		return Resistance{}, fmt.Errorf("metrology: the leads read %g Ω and the part with its leads %g Ω; take the leads again, tips pressed together", leads.Ohms, reading.Ohms)
	}
	rest.Ohms = max(0, rest.Ohms)
	return rest, nil
}
