package part_test

import "halfsplit/part"

// The parts of the worked cases below.
var (
	// The reservoir of a linear supply, marked -20..+50 %. Its tan δ limit is
	// 0.12 + 3 × 0.02 = 0.18 at 120 Hz (Lelon RGA), 50.8 mΩ.
	reservoir = part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 4700e-6, ToleranceLow: -0.2, ToleranceHigh: 0.5, RatedVoltage: 35}

	// A small electrolytic: tan δ at most 0.10, 13.26 Ω at 120 Hz; leakage at
	// most 5 µA after 2 minutes at 50 V (Lelon RGA).
	coupling = part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 10e-6, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 50}

	// A capacitor of a mains filter, metallised paper.
	filter = part.Capacitor{Kind: part.MetallisedPaper, Nominal: 100e-9, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 250, SafetyClass: part.ClassX2}

	film     = part.Capacitor{Kind: part.PlasticFilm, Nominal: 100e-9, ToleranceLow: -0.1, ToleranceHigh: 0.1, RatedVoltage: 400}
	tantalum = part.Capacitor{Kind: part.SolidTantalum, Nominal: 10e-6, ToleranceLow: -0.2, ToleranceHigh: 0.2, RatedVoltage: 16}
	unknown  = part.Capacitor{Nominal: 1e-6, RatedVoltage: 100}
)

// value is a reading taken as exact.
func value(x float64) *part.Measured { return &part.Measured{Value: x} }

// about is a reading with its standard uncertainty.
func about(x, uncertainty float64) *part.Measured {
	return &part.Measured{Value: x, Uncertainty: uncertainty}
}

const (
	out     = part.OutOfCircuit
	in      = part.InCircuit
	celsius = 273.15
	minute  = 60
)
