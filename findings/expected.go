package findings

import (
	"fmt"
	"math"

	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Expectation is what should be read at a place, for those who judge readings
// without a case.
type Expectation struct {
	// Value is the expected value; it lies within the limit.
	Value quantity.Quantity
	// Limit is what is still right, in the unit of the value.
	Limit metrology.Limit
	// Ripple is the most ripple allowed in volts peak to peak; NaN when the
	// sheet does not say.
	Ripple float64
	// Source is the resistance of what is measured in ohms; zero when the sheet
	// does not say.
	Source float64
}

// Expected tells what should be read at a test point, signal or rail of a
// sheet. Limits are looked for as in a case: at the test point, the rail, its
// load family, and last in common practice. An error says that the sheet does
// not know the place, or expects no value there.
func Expected(s *sheet.Sheet, name string) (Expectation, error) {
	p := placeIn(s, name)
	if p.point == nil && s.Rail(p.signal) == nil {
		return Expectation{}, fmt.Errorf("the sheet has no test point or rail %q", name)
	}
	x, err := (&work{sheet: s}).expect(p, &logbook.Entry{})
	if err != nil {
		return Expectation{}, err
	}
	if x.value == nil {
		return Expectation{Ripple: math.NaN()}, fmt.Errorf("the sheet does not say what value %s should read", name)
	}
	return Expectation{*x.value, x.limit, x.ripple, x.source}, nil
}
