package circuit

// For a restorer who knows only what kind of part sits there. The figures are
// what data sheets of each class state within a factor of two or so (common
// practice, no single source); replace a field where the sheet is at hand.

// SmallSignalDiode is a fast silicon diode for 100 mA.
func SmallSignalDiode() Diode {
	return Diode{ForwardDrop: 0.72, ForwardCurrent: 0.01, Ideality: 1.8, SeriesResistance: 0.6, Breakdown: 100, BreakdownCurrent: 100e-6,
		JunctionCapacitance: 2e-12, StorageTime: 4e-9}
}

// Rectifier is a silicon rectifier for the given current in ampere and reverse
// voltage in volt; 1 A and 400 V when zero.
func Rectifier(amperes, volts float64) Diode {
	fallback(&amperes, 1)
	fallback(&volts, 400)
	return Diode{ForwardDrop: 0.95, ForwardCurrent: amperes, Ideality: 1.8, SeriesResistance: 0.05 / amperes, Breakdown: 1.2 * volts,
		BreakdownCurrent: 1e-3, JunctionCapacitance: 25e-12 * amperes, StorageTime: 3e-6}
}

// FastRectifier is a rectifier for switching supplies.
func FastRectifier(amperes, volts float64) Diode {
	d := Rectifier(amperes, volts)
	d.StorageTime = 50e-9
	return d
}

// SchottkyRectifier is a metal-to-silicon rectifier for the given current.
func SchottkyRectifier(amperes, volts float64) Diode {
	fallback(&amperes, 1)
	fallback(&volts, 40)
	return Diode{ForwardDrop: 0.45, ForwardCurrent: amperes, Ideality: 1.05, SeriesResistance: 0.04 / amperes, Breakdown: 1.3 * volts,
		BreakdownCurrent: 1e-3, JunctionCapacitance: 100e-12 * amperes}
}

// LED is an indicator: its colour decides the forward drop in volt at 10 mA,
// 1.8 for red when zero.
func LED(drop float64) Diode {
	fallback(&drop, 1.8)
	return Diode{ForwardDrop: drop, ForwardCurrent: 0.01, Ideality: 2, SeriesResistance: 5, JunctionCapacitance: 30e-12}
}

// SmallTransistor is a general-purpose transistor for 100 mA.
func SmallTransistor(polarity Polarity) Bipolar {
	return Bipolar{Polarity: polarity, Gain: 200, ReverseGain: 4, BaseEmitterDrop: 0.65, EarlyVoltage: 80, KneeCurrent: 0.1,
		TransitionFrequency: 200e6, StorageTime: 100e-9, EmitterCapacitance: 10e-12, CollectorCapacitance: 5e-12}
}

// PowerTransistor is a transistor for several ampere.
func PowerTransistor(polarity Polarity) Bipolar {
	return Bipolar{Polarity: polarity, Gain: 60, ReverseGain: 2, BaseEmitterDrop: 0.55, EarlyVoltage: 60, KneeCurrent: 3,
		TransitionFrequency: 3e6, StorageTime: 1e-6, EmitterCapacitance: 500e-12, CollectorCapacitance: 200e-12}
}

// HighVoltageSwitch is a transistor for the primary side of a supply or for
// line deflection.
func HighVoltageSwitch() Bipolar {
	return Bipolar{Gain: 15, ReverseGain: 1, BaseEmitterDrop: 0.6, EarlyVoltage: 200, KneeCurrent: 4,
		TransitionFrequency: 5e6, StorageTime: 0.5e-6, EmitterCapacitance: 1e-9, CollectorCapacitance: 100e-12}
}

// PowerMOSFET is an n-channel switch with the given on resistance in ohm; 0.5
// when zero.
func PowerMOSFET(onResistance float64) MOSFET {
	fallback(&onResistance, 0.5)
	return MOSFET{Threshold: 3.2, OnResistance: onResistance, GateDrive: 10, OutputSlope: 0.005, BodyDrop: 0.95,
		GateSourceCapacitance: 1e-9, GateDrainCapacitance: 50e-12, DrainSourceCapacitance: 200e-12}
}

// GeneralOpAmp is an operational amplifier of the first, slow generation, fed
// through its own supply pins.
func GeneralOpAmp() OpAmp {
	return OpAmp{Gain: 200e3, GainBandwidth: 1e6, SlewRate: 0.5e6, InputResistance: 2e6, OutputResistance: 75, Headroom: 1.5, CurrentLimit: 25e-3, SupplyCurrent: 1.7e-3}
}

// Electrolytic is an aluminium electrolytic capacitor in good order: its series
// resistance follows from a loss factor of 0.12 at 100 Hz, its leakage from
// 0.003 CV at the rated voltage.
func Electrolytic(farads float64) Capacitor {
	c := Capacitor{Capacitance: farads}
	if farads > 0 {
		c.SeriesResistance = 0.12 / (2 * 3.14159265 * 100 * farads)
		c.LeakageResistance = 1 / (0.003 * farads)
	}
	return c
}
