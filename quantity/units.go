package quantity

// form is one way of writing a unit: a symbol with its prefix, and the power of
// ten that takes the number before it to the value that is kept.
type form struct {
	symbol   string
	exponent int
	from     int // the power of ten from which a value is written so
}

// unitFacts is what the package knows about one unit.
type unitFacts struct {
	unit     Unit
	plural   string // its name in the plural: "volts"
	singular string // its name in the singular, where that is not the plural less its s
	measures string // what it measures: "a voltage"
	example  string // a value as one would type it

	symbols  []string // symbols that take a prefix, the preferred one first
	prefixes string   // the prefixes accepted; '1' stands for none
	written  string   // the prefixes chosen on output, smallest first; empty for all accepted
	tenths   bool     // whether a value from 0.1 up is written without a prefix, as 0.22 Ω is

	forms  []form // the forms on output of a unit that takes no prefixes, smallest first
	others []form // further spellings on input
}

// unitTable holds the units in the order in which they are described. The
// prefixes are those that a bench meets; leaving out the others turns most
// confusions of m with M into errors.
var unitTable = []unitFacts{
	{unit: None, plural: "plain numbers", measures: "a plain number", example: "4700", forms: []form{{symbol: ""}}},
	{unit: Volt, plural: "volts", measures: "a voltage", example: "12 V",
		symbols: []string{"V", "v"}, prefixes: "nµm1k"},
	{unit: Ampere, plural: "amperes", measures: "a current", example: "20 mA",
		symbols: []string{"A", "a"}, prefixes: "fpnµm1k",
		others: spelled(0, "amp", "amps", "Amp", "Amps")},
	{unit: Ohm, plural: "ohms", measures: "a resistance", example: "4k7",
		symbols:  []string{"Ω", "\u2126", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS"},
		prefixes: "µm1kMGT", tenths: true,
		others: join(spelled(0, "R", "r"), spelled(6, "meg", "Meg", "MEG"))},
	{unit: Farad, plural: "farads", measures: "a capacitance", example: "47 uF",
		symbols: []string{"F"}, prefixes: "fpnµm1", written: "pnµ1", tenths: true,
		others: join(
			spelled(-12, "pf", "PF", "pfd", "pFd", "PFD", "mmf", "MMF", "mmfd", "MMFD", "uuF", "µµF", "\u03bc\u03bcF"),
			spelled(-9, "nf", "NF"),
			spelled(-6, "uf", "UF", "µf", "\u03bcf", "ufd", "uFd", "UFD", "µfd", "µFd", "mfd", "Mfd", "MFD"))},
	{unit: Henry, plural: "henries", singular: "henry", measures: "an inductance", example: "10 uH",
		symbols: []string{"H"}, prefixes: "pnµm1", others: spelled(-6, "UH")},
	{unit: Hertz, plural: "hertz", singular: "hertz", measures: "a frequency", example: "50 Hz",
		symbols: []string{"Hz", "hz", "HZ"}, prefixes: "µm1kMGT"},
	{unit: Second, plural: "seconds", measures: "a time", example: "45 min",
		symbols: []string{"s"}, prefixes: "fpnµm1",
		others: join(spelled(0, "sec", "secs"), spelled(-3, "msec"), spelled(-6, "usec", "µsec"))},
	{unit: Watt, plural: "watts", measures: "a power", example: "5 W",
		symbols: []string{"W", "w"}, prefixes: "fpnµm1kM", tenths: true},
	{unit: Joule, plural: "joules", measures: "an energy", example: "1.5 J",
		symbols: []string{"J"}, prefixes: "pnµm1kM"},
	{unit: Celsius, plural: "degrees Celsius", singular: "degree Celsius", measures: "a temperature", example: "85 °C",
		forms: []form{{symbol: "°C"}}, others: spelled(0, "℃", "ºC", "°c", "degC", "degc", "celsius", "Celsius")},
	{unit: Kelvin, plural: "kelvins", measures: "a temperature difference", example: "10 K",
		symbols: []string{"K"}, prefixes: "µm1"},
	{unit: Percent, plural: "percent", singular: "percent", measures: "a percentage", example: "5 %",
		forms: []form{{symbol: "%", exponent: -2}}, others: spelled(-6, "ppm")},
	{unit: VoltAmpere, plural: "volt-amperes", measures: "an apparent power", example: "50 VA",
		symbols: []string{"VA", "va"}, prefixes: "µm1kM"},
	{unit: AmpereHour, plural: "ampere-hours", measures: "a battery capacity", example: "1.2 Ah",
		symbols: []string{"Ah", "AH", "ah"}, prefixes: "nµm1k"},
	{unit: Metre, plural: "metres", measures: "a length", example: "10 mm",
		symbols: []string{"m"}, prefixes: "nµmc1k", written: "nµm1k", others: spelled(0, "meter", "meters")},
	{unit: Decibel, plural: "decibels", measures: "a level in decibels", example: "-3 dB",
		forms: []form{{symbol: "dB"}}, others: spelled(0, "db", "DB")},
	{unit: Coulomb, plural: "coulombs", measures: "an electric charge", example: "10 uC",
		symbols: []string{"C"}, prefixes: "fpnµm1k"},
	{unit: Siemens, plural: "siemens", singular: "siemens", measures: "a conductance", example: "5 mS",
		symbols: []string{"S"}, prefixes: "fpnµm1k"},
	{unit: PPMPerKelvin, plural: "parts per million per kelvin", singular: "part per million per kelvin",
		measures: "a temperature coefficient", example: "100 ppm/K",
		forms:  []form{{symbol: "ppm/K", exponent: -6}},
		others: join(spelled(-6, "ppm/°C", "ppm/C", "ppm/degC"), spelled(-2, "%/K", "%/°C", "%/C"))},
	{unit: VoltPerKelvin, plural: "volts per kelvin", singular: "volt per kelvin",
		measures: "a voltage drift", example: "-2 mV/K",
		symbols: []string{"V/K", "V/°C", "V/C", "V/degC"}, prefixes: "nµm1"},
	{unit: KelvinPerWatt, plural: "kelvins per watt", singular: "kelvin per watt",
		measures: "a thermal resistance", example: "1.5 K/W",
		symbols: []string{"K/W"}, prefixes: "m1", tenths: true, others: spelled(0, "°C/W", "C/W", "degC/W")},
	{unit: VoltPerSecond, plural: "volts per second", singular: "volt per second",
		measures: "a slew rate", example: "0.5 V/us",
		forms: []form{{"mV/s", -3, -3}, {"V/s", 0, 0}, {"V/ms", 3, 3}, {"V/µs", 6, 5}},
		others: join(spelled(6, "V/us", "V/\u03bcs"), spelled(0, "mV/ms"), spelled(3, "kV/s", "mV/us", "mV/µs", "mV/\u03bcs"),
			spelled(9, "kV/us", "kV/µs", "kV/\u03bcs"))},
	{unit: AmpereSquaredSecond, plural: "ampere-squared seconds", measures: "a melting integral", example: "2.5 A²s",
		forms: []form{{symbol: "A²s"}}, others: spelled(0, "A2s", "A^2s")},
}

// units finds the facts of a unit. The forms for output are filled in.
var units = indexUnits()

func indexUnits() map[Unit]*unitFacts {
	index := make(map[Unit]*unitFacts, len(unitTable))
	for i := range unitTable {
		f := unitTable[i]
		written := f.written
		if written == "" {
			written = f.prefixes
		}
		for _, letter := range written {
			symbol, exponent := f.symbols[0], prefixOf(letter).exponent
			from := exponent
			switch {
			case letter != unprefixed:
				symbol = string(letter) + symbol
			case f.tenths:
				from = -1
			}
			f.forms = append(f.forms, form{symbol, exponent, from})
		}
		index[f.unit] = &f
	}
	return index
}

// base returns the form without a prefix, which a bare number takes.
func (f *unitFacts) base() form {
	for _, candidate := range f.forms {
		if candidate.exponent == 0 {
			return candidate
		}
	}
	return f.forms[0]
}

// singularName returns the name of one unit.
func (f *unitFacts) singularName() string {
	if f.singular != "" {
		return f.singular
	}
	return f.plural[:len(f.plural)-1]
}

// spelled lists further spellings that all stand for the same power of ten.
func spelled(exponent int, symbols ...string) []form {
	forms := make([]form, len(symbols))
	for i, symbol := range symbols {
		forms[i] = form{symbol: symbol, exponent: exponent}
	}
	return forms
}

// join puts lists of spellings together.
func join(lists ...[]form) []form {
	var all []form
	for _, list := range lists {
		all = append(all, list...)
	}
	return all
}
