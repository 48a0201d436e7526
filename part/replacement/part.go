package replacement

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfsplit/part"
	"halfsplit/quantity"
)

// Kind is a kind of part that can be replaced by another.
type Kind string

// The kinds.
const (
	Resistor   Kind = "resistor"
	Capacitor  Kind = "capacitor"
	Diode      Kind = "diode"
	Rectifier  Kind = "rectifier"
	Bridge     Kind = "bridge"
	Zener      Kind = "zener"
	Transistor Kind = "transistor"
	FieldTrans Kind = "field-effect transistor"
	Regulator  Kind = "regulator"
)

// Kinds lists the kinds.
func Kinds() []Kind {
	return []Kind{Resistor, Capacitor, Diode, Rectifier, Bridge, Zener, Transistor, FieldTrans, Regulator}
}

// Trait is something a part is beside its figures.
type Trait string

// The traits. Of those of a resistor, fusible parts open safely when overloaded;
// wirewound ones have inductance; composition ones stand pulses.
const (
	Fusible     Trait = "fusible"
	Wirewound   Trait = "wirewound"
	Composition Trait = "carbon composition"
	Schottky    Trait = "Schottky"
	Fast        Trait = "fast"
	Germanium   Trait = "germanium"
	Darlington  Trait = "Darlington"
	LowESR      Trait = "low ESR"
	Polymer     Trait = "polymer"
	NPN         Trait = "npn"
	PNP         Trait = "pnp"
	NChannel    Trait = "n-channel"
	PChannel    Trait = "p-channel"
)

// Traits lists the traits.
func Traits() []Trait {
	return []Trait{Fusible, Wirewound, Composition, Schottky, Fast, Germanium, Darlington, LowESR, Polymer, NPN, PNP, NChannel, PChannel}
}

// Part is a part as it is marked or listed. A figure of zero is not known.
type Part struct {
	Name       string             `json:"part,omitempty"`
	Kind       Kind               `json:"kind"`
	Type       string             `json:"type,omitempty"`
	Dielectric part.CapacitorKind `json:"-"`
	Class      part.SafetyClass   `json:"-"`
	Traits     []Trait            `json:"traits,omitempty"`

	// Value is ohms, farads, or the volts of a zener or regulator; a negative
	// regulator has a negative one.
	Value     float64             `json:"value,omitempty"`
	Tolerance *quantity.Tolerance `json:"-"`
	// Voltage is the rating in volts: alternating for a capacitor with a safety
	// class, reverse for a diode, collector to emitter or drain to source for a
	// transistor, of the input for a regulator.
	Voltage     float64 `json:"voltage,omitempty"`
	Current     float64 `json:"current,omitempty"` // amperes; mean forward current of a diode, ripple of a capacitor
	Power       float64 `json:"power,omitempty"`   // watts
	Temperature float64 `json:"temperature,omitempty"`
	ESR         float64 `json:"esr,omitempty"`                  // ohms at 100 kHz
	Recovery    float64 `json:"recovery,omitempty"`             // seconds
	Gain        float64 `json:"gain,omitempty"`                 // least current gain
	Transition  float64 `json:"transition_frequency,omitempty"` // hertz
	Dropout     float64 `json:"dropout,omitempty"`              // volts
	TempCo      float64 `json:"temperature_coefficient,omitempty"`
	Pins        string  `json:"pins,omitempty"` // order of the pins, as in "E C B"
}

// Has tells whether a part has a trait.
func (p Part) Has(t Trait) bool { return slices.Contains(p.Traits, t) }

// unit is that of the value.
func (p Part) unit() quantity.Unit {
	switch p.Kind {
	case Resistor:
		return quantity.Ohm
	case Capacitor:
		return quantity.Farad
	case Zener, Regulator:
		return quantity.Volt
	}
	return quantity.None
}

// spread is the tolerance as fractions, and whether it is the usual one of the
// kind, assumed.
func (p Part) spread() (low, high float64, assumed bool) {
	if t := p.Tolerance; t != nil {
		if t.Unit != quantity.Percent && p.Value != 0 {
			return t.Low / math.Abs(p.Value), t.High / math.Abs(p.Value), false
		}
		return t.Low, t.High, false
	}
	switch p.Kind {
	case Capacitor:
		low, high, _ = part.Capacitor{Kind: p.Dielectric}.Tolerance()
	case Resistor:
		low, high = -0.05, 0.05
	case Zener:
		low, high = -0.05, 0.05
	case Regulator:
		low, high = -0.04, 0.04
	}
	return low, high, true
}

