package part

import (
	"errors"
	"fmt"
	"strings"
)

// Measured is a measured value with its standard uncertainty, both in the same
// SI unit. An uncertainty of zero means that the value is taken as exact.
// Source for the term: JCGM 100, Guide to the expression of uncertainty in
// measurement, 2.3.1.
type Measured struct {
	Value       float64
	Uncertainty float64
}

// coverage is the factor on the standard uncertainty within which a value is
// believed to lie: two, for about 95 %. Source: JCGM 100, 6.2 and 6.3.
const coverage = 2

// span returns the interval in which the value is believed to lie.
func (m Measured) span() (low, high float64) {
	return m.Value - coverage*m.Uncertainty, m.Value + coverage*m.Uncertainty
}

// Place tells where a capacitor was when it was read.
type Place uint8

// A capacitor with one leg lifted is out of circuit. Where the place was not
// noted, readings are treated as taken in circuit, because that proves less.
const (
	PlaceNotNoted Place = iota
	InCircuit
	OutOfCircuit
)

// Look is what the eye finds on a capacitor: any of the signs below, or
// LooksSound alone. The zero value means that nobody looked.
type Look uint8

// What can be seen on a capacitor. Cracked is the body or the moulding, not a
// shrunken sleeve. Residue is a stain or deposit of which nobody knows whether
// it is electrolyte, flux or glue.
const (
	LooksSound Look = 1 << iota
	Bulged
	Leaked
	Cracked
	Burnt
	Residue

	allLooks = LooksSound | Bulged | Leaked | Cracked | Burnt | Residue
)

var lookNames = []struct {
	look Look
	name string
}{
	{LooksSound, "looks sound"}, {Bulged, "bulged"}, {Leaked, "leaked"},
	{Cracked, "cracked"}, {Burnt, "burnt"}, {Residue, "residue"},
}

// String lists the signs, or says that nobody looked.
func (l Look) String() string {
	if l == 0 {
		return "not looked at"
	}
	var signs []string
	for _, known := range lookNames {
		if l&known.look != 0 {
			signs = append(signs, known.name)
		}
	}
	if l&^allLooks != 0 {
		signs = append(signs, fmt.Sprintf("Look(%d)", uint8(l&^allLooks)))
	}
	return strings.Join(signs, ", ")
}

// CapacitorReading is what was found on a capacitor at one sitting: any subset
// of the fields. A nil or zero field was not read or not noted. A second
// sitting, say after lifting a leg or at another frequency, is a second
// CapacitorReading.
type CapacitorReading struct {
	Capacitance *Measured // farads

	// ESR is the equivalent series resistance in ohms; LossTangent is tan δ,
	// also called D or dissipation factor, a plain ratio and not percent. Both
	// were read at Frequency, in hertz. An ESR without a frequency is taken as
	// read at 100 kHz, as ESR meters do; a tan δ needs its frequency.
	ESR         *Measured
	LossTangent *Measured
	Frequency   float64

	// Leakage is the direct current in amperes through the part at
	// LeakageVoltage, in volts, LeakageAfter so many seconds. It needs its
	// voltage. Without a time it is taken as settled. A resistance R read
	// with an ohmmeter that applies U volts is a leakage of U/R.
	Leakage        *Measured
	LeakageVoltage float64
	LeakageAfter   float64

	Temperature float64 // of the part, in kelvins; zero: taken as room temperature
	Age         float64 // of the part, in seconds; zero when not known
	Look        Look
	Place       Place
}

// Year is a mean year in seconds, for [CapacitorReading.Age].
const Year = 365.25 * 24 * 3600

// Validate reports everything in the reading that cannot be right, each with
// what would be.
func (r CapacitorReading) Validate() error {
	var wrong []error
	report := func(format string, args ...any) {
		wrong = append(wrong, fmt.Errorf("capacitor reading: "+format, args...))
	}
	for _, read := range []struct {
		name string
		*Measured
		hint string
	}{
		{"capacitance", r.Capacitance, "farads, zero or more"},
		{"ESR", r.ESR, "ohms, zero or more; short the leads and zero the meter if it shows less"},
		{"tan δ", r.LossTangent, "a plain ratio, zero or more: 0.12 for 12 %"},
		{"leakage", r.Leakage, "amperes, zero or more; swap the leads of the meter if it shows less"},
	} {
		if read.Measured == nil {
			continue
		}
		if !notNegative(read.Value) {
			report("%s %v; it must be in %s", read.name, read.Value, read.hint)
		}
		if !notNegative(read.Uncertainty) {
			report("standard uncertainty %v of %s; it must be zero or more, in the unit of the reading", read.Uncertainty, read.name)
		}
	}
	for _, given := range []struct {
		name  string
		value float64
		hint  string
	}{
		{"frequency", r.Frequency, "hertz"},
		{"leakage voltage", r.LeakageVoltage, "volts"},
		{"leakage time", r.LeakageAfter, "seconds"},
		{"temperature", r.Temperature, "kelvins: 293.15 for 20 °C"},
		{"age", r.Age, "seconds"},
	} {
		if !notNegative(given.value) {
			report("%s %v; it must be greater than zero, in %s, or zero when not noted", given.name, given.value, given.hint)
		}
	}
	if r.LossTangent != nil && r.Frequency == 0 {
		report("tan δ without its frequency says nothing; give the frequency the meter used, often 100 or 120 Hz or 1 kHz")
	}
	if r.Leakage != nil && r.LeakageVoltage == 0 {
		report("leakage without its voltage says nothing; give the voltage across the part")
	}
	if r.Look&^allLooks != 0 {
		report("look %v has signs that are not known; combine the signs declared with Look", r.Look)
	}
	if r.Look&LooksSound != 0 && r.Look != LooksSound {
		report("look %q contradicts itself; a part that looks sound shows none of the other signs", r.Look)
	}
	if r.Place > OutOfCircuit {
		report("place %d; it is InCircuit, OutOfCircuit or PlaceNotNoted", uint8(r.Place))
	}
	return errors.Join(wrong...)
}
