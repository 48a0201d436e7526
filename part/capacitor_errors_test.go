package part_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/part"
)

// What cannot be right is refused with what would be.
func TestErrorsTeach(t *testing.T) {
	good := part.Capacitor{Kind: part.AluminiumElectrolytic, Nominal: 10e-6, RatedVoltage: 25}
	for _, example := range []struct {
		name    string
		change  func(*part.Capacitor)
		reading part.CapacitorReading
		want    string
	}{
		{name: "negative capacitance", change: func(c *part.Capacitor) { c.Nominal = -10e-6 }, want: "4.7e-6 for 4.7 µF"},
		{name: "no capacitance", change: func(c *part.Capacitor) { c.Nominal = 0 }, want: "greater than zero"},
		{name: "capacitance not a number", change: func(c *part.Capacitor) { c.Nominal = math.NaN() }, want: "nominal capacitance NaN"},
		{name: "endless capacitance", change: func(c *part.Capacitor) { c.Nominal = math.Inf(1) }, want: "nominal capacitance +Inf"},
		{name: "capacitance in µF", change: func(c *part.Capacitor) { c.Nominal = 4700 }, want: "in farads"},
		{name: "rated 0 V", change: func(c *part.Capacitor) { c.RatedVoltage = 0 }, want: "read it off the part"},
		{name: "tolerance in percent", change: func(c *part.Capacitor) { c.ToleranceLow = -20 }, want: "-0.2 for -20 %"},
		{name: "tolerances the wrong way round", change: func(c *part.Capacitor) { c.ToleranceLow, c.ToleranceHigh = 0.5, -0.2 }, want: "0.5 for +50 %"},
		{name: "tolerance not a number", change: func(c *part.Capacitor) { c.ToleranceHigh = math.NaN() }, want: "upper tolerance NaN"},
		{name: "class X electrolytic", change: func(c *part.Capacitor) { c.SafetyClass = part.ClassX2 }, want: "correct the kind or the class"},
		{name: "kind out of range", change: func(c *part.Capacitor) { c.Kind = 99 }, want: "UnknownCapacitor"},
		{name: "class out of range", change: func(c *part.Capacitor) { c.SafetyClass = 99 }, want: "NoSafetyClass"},
		{name: "initial in µF", change: func(c *part.Capacitor) { c.Initial = 10 }, want: "check the marking and the unit"},
		{name: "initial negative", change: func(c *part.Capacitor) { c.Initial = -1 }, want: "initial capacitance"},
		{name: "sheet limit negative", change: func(c *part.Capacitor) { c.Limits.ESR = -1 }, want: "ESR limit -1 of the sheet"},
		{name: "reading negative", reading: part.CapacitorReading{Capacitance: value(-1e-6)}, want: "farads, zero or more"},
		{name: "reading not a number", reading: part.CapacitorReading{ESR: value(math.NaN())}, want: "zero the meter"},
		{name: "uncertainty negative", reading: part.CapacitorReading{ESR: about(1, -0.1)}, want: "standard uncertainty"},
		{name: "leakage negative", reading: part.CapacitorReading{Leakage: value(-1e-6), LeakageVoltage: 25}, want: "swap the leads"},
		{name: "tan δ without frequency", reading: part.CapacitorReading{LossTangent: value(0.1)}, want: "give the frequency"},
		{name: "leakage without voltage", reading: part.CapacitorReading{Leakage: value(1e-6)}, want: "give the voltage"},
		{name: "temperature below zero", reading: part.CapacitorReading{Temperature: -20}, want: "293.15 for 20 °C"},
		{name: "age endless", reading: part.CapacitorReading{Age: math.Inf(1)}, want: "age +Inf"},
		{name: "sound and burnt", reading: part.CapacitorReading{Look: part.LooksSound | part.Burnt}, want: "contradicts itself"},
		{name: "sign unknown", reading: part.CapacitorReading{Look: 1 << 7}, want: "signs that are not known"},
		{name: "place unknown", reading: part.CapacitorReading{Place: 9}, want: "OutOfCircuit"},
	} {
		t.Run(example.name, func(t *testing.T) {
			capacitor := good
			if example.change != nil {
				example.change(&capacitor)
			}
			verdict, err := capacitor.Judge(example.reading)
			if err == nil {
				t.Fatalf("no error, but %v", verdict)
			}
			if !strings.Contains(err.Error(), example.want) {
				t.Errorf("error %q does not say %q", err, example.want)
			}
		})
	}
}

// All that is wrong is told at once, and which of several readings is meant.
func TestErrorsAreToldTogether(t *testing.T) {
	_, err := part.Capacitor{Nominal: -1}.Judge(part.CapacitorReading{}, part.CapacitorReading{Age: -1})
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{"nominal capacitance", "rated voltage", "reading 2 of 2"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not in %q", want, err)
		}
	}
}

// Values of the small types that are not declared still print.
func TestUnknownValuesPrint(t *testing.T) {
	for got, want := range map[string]string{
		part.CapacitorKind(99).String():         "CapacitorKind(99)",
		part.SafetyClass(99).String():           "SafetyClass(99)",
		part.Condition(99).String():             "Condition(99)",
		part.Evidence(99).String():              "Evidence(99)",
		part.Quantity(99).String():              "Quantity(99)",
		part.Look(0).String():                   "not looked at",
		(part.Bulged | part.Look(128)).String(): "bulged, Look(128)",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
