package marking

import (
	"slices"
	"strconv"
	"strings"

	"halfsplit/quantity"
)

// iecColours is where the code of the bands is published.
const iecColours = "IEC 60062, colour code"

// band is a colour with what it stands for. A digit of -1, a tolerance or a
// temperature coefficient of zero stand for nothing.
type band struct {
	name, short string // the short form is IEC 60757, "Code for designation of colours"
	others      []string
	digit       int
	exponent    int
	tolerance   float64 // fraction
	tempCo      float64 // per kelvin
	note        string  // where older tables differ
}

// bands is the table of IEC 60062:2016. Orange and yellow as tolerance were 3 %
// and 4 % in old EIA tables, which resistors of four bands may follow; grey is
// 0.05 % in the edition before.
var bands = []band{
	{name: "pink", short: "PK", digit: -1, exponent: -3},
	{name: "silver", short: "SR", others: []string{"slv", "sil", "ag"}, digit: -1, exponent: -2, tolerance: 0.1},
	{name: "gold", short: "GD", others: []string{"gld", "au"}, digit: -1, exponent: -1, tolerance: 0.05},
	{name: "black", short: "BK", others: []string{"blk"}, digit: 0, exponent: 0, tempCo: 250e-6},
	{name: "brown", short: "BN", others: []string{"brn"}, digit: 1, exponent: 1, tolerance: 0.01, tempCo: 100e-6},
	{name: "red", short: "RD", digit: 2, exponent: 2, tolerance: 0.02, tempCo: 50e-6},
	{name: "orange", short: "OG", others: []string{"org", "orn"}, digit: 3, exponent: 3, tolerance: 0.0005, tempCo: 15e-6, note: "orange was ±3 % in old EIA tables"},
	{name: "yellow", short: "YE", others: []string{"yel"}, digit: 4, exponent: 4, tolerance: 0.0002, tempCo: 25e-6, note: "yellow was ±4 % in old EIA tables"},
	{name: "green", short: "GN", others: []string{"grn"}, digit: 5, exponent: 5, tolerance: 0.005, tempCo: 20e-6},
	{name: "blue", short: "BU", others: []string{"blu"}, digit: 6, exponent: 6, tolerance: 0.0025, tempCo: 10e-6},
	{name: "violet", short: "VT", others: []string{"vio", "purple", "pur"}, digit: 7, exponent: 7, tolerance: 0.001, tempCo: 5e-6},
	{name: "grey", short: "GY", others: []string{"gray", "gry"}, digit: 8, exponent: 8, tolerance: 0.0001, tempCo: 1e-6, note: "grey is ±0.05 % in the edition of IEC 60062 before 2016"},
	{name: "white", short: "WH", others: []string{"wht"}, digit: 9, exponent: 9},
}

// colourOf finds a colour by any of its names.
func colourOf(word string) (band, bool) {
	lower := strings.ToLower(word)
	i := slices.IndexFunc(bands, func(b band) bool {
		return lower == b.name || lower == strings.ToLower(b.short) || slices.Contains(b.others, lower)
	})
	if i < 0 {
		return band{}, false
	}
	return bands[i], true
}

// colourWords splits a text into colours; false when a word of it is none.
func colourWords(text string) (list []band, ok bool) {
	words := strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(" ,;/-", c) })
	if len(words) == 1 && len(text) >= 6 && len(text)%2 == 0 && text == strings.ToUpper(text) { // BNBKRDGD
		words = nil
		for i := 0; i+2 <= len(text); i += 2 {
			words = append(words, text[i:i+2])
		}
	}
	for _, word := range words {
		b, known := colourOf(word)
		if !known {
			return nil, false
		}
		list = append(list, b)
	}
	return list, len(list) > 0
}

func isColours(words []string) bool {
	_, ok := colourWords(strings.Join(words, " "))
	return ok
}

// colours reads the text as colour bands, from both ends; false when it names no
// colours.
func (g *gatherer) colours(text string) bool {
	list, ok := colourWords(text)
	if !ok {
		return false
	}
	switch n := len(list); {
	case n == 1 && list[0].name == "black":
		zero := quantity.Quantity{Unit: quantity.Ohm}
		g.add(Reading{Kind: Resistor, Scheme: ColourBands, Value: &zero, Published: "common practice, no source"}, 1)
		return true
	case n < 3 || n > 6:
		g.refuse("as colour bands: %d bands; a resistor has 3 to 6, or a single black one for a link", n)
		return true
	}
	g.fromOneEnd(list, false)
	turned := slices.Clone(list)
	slices.Reverse(turned)
	if !slices.EqualFunc(turned, list, func(a, b band) bool { return a.name == b.name }) {
		g.fromOneEnd(turned, true)
	}
	return true
}

