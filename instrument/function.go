package instrument

import (
	"fmt"
	"strings"

	"halfsplit/form"
	"halfsplit/metrology"
	"halfsplit/quantity"
)

// A Function is something that a meter can be set to measure.
type Function struct {
	// Name is what the bench calls it.
	Name string
	// Kind is the function as verdicts know it.
	Kind metrology.Function
	// Unit is the unit of its readings.
	Unit quantity.Unit
	// Header is its name in commands, as in CONF:VOLT:DC.
	Header string
	also   []string
}

// functions are the functions with their headers (SCPI-1999, volume 1, section
// 3.4, "measurement instructions", from memory).
var functions = []Function{
	{"DC volts", metrology.DCVolts, quantity.Volt, "VOLT:DC", []string{"volts", "V", "V DC", "DCV", "VDC"}},
	{"AC volts", metrology.ACVolts, quantity.Volt, "VOLT:AC", []string{"V AC", "ACV", "VAC"}},
	{"ohms", metrology.Ohms, quantity.Ohm, "RES", []string{"ohm", "Ω", "resistance", "2-wire ohms"}},
	{"4-wire ohms", metrology.Ohms, quantity.Ohm, "FRES", []string{"four-wire ohms"}},
	{"temperature", metrology.Temperature, quantity.Celsius, "TEMP", []string{"°C", "celsius"}},
	{"DC current", metrology.DCCurrent, quantity.Ampere, "CURR:DC", []string{"current", "A", "A DC", "DCA"}},
	{"AC current", metrology.ACCurrent, quantity.Ampere, "CURR:AC", []string{"A AC", "ACA"}},
	{"frequency", metrology.Frequency, quantity.Hertz, "FREQ", []string{"Hz"}},
}

// Functions lists what a meter can be set to measure.
func Functions() []Function { return append([]Function(nil), functions...) }

// ParseFunction reads the name of a function, such as "DC volts", "ohms" or
// "temperature". An error lists the names.
func ParseFunction(text string) (Function, error) {
	wanted := strings.Join(strings.Fields(text), " ")
	var names []string
	for _, f := range functions {
		if strings.EqualFold(wanted, f.Name) {
			return f, nil
		}
		for _, a := range f.also {
			if strings.EqualFold(wanted, a) {
				return f, nil
			}
		}
		names = append(names, f.Name)
	}
	return Function{}, fmt.Errorf("%q is nothing that a meter is set to; %s", text, form.Suggest(wanted, names))
}
