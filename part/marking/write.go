package marking

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfsplit/part/preferred"
	"halfsplit/quantity"
)

// Part is what is to be marked: a resistance or a capacitance, and what else is
// known of it.
type Part struct {
	Value     quantity.Quantity   // ohms or farads
	Tolerance *quantity.Tolerance // nil when not known
	Voltage   float64             // rated volts; 0 when not known
	TempCo    float64             // per kelvin; 0 when not known
}

// Mark is a marking in one of the schemes.
type Mark struct {
	Scheme Scheme
	Text   string
}

// Write gives the markings that a part of this value would bear. A scheme that
// cannot hold the value exactly is left out. An error says what cannot be marked.
func Write(p Part) ([]Mark, error) {
	v := p.Value
	switch {
	case v.Unit != quantity.Ohm && v.Unit != quantity.Farad:
		return nil, fmt.Errorf("%s is neither a resistance nor a capacitance; write it as in 4.7 kohm or 100 nF", v)
	case math.IsNaN(v.Value) || math.IsInf(v.Value, 0) || v.Value < 0 || v.Value == 0 && v.Unit == quantity.Farad:
		return nil, fmt.Errorf("there is no part of %s; write a value above zero", v)
	case p.Voltage < 0 || math.IsNaN(p.Voltage) || math.IsInf(p.Voltage, 0):
		return nil, fmt.Errorf("a rating of %v V; write a voltage above zero", p.Voltage)
	case v.Value == 0:
		return []Mark{{ColourBands, "black"}, {DigitCode, "000"}, {DigitCode4, "0000"}, {LetterCode, "0R"}}, nil
	}
	var list []Mark
	if v.Unit == quantity.Ohm {
		list = p.bands()
	}
	if code := quantity.FormatCode(v); code != "" {
		list = append(list, Mark{LetterCode, code + p.letter()})
	}
	if v.Unit == quantity.Ohm {
		return append(list, p.chips()...), nil
	}
	return append(list, p.digits()...), nil
}

// letter gives the tolerance letter, or nothing.
func (p Part) letter() string {
	if p.Tolerance == nil {
		return ""
	}
	t := *p.Tolerance
	letter, ok := quantity.ToleranceLetter(t)
	if !ok {
		return ""
	}
	if back, err := quantity.LetterTolerance(letter, p.Value); err != nil || back.Unit != t.Unit || math.Abs(back.High-t.High) > 1e-9*t.High {
		return "" // below 10 pF letters are picofarads
	}
	return letter
}

// split writes a value above zero as a whole number of exactly so many digits
// and a power of ten; exact tells whether it is that value.
func split(value float64, count int) (n, exponent int, exact bool) {
	text := strconv.FormatFloat(value, 'e', count-1, 64)
	mantissa, power, _ := strings.Cut(text, "e")
	n, _ = strconv.Atoi(strings.Replace(mantissa, ".", "", 1))
	exponent, _ = strconv.Atoi(power)
	exponent -= count - 1
	return n, exponent, math.Abs(scaled(n, exponent)/value-1) < 1e-9
}

// bands gives the colour bands: three or four of two digits, five of three, six
// with the temperature coefficient.
func (p Part) bands() []Mark {
	var list []Mark
	spread := 0.2
	if p.Tolerance != nil {
		if p.Tolerance.Unit != quantity.Percent || p.Tolerance.Low != -p.Tolerance.High {
			return nil
		}
		spread = p.Tolerance.High
	}
	last, hasBand := toleranceBand(spread)
	if !hasBand && spread != 0.2 {
		return nil
	}
	for _, digits := range []int{2, 3} {
		n, exponent, exact := split(p.Value.Value, digits)
		multiplier, ok := multiplierBand(exponent)
		if !exact || !ok || digits == 3 && !hasBand {
			continue
		}
		var names []string
		for _, c := range strconv.Itoa(n) {
			names = append(names, digitBand(int(c-'0')).name)
		}
		names = append(names, multiplier.name)
		if hasBand {
			names = append(names, last.name)
		}
		list = append(list, Mark{ColourBands, strings.Join(names, " ")})
		if digits == 3 && p.TempCo > 0 {
			for _, b := range bands {
				if b.tempCo > 0 && math.Abs(b.tempCo/p.TempCo-1) < 1e-9 {
					list = append(list, Mark{ColourBands, strings.Join(append(names, b.name), " ")})
				}
			}
		}
	}
	return list
}

func digitBand(digit int) band {
	for _, b := range bands {
		if b.digit == digit {
			return b
		}
	}
	return band{}
}

func multiplierBand(exponent int) (band, bool) {
	for _, b := range bands {
		if b.exponent == exponent {
			return b, true
		}
	}
	return band{}, false
}

// chips gives the markings of chip resistors.
func (p Part) chips() []Mark {
	var list []Mark
	if n, exponent, exact := split(p.Value.Value, 2); exact && exponent >= 0 && exponent <= 9 {
		list = append(list, Mark{DigitCode, fmt.Sprintf("%d%d", n, exponent)})
	}
	n, exponent, exact := split(p.Value.Value, 3)
	if exact && exponent >= 0 && exponent <= 9 {
		list = append(list, Mark{DigitCode4, fmt.Sprintf("%d%d", n, exponent)})
	}
	if p.Tolerance != nil && p.Tolerance.High > 0.01 || !exact || !preferred.E96.Contains(p.Value.Value) {
		return list
	}
	for code := 1; code <= 96; code++ {
		if eia96Digits(code) != n {
			continue
		}
		for _, letter := range []string{"Z", "Y", "X", "A", "B", "C", "D", "E", "F"} {
			if eia96Exponents[letter] == exponent {
				list = append(list, Mark{EIA96, fmt.Sprintf("%02d%s", code, letter)})
			}
		}
	}
	return list
}

// digits gives the digit codes of a capacitor.
func (p Part) digits() []Mark {
	n, exponent, exact := split(p.Value.Value, 2)
	third := -1
	for digit, power := range thirdDigits {
		if power == exponent+12 {
			third = digit
		}
	}
	if !exact || third < 0 {
		return nil
	}
	code := fmt.Sprintf("%d%d", n, third)
	var list []Mark
	if letter := p.letter(); third == 7 {
		// only with the letter of a tantalum
	} else if letter != "" {
		list = append(list, Mark{DigitCode, code + letter})
		if volts, ok := VoltageCodeOf(p.Voltage); ok {
			list = append(list, Mark{DigitCode, volts + code + letter})
		}
	} else {
		list = append(list, Mark{DigitCode, code})
	}
	if third >= 4 && third <= 7 {
		for letter, volts := range tantalumVolts {
			if volts == p.Voltage {
				list = append(list, Mark{TantalumCode, code + letter})
			}
		}
	}
	return list
}
