package quantity

// Quantity is a number with a unit. The value is in the unit itself, without a
// prefix: 4.7 kΩ is {4700, Ohm}. Percentages are kept as fractions: 5 % is
// {0.05, Percent}. The zero value is the plain number 0.
type Quantity struct {
	Value float64
	Unit  Unit
}

// Parse reads one value with its unit, such as "12 V", "4.7 kΩ", "2200uF", "5V6",
// "1/4 W" or "1 h 30 min". A number alone is a plain number; a prefix without a
// unit, as in "4k7", is an error, for which there is ParseAs. "V DC" and "VDC"
// are read as volts; AC, RMS and p-p are refused, and SplitMode takes them off.
// An error is an *Error.
func Parse(text string) (Quantity, error) { return parse(text, None, false) }

// ParseAs reads one value in the wanted unit. A bare number or a shorthand of
// the trade, such as "4k7", "R47", "47u" or "26.95k", takes that unit; a number
// with another unit is an error. Where a temperature is wanted, C is degrees
// Celsius; where a difference of temperature is wanted, °C is read as kelvins.
// An error is an *Error.
func ParseAs(text string, unit Unit) (Quantity, error) { return parse(text, unit, true) }

func parse(text string, wanted Unit, fixed bool) (Quantity, error) {
	s, err := scanAs(text, wanted, fixed)
	if err != nil {
		return Quantity{}, err
	}
	it, err := s.item()
	if err != nil {
		return Quantity{}, err
	}
	q, err := s.resolve(it, bareMeaning(wanted), fixed)
	if err != nil {
		return Quantity{}, err
	}
	if fixed && q.Unit != wanted {
		return Quantity{}, s.otherUnit(it, q.Unit, wanted)
	}
	if !s.done() {
		return Quantity{}, s.follows(it)
	}
	return q, nil
}

// ParseList reads values that stand one after another, each with its unit:
// "2200 uF 25 V", "2200uF, 25V" or "2200 µF / 25 V". They are separated by
// spaces, a comma, a semicolon or a stroke. An error is an *Error.
func ParseList(text string) ([]Quantity, error) { return parseList(text, None, false) }

// ParseListAs reads values as ParseList does, but the first is a value in the
// wanted unit and may be a shorthand: "4k7 0.25 W" with Ohm. An error is an
// *Error.
func ParseListAs(text string, first Unit) ([]Quantity, error) { return parseList(text, first, true) }

func parseList(text string, first Unit, fixed bool) ([]Quantity, error) {
	s, err := scanAs(text, first, fixed)
	if err != nil {
		return nil, err
	}
	var list []Quantity
	for {
		it, err := s.item()
		if err != nil {
			return nil, err
		}
		q, err := s.resolve(it, bareMeaning(s.wanted), s.fixed)
		switch {
		case err != nil:
			return nil, err
		case s.fixed && q.Unit != first:
			return nil, s.otherUnit(it, q.Unit, first)
		case !s.fixed && q.Unit == None:
			return nil, s.fail(it.unitAt, "the unit is missing", "write every value with its unit, as in 2200 uF 25 V")
		}
		list = append(list, q)
		s.wanted, s.fixed = None, false
		if s.done() {
			return list, nil
		}
		s.take(",", ";", "/")
	}
}
