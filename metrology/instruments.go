package metrology

import (
	"fmt"
	"strings"
)

// Sources of the table below. Figures without a published source are what
// data sheets of such meters mostly say; a bench should enter those of its
// own meter.
const (
	noSource    = "common practice, no source"
	fromCounts3 = "0.5 % + 3 digits: GVDA, Multimeter error, 2 V example; other ranges alike by common practice"
	fromCounts2 = "0.5 % + 2 digits: common practice, no source; 6000 counts: Fluke support, How to calculate the accuracy of a meter, 2021"
	fromCounts8 = "0.03 % + 10 digits: What does 0.03 % + 10 digit mean, 79.999 V example; other ranges alike by common practice"
	fromSwing   = "20 kΩ/V: textbook example; ±3 % of full scale: common practice, no source"
)

// rung is one range of a ladder: its end and the value of its last digit.
type rung struct{ full, digit float64 }

// ladder makes ranges that share their accuracy.
func ladder(shared Accuracy, rungs ...rung) []Accuracy {
	ranges := make([]Accuracy, len(rungs))
	for i, r := range rungs {
		ranges[i] = shared
		ranges[i].Range, ranges[i].Resolution = r.full, r.digit
	}
	return ranges
}

// room returns the accuracy with the usual temperature band, 18 to 28 °C, and
// the given fraction of the bound added per kelvin outside it.
//
// Source: the band as seen in a maker's note (Fluke support, 2021); fractions
// of 0.1 for handhelds and 0.05 for better meters are typical data-sheet
// values, from memory.
func room(a Accuracy, tempco float64) Accuracy {
	a.Tempco, a.BandLow, a.BandHigh = tempco, 18, 28
	return a
}

// handheld returns an accuracy of reading and digits as handheld meters have
// it.
func handheld(ofReading, digits float64, source string) Accuracy {
	return room(Accuracy{OfReading: ofReading, Digits: digits, Source: source}, 0.1)
}

// across returns the accuracy of a voltage range with an input resistance.
func across(a Accuracy, ohms float64) Accuracy {
	a.Resistance, a.ResistanceTolerance = ohms, 0.02
	return a
}

// shunted gives each current range the shunt that drops burden volts at its
// full scale.
func shunted(ranges []Accuracy, burden float64) []Accuracy {
	for i := range ranges {
		ranges[i].Resistance, ranges[i].ResistanceTolerance = burden/ranges[i].Range, 0.1
	}
	return ranges
}

// Instruments returns typical meters of the bench by kind, for readings of
// which only the kind of meter is known. Each range says where its figures
// come from. Each call returns a copy of its own.
func Instruments() []Instrument {
	return []Instrument{handheldMultimeter(), countsMultimeter(), fineMultimeter(), benchMultimeter(), movingCoilMultimeter(), esrMeter(), oscilloscope()}
}

// InstrumentByName returns the typical meter of that name, case aside, or an
// error that lists the names.
func InstrumentByName(name string) (Instrument, error) {
	var names []string
	for _, i := range Instruments() {
		if strings.EqualFold(strings.TrimSpace(name), i.Name) {
			return i, nil
		}
		names = append(names, i.Name)
	}
	return Instrument{}, fmt.Errorf("metrology: no typical meter called %q; there are: %s", name, strings.Join(names, "; "))
}

