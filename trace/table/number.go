package table

import (
	"encoding/binary"
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// A decimal is a number as it is written: digits times a power of ten.
type decimal struct {
	digits   uint64
	exponent int
	negative bool
}

// scan reads the number that begins at b[i], and returns the place after it. The
// slice must end with a byte that is no part of a number. ok is false where
// there is no number, or one of more digits than fit.
//
// The first eight bytes are taken at once, the decimal sign among them cut out;
// what is longer is read digit by digit.
func scan(b []byte, i int, point byte) (d decimal, next int, ok bool) {
	if b[i] == '-' {
		d.negative = true
		i++
	} else if b[i] == '+' {
		i++
	}
	count, broken := 0, -1 // digits so far; how many of them stand before the decimal sign
	if i+8 <= len(b) {
		bytes := binary.LittleEndian.Uint64(b[i:]) ^ 0x3030303030303030
		others := (bytes + 0x7676767676767676 | bytes) & 0x8080808080808080 // the high bit of each byte that is no digit
		count = bits.TrailingZeros64(others) >> 3
		i += count
		if count < 8 && b[i] == point {
			broken = count
			count = bits.TrailingZeros64(others&(others-1))>>3 - 1
			i += 1 + count - broken
			low := uint64(1)<<(8*broken&63) - 1
			bytes = bytes&low | bytes>>8&^low
		}
		d.digits = eight(bytes << (64 - 8*count))
		if count+b2i(broken >= 0) < 8 { // it ended within the eight
			if broken >= 0 {
				d.exponent = broken - count
			}
			if b[i]|0x20 == 'e' && count > 0 {
				return power(b, i, d)
			}
			return d, i, count > 0
		}
	}
	return scanOn(b, i, point, d, count, broken)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// eight gives the number that eight bytes from 0 to 9 make up, the first digit
// in the lowest byte: pairs are joined, then pairs of pairs, in one
// multiplication each.
func eight(bytes uint64) uint64 {
	bytes = bytes*10 + bytes>>8
	return (bytes&0xff000000ff*(100+1000000<<32) + bytes>>16&0xff000000ff*(1+10000<<32)) >> 32
}

// scanOn reads on, digit by digit.
func scanOn(b []byte, i int, point byte, d decimal, count, broken int) (decimal, int, bool) {
	for {
		if c := b[i] - '0'; c <= 9 {
			d.digits = d.digits*10 + uint64(c)
			count++
		} else if b[i] == point && broken < 0 {
			broken = count
		} else {
			break
		}
		i++
	}
	if broken >= 0 {
		d.exponent = broken - count
	}
	if count == 0 || count > 19 { // 19 digits fit whatever they are
		return d, i, false
	}
	if b[i]|0x20 == 'e' {
		return power(b, i, d)
	}
	return d, i, true
}

// power reads the exponent that begins with the letter at b[i].
func power(b []byte, i int, d decimal) (decimal, int, bool) {
	i++
	down := b[i] == '-'
	if down || b[i] == '+' {
		i++
	}
	begin, e := i, 0
	for c := b[i] - '0'; c <= 9; c = b[i] - '0' {
		e = min(e*10+int(c), 9999)
		i++
	}
	if down {
		e = -e
	}
	d.exponent += e
	return d, i, i > begin
}

var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// value is the nearest floating-point number. Where digits and power of ten are
// both exact one operation gives it (W. D. Clinger, "How to read floating point
// numbers accurately", 1990); all other numbers are left to the library.
func (d decimal) value() float64 {
	v := float64(d.digits)
	switch {
	case d.digits >= 1<<53 || d.exponent < -22 || d.exponent > 22:
		v, _ = strconv.ParseFloat(strconv.FormatUint(d.digits, 10)+"e"+strconv.Itoa(d.exponent), 64)
	case d.exponent < 0:
		v /= powers[-d.exponent]
	default:
		v *= powers[d.exponent]
	}
	if d.negative {
		return -v
	}
	return v
}

// The numbers that stand for an overload and for no reading (SCPI-1999, volume
// 1, section 7.2.1.4 and 7.2.1.5).
const (
	overload  = 9.9e37
	noReading = 9.91e37
)

// words are what meters write in place of a number.
var words = map[string]float64{
	"nan": math.NaN(), "-nan": math.NaN(), "+nan": math.NaN(), "na": math.NaN(), "n/a": math.NaN(), "null": math.NaN(), "none": math.NaN(), "-": math.NaN(), "--": math.NaN(), "---": math.NaN(),
	"inf": math.Inf(1), "+inf": math.Inf(1), "-inf": math.Inf(-1), "infinity": math.Inf(1), "-infinity": math.Inf(-1),
	"ol": math.Inf(1), "o.l": math.Inf(1), "o.l.": math.Inf(1), "0l": math.Inf(1), ".ol": math.Inf(1), "-ol": math.Inf(-1), "+ol": math.Inf(1),
	"ovld": math.Inf(1), "overload": math.Inf(1), "over": math.Inf(1), "overflow": math.Inf(1), "overrange": math.Inf(1),
}

// field reads a whole field, blanks around it aside: a number, a word that
// stands for one, or nothing. ok is false where it is none of these.
func field(text string, point byte, scale scale) (v float64, ok bool) {
	text = strings.TrimSpace(text)
	if text == "" {
		return math.NaN(), true
	}
	b := append([]byte(text), 0)
	if d, end, good := scan(b, 0, point); good && end == len(text) {
		return scale.apply(d), true
	}
	if v, known := words[strings.ToLower(text)]; known {
		return v, true
	}
	if strings.ContainsAny(text, "xXpP_") || !strings.ContainsAny(text, "0123456789") {
		return 0, false
	}
	if point == ',' {
		if strings.Contains(text, ".") {
			return 0, false
		}
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64) // more digits than fit
	if err != nil {
		return 0, false
	}
	return v * scale.factor * math.Pow10(scale.exponent), true
}

// A scale turns what is written into the unit that is kept: a power of ten,
// which is applied to the digits so that nothing is rounded twice, and a factor
// for the rest, as in hours.
type scale struct {
	exponent int
	factor   float64
}

// scaleOf makes the scale for a unit of the given size.
func scaleOf(size float64) scale {
	for e := -15; e <= 15; e++ {
		if math.Abs(size/math.Pow10(e)-1) < 1e-12 {
			return scale{e, 1}
		}
	}
	return scale{0, size}
}

// apply gives the value of a number in the unit that is kept.
func (s scale) apply(d decimal) float64 {
	raw := d
	d.exponent += s.exponent
	v := d.value()
	if s.factor != 1 {
		v *= s.factor
	}
	if v > overload/1e16 || v < -overload/1e16 {
		if written := raw.value(); math.Abs(written) >= overload {
			return beyond(written)
		}
	}
	return v
}

// beyond is what a number as large as an overload stands for.
func beyond(v float64) float64 {
	if math.Abs(v) == noReading {
		return math.NaN()
	}
	return math.Inf(int(math.Copysign(1, v)))
}
