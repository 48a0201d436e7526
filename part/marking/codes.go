package marking

import (
	"regexp"
	"strconv"
	"strings"

	"halfsplit/quantity"
)

// A code is the shape of a marking, and what is read from it.
type code struct {
	shape *regexp.Regexp
	read  func(g *gatherer, found []string)
}

// Where the codes are published.
const (
	digitSource    = "IEC 60062, three-digit code; oriedza, capacitor code table"
	voltageSource  = "JIS C 5101-1 and EIA, rated voltage code; oriedza, Table 2; J. Yong, \"About capacitor coding\""
	tantalumSource = "IEC 60062, single-letter voltage code, from memory"
	eia96Source    = "EIA-96; 3bmdesign, \"Surface mount resistor markings\""
	chipSource     = "EIA chip resistor marking; 3bmdesign, \"Surface mount resistor markings\""
	commonPractice = "common practice, no source"
	classSource    = "EIA RS-198, temperature characteristic, from memory"
	safetySource   = "IEC 60384-14"
)

var codes = []code{
	// 104, 104K, 2A104J, 104M 250V, 104J63
	{regexp.MustCompile(`^([0-3][A-HJ-NP-WZ])?(\d\d)(\d)([A-Z])?(?: ?(\d{2,4}) ?V?)?$`), func(g *gatherer, f []string) {
		g.digitCapacitor(f[1], number(f[2]), number(f[3]), f[4], f[5])
	}},
	// 470, 561, 5362
	{regexp.MustCompile(`^(\d\d)(\d)$`), func(g *gatherer, f []string) { g.chip(DigitCode, number(f[1]), number(f[2]), 0.5) }},
	{regexp.MustCompile(`^(\d\d\d)(\d)$`), func(g *gatherer, f []string) { g.chip(DigitCode4, number(f[1]), number(f[2]), 0.5) }},
	{regexp.MustCompile(`^0$`), func(g *gatherer, f []string) { g.chip(DigitCode, 0, 0, 0.5) }},
	// 68X
	{regexp.MustCompile(`^(\d\d)([A-FHRSXYZ])$`), func(g *gatherer, f []string) { g.eia96(number(f[1]), f[2]) }},
	// 47, 470, 47K, 8.2C, .1, 0.047K, 0.1J100, 0.22 63V
	{regexp.MustCompile(`^(\d{0,4}(?:\.\d{1,4})?)([A-Z])?(?: ?(\d{2,4}) ?V?)?$`), func(g *gatherer, f []string) {
		if strings.Trim(f[1], ".") != "" {
			g.plainNumber(f[1], f[2], f[3])
		}
	}},
	// 47/25: microfarads and volts
	{regexp.MustCompile(`^(\d{1,5}(?:\.\d{1,3})?) ?/ ?(\d{1,3}(?:\.\d)?) ?V?$`), func(g *gatherer, f []string) {
		r := Reading{Kind: Capacitor, Scheme: PlainNumber, Value: parsed(f[1]+" uF", quantity.Farad), Published: commonPractice}
		volts := parsed(f[2], quantity.Volt)
		if r.Value == nil || volts == nil || r.Value.Value == 0 || volts.Value == 0 {
			g.cannot("as microfarads and volts: neither can be zero")
			return
		}
		r.rate(volts.Value)
		r.note("taken as microfarads over volts, as electrolytics are marked")
		g.add(r, 0.5)
	}},
	// 107A, A107
	{regexp.MustCompile(`^(\d\d)(\d)([FGJACDEVT])$`), func(g *gatherer, f []string) { g.tantalum(number(f[1]), number(f[2]), f[3]) }},
	{regexp.MustCompile(`^([FGJACDEVT])(\d\d)(\d)$`), func(g *gatherer, f []string) { g.tantalum(number(f[2]), number(f[3]), f[1]) }},
	// 1H
	{regexp.MustCompile(`^([0-3][A-Z])$`), func(g *gatherer, f []string) {
		if volts, ok := CodeVoltage(f[1]); ok {
			r := Reading{Kind: Voltage, Scheme: VoltageCode, Value: &quantity.Quantity{Value: volts, Unit: quantity.Volt}, Published: voltageSource}
			g.add(r, 0.5)
		}
	}},
	// 4E7: E for ohms on European parts
	{regexp.MustCompile(`^(\d*)E(\d*)([A-Z])?$`), func(g *gatherer, f []string) {
		if r, ok := readCode(f[1]+"R"+f[2], f[3], quantity.Ohm); ok {
			r.Published = commonPractice
			r.note("E in place of R, as some European makers marked ohms")
			g.add(r, 0.4)
		}
	}},
	// 68nJ100: letter code, tolerance, voltage
	{regexp.MustCompile(`^(\d*[pnuµPNU]\d*)([A-Z])(\d{2,4})V?$`), func(g *gatherer, f []string) {
		if r, ok := readCode(f[1], f[2], quantity.Farad); ok && g.rating(&r, f[3]) {
			g.add(r, 0.9)
		}
	}},
	// X7R, C0G
	{regexp.MustCompile(`^([XYZ][2-9][A-FPRSTUV]|C[0O]G|NP[0O])$`), func(g *gatherer, f []string) {
		g.add(Reading{Kind: Dielectric, Scheme: ClassCode, Words: dielectric(f[1]), Published: classSource}, 1)
	}},
	// X2, Y1
	{regexp.MustCompile(`^(X[1-3]|Y[1-4])$`), func(g *gatherer, f []string) {
		g.add(Reading{Kind: Class, Scheme: SafetyMark, Words: safety(f[1]), Published: safetySource}, 0.85)
	}},
}

