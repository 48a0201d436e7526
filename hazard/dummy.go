package hazard

import (
	"fmt"
	"math"

	"halfsplit/part/preferred"
)

// Rail is a supply rail that must not run, or not be judged, without load.
type Rail struct {
	Name    string
	Voltage float64 // nominal, volt; the sign does not matter
	Least   float64 // least load, ampere
	Normal  float64 // normal load, ampere; 0 when not known
}

// DummyLoad is a resistor that loads a rail.
type DummyLoad struct {
	Rail    string  `json:"rail"`
	Value   float64 `json:"ohms"`    // of the E12 series
	Current float64 `json:"amperes"` // that it draws at the nominal voltage
	Power   float64 `json:"watts"`
	Rating  float64 `json:"rated_watts"` // to buy: at least twice the power
	Caution string  `json:"caution,omitempty"`
}

// touchable is the power from which a resistor burns fingers and bench tops.
// Common practice, no source.
const touchable = 2.0

// ChooseDummyLoad picks the next lower E12 value that draws at least the least
// load at the nominal voltage, and a rating of twice its power (common
// practice). A caution is given when that exceeds the normal load, and when it
// runs hot.
func ChooseDummyLoad(r Rail) (DummyLoad, error) {
	v := math.Abs(r.Voltage)
	if err := above(amount{"the nominal voltage of " + r.Name, v}, amount{"the least load of " + r.Name, r.Least}); err != nil {
		return DummyLoad{}, err
	}
	if err := notBelow(amount{"the normal load of " + r.Name, r.Normal}); err != nil {
		return DummyLoad{}, err
	}
	if r.Normal > 0 && r.Normal < r.Least {
		return DummyLoad{}, fmt.Errorf("the normal load of %s is %g A, less than its least load of %g A", r.Name, r.Normal, r.Least)
	}
	d := DummyLoad{Rail: r.Name, Value: preferred.E12.AtMost(v / r.Least)}
	d.Current, d.Power = v/d.Value, v*v/d.Value
	d.Rating = math.Inf(1)
	for _, p := range powers {
		if p.watts >= 2*d.Power {
			d.Rating = p.watts
			break
		}
	}
	if math.IsInf(d.Rating, 1) {
		d.Rating = 50 * math.Ceil(2*d.Power/50)
	}
	switch {
	case r.Normal > 0 && d.Current > r.Normal*(1+1e-9):
		d.Caution = "it draws more than the normal load: make the value up from several to come nearer"
	case d.Power >= touchable:
		d.Caution = "it gets hot enough to burn: on a heat sink or in free air"
	}
	return d, nil
}
