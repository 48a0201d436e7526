package findings

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
)

// usualMeter is the instrument taken when none is named: the plainest one on
// any bench, so that no verdict rests on accuracy that was not there.
const usualMeter = "handheld 3½-digit multimeter"

// value is a reading in numbers.
type reading struct {
	quantity   quantity.Quantity
	resolution float64 // of the last digit written; 0 when not known
	mode       string  // "", "DC", "AC", "p-p", "RMS"
	rough      bool    // "about 110 V"
	text       string
}

// ac reports whether the reading is of an alternating voltage or current.
func (r reading) ac() bool { return r.mode == "AC" || r.mode == "RMS" || r.mode == "p-p" }

// rough is what "about" adds to the bound of a reading, as a fraction. Common
// practice, no source.
const rough = 0.03

// parseReading reads "12.01 V", "about 110 V", "38 mV p-p"; ok is false when it
// is not a number.
func parseReading(text string, unit quantity.Unit) (r reading, ok bool, err error) {
	rest, mode := quantity.SplitMode(text)
	r = reading{text: text, mode: mode}
	for _, word := range []string{"about ", "ca. ", "circa ", "around ", "~", "≈"} {
		if after, found := strings.CutPrefix(strings.ToLower(rest), word); found {
			rest, r.rough = rest[len(rest)-len(after):], true
		}
	}
	rest = strings.TrimSpace(rest)
	if rest == "" || !strings.ContainsAny(strings.TrimLeft(rest, "+-−.")+" ", "0123456789") || !startsWithNumber(rest) {
		return r, false, nil
	}
	if unit == quantity.None {
		r.quantity, err = quantity.Parse(rest)
	} else {
		r.quantity, err = quantity.ParseAs(rest, unit)
	}
	if err != nil {
		return r, true, err
	}
	r.resolution = lastDigit(rest, r.quantity.Value)
	return r, true, nil
}

func startsWithNumber(text string) bool {
	text = strings.TrimLeft(text, "+-−. ")
	return text != "" && text[0] >= '0' && text[0] <= '9'
}

var plainNumber = regexp.MustCompile(`^[+\-−]?\s*(\d+)(?:\.(\d+))?`)

// lastDigit gives the worth of the last digit of a number as it was written:
// 0.01 for "12.01 V", 10 for "26.95k"; 0 when it cannot be told.
func lastDigit(text string, value float64) float64 {
	m := plainNumber.FindStringSubmatch(text)
	if m == nil || value == 0 {
		return 0
	}
	digits := m[1]
	if m[2] != "" {
		digits += "." + m[2]
	}
	mantissa, err := strconv.ParseFloat(digits, 64)
	if err != nil || mantissa == 0 {
		return 0
	}
	scale := math.Abs(value) / mantissa
	return math.Pow(10, -float64(len(m[2]))) * scale
}

// functionOf gives what a meter must be set to for a unit and mode.
func functionOf(unit quantity.Unit, ac bool) (metrology.Function, bool) {
	switch unit {
	case quantity.Volt:
		if ac {
			return metrology.ACVolts, true
		}
		return metrology.DCVolts, true
	case quantity.Ohm:
		return metrology.Ohms, true
	case quantity.Farad:
		return metrology.Capacitance, true
	case quantity.Hertz:
		return metrology.Frequency, true
	case quantity.Ampere:
		if ac {
			return metrology.ACCurrent, true
		}
		return metrology.DCCurrent, true
	case quantity.Celsius:
		return metrology.Temperature, true
	}
	return "", false
}

// widest is the end of a range that a meter of the case is given when only its
// accuracy is stated.
const widest = 1e12

// instrument gives the meter of that name as package metrology knows it, with
// its name for the report.
func (w *work) instrument(name string, r reading) (metrology.Instrument, string) {
	usual, err := metrology.InstrumentByName(usualMeter)
	if err != nil { // TestUsualMeter sees to it that this does not happen
		return metrology.Instrument{}, "no meter known"
	}
	for i := range w.logCase.Meters {
		m := &w.logCase.Meters[i]
		if m.Name.Text == name {
			return stated(m, usual, r), name
		}
	}
	return usual, usual.Name + " (assumed)"
}

// stated lays the accuracies that a case states over those of a usual meter.
func stated(m *logbook.Meter, usual metrology.Instrument, r reading) metrology.Instrument {
	base := usual
	if m.Like != "" {
		if like, err := metrology.InstrumentByName(m.Like); err == nil {
			base = like
		}
	}
	ranges := map[metrology.Function][]metrology.Accuracy{}
	for function, list := range base.Ranges {
		ranges[function] = list
	}
	resistance := 10e6
	if m.Resistance != nil {
		resistance = m.Resistance.Value
	}
	for _, f := range []struct {
		function metrology.Function
		accuracy *logbook.Accuracy
		across   bool
	}{
		{metrology.DCVolts, m.VoltsDC, true}, {metrology.ACVolts, m.VoltsAC, true}, {metrology.Ohms, m.Ohms, false},
		{metrology.Capacitance, m.Farads, false}, {metrology.Frequency, m.Hertz, false},
		{metrology.DCCurrent, m.Amps, false}, {metrology.ACCurrent, m.Amps, false},
	} {
		if f.accuracy == nil {
			continue
		}
		one := metrology.Accuracy{Range: widest, Resolution: r.resolution, OfReading: f.accuracy.Reading, Digits: f.accuracy.Digits, Source: "the case"}
		if f.across {
			one.Resistance = resistance
		}
		ranges[f.function] = []metrology.Accuracy{one}
	}
	return metrology.Instrument{Name: m.Name.Text, Ranges: ranges, TrueRMS: base.TrueRMS}
}

// measure turns one or more readings of the same quantity into a measurement.
func (w *work) measure(with string, readings []reading, source float64) (metrology.Measurement, string, error) {
	first := readings[0]
	function, known := functionOf(first.quantity.Unit, first.ac())
	if first.mode == "p-p" {
		function = metrology.PeakVolts
	}
	meter, name := w.instrument(with, first)
	values := make([]float64, len(readings))
	for i, r := range readings {
		values[i] = r.quantity.Value
	}
	if _, has := meter.Ranges[function]; !known || !has {
		// no accuracy known for this: take 3 % (common practice, no source)
		bound := math.Max(0.03*math.Abs(values[0]), first.resolution)
		return metrology.FromBound(values[0], bound), "accuracy not known, 3 % assumed", nil
	}
	// What is written is often rounded, so the last digit written does not tell
	// the range: the range is the most sensitive one, and the rounding is added.
	m, err := meter.Evaluate(metrology.Reading{Function: function, Values: values, CircuitResistance: source, CircuitTolerance: 0.2})
	if err != nil {
		return m, name, err
	}
	if first.resolution > m.Resolution {
		m.Components = append(m.Components, metrology.Component{Origin: metrology.FromDisplay, U: metrology.Rectangular(first.resolution / 2), LastDigitShare: 1})
		m.Resolution = first.resolution
	}
	if first.rough {
		m.Components = append(m.Components, metrology.Component{Origin: metrology.FromDisplay, U: metrology.Rectangular(rough * math.Abs(m.Value))})
	}
	return m, name, nil
}
