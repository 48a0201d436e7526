package hazard

import (
	"fmt"

	"halfsplit/quantity"
)

// leadOhmMetre is the resistance of a stranded copper conductor of 1 mm², in
// ohms per metre: 15.6 mΩ/m at 1.25 mm². IEC 60228, class 5 (from memory).
const leadOhmMetre = 15.6e-3 * 1.25

// Lead is a mains lead.
type Lead struct {
	Length  float64 // metre; 0 for measuring at the unit's own inlet
	Section float64 // mm² of its earth conductor; 0.75 when zero
}

// Resistance is that of its earth conductor, in ohms.
func (l Lead) Resistance() float64 {
	if l.Section == 0 {
		l.Section = 0.75
	}
	return leadOhmMetre / l.Section * l.Length
}

// EarthContinuity judges the resistance in ohms between the earth pin of the
// plug and touchable metal: at most 0.1 Ω and the lead's own. Use the test
// current that the unit's protective conductor is made for; a soft test of 0.1
// to 0.2 A spares electronics, a bond test of 25 A finds a strand that hangs on
// by a thread. Old equipment may be allowed more by local codes.
func EarthContinuity(resistance float64, lead Lead) (limit float64, j Judgement, err error) {
	if err := notBelow(amount{"the earth resistance", resistance}, amount{"the length of the lead", lead.Length}, amount{"the section of the lead", lead.Section}); err != nil {
		return 0, j, err
	}
	limit = 0.1 + lead.Resistance()
	return limit, Judgement{
		Rule: "earth continuity", Passes: resistance <= limit*(1+1e-12), Source: sourceEarth,
		Text: fmt.Sprintf("%s; at most %s (0.1 Ω and %s of lead)", quantity.FormatDigits(resistance, quantity.Ohm, 3), quantity.FormatDigits(limit, quantity.Ohm, 3), quantity.FormatDigits(lead.Resistance(), quantity.Ohm, 3)),
	}, nil
}

// Insulation judges the insulation resistance in ohms between the joined mains
// conductors and earth or touchable metal, at 500 V DC (250 V where surge
// arresters would conduct): at least 1 MΩ for class I, 2 MΩ for class II,
// 0.25 MΩ for class III. Mains filters with bleeders and old mica or paper may
// read less by design: see the unit's own manual. Never put the test voltage
// across the mains conductors themselves.
func Insulation(c Class, resistance float64) (limit float64, j Judgement, err error) {
	if !(resistance >= 0) {
		return 0, j, fmt.Errorf("the insulation resistance is %g ohm; it cannot be below zero", resistance)
	}
	source := sourceInsulate
	switch c {
	case ClassI, ClassIHandHeld:
		limit, source = 1e6, sourceInsulate1
	case ClassII:
		limit = 2e6
	case ClassIII:
		limit = 0.25e6
	default:
		_, _, err := TouchLimit(c)
		return 0, j, err
	}
	return limit, Judgement{
		Rule: "insulation at 500 V DC, " + string(c), Passes: resistance >= limit, Source: source,
		Text: fmt.Sprintf("%s; at least %s", ohms(resistance), quantity.FormatDigits(limit, quantity.Ohm, 2)),
	}, nil
}