func handheldMultimeter() Instrument {
	volts := []rung{{0.2, 1e-4}, {2, 1e-3}, {20, 0.01}, {200, 0.1}, {1000, 1}}
	amperes := []rung{{2e-3, 1e-6}, {20e-3, 10e-6}, {0.2, 1e-4}, {10, 0.01}}
	return Instrument{Name: "handheld 3½-digit multimeter", Ranges: map[Function][]Accuracy{
		DCVolts:     ladder(across(handheld(0.005, 3, fromCounts3), 10e6), volts...),
		ACVolts:     ladder(across(handheld(0.012, 10, noSource), 10e6), volts[1:]...),
		Ohms:        ladder(handheld(0.008, 3, noSource), rung{200, 0.1}, rung{2e3, 1}, rung{20e3, 10}, rung{200e3, 100}, rung{2e6, 1e3}, rung{20e6, 10e3}),
		DCCurrent:   shunted(ladder(handheld(0.015, 3, noSource), amperes...), 0.2),
		ACCurrent:   shunted(ladder(handheld(0.02, 5, noSource), amperes...), 0.2),
		Capacitance: ladder(handheld(0.04, 10, noSource), rung{20e-9, 10e-12}, rung{200e-9, 100e-12}, rung{2e-6, 1e-9}, rung{20e-6, 10e-9}, rung{200e-6, 100e-9}),
		Frequency:   ladder(handheld(0.01, 5, noSource), rung{2e3, 1}, rung{20e3, 10}, rung{200e3, 100}),
		Temperature: ladder(room(Accuracy{OfReading: 0.01, Fixed: 3, Source: noSource}, 0.1), rung{1000, 1}),
	}}
}

func countsMultimeter() Instrument {
	volts := []rung{{0.6, 1e-4}, {6, 1e-3}, {60, 0.01}, {600, 0.1}, {1000, 1}}
	amperes := []rung{{0.06, 10e-6}, {0.6, 100e-6}, {6, 1e-3}, {10, 0.01}}
	return Instrument{Name: "handheld 6000-count multimeter", TrueRMS: true, Ranges: map[Function][]Accuracy{
		DCVolts:     ladder(across(handheld(0.005, 2, fromCounts2), 10e6), volts...),
		ACVolts:     ladder(across(handheld(0.01, 3, noSource), 10e6), volts...),
		Ohms:        ladder(handheld(0.009, 2, noSource), rung{600, 0.1}, rung{6e3, 1}, rung{60e3, 10}, rung{600e3, 100}, rung{6e6, 1e3}, rung{40e6, 10e3}),
		DCCurrent:   shunted(ladder(handheld(0.01, 3, noSource), amperes...), 0.2),
		ACCurrent:   shunted(ladder(handheld(0.015, 3, noSource), amperes...), 0.2),
		Capacitance: ladder(handheld(0.019, 2, noSource), rung{1e-6, 1e-9}, rung{10e-6, 10e-9}, rung{100e-6, 100e-9}, rung{10e-3, 10e-6}),
		Frequency:   ladder(handheld(0.001, 2, noSource), rung{100, 0.01}, rung{1e3, 0.1}, rung{10e3, 1}, rung{100e3, 10}),
		Temperature: ladder(room(Accuracy{OfReading: 0.01, Fixed: 1, Source: noSource}, 0.1), rung{400, 0.1}),
	}}
}

func fineMultimeter() Instrument {
	volts := []rung{{0.8, 10e-6}, {8, 100e-6}, {80, 1e-3}, {800, 0.01}, {1000, 0.1}}
	amperes := []rung{{8e-3, 0.1e-6}, {80e-3, 1e-6}, {0.8, 10e-6}, {8, 100e-6}, {10, 1e-3}}
	fine := func(ofReading, digits float64, source string) Accuracy {
		return room(Accuracy{OfReading: ofReading, Digits: digits, Source: source}, 0.05)
	}
	return Instrument{Name: "handheld 80 000-count multimeter", TrueRMS: true, Ranges: map[Function][]Accuracy{
		DCVolts:     ladder(across(fine(0.0003, 10, fromCounts8), 10e6), volts...),
		ACVolts:     ladder(across(fine(0.005, 40, noSource), 10e6), volts...),
		Ohms:        ladder(fine(0.001, 10, noSource), rung{800, 0.01}, rung{8e3, 0.1}, rung{80e3, 1}, rung{800e3, 10}, rung{8e6, 100}, rung{80e6, 1e3}),
		DCCurrent:   shunted(ladder(fine(0.002, 20, noSource), amperes...), 0.4),
		ACCurrent:   shunted(ladder(fine(0.01, 40, noSource), amperes...), 0.4),
		Capacitance: ladder(handheld(0.012, 5, noSource), rung{10e-9, 10e-12}, rung{100e-9, 100e-12}, rung{1e-6, 1e-9}, rung{10e-6, 10e-9}, rung{100e-6, 100e-9}, rung{10e-3, 10e-6}),
		Frequency:   ladder(fine(0.00005, 3, noSource), rung{800, 0.01}, rung{8e3, 0.1}, rung{80e3, 1}, rung{800e3, 10}),
		Temperature: ladder(room(Accuracy{OfReading: 0.01, Fixed: 1, Source: noSource}, 0.05), rung{1000, 0.1}),
	}}
}

