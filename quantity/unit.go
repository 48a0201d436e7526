package quantity

import "strings"

// Unit is a unit of measurement, written as its symbol. The zero value is None,
// a plain number or a count. Only the constants of this package are known.
type Unit string

// The units that this package reads and writes. Values are kept in the unit
// itself, without a prefix.
const (
	None                Unit = ""      // None is a plain number: a count, a gain, a ratio.
	Volt                Unit = "V"     // Volt is voltage.
	Ampere              Unit = "A"     // Ampere is current.
	Ohm                 Unit = "Ω"     // Ohm is resistance, impedance or ESR; the symbol is U+03A9.
	Farad               Unit = "F"     // Farad is capacitance.
	Henry               Unit = "H"     // Henry is inductance.
	Hertz               Unit = "Hz"    // Hertz is frequency.
	Second              Unit = "s"     // Second is time; minutes, hours and years are kept in seconds.
	Watt                Unit = "W"     // Watt is power.
	Joule               Unit = "J"     // Joule is energy.
	Celsius             Unit = "°C"    // Celsius is temperature, kept in degrees Celsius.
	Kelvin              Unit = "K"     // Kelvin is a difference of temperature.
	Percent             Unit = "%"     // Percent is a ratio, kept as a fraction: 5 % is 0.05.
	VoltAmpere          Unit = "VA"    // VoltAmpere is apparent power.
	AmpereHour          Unit = "Ah"    // AmpereHour is battery capacity, kept in ampere-hours.
	Metre               Unit = "m"     // Metre is length.
	Decibel             Unit = "dB"    // Decibel is a level or a gain, kept in decibels.
	Coulomb             Unit = "C"     // Coulomb is electric charge.
	Siemens             Unit = "S"     // Siemens is conductance or transconductance.
	PPMPerKelvin        Unit = "ppm/K" // PPMPerKelvin is a temperature coefficient, kept as a fraction per kelvin: 100 ppm/K is 1e-4.
	VoltPerKelvin       Unit = "V/K"   // VoltPerKelvin is the drift of a voltage with temperature.
	KelvinPerWatt       Unit = "K/W"   // KelvinPerWatt is thermal resistance.
	VoltPerSecond       Unit = "V/s"   // VoltPerSecond is slew rate.
	AmpereSquaredSecond Unit = "A²s"   // AmpereSquaredSecond is the melting integral I²t of a fuse.
)

// Known reports whether the unit is one of the constants of this package.
func (u Unit) Known() bool {
	_, ok := units[u]
	return ok
}

// Name returns the name of the unit in the plural, such as "volts", for use in
// sentences.
func (u Unit) Name() string {
	if f, ok := units[u]; ok {
		return f.plural
	}
	return "units of " + quote(string(u), 0)
}

// Measures returns what the unit measures, with its article, such as "a
// voltage".
func (u Unit) Measures() string {
	if f, ok := units[u]; ok {
		return f.measures
	}
	return "a value in " + u.Name()
}

// Example returns a value in the unit as one would type it, such as "12 V".
func (u Unit) Example() string {
	if f, ok := units[u]; ok {
		return f.example
	}
	return "12 V"
}

// wanted says in an error what kind of value is wanted.
func (u Unit) wanted() string { return u.Measures() + " is wanted, such as " + u.Example() }

// ParseUnit reads the symbol or the name of a unit without a prefix, such as
// "V", "ohm" or "degC". Empty text is None. An error is an *Error.
func ParseUnit(text string) (Unit, error) {
	word := strings.TrimSpace(text)
	if word == "" {
		return None, nil
	}
	meaning, ok := lookUp(word)
	if ok && meaning.scale == 0 && meaning.exponent == units[meaning.unit].base().exponent {
		return meaning.unit, nil
	}
	s := &scanner{text: text}
	offset := strings.Index(text, word)
	if ok {
		return None, s.fail(offset, "a unit without a prefix is wanted", "write "+string(meaning.unit))
	}
	return None, s.unknownUnit(offset, word, "12")
}

// MarshalText writes the symbol. An unknown unit is an error.
func (u Unit) MarshalText() ([]byte, error) {
	if !u.Known() {
		return nil, unwritable(string(u), "the unit is not known")
	}
	return []byte(u), nil
}

// UnmarshalText reads what ParseUnit reads.
func (u *Unit) UnmarshalText(text []byte) error { return read(u, text, ParseUnit) }
