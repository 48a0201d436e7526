package part

import (
	"errors"
	"fmt"
	"math"
)

// CapacitorKind is what a capacitor is made of, as far as its limits depend on
// it.
type CapacitorKind uint8

// The kinds of capacitor. The zero value is a capacitor of unknown kind: its
// capacitance can be judged, and its loss and leakage where the sheet gives the
// limits.
const (
	UnknownCapacitor      CapacitorKind = iota
	AluminiumElectrolytic               // polar, with liquid electrolyte
	NonPolarElectrolytic                // aluminium, two formed foils back to back
	SolidTantalum                       // manganese dioxide, dipped bead or moulded
	PlasticFilm                         // polyester, polypropylene and the like, foil or metallised
	CeramicClass1                       // low loss, stable: C0G, NP0, N150 and the like
	CeramicClass2                       // high permittivity, fairly stable: X7R, X5R, 2C1
	CeramicClass3                       // highest permittivity, unstable: Z5U, Y5V
	Mica                                // silvered or clamped
	PaperFoil                           // foil and waxed or oiled paper
	MetallisedPaper                     // metallised paper, impregnated or cast in resin
)

var capacitorKindNames = [...]string{
	UnknownCapacitor:      "capacitor of unknown kind",
	AluminiumElectrolytic: "aluminium electrolytic",
	NonPolarElectrolytic:  "non-polar aluminium electrolytic",
	SolidTantalum:         "solid tantalum",
	PlasticFilm:           "plastic film",
	CeramicClass1:         "class 1 ceramic",
	CeramicClass2:         "class 2 ceramic",
	CeramicClass3:         "class 3 ceramic",
	Mica:                  "mica",
	PaperFoil:             "paper and foil",
	MetallisedPaper:       "metallised paper",
}

// String gives the name used in the trade.
func (k CapacitorKind) String() string {
	if int(k) < len(capacitorKindNames) {
		return capacitorKindNames[k]
	}
	return fmt.Sprintf("CapacitorKind(%d)", uint8(k))
}

// electrolytic tells whether the dielectric is an oxide film: loss is then
// mostly a series resistance, and leakage is stated as a current.
func (k CapacitorKind) electrolytic() bool {
	return k == AluminiumElectrolytic || k == NonPolarElectrolytic || k == SolidTantalum
}

// paper tells whether the dielectric takes in water through a cracked case.
func (k CapacitorKind) paper() bool {
	return k == PaperFoil || k == MetallisedPaper
}

// Capacitor describes a capacitor as it is marked and as its sheet specifies
// it.
type Capacitor struct {
	Kind    CapacitorKind
	Nominal float64 // marked capacitance in farads, 1e-15 to 1000

	// ToleranceLow and ToleranceHigh are the marked tolerance as fractions of
	// the nominal value: -0.2 and +0.5 for -20..+50 %. Low lies above -1 and
	// is not positive; high is not negative. Both zero means not known, and
	// the usual tolerance of the kind is assumed.
	ToleranceLow, ToleranceHigh float64

	// RatedVoltage is in volts, 0.1 to 1e6: direct voltage, or for a
	// part with a safety class its alternating voltage.
	RatedVoltage float64

	SafetyClass SafetyClass

	// AcrossMains tells that the part sits on the mains, between the lines or
	// from a line to earth. A part with a safety class is always taken to.
	AcrossMains bool

	// Initial is what this very part read when new, in farads; zero when not
	// known. With it the change since then is judged, as endurance tests do;
	// without it only the distance from the marked tolerance can be.
	Initial float64

	// InitialESR is the series resistance of this very part when new, in ohms,
	// at the frequency of the readings; zero when not known. For electrolytics
	// the rise since then is judged beside the absolute limit.
	InitialESR float64

	Limits CapacitorLimits
}

// CapacitorLimits are limits that the service sheet gives for one capacitor.
// They go before the limits usual for its kind. A zero means not given.
type CapacitorLimits struct {
	ESR           float64 // greatest series resistance in ohms
	ESRFrequency  float64 // hertz at which ESR holds; zero: at the frequency of the reading
	LossTangent   float64 // greatest tan δ, a plain ratio
	LossFrequency float64 // hertz at which LossTangent holds; zero: at the frequency of the reading
	Leakage       float64 // greatest leakage in amperes at rated voltage
}

// onMains tells whether a failure of the part meets the mains.
func (c Capacitor) onMains() bool {
	return c.AcrossMains || c.SafetyClass != NoSafetyClass
}

