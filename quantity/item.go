package quantity

import "strings"

// item is one number as it was found, with its unit if one was written.
type item struct {
	number  number
	meaning meaning // what the unit stands for, if one was written
	written bool    // whether a unit was written
	prefix  prefix  // a prefix that was written without a unit, or the zero prefix
	seconds float64 // the further parts of a time such as 1 h 30 min
	start   int     // where the number starts
	unitAt  int     // where the unit starts, or would start
}

// item reads one number and its unit.
func (s *scanner) item() (item, *Error) {
	s.spaces()
	it := item{start: s.at}
	n, letter, err := s.number()
	if err != nil {
		return it, err
	}
	it.number, it.unitAt = n, s.at
	if letter.isNone() {
		s.fractionOfWatt(&it.number)
	}
	if err := s.unit(&it, letter); err != nil {
		return it, err
	}
	if it.written {
		if err := s.passMode(it.meaning.unit); err != nil {
			return it, err
		}
	}
	s.furtherTimes(&it)
	return it, nil
}

// unit reads the unit of an item, if one follows.
func (s *scanner) unit(it *item, letter mark) *Error {
	if letter.isUnit() {
		it.meaning, it.written = meaning{unit: letter.unit}, true
	}
	it.prefix = letter.prefix
	numberEnd := s.at
	s.spaces()
	wordAt := s.at
	word := s.word()
	if word == "" || word == "to" {
		s.at = numberEnd
		return nil
	}
	if _, mode := SplitMode(word); mode != "" && letter.isUnit() {
		s.at = numberEnd // 5V6 DC
		return nil
	}
	it.unitAt = wordAt
	found, ok := lookUp(word)
	if s.fixed {
		found, ok = lookUpAs(word, s.wanted)
	}
	if !ok {
		found, ok = s.unitWithMode(wordAt)
	}
	switch {
	case letter.isUnit():
		if found != it.meaning {
			return s.fail(wordAt, "the letter in the number is its unit already", "write 5V6 or 5.6 V")
		}
	case letter.isPrefix():
		if !ok || found.exponent != 0 || found.scale != 0 || !units[found.unit].takes(letter.prefix) {
			return s.fail(wordAt, "the letter in the number is its prefix already", "write 4k7 Ω or 4.7 kΩ")
		}
		it.meaning = meaning{unit: found.unit, exponent: letter.prefix.exponent}
		it.written = true
	case ok:
		it.meaning, it.written = found, true
	default:
		p, alone := typedPrefix(word)
		if !alone {
			return s.unknownUnit(wordAt, word, s.text[it.start:numberEnd])
		}
		it.prefix = p
	}
	return nil
}

// unitWithMode reads a unit that is written in one word with how it was taken,
// as in VDC or Vp-p, and stops before the mode.
func (s *scanner) unitWithMode(wordAt int) (meaning, bool) {
	end := s.at
	s.at = wordAt
	rest, mode := SplitMode(s.run(inModeWord))
	if found, ok := lookUp(rest); ok && mode != "" {
		s.at = wordAt + len(rest)
		return found, true
	}
	s.at = end
	return meaning{}, false
}

// fractionOfWatt reads the rest of a resistor rating such as 1/4 W.
func (s *scanner) fractionOfWatt(n *number) {
	denominator := s.byteAt(1)
	if s.byteAt(0) != '/' || isDigit(s.byteAt(2)) || len(n.whole) != 1 || n.fraction != "" || n.exponent != 0 {
		return
	}
	thousandths := map[byte]int{'2': 500, '4': 250, '8': 125}[denominator] * int(n.whole[0]-'0')
	if thousandths == 0 || thousandths >= 1000 {
		return
	}
	before := s.at
	s.at += 2
	after := s.at
	s.spaces()
	word := s.word()
	found, ok := lookUp(word)
	s.at = after
	if ok && found == (meaning{unit: Watt}) || word == "" && s.wanted == Watt {
		n.whole, n.fraction = "", threeDigits(thousandths)
		return
	}
	s.at = before
}

// threeDigits writes a number below a thousand with its leading zeros.
func threeDigits(n int) string {
	return string([]byte{byte('0' + n/100), byte('0' + n/10%10), byte('0' + n%10)})
}

// size returns the seconds in the unit of a time.
func (m meaning) size() float64 {
	if m.scale != 0 {
		return m.scale
	}
	one, _ := number{whole: "1"}.value(m)
	return one
}

// furtherTimes reads the smaller parts of a time: the minutes of 1 h 30 min or
// of 1h30.
func (s *scanner) furtherTimes(it *item) {
	if it.meaning.scale == 0 {
		return
	}
	last := it.meaning
	for {
		before := s.at
		s.spaces()
		if !isDigit(s.byteAt(0)) {
			s.at = before
			return
		}
		glued := s.at == before
		n, letter, err := s.number()
		numberEnd := s.at
		s.spaces()
		word := s.word()
		found, ok := lookUp(word)
		if word == "" && last.scale == hour && glued && n.fraction == "" && len(n.whole) <= 2 && n.whole < "6" {
			found, ok = meaning{unit: Second, scale: minute}, true
			s.at = numberEnd
		}
		value, fits := n.value(found)
		if err != nil || !letter.isNone() || !ok || !fits || found.unit != Second || found.size() >= last.size() {
			s.at = before
			return
		}
		it.seconds += value
		last = found
	}
}

// resolve turns an item into a quantity. A number without a unit takes the
// meaning given for bare numbers; a lone prefix goes with the unit of that
// meaning if the unit was settled by the text or the caller.
func (s *scanner) resolve(it item, bare meaning, settled bool) (Quantity, *Error) {
	m := it.meaning
	switch {
	case it.written:
	case it.prefix.letter == 0:
		m = bare
	case !settled:
		return Quantity{}, s.missingUnit(it)
	default:
		short, ok := shorthand(it.prefix, bare.unit)
		if !ok {
			return Quantity{}, s.noShorthand(it, bare.unit)
		}
		m = short
	}
	if it.number.capitalE && m.unit == Ohm {
		return Quantity{}, s.fail(it.start, "E in a resistance can be read as ohms or as a power of ten", "write 4R7, or 40 MΩ")
	}
	value, ok := it.number.value(m)
	if it.number.negative {
		value -= it.seconds
	} else {
		value += it.seconds
	}
	if !ok || !inRange(value) {
		return Quantity{}, s.outOfRange(it.start)
	}
	return Quantity{Value: value, Unit: m.unit}, nil
}

// bareMeaning is what a bare number stands for where the unit is wanted.
func bareMeaning(unit Unit) meaning {
	return meaning{unit: unit, exponent: units[unit].base().exponent}
}

// follows says that something stands where the text should have ended.
func (s *scanner) follows(last item) *Error {
	switch {
	case isDigit(s.byteAt(0)) && !last.written:
		return s.fail(s.at, "a number has no spaces between thousands", "write 4700")
	case s.byteAt(0) == ',' || isDigit(s.byteAt(0)) || s.byteAt(0) == '/':
		return s.fail(s.at, "more than one value is written", "one value is wanted here, such as "+s.example())
	case strings.HasPrefix(s.text[s.at:], "..") || strings.HasPrefix(s.text[s.at:], "…"):
		return s.fail(s.at, "this is a range", "one value is wanted here, such as "+s.example())
	}
	return s.fail(s.at, "something follows the value", "write the value alone, such as "+s.example())
}

// example returns a value of the kind that is wanted.
func (s *scanner) example() string {
	if s.fixed {
		return s.wanted.Example()
	}
	return "12 V"
}