func benchMultimeter() Instrument {
	bench := func(ofReading, ofRange float64) Accuracy {
		return room(Accuracy{OfReading: ofReading, OfRange: ofRange, Source: noSource}, 0.1)
	}
	volts := []rung{{0.12, 0.1e-6}, {1.2, 1e-6}, {12, 10e-6}, {120, 100e-6}, {1000, 1e-3}}
	amperes := []rung{{12e-3, 10e-9}, {0.12, 0.1e-6}, {1.2, 1e-6}, {3, 10e-6}}
	return Instrument{Name: "bench 6½-digit multimeter", TrueRMS: true, Ranges: map[Function][]Accuracy{
		DCVolts:   ladder(across(bench(50e-6, 35e-6), 10e6), volts...),
		ACVolts:   ladder(across(bench(0.0006, 0.0004), 1e6), volts...),
		Ohms:      ladder(bench(100e-6, 40e-6), rung{120, 100e-6}, rung{1.2e3, 1e-3}, rung{12e3, 0.01}, rung{120e3, 0.1}, rung{1.2e6, 1}, rung{12e6, 10}, rung{120e6, 100}),
		DCCurrent: shunted(ladder(bench(0.0005, 0.0002), amperes...), 0.1),
		ACCurrent: shunted(ladder(bench(0.001, 0.0004), amperes...), 0.1),
		Frequency: ladder(bench(100e-6, 0), rung{300e3, 0.1}),
	}}
}

func movingCoilMultimeter() Instrument {
	// A scale is read to about a hundredth of its length, and the resistance
	// is 20 kΩ (AC: 8 kΩ) for each volt of full scale.
	scale := func(ofRange, perVolt float64, source string, fulls ...float64) []Accuracy {
		ranges := make([]Accuracy, len(fulls))
		for i, full := range fulls {
			ranges[i] = Accuracy{Range: full, Resolution: full / 100, OfRange: ofRange, BandLow: 18, BandHigh: 28, Tempco: 0.05,
				Resistance: perVolt * full, ResistanceTolerance: 0.03, Source: source}
		}
		return ranges
	}
	return Instrument{Name: "analogue multimeter, 20 kΩ/V", Ranges: map[Function][]Accuracy{
		DCVolts:   scale(0.03, 20e3, fromSwing, 0.25, 2.5, 10, 50, 250, 1000),
		ACVolts:   scale(0.04, 8e3, noSource, 10, 50, 250, 1000),
		DCCurrent: shunted(scale(0.03, 0, noSource, 50e-6, 2.5e-3, 25e-3, 0.25), 0.25),
	}}
}

func esrMeter() Instrument {
	return Instrument{Name: "in-circuit ESR meter", Ranges: map[Function][]Accuracy{
		ESR: ladder(handheld(0.02, 2, noSource), rung{1, 0.01}, rung{10, 0.1}, rung{100, 1}),
	}}
}

func oscilloscope() Instrument {
	// Eight divisions of 25 steps each, as eight-bit scopes have; full scale is
	// eight times the volts per division, at the tip of a ×10 probe.
	var ranges []Accuracy
	for _, perDivision := range []float64{20e-3, 50e-3, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50} {
		ranges = append(ranges, room(across(Accuracy{Range: 8 * perDivision, Resolution: perDivision / 25, OfRange: 0.03, Source: noSource}, 10e6), 0.05))
	}
	return Instrument{Name: "oscilloscope with ×10 probe", TrueRMS: true, Ranges: map[Function][]Accuracy{PeakVolts: ranges}}
}
