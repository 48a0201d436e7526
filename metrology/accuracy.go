package metrology

import (
	"fmt"
	"math"
)

// Accuracy is what the maker of a meter promises for one range of one
// function. The promise is a bound,
//
//	±(OfReading·|reading| + OfRange·Range + Digits·Resolution + Fixed),
//
// which grows by the fraction Tempco for every kelvin that the room is
// outside the band for which it was stated. The zero value of a field leaves
// its term out.
type Accuracy struct {
	// Range is the largest magnitude that the range can show.
	Range float64
	// Resolution is the value of one digit (one count) on this range.
	Resolution float64
	// OfReading and OfRange are fractions: 0.005 is 0.5 %.
	OfReading, OfRange float64
	// Digits is the number of digits (counts) in the bound.
	Digits float64
	// Fixed is a constant part in the unit of the reading, as thermometers
	// have.
	Fixed float64
	// Tempco is the fraction of the bound added per kelvin outside the band:
	// "0.1 × specified accuracy per degree" is 0.1.
	Tempco float64
	// BandLow and BandHigh are the room temperatures, in degrees Celsius,
	// between which the bound holds as stated.
	BandLow, BandHigh float64
	// Resistance is the meter's own resistance on this range, in ohms: across
	// the circuit on a voltage range, in series with it (the shunt) on a
	// current range. Zero means that it is not known or does not matter.
	Resistance float64
	// ResistanceTolerance is the bound of Resistance as a fraction of it.
	ResistanceTolerance float64
	// Source says where these figures come from.
	Source string
}

// Check returns an error that names the field that cannot be right.
func (a Accuracy) Check() error {
	if !(a.Range > 0) || math.IsInf(a.Range, 0) {
		return fmt.Errorf("metrology: a range of %g; it must be finite and above zero", a.Range)
	}
	fields := []struct {
		name  string
		value float64
	}{
		{"resolution", a.Resolution}, {"part of reading", a.OfReading}, {"part of range", a.OfRange},
		{"number of digits", a.Digits}, {"fixed part", a.Fixed}, {"temperature coefficient", a.Tempco},
		{"resistance", a.Resistance}, {"tolerance of the resistance", a.ResistanceTolerance},
	}
	for _, f := range fields {
		if !(f.value >= 0) || math.IsInf(f.value, 0) {
			return fmt.Errorf("metrology: the %s of the range to %g is %g; it must be zero or more, and finite", f.name, a.Range, f.value)
		}
	}
	if !finite(a.BandLow, a.BandHigh) || a.BandLow > a.BandHigh {
		return fmt.Errorf("metrology: the temperature band of the range to %g runs from %g to %g °C; give the lower end first", a.Range, a.BandLow, a.BandHigh)
	}
	return nil
}

// Bound returns the largest error promised for a reading in a room within
// the stated band, in the unit of the reading.
//
// Source: the usual notation ±(% of reading + digits); worked figures from
// several makers' notes are among this package's checks.
func (a Accuracy) Bound(reading float64) float64 {
	return a.OfReading*math.Abs(reading) + a.OfRange*a.Range + a.Digits*a.Resolution + a.Fixed
}

// BoundAt returns the largest error promised for a reading in a room at the
// given temperature in degrees Celsius.
func (a Accuracy) BoundAt(reading, celsius float64) float64 {
	return a.Bound(reading) * (1 + a.Tempco*a.Outside(celsius))
}

// Outside returns how many kelvins a room temperature in degrees Celsius is
// outside the band for which the bound is stated; zero within it.
func (a Accuracy) Outside(celsius float64) float64 {
	return max(0, a.BandLow-celsius, celsius-a.BandHigh)
}

// Resolution returns the value of one count of a meter that counts to counts
// at the end of a range: 0.1 mV for 6000 counts on a 600 mV range.
func Resolution(fullScale, counts float64) (float64, error) {
	if !finite(fullScale, counts) || !(fullScale > 0) || !(counts >= 1) {
		return 0, fmt.Errorf("metrology: %g counts at %g full scale; both must be finite, the scale above zero and the counts one or more", counts, fullScale)
	}
	return fullScale / counts, nil
}
