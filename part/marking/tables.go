package marking

import (
	"math"
	"slices"

	"halfsplit/part/preferred"
	"halfsplit/quantity"
)

// voltages are the voltage codes that have a printed source: a digit for the
// power of ten and a letter, whose values follow the series R10 of ISO 3 with a
// few between. Source: voltageSource; 0E, 1B, 1D, 1V and 3B to 3F from memory.
var voltages = []struct {
	code  string
	volts float64
}{
	{"0E", 2.5}, {"0G", 4}, {"0L", 5.5}, {"0J", 6.3}, {"1A", 10}, {"1B", 12.5}, {"1C", 16}, {"1D", 20}, {"1E", 25}, {"1V", 35}, {"1H", 50}, {"1J", 63}, {"1K", 80},
	{"2A", 100}, {"2Q", 110}, {"2B", 125}, {"2T", 150}, {"2C", 160}, {"2Z", 180}, {"2D", 200}, {"2P", 220}, {"2E", 250}, {"2F", 315}, {"2V", 350}, {"2G", 400},
	{"2W", 450}, {"2H", 500}, {"2J", 630}, {"3A", 1000}, {"3B", 1250}, {"3C", 1600}, {"3D", 2000}, {"3F", 3150},
}

// CodeVoltage gives the rated direct voltage, in volts, that a voltage code such
// as 1H or 2A stands for, and false when it stands for none. Source: JIS C 5101-1
// and EIA, as capacitor code tables print them.
func CodeVoltage(code string) (volts float64, ok bool) {
	for _, v := range voltages {
		if v.code == code {
			return v.volts, true
		}
	}
	return 0, false
}

// VoltageCodeOf gives the voltage code of a rated voltage in volts, and false
// when there is none.
func VoltageCodeOf(volts float64) (code string, ok bool) {
	for _, v := range voltages {
		if v.volts == volts {
			return v.code, true
		}
	}
	return "", false
}

// tantalumVolts are the single letters for the voltage of chip tantalums. Source:
// makers' catalogues, from memory.
var tantalumVolts = map[string]float64{"F": 2.5, "G": 4, "J": 6.3, "A": 10, "C": 16, "D": 20, "E": 25, "V": 35, "T": 50}

// eia96Exponents are the powers of ten that the letters of EIA-96 stand for, of
// a significand of three digits.
var eia96Exponents = map[string]int{"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}

// eia96Digits gives the three digits of a code from 1 to 96.
func eia96Digits(code int) int {
	return int(math.Round(100 * preferred.E96.Values()[code-1]))
}

// preferred lowers the weight of a value in which parts are not made. Capacitors
// are made to E24 at most, as a rule; resistors to E192.
func (g *gatherer) preferred(r *Reading) float64 {
	if r.Value == nil || r.Value.Value == 0 || r.Value.Unit == quantity.Volt {
		return 1
	}
	bounds := map[quantity.Unit][2]float64{quantity.Ohm: {1e-3, 1e9}, quantity.Farad: {1e-13, 1}, quantity.Henry: {1e-9, 100}}[r.Value.Unit]
	if r.Value.Value < bounds[0] || r.Value.Value > bounds[1] {
		return 0.02
	}
	series, ok := preferred.Of(r.Value.Value)
	_, first := digitsOf(r.Value.Value, 1)
	round := r.Kind == Capacitor && (first || preferred.E24.Contains(r.Value.Value*2)) // 5, 20, 25, 50 were made
	switch {
	case ok && series <= preferred.E24:
		return 1
	case round:
		return 0.6
	case ok && r.Kind == Resistor && r.Tolerance != nil && tooFine(series, r.Tolerance.High):
		return 0.1
	case ok && r.Kind == Resistor && series == preferred.E192 && r.Tolerance == nil:
		return 0.15 // nobody marks so close a value without its tolerance
	case ok && r.Kind == Resistor:
		return 0.8
	}
	return 0.08
}

// tooFine tells whether a series is finer than parts of a tolerance are made to:
// ±2 % to E48, ±1 % to E96, and E24 only beyond (IEC 60063, usual tolerances).
func tooFine(series preferred.Series, spread float64) bool {
	return spread > 0.021 || spread > 0.011 && series > preferred.E48 || spread > 0.006 && series > preferred.E96
}

// The letters of the temperature characteristic of class 2 ceramic. Source:
// classSource.
var (
	lowest  = map[byte]string{'X': "-55", 'Y': "-30", 'Z': "+10"}
	highest = map[byte]string{'2': "+45", '4': "+65", '5': "+85", '6': "+105", '7': "+125", '8': "+150", '9': "+200"}
	change  = map[byte]string{'A': "±1", 'B': "±1.5", 'C': "±2.2", 'D': "±3.3", 'E': "±4.7", 'F': "±7.5", 'P': "±10", 'R': "±15", 'S': "±22", 'T': "-33..+22", 'U': "-56..+22", 'V': "-82..+22"}
)

// dielectric says what a dielectric code means.
func dielectric(code string) string {
	if code[0] == 'C' || code[0] == 'N' {
		return "ceramic of class 1, 0 ± 30 ppm/K: keeps its value"
	}
	if highest[code[1]] == "" {
		return "ceramic of class 2"
	}
	return "ceramic of class 2: capacitance changes by " + change[code[2]] + " % from " + lowest[code[0]] + " to " + highest[code[1]] + " °C"
}

// safety says what a safety class means.
func safety(class string) string {
	if class[0] == 'X' {
		return "class " + class + ": between the lines of the mains; only its own class or a better one may replace it"
	}
	return "class " + class + ": from a line to earth or to what can be touched; only its own class or a better one may replace it"
}

// digitsOf splits a value above zero into a whole number of so many digits and a
// power of ten; false when it has more digits than that.
func digitsOf(value float64, count int) (n int, exact bool) {
	n, _, exact = split(value, count)
	return n, exact
}

// toleranceBand finds the colour of a tolerance.
func toleranceBand(spread float64) (band, bool) {
	i := slices.IndexFunc(bands, func(b band) bool { return b.tolerance > 0 && math.Abs(b.tolerance/spread-1) < 1e-9 })
	if i < 0 {
		return band{}, false
	}
	return bands[i], true
}
