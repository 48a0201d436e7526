package metrology

import (
	"errors"
	"fmt"
	"math"
)

// Function is what a meter is set to measure.
type Function string

// The functions of bench meters, with the SI unit of their readings.
const (
	DCVolts     Function = "DC volts"    // V
	ACVolts     Function = "AC volts"    // V, root mean square
	PeakVolts   Function = "peak volts"  // V, peak to peak, as ripple on a scope
	Ohms        Function = "ohms"        // Ω
	DCCurrent   Function = "DC current"  // A
	ACCurrent   Function = "AC current"  // A, root mean square
	Capacitance Function = "capacitance" // F
	ESR         Function = "ESR"         // Ω, equivalent series resistance
	Frequency   Function = "frequency"   // Hz
	Temperature Function = "temperature" // °C
)

// voltage reports whether the meter stands across the circuit.
func (f Function) voltage() bool { return f == DCVolts || f == ACVolts || f == PeakVolts }

// current reports whether the meter stands in series with the circuit.
func (f Function) current() bool { return f == DCCurrent || f == ACCurrent }

// Instrument is a meter: its ranges for each function, from the most
// sensitive upwards.
type Instrument struct {
	// Name is what the bench calls it.
	Name string
	// Ranges lists the ranges of each function in rising order.
	Ranges map[Function][]Accuracy
	// TrueRMS says that AC readings hold for any wave; otherwise they are the
	// average, scaled for a sine. See [Waveform.FromAverageReading].
	TrueRMS bool
}

// Check returns an error that names the function and range that cannot be
// right.
func (i Instrument) Check() error {
	if len(i.Ranges) == 0 {
		return fmt.Errorf("metrology: the instrument %q has no ranges; give at least one", i.Name)
	}
	var faults []error
	for function, ranges := range i.Ranges {
		if len(ranges) == 0 {
			faults = append(faults, fmt.Errorf("metrology: the function %q of %q has no ranges; give one or leave the function out", function, i.Name))
		}
		for n, r := range ranges {
			if err := r.Check(); err != nil {
				faults = append(faults, fmt.Errorf("%w (%s of %q)", err, function, i.Name))
			} else if n > 0 && r.Range <= ranges[n-1].Range {
				faults = append(faults, fmt.Errorf("metrology: the ranges of %s of %q do not rise: %g after %g", function, i.Name, r.Range, ranges[n-1].Range))
			}
		}
	}
	return errors.Join(faults...)
}

// RangeFor returns the range on which a reading was most likely taken. Of the
// ranges that can show it, that is the one whose last digit is the last
// digit read (resolution, in the unit of the reading); when none fits, or the
// resolution is not known (zero), it is the most sensitive one, as a meter
// that chooses by itself would take. A reading beyond the highest range is an
// error.
func (i Instrument) RangeFor(function Function, reading, resolution float64) (Accuracy, error) {
	ranges := i.Ranges[function]
	if len(ranges) == 0 {
		return Accuracy{}, fmt.Errorf("metrology: %q does not measure %s", i.Name, function)
	}
	if !finite(reading) {
		return Accuracy{}, fmt.Errorf("metrology: the reading is %g; it must be a finite number", reading)
	}
	if !(resolution >= 0) || math.IsInf(resolution, 0) {
		return Accuracy{}, fmt.Errorf("metrology: a last digit of %g; give its value, for instance 0.01, or 0 when it is not known", resolution)
	}
	var chosen *Accuracy
	for n := range ranges {
		if math.Abs(reading) > ranges[n].Range {
			continue
		}
		if math.Abs(ranges[n].Resolution-resolution) <= 1e-6*resolution && resolution > 0 {
			return ranges[n], ranges[n].Check()
		}
		if chosen == nil {
			chosen = &ranges[n]
		}
	}
	if chosen == nil {
		return Accuracy{}, fmt.Errorf("metrology: a reading of %g is beyond the highest range of %q for %s, which ends at %g", reading, i.Name, function, ranges[len(ranges)-1].Range)
	}
	return *chosen, chosen.Check()
}
