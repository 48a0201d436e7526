package hazard

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"halfsplit/part/preferred"
)

// ErrNoBleeder says that none is needed: the voltage is low enough already.
var ErrNoBleeder = errors.New("no bleeder is needed: the voltage is already at or below the one to reach")

// Impossible says that no chain of usual resistors does it.
type Impossible struct{ reason string }

func (e Impossible) Error() string { return e.reason }

// BleederNeed says what a bleeder has to do.
type BleederNeed struct {
	Capacitance float64 // farad
	Voltage     float64 // volt at the start
	Safe        float64 // volt to reach; SafeVoltage when zero
	Within      float64 // seconds allowed
	// Excess is by how much the capacitance may lie above its marking, as a
	// fraction: 0.5 for −20..+50 %.
	Excess float64
	// Held tells that it is put on by hand for one discharge only, not fitted
	// across a capacitor that stays charged.
	Held bool
}

// Bleeder is a resistor that does it.
type Bleeder struct {
	Largest float64 `json:"largest_ohms"` // any resistance up to this one does it
	Value   float64 `json:"ohms"`         // of the E12 series
	Time    float64 `json:"seconds"`      // with that value and the excess allowed for
	Power   float64 `json:"watts"`        // continuous, or the mean over the discharge when held by hand
	Peak    float64 `json:"peak_watts"`   // at the start
	Rating  float64 `json:"rated_watts"`  // to buy: twice the continuous power, or a fifth of the mean when held by hand
	Pieces  int     `json:"in_series"`    // equal resistors in series, for the working voltage
	Each    float64 `json:"each_ohms"`    // of the E12 series; Pieces of it make Value or less
	EachW   float64 `json:"each_watts"`   // rating of each piece
	Working float64 `json:"working_volt"` // voltage that each must be made for
}

// powers are the usual ratings of resistors in watts, with the working voltage
// that film and wirewound ones of that size bear. Common practice, no source:
// read the data sheet of the one that is bought.
var powers = []struct{ watts, volts float64 }{
	{0.25, 250}, {0.5, 350}, {1, 500}, {2, 500}, {3, 500}, {5, 600}, {7, 700}, {10, 750}, {15, 1000}, {25, 1500}, {50, 2000}, {100, 2500},
}

// overload is how far a wirewound resistor may be overloaded for five seconds.
// Common practice, no source.
const overload = 5

// heldRating is the least rating in watts of a resistor held by hand: a
// wirewound one, which bears the overload. Common practice, no source.
const heldRating = 3

// mostPieces is the longest chain of resistors that is proposed.
const mostPieces = 60

// ChooseBleeder picks the next lower E12 value, its rating (twice the power that
// it must turn to heat) and how many in series bear the voltage. The error is
// ErrNoBleeder when none is needed, an Impossible when no chain of resistors
// does it, or says which value cannot be right.
func ChooseBleeder(need BleederNeed) (Bleeder, error) {
	if need.Safe == 0 {
		need.Safe = SafeVoltage
	}
	if err := notBelow(amount{"the excess of capacitance", need.Excess}); err != nil {
		return Bleeder{}, err
	}
	c, v := need.Capacitance*(1+need.Excess), math.Abs(need.Voltage)
	largest, err := LargestBleeder(c, v, need.Safe, need.Within)
	switch {
	case err != nil:
		return Bleeder{}, err
	case math.IsInf(largest, 1):
		return Bleeder{}, ErrNoBleeder
	}
	b := Bleeder{Largest: largest, Value: preferred.E12.AtMost(largest)}
	d := Discharge{c, v, b.Value}
	b.Time, b.Peak = d.TimeTo(need.Safe), d.PeakPower()
	b.Power = b.Peak // for as long as it is charged
	least := 2 * b.Power
	if need.Held {
		b.Power = (Store{c, v}.Energy() - Store{c, need.Safe}.Energy()) / b.Time
		least = max(b.Power/overload, b.Peak/(2*overload), heldRating)
	}
	for b.Pieces = 1; ; b.Pieces++ {
		if b.Pieces > mostPieces {
			return Bleeder{}, Impossible{fmt.Sprintf("to turn %.3g W to heat at %.3g V needs more than %d resistors: allow more time, or discharge it by other means", least, v, mostPieces)}
		}
		i := slices.IndexFunc(powers, func(p struct{ watts, volts float64 }) bool { return p.watts >= least/float64(b.Pieces) })
		if i < 0 || powers[i].volts < v/float64(b.Pieces) {
			continue
		}
		b.EachW = powers[i].watts
		break
	}
	b.Each, b.Working = b.Value, v/float64(b.Pieces)
	if b.Pieces > 1 {
		b.Each = preferred.E12.AtMost(b.Value / float64(b.Pieces) * (1 + 1e-9))
		b.Value = b.Each * float64(b.Pieces)
		d.Resistance = b.Value
		b.Time, b.Peak = d.TimeTo(need.Safe), d.PeakPower()
		if !need.Held {
			b.Power = b.Peak
		}
	}
	b.Rating = b.EachW * float64(b.Pieces)
	return b, nil
}
