package metrology

import (
	"fmt"
	"math"
)

// Reading is what was read off a meter, and how.
type Reading struct {
	// Function is what the meter was set to.
	Function Function
	// Values holds one or more readings of the same quantity, in SI units.
	Values []float64
	// Resolution is the value of the last digit read or written down: 0.01
	// for "12.01 V". Zero means the resolution of the range.
	Resolution float64
	// Ambient is the temperature of the room in degrees Celsius; nil takes it
	// to be within the band for which the meter is specified.
	Ambient *float64
	// CircuitResistance is what the meter looks into, in ohms: for a voltage,
	// the resistance of the source; for a current, that of the loop it was
	// put into. Zero means not known or of no account: no correction is made.
	CircuitResistance float64
	// CircuitTolerance is the bound of CircuitResistance as a fraction of it.
	CircuitTolerance float64
}

// Measurement is a value with the budget of its uncertainty. [FromBound] and
// [Instrument.Evaluate] make one; a caller with other sources of doubt may
// append components.
type Measurement struct {
	// Value is the best estimate, corrected for the load of the meter.
	Value float64
	// Indicated is the reading, or the mean of the readings, as shown.
	Indicated float64
	// Readings is the number of readings, one or more.
	Readings int
	// Resolution is the value of the last digit; zero when not known.
	Resolution float64
	// Range is the range of the meter that was used; its zero value when the
	// meter is not known.
	Range Accuracy
	// Components is the budget.
	Components []Component
}

// FromBound returns the measurement of a value that is known to within
// ±bound, zero or more, from whatever source.
func FromBound(value, bound float64) Measurement {
	return Measurement{Value: value, Indicated: value, Readings: 1, Components: []Component{{Origin: FromInstrument, U: Rectangular(bound)}}}
}

// Estimate returns the value with its combined standard uncertainty and
// effective degrees of freedom. The errors are those of [Combine].
func (m Measurement) Estimate() (Estimate, error) {
	u, dof, err := Combine(m.Components...)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: m.Value, U: u, DOF: dof}
	return e, e.check()
}

// Evaluate turns a reading into a measurement. The budget has up to four
// lines: the accuracy of the meter (rectangular), the rounding of the last
// digit (rectangular, half a digit to either side), the scatter of repeated
// readings, and what is left uncertain after correcting for the meter's load
// on the circuit. Makers mostly count the rounding among their digits; it is
// kept as a line of its own, as the worked multimeter budgets have it, which
// errs on the safe side and is all there is when the accuracy is not known.
//
// It returns an error for a reading that is not finite or beyond the ranges,
// and for negative tolerances.
//
// Source: JCGM 100:2008, 4.2 (scatter), 4.3.7 (accuracy), F.2.2.1 (last
// digit), 5.1 (combination).
func (i Instrument) Evaluate(r Reading) (Measurement, error) {
	if len(r.Values) == 0 {
		return Measurement{}, fmt.Errorf("metrology: no reading of %s with %q; give at least one", r.Function, i.Name)
	}
	if r.Ambient != nil && !(*r.Ambient >= -273.15 && *r.Ambient <= 1000) {
		return Measurement{}, fmt.Errorf("metrology: a room temperature of %g °C; give it in degrees Celsius, or leave it out", *r.Ambient)
	}
	largest := 0.0
	for n, v := range r.Values {
		if !finite(v) {
			return Measurement{}, fmt.Errorf("metrology: reading %d of %s is %g; it must be a finite number", n+1, r.Function, v)
		}
		largest = max(largest, math.Abs(v))
	}
	used, err := i.RangeFor(r.Function, largest, r.Resolution)
	if err != nil {
		return Measurement{}, err
	}
	m := Measurement{Indicated: r.Values[0], Readings: len(r.Values), Resolution: max(used.Resolution, r.Resolution), Range: used}
	var scatter Repeats
	if len(r.Values) > 1 {
		if scatter, err = TypeA(r.Values); err != nil {
			return Measurement{}, err
		}
		m.Indicated = scatter.Mean
	}
	load, err := loadOn(r, used)
	if err != nil {
		return Measurement{}, err
	}
	factor := load.Factor()
	m.Value = m.Indicated * factor

	bound := used.Bound(m.Indicated)
	share := 0.0
	if bound > 0 {
		share = min(1, used.Digits*used.Resolution/bound)
	}
	if r.Ambient != nil {
		bound = used.BoundAt(m.Indicated, *r.Ambient)
	}
	add := func(c Component) {
		c.U *= factor
		m.Components = append(m.Components, c)
	}
	add(Component{Origin: FromInstrument, U: Rectangular(bound), LastDigitShare: share})
	add(Component{Origin: FromDisplay, U: Rectangular(m.Resolution / 2), LastDigitShare: 1})
	if scatter.N > 0 {
		add(Component{Origin: FromRepeats, U: scatter.U, DOF: scatter.DOF})
	}
	if factor != 1 {
		m.Components = append(m.Components, Component{Origin: FromLoading, U: math.Abs(m.Indicated) * load.UFactor()})
	}
	if _, err := m.Estimate(); err != nil {
		return Measurement{}, err
	}
	return m, nil
}

// loadOn returns the loading of the circuit by the range, which is no load at
// all when either resistance is unknown.
func loadOn(r Reading, used Accuracy) (Loading, error) {
	circuit := Resistance{Ohms: r.CircuitResistance, U: Rectangular(r.CircuitTolerance * r.CircuitResistance)}
	if err := circuit.check("circuit"); err != nil {
		return Loading{}, err
	}
	if !(r.CircuitTolerance >= 0) {
		return Loading{}, fmt.Errorf("metrology: a circuit tolerance of %g; it must be zero or more (0.05 is 5 %%)", r.CircuitTolerance)
	}
	meter := Resistance{Ohms: used.Resistance, U: Rectangular(used.ResistanceTolerance * used.Resistance)}
	switch {
	case circuit.Ohms == 0 || meter.Ohms == 0:
		return Loading{}, nil
	case r.Function.voltage():
		return Loading{Series: circuit, Shunt: meter}, nil
	case r.Function.current():
		return Loading{Series: meter, Shunt: circuit}, nil
	}
	return Loading{}, nil
}