func number(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}

// parsed reads a value, nil when it is none.
func parsed(text string, unit quantity.Unit) *quantity.Quantity {
	q, err := quantity.ParseAs(text, unit)
	if err != nil {
		return nil
	}
	return &q
}

// picofarads gives n·10^exponent pF.
func picofarads(n, exponent int) *quantity.Quantity {
	return &quantity.Quantity{Value: scaled(n, exponent-12), Unit: quantity.Farad}
}

// thirdDigits are the powers of ten of the third digit of a capacitor code.
// Tables leave 7 out; chip tantalums and electrolytics bear it all the same.
var thirdDigits = [...]int{0, 1, 2, 3, 4, 5, 6, 7, -2, -1}

// digitCapacitor reads two digits and a multiplier in picofarads, with a voltage
// code before it, a tolerance letter and a voltage after it.
func (g *gatherer) digitCapacitor(voltageCode string, digits, third int, letter, volts string) {
	weight := 0.8
	if voltageCode == "" && letter == "" {
		weight = 0.6
		if volts != "" {
			weight = 0.45
		}
	}
	switch {
	case digits < 10:
		if voltageCode != "" || letter != "" {
			g.refuse("as a capacitor code: it does not begin with a zero")
		}
		return
	case third == 7:
		weight = 0.2
	}
	r := Reading{Kind: Capacitor, Scheme: DigitCode, Value: picofarads(digits, thirdDigits[third]), Published: digitSource}
	if letter != "" && !g.tolerance(&r, letter) {
		return
	}
	if r.Tolerance != nil && r.Tolerance.Unit == quantity.Percent && r.Tolerance.High < 0.009 {
		weight = 0.2 // so close only where stability matters
	}
	if voltageCode != "" {
		rated, ok := CodeVoltage(voltageCode)
		if !ok {
			g.refuse("as a capacitor code: %s is no voltage code", voltageCode)
			return
		}
		r.rate(rated)
	}
	if volts != "" && !g.rating(&r, volts) {
		return
	}
	if third == 7 {
		r.note("printed tables leave 7 out; electrolytics and tantalums bear it (%s)", commonPractice)
	}
	if third == 0 && letter == "" {
		r.note("by the code the third digit is the number of zeros; some makers mark plain picofarads")
	}
	g.add(r, weight)
}

// tolerance adds what a letter stands for; false when it is none.
func (g *gatherer) tolerance(r *Reading, letter string) bool {
	t, err := quantity.LetterTolerance(letter, *r.Value)
	if err != nil {
		g.refuse("as a %s with the tolerance letter %s: there is no such letter", r.Kind, letter)
		return false
	}
	r.Tolerance = &t
	if letter == "H" {
		r.note("H is ±3 %%, or ±2.5 %% with some makers of film capacitors")
	}
	return true
}

// rating adds a voltage in digits; false when it is no rating.
func (g *gatherer) rating(r *Reading, digits string) bool {
	volts := parsed(digits, quantity.Volt)
	if volts == nil || volts.Value <= 0 {
		g.cannot("as a rated voltage: a part for 0 V does not exist")
		return false
	}
	r.rate(volts.Value)
	return true
}

// chip reads the marking of a chip resistor.
func (g *gatherer) chip(scheme Scheme, digits, exponent int, weight float64) {
	r := Reading{Kind: Resistor, Scheme: scheme, Value: &quantity.Quantity{Value: scaled(digits, exponent), Unit: quantity.Ohm}, Published: chipSource}
	if digits == 0 && exponent != 0 {
		return
	}
	if first := digits; first > 0 && (first < 10 || scheme == DigitCode4 && first < 100) {
		return
	}
	g.add(r, weight)
}

// eia96 reads two digits that number a value of E96, and a letter for the
// multiplier.
func (g *gatherer) eia96(code int, letter string) {
	if code < 1 || code > 96 {
		g.refuse("as EIA-96: its codes go from 01 to 96")
		return
	}
	r := Reading{Kind: Resistor, Scheme: EIA96, Published: eia96Source, Tolerance: &quantity.Tolerance{Low: -0.01, High: 0.01, Unit: quantity.Percent}}
	r.Value = &quantity.Quantity{Value: scaled(eia96Digits(code), eia96Exponents[letter]), Unit: quantity.Ohm}
	weight := 0.5
	if letter == "R" {
		r.note("R doubles Y here; with some makers it is the decimal point")
		weight = 0.2
	}
	g.add(r, weight)
}