// fromOneEnd reads bands in the order given.
func (g *gatherer) fromOneEnd(list []band, backwards bool) {
	weight, end := 1.0, "as written"
	if backwards {
		weight, end = 0.25, "from the other end"
	}
	add := func(r Reading, of float64) {
		r.Backwards = backwards
		if backwards {
			r.note("bands read from the other end")
		}
		g.add(r, weight*of)
	}
	digits := 2
	if len(list) >= 5 {
		digits = 3
	}
	r, why := bandResistor(list, digits)
	if why == "" {
		add(r, 1)
	} else {
		g.refuse("as colour bands %s: %s", end, why)
	}
	if len(list) == 5 && list[3].tolerance >= 0.02 {
		if r, why := bandResistor(list[:4], 2); why == "" && list[4].digit >= 1 && list[4].digit <= 4 {
			r.Scheme, r.Published = Reliability, "MIL-R-39008, from memory"
			r.note("the fifth band, %s, then is the failure rate", list[4].name)
			add(r, 0.25)
		}
	}
	if r, ok := bandFilm(list); ok {
		add(r, 0.3)
	}
	if r, ok := bandChoke(list); ok {
		add(r, 0.12)
	}
}

// significand reads the digits of bands and the power of ten after them, in units
// of 10^unit.
func significand(list []band, digits, unit int) (value float64, why string) {
	n := 0
	for i, b := range list[:digits] {
		switch {
		case b.digit < 0:
			return 0, b.name + " never stands for a digit"
		case i == 0 && b.digit == 0:
			return 0, "a value does not begin with black"
		}
		n = 10*n + b.digit
	}
	return scaled(n, list[digits].exponent+unit), ""
}

// scaled gives n·10^exponent, the nearest number to its decimal digits.
func scaled(n, exponent int) float64 {
	x, _ := strconv.ParseFloat(strconv.Itoa(n)+"e"+strconv.Itoa(exponent), 64)
	return x
}

// bandResistor reads the bands of a resistor: digits, multiplier, tolerance and
// temperature coefficient.
func bandResistor(list []band, digits int) (Reading, string) {
	value, why := significand(list, digits, 0)
	if why != "" {
		return Reading{}, why
	}
	r := Reading{Kind: Resistor, Scheme: ColourBands, Value: &quantity.Quantity{Value: value, Unit: quantity.Ohm}, Published: iecColours}
	spread := 0.2
	if len(list) > digits+1 {
		b := list[digits+1]
		if spread = b.tolerance; spread == 0 {
			return Reading{}, b.name + " stands for no tolerance"
		}
		if b.note != "" {
			r.note("%s", b.note)
		}
	} else {
		r.note("no tolerance band: ±20 %%")
	}
	r.Tolerance = &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}
	if len(list) > digits+2 {
		b := list[digits+2]
		if b.tempCo == 0 {
			return Reading{}, b.name + " stands for no temperature coefficient"
		}
		r.TempCo = &quantity.Quantity{Value: b.tempCo, Unit: quantity.PPMPerKelvin}
	}
	return r, ""
}

// Tolerances and voltages of the bands of film capacitors of the 1970s; common
// practice, from memory.
var (
	filmTolerances = map[string]float64{"black": 0.2, "white": 0.1, "green": 0.05, "red": 0.02, "brown": 0.01}
	filmVoltages   = map[string]float64{"brown": 100, "red": 250, "yellow": 400, "blue": 630}
)

// bandFilm reads the four or five bands of a polyester capacitor, in picofarads.
func bandFilm(list []band) (Reading, bool) {
	if len(list) != 4 && len(list) != 5 {
		return Reading{}, false
	}
	value, why := significand(list, 2, -12)
	spread, known := filmTolerances[list[3].name]
	volts, rated := 0.0, list[3].digit != 1 && list[3].digit != 2 // a resistor then, without the band for the voltage
	if len(list) == 5 {
		volts, rated = filmVoltages[list[4].name]
	}
	if why != "" || !known || !rated || value < 100e-12 || value > 10e-6 {
		return Reading{}, false
	}
	r := Reading{Kind: Capacitor, Scheme: CapacitorBand, Published: "common practice, from memory",
		Value:     &quantity.Quantity{Value: value, Unit: quantity.Farad},
		Tolerance: &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}}
	if volts > 0 {
		r.rate(volts)
	}
	return r, true
}

// bandChoke reads the three or four bands of a moulded choke, in microhenries.
func bandChoke(list []band) (Reading, bool) {
	if len(list) > 4 {
		return Reading{}, false
	}
	value, why := significand(list, 2, -6)
	if why != "" || value > 1 || list[2].exponent < -2 {
		return Reading{}, false
	}
	spread := 0.2
	if len(list) == 4 {
		spread = list[3].tolerance
	}
	if spread < 0.01 {
		return Reading{}, false
	}
	return Reading{Kind: Inductor, Scheme: ChokeBands, Published: "common practice, from memory",
		Value:     &quantity.Quantity{Value: value, Unit: quantity.Henry},
		Tolerance: &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}}, true
}