// usualTolerances stand in where the marking gives none. Common practice, no
// source.
var usualTolerances = map[CapacitorKind][2]float64{
	UnknownCapacitor:      {-0.20, 0.20},
	AluminiumElectrolytic: {-0.20, 0.50},
	NonPolarElectrolytic:  {-0.20, 0.50},
	SolidTantalum:         {-0.20, 0.20},
	PlasticFilm:           {-0.10, 0.10},
	CeramicClass1:         {-0.10, 0.10},
	CeramicClass2:         {-0.20, 0.20},
	CeramicClass3:         {-0.20, 0.80},
	Mica:                  {-0.05, 0.05},
	PaperFoil:             {-0.20, 0.20},
	MetallisedPaper:       {-0.20, 0.20},
}

// Tolerance returns the tolerance that holds for the capacitor, as fractions of
// the nominal value. Where none is given it returns the one usual for the kind
// and reports that as assumed; those are common practice, no source.
func (c Capacitor) Tolerance() (low, high float64, assumed bool) {
	if c.ToleranceLow != 0 || c.ToleranceHigh != 0 {
		return c.ToleranceLow, c.ToleranceHigh, false
	}
	usual := usualTolerances[c.Kind]
	return usual[0], usual[1], true
}

// Bounds outside which a value was given in a wrong unit: no part on a board
// has less than a femtofarad or more than a thousand farads, nor a rating below
// a tenth of a volt or above a million.
const (
	leastCapacitance, mostCapacitance = 1e-15, 1e3
	leastRating, mostRating           = 0.1, 1e6
)

// Validate reports everything about the description that cannot be right, each
// with what would be.
func (c Capacitor) Validate() error {
	var wrong []error
	report := func(format string, args ...any) {
		wrong = append(wrong, fmt.Errorf("capacitor: "+format, args...))
	}
	if int(c.Kind) >= len(capacitorKindNames) {
		report("kind %d is none of those known; use UnknownCapacitor where the kind is not known", uint8(c.Kind))
	}
	if int(c.SafetyClass) >= len(safetyClassNames) {
		report("safety class %d is none of X1, X2, X3, Y1, Y2, Y3, Y4; use NoSafetyClass for a part without one", uint8(c.SafetyClass))
	}
	if !(c.Nominal >= leastCapacitance && c.Nominal <= mostCapacitance) {
		report("nominal capacitance %v F; it must be greater than zero, in farads: 4.7e-6 for 4.7 µF", c.Nominal)
	}
	if !(c.RatedVoltage >= leastRating && c.RatedVoltage <= mostRating) {
		report("rated voltage %v V; it must be greater than zero, in volts: read it off the part, or take the lowest that could be fitted there", c.RatedVoltage)
	}
	if !(c.ToleranceLow > -1 && c.ToleranceLow <= 0) {
		report("lower tolerance %v; it is a fraction above -1 and not above zero: -0.2 for -20 %%", c.ToleranceLow)
	}
	if !notNegative(c.ToleranceHigh) {
		report("upper tolerance %v; it is a fraction, zero or more: 0.5 for +50 %%", c.ToleranceHigh)
	}
	if c.Kind.electrolytic() && c.SafetyClass != NoSafetyClass {
		report("kind %v with safety class %v; class X and Y parts are film, paper or ceramic: correct the kind or the class", c.Kind, c.SafetyClass)
	}
	for _, limit := range []struct {
		name  string
		value float64
	}{
		{"ESR limit", c.Limits.ESR}, {"ESR frequency", c.Limits.ESRFrequency},
		{"loss tangent limit", c.Limits.LossTangent}, {"loss tangent frequency", c.Limits.LossFrequency},
		{"leakage limit", c.Limits.Leakage},
	} {
		if !notNegative(limit.value) {
			report("%s %v of the sheet; it must be greater than zero, or zero where the sheet gives none", limit.name, limit.value)
		}
	}
	if !notNegative(c.InitialESR) {
		report("series resistance when new %v Ω; it must be greater than zero, or zero when not known", c.InitialESR)
	}
	if !notNegative(c.Initial) {
		report("initial capacitance %v F; it must be greater than zero, or zero when not known", c.Initial)
	} else if c.Initial > 0 && len(wrong) == 0 {
		low, high, _ := c.Tolerance()
		change := c.Kind.EndOfLife().CapacitanceChange
		least, most := c.Nominal*(1+low)*(1-change), c.Nominal*(1+high)*(1+change)
		if c.Initial < least || c.Initial > most {
			report("initial capacitance %v lies outside %v to %v, where no new part with this marking lies; check the marking and the unit",
				engineering(c.Initial, "F"), engineering(least, "F"), engineering(most, "F"))
		}
	}
	return errors.Join(wrong...)
}

// notNegative tells whether x is a finite number, zero or above.
func notNegative(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