// plainNumber reads a number without a unit. On a capacitor it is picofarads
// from 1 upwards and microfarads below, but on an electrolytic microfarads.
func (g *gatherer) plainNumber(digits, letter, volts string) {
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil || value == 0 || len(digits) > 1 && digits[0] == '0' && digits[1] != '.' {
		return
	}
	bare := letter == "" && volts == ""
	put := func(text string, unit quantity.Unit, weight float64, note string) {
		r := Reading{Scheme: PlainNumber, Published: commonPractice, Value: parsed(digits+" "+text, unit)}
		if r.Kind = Capacitor; unit == quantity.Ohm {
			r.Kind = Resistor
		}
		if r.Value == nil || letter != "" && !g.tolerance(&r, letter) || volts != "" && !g.rating(&r, volts) {
			return
		}
		r.note("%s", note)
		g.add(r, weight)
	}
	switch {
	case value < 1:
		put("uF", quantity.Farad, 0.7, "a number below one is taken as microfarads")
	case strings.Contains(digits, "."):
		put("uF", quantity.Farad, 0.3, "as electrolytics and film capacitors are marked")
		put("pF", quantity.Farad, 0.3, "as small ceramic capacitors are marked")
	default:
		pico, micro := 0.4, 0.15
		if len(digits) == 4 {
			pico = 0.25
		}
		if len(volts) == 2 { // a low voltage beside it is an electrolytic's
			micro = 0.55
		}
		if g.polar {
			pico, micro = 0.03, 0.7
		}
		put("pF", quantity.Farad, pico, "taken as plain picofarads")
		if bare || volts != "" {
			put("uF", quantity.Farad, micro, "taken as microfarads, as electrolytics are marked")
		}
	}
	if bare {
		put("ohm", quantity.Ohm, 0.2, "taken as plain ohms")
	}
}

// tantalum reads a digit code with a letter for the voltage.
func (g *gatherer) tantalum(digits, third int, letter string) {
	if digits < 10 || third < 4 || third > 7 {
		return
	}
	r := Reading{Kind: Capacitor, Scheme: TantalumCode, Value: picofarads(digits, third), Published: tantalumSource}
	r.rate(tantalumVolts[letter])
	r.note("as chip tantalums are marked")
	g.add(r, 0.5)
}

// letterCodes reads the letter and digit code of IEC 60062, for ohms and for
// farads, with and without a tolerance letter after it.
func (g *gatherer) letterCodes(text string) {
	upper := strings.ToUpper(text)
	for _, unit := range []quantity.Unit{quantity.Ohm, quantity.Farad} {
		for _, split := range []int{len(text), len(text) - 1} {
			if split < 2 {
				continue
			}
			r, ok := readCode(text[:split], text[split:], unit)
			if !ok {
				continue
			}
			weight := 0.9
			if strings.ContainsAny(text[:split], "Lm") && unit == quantity.Ohm {
				r.note("L and m for milliohms are of the latest edition; seldom seen on old parts")
				weight = 0.2
			}
			g.add(r, weight)
			if unit != quantity.Ohm || split != len(text) || !strings.Contains(upper, "M") {
				continue
			}
			// M is mega on a resistor by the standard, and other things elsewhere.
			if milli, ok := readCode(strings.Replace(upper, "M", "L", 1), "", quantity.Ohm); ok && text == upper {
				milli.Published = chipSource
				milli.note("M as milli, as on current-sense chips with some makers")
				g.add(milli, 0.05)
			}
			if micro, ok := readCode(strings.Replace(upper, "M", "u", 1), "", quantity.Farad); ok && text == upper {
				micro.Published = commonPractice
				micro.note("M as an old sign for microfarads, as on European electrolytics")
				g.add(micro, 0.2)
			}
		}
	}
}

// readCode reads a code and a tolerance letter, which may be empty.
func readCode(text, letter string, unit quantity.Unit) (Reading, bool) {
	q, err := quantity.ParseCode(text, unit)
	if err != nil || strings.ContainsAny(text, " \t") || !strings.ContainsAny(text, "0123456789") {
		return Reading{}, false
	}
	r := Reading{Kind: Resistor, Scheme: LetterCode, Value: &q, Published: "IEC 60062, letter and digit code"}
	if unit == quantity.Farad {
		r.Kind = Capacitor
	}
	if letter != "" {
		t, err := quantity.LetterTolerance(letter, q)
		if err != nil {
			return Reading{}, false
		}
		r.Tolerance = &t
	}
	return r, true
}