// String writes the part as one would order it: "4700 µF 35 V", "4.7 kΩ ±5 % 0.25 W".
func (p Part) String() string {
	var words []string
	if p.Type != "" {
		words = append(words, p.Type)
	}
	if p.Value != 0 {
		words = append(words, quantity.Quantity{Value: rounded(p.Value), Unit: p.unit()}.String())
	}
	if p.Tolerance != nil {
		words = append(words, p.Tolerance.String())
	}
	for _, f := range []struct {
		value float64
		unit  quantity.Unit
	}{{p.Voltage, quantity.Volt}, {p.Current, quantity.Ampere}, {p.Power, quantity.Watt}} {
		if f.value > 0 {
			text := quantity.Quantity{Value: rounded(f.value), Unit: f.unit}.String()
			if f.unit == quantity.Volt && p.Class != part.NoSafetyClass {
				text += " AC"
			}
			words = append(words, text)
		}
	}
	if p.Temperature > 0 {
		words = append(words, fmt.Sprintf("%.0f °C", p.Temperature-273.15))
	}
	if p.Class != part.NoSafetyClass {
		words = append(words, "class "+p.Class.String())
	}
	what := string(p.Kind)
	if p.Kind == Capacitor {
		what = p.Dielectric.String()
	}
	for _, t := range p.Traits {
		words = append(words, string(t))
	}
	if len(words) == 0 || p.Type == "" {
		words = append(words, what)
	}
	return strings.Join(words, " ")
}

// rounded drops digits that only arithmetic made.
func rounded(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64)
	return y
}

// Validate reports everything that cannot be right.
func (p Part) Validate() error {
	var wrong []error
	report := func(format string, values ...any) {
		name := p.Name
		if name == "" {
			name = string(p.Kind)
		}
		wrong = append(wrong, fmt.Errorf(name+": "+format, values...))
	}
	if !slices.Contains(Kinds(), p.Kind) {
		report("%q is no kind that can be replaced; the kinds are %v", p.Kind, Kinds())
	}
	if math.IsNaN(p.Value) || math.IsInf(p.Value, 0) || p.Value < 0 && p.Kind != Regulator {
		report("a value of %v; it must be above zero", p.Value)
	}
	for _, f := range []struct {
		name  string
		value float64
		most  float64
	}{
		{"voltage", p.Voltage, 1e6}, {"current", p.Current, 1e5}, {"power", p.Power, 1e6}, {"temperature", p.Temperature, 773}, {"ESR", p.ESR, 1e9},
		{"recovery", p.Recovery, 1}, {"gain", p.Gain, 1e6}, {"transition frequency", p.Transition, 1e12}, {"dropout", p.Dropout, 1e3}, {"temperature coefficient", p.TempCo, 1},
	} {
		if !(f.value >= 0 && f.value <= f.most) {
			report("a %s of %v; it must be above zero and no more than %g", f.name, f.value, f.most)
		}
	}
	if p.Temperature > 0 && p.Temperature < 273 {
		report("a rated temperature of %.0f °C; write 85 °C or 105 °C", p.Temperature-273.15)
	}
	if p.Kind == Capacitor && p.Value > 0 {
		c := part.Capacitor{Kind: p.Dielectric, Nominal: p.Value, RatedVoltage: p.Voltage}
		if p.Voltage == 0 {
			c.RatedVoltage = 1
		}
		if err := c.Validate(); err != nil {
			wrong = append(wrong, err)
		}
	}
	if t := p.Tolerance; t != nil && (t.Low > t.High || math.IsNaN(t.Low) || math.IsNaN(t.High) || t.Unit == quantity.Percent && t.Low <= -1) {
		report("a tolerance of %v; write it as in ±5 %%", t)
	}
	if p.Has(NPN) && p.Has(PNP) || p.Has(NChannel) && p.Has(PChannel) {
		report("it cannot be of both polarities")
	}
	return errors.Join(wrong...)
}

// Stress is what a part bears in its circuit. A figure of zero is not known.
type Stress struct {
	Voltage     float64 `json:"voltage,omitempty"`      // greatest between its ends, volts
	Current     float64 `json:"current,omitempty"`      // greatest, amperes
	Mean        float64 `json:"mean_current,omitempty"` // mean forward current, amperes
	RMS         float64 `json:"rms_current,omitempty"`  // of the ripple, amperes
	Dissipation float64 `json:"dissipation,omitempty"`  // watts
	Frequency   float64 `json:"frequency,omitempty"`    // hertz, of what repeats there
	Headroom    float64 `json:"headroom,omitempty"`     // least volts between input and output of a regulator
	Hot         bool    `json:"beside_something_hot,omitempty"`
}

// Validate reports everything that cannot be right.
func (s Stress) Validate() error {
	var wrong []error
	for name, value := range map[string]float64{"voltage": s.Voltage, "current": s.Current, "mean current": s.Mean, "ripple current": s.RMS,
		"dissipation": s.Dissipation, "frequency": s.Frequency, "headroom": s.Headroom} {
		if !(value >= 0) || math.IsInf(value, 0) {
			wrong = append(wrong, fmt.Errorf("the %s it bears is %v; it must be zero or more", name, value))
		}
	}
	return errors.Join(wrong...)
}

// Use is what a part is there for.
type Use string

// The uses. AsMarked is taken where nothing is said.
const (
	AsMarked  Use = "as marked"
	Smoothing Use = "smoothing" // reservoir, decoupling, start-up
	Coupling  Use = "coupling"
	Timing    Use = "timing" // tuning, filtering, timing: the value counts
)

// Uses lists the uses.
func Uses() []Use { return []Use{AsMarked, Smoothing, Coupling, Timing} }
