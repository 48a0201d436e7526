package metrology

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Rail is what a family of loads, or the design guide of a supply, says about
// one supply rail.
type Rail struct {
	// Family is the family's name.
	Family string
	// Name is the rail's name at the load or the connector.
	Name string
	// Nominal is the nominal voltage, in volts; zero for a family that works
	// over a range of voltages.
	Nominal float64
	// Limit is the range in which the load works as specified, in volts.
	Limit Limit
	// Ripple is the limit of the peak-to-peak ripple, in volts; its Source is
	// empty when none is known.
	Ripple Limit
	// Trip is the range in which an over-voltage trip must act, in volts; its
	// Source is empty when none is known.
	Trip Limit
	// AbsoluteMaximum is the voltage, by magnitude, beyond which the part may
	// be destroyed, in volts; zero when not known.
	AbsoluteMaximum float64
	// Note is what else one should know, such as makers that differ.
	Note string
}

// Families returns the names of the families of which limits are known.
func Families() []string {
	var names []string
	for _, f := range families() {
		names = append(names, f.name)
	}
	return names
}

// FamilyLimits returns the rails of a family of loads by its name or the
// series number that stands for it ("TTL", "74LS", "military TTL", "4116",
// "ATX"). Case, spaces, dashes and dots do not matter. An unknown name gives
// an error that lists those known.
//
// Source: data sheets and design guides, named in each limit.
func FamilyLimits(name string) ([]Rail, error) {
	wanted := folded(name)
	for _, f := range families() {
		if wanted != folded(f.name) && !slices.ContainsFunc(f.aliases, func(alias string) bool { return folded(alias) == wanted }) {
			continue
		}
		for i := range f.rails {
			f.rails[i].Family = f.name
		}
		return f.rails, nil
	}
	return nil, fmt.Errorf("metrology: no limits known for the load family %q; known are %s", name, strings.Join(Families(), ", "))
}

// FamilyLimit returns the rail of a family that has the given nominal
// voltage, in volts: within 2 % of the family's own, so that 5 V and 5.0 V
// agree and 5 V and 5.5 V do not. A family that works over a range of
// voltages takes any within its range.
func FamilyLimit(name string, nominal float64) (Rail, error) {
	rails, err := FamilyLimits(name)
	if err != nil {
		return Rail{}, err
	}
	var known []string
	for _, r := range rails {
		if r.Nominal == 0 && r.Limit.Contains(nominal) {
			return r, nil
		}
		if r.Nominal != 0 && math.Abs(nominal-r.Nominal) <= 0.02*math.Abs(r.Nominal) {
			return r, nil
		}
		if r.Nominal == 0 {
			known = append(known, fmt.Sprintf("%s %g to %g V", r.Name, r.Limit.Low, r.Limit.High))
		} else {
			known = append(known, fmt.Sprintf("%s %g V", r.Name, r.Nominal))
		}
	}
	return Rail{}, fmt.Errorf("metrology: the load family %q has no rail of %g V; it has %s", rails[0].Family, nominal, strings.Join(known, ", "))
}

// folded returns a name in the form in which names are compared.
func folded(name string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\t', '-', '‑', '_', '.', '/':
			return -1
		case '×':
			return 'x'
		}
		return r
	}, strings.ToLower(name))
}

// Trip says how a rail stands to its over-voltage trip.
type Trip int

// The states of a rail against its trip.
const (
	// BelowTrip: the trip must not act.
	BelowTrip Trip = iota
	// MayTrip: the trip may act or not.
	MayTrip
	// MustHaveTripped: the trip should have acted; it is missing or failed.
	MustHaveTripped
)

// String returns the state in words.
func (t Trip) String() string {
	switch t {
	case BelowTrip:
		return "below trip range"
	case MayTrip:
		return "may trip"
	case MustHaveTripped:
		return "must have tripped"
	}
	return fmt.Sprintf("Trip(%d)", int(t))
}

// TripState compares a voltage with the range in which an over-voltage trip
// must act, limits included. Negative rails are compared by magnitude.
func TripState(volts float64, trip Limit) (Trip, error) {
	if err := trip.Check(); err != nil {
		return 0, err
	}
	if !finite(volts) {
		return 0, fmt.Errorf("metrology: a rail of %g V; it must be a finite number", volts)
	}
	switch size := math.Abs(volts); {
	case size < trip.Low:
		return BelowTrip, nil
	case size <= trip.High:
		return MayTrip, nil
	}
	return MustHaveTripped, nil
}
