package sheet

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/part"
	"halfsplit/part/replacement"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// dielectrics gives what each kind of capacitor of a sheet is made of, where its
// type does not say it better.
var dielectrics = map[string]part.CapacitorKind{
	"electrolytic": part.AluminiumElectrolytic, "tantalum": part.SolidTantalum, "film capacitor": part.PlasticFilm,
	"ceramic capacitor": part.CeramicClass2, "paper capacitor": part.MetallisedPaper,
}

// dielectricTypes are words of a type that say more than the kind.
var dielectricTypes = []struct {
	word string
	kind part.CapacitorKind
}{
	{"non-polar", part.NonPolarElectrolytic}, {"bipolar", part.NonPolarElectrolytic}, {"mica", part.Mica}, {"class 1", part.CeramicClass1}, {"c0g", part.CeramicClass1},
	{"np0", part.CeramicClass1}, {"z5u", part.CeramicClass3}, {"y5v", part.CeramicClass3}, {"paper and foil", part.PaperFoil}, {"oiled paper", part.PaperFoil},
}

// dielectric is what the capacitor is made of, and false for another part.
func (p *Part) dielectric() (part.CapacitorKind, bool) {
	kind, ok := dielectrics[kindOf(p.Kind.Text).Name]
	if !ok {
		return 0, false
	}
	for _, t := range dielectricTypes {
		if p.says(t.word) {
			return t.kind, true
		}
	}
	return kind, true
}

// says tells whether the type holds a word.
func (p *Part) says(word string) bool { return strings.Contains(strings.ToLower(p.Type), word) }

// lowestRating is taken for a capacitor whose rated voltage is not given: the
// loss allowed is largest there, so that nothing is condemned by a guess.
const lowestRating = 6.3

// Capacitor gives the part as package part judges it, and what was assumed, which
// may be empty. The error says why it cannot be judged.
func (p *Part) Capacitor() (c part.Capacitor, assumed string, err error) {
	kind, ok := p.dielectric()
	switch {
	case !ok:
		return c, "", fmt.Errorf("%s is a %s, not a capacitor", p.Name.Text, p.Kind.Text)
	case p.value == nil:
		return c, "", fmt.Errorf("the sheet gives no value for %s", p.Name.Text)
	}
	c = part.Capacitor{Kind: kind, Nominal: p.value.Value, RatedVoltage: p.Rating(quantity.Volt)}
	if math.IsNaN(c.RatedVoltage) {
		c.RatedVoltage = lowestRating
		assumed = fmt.Sprintf("its rated voltage is not given: %g V taken, which asks least; give it, as in rated: 25 V", lowestRating)
	}
	if p.Tolerance != nil {
		c.ToleranceLow, c.ToleranceHigh = p.Tolerance.Low, p.Tolerance.High
	}
	if p.ESR != nil {
		c.Limits.ESR = p.ESR.Value
	}
	if p.Leakage != nil {
		c.Limits.Leakage = p.Leakage.Value
	}
	c.AcrossMains = p.Class != ""
	return c, assumed, nil
}

// replaceable gives what package replacement calls each kind of part.
var replaceable = map[string]replacement.Kind{
	"resistor": replacement.Resistor, "carbon resistor": replacement.Resistor, "power resistor": replacement.Resistor,
	"diode": replacement.Diode, "rectifier": replacement.Rectifier, "zener": replacement.Zener,
	"transistor": replacement.Transistor, "power transistor": replacement.Transistor, "mosfet": replacement.FieldTrans, "regulator": replacement.Regulator,
}

// Original gives the part as package replacement takes it. The ratings of a
// semiconductor may stand in its type, as in "fast 1 A 800 V". The error says why
// nothing can be said of a replacement.
func (p *Part) Original() (replacement.Part, error) {
	kind, ok := replaceable[kindOf(p.Kind.Text).Name]
	dielectric, isCapacitor := p.dielectric()
	name := strings.ToLower(p.Kind.Text)
	switch {
	case isCapacitor:
		kind = replacement.Capacitor
	case !ok, name == "reference", name == "shunt reference", name == "shunt regulator", name == "controller", name == "led":
		return replacement.Part{}, fmt.Errorf("%s is a %s, of which no value and rating tells what will serve: find its own type, or a maker's equivalent", p.Name.Text, p.Kind.Text)
	case strings.Contains(name, "bridge"):
		kind = replacement.Bridge
	}
	o := replacement.Part{Name: p.Name.Text, Kind: kind, Dielectric: dielectric, Tolerance: p.Tolerance}
	if kind == replacement.Transistor || kind == replacement.FieldTrans {
		o.Type = p.Type
	}
	if p.value != nil {
		o.Value = p.value.Value
	}
	list := p.Rated
	if p.Power != nil {
		list = append(list[:len(list):len(list)], quantity.Quantity{Value: p.Power.Value, Unit: quantity.Watt})
	}
	for _, q := range append(list[:len(list):len(list)], wiring.Figures(p.Type)...) {
		figure := map[quantity.Unit]*float64{quantity.Volt: &o.Voltage, quantity.Ampere: &o.Current, quantity.Watt: &o.Power, quantity.Celsius: &o.Temperature}[q.Unit]
		switch {
		case figure == nil || *figure != 0:
		case q.Unit == quantity.Celsius:
			*figure = q.Value + 273.15
		case kind == replacement.Regulator && q.Unit == quantity.Volt && o.Value == 0: // "negative 5 V"
			o.Value = q.Value
			if p.says("negative") {
				o.Value = -q.Value
			}
		default:
			*figure = q.Value
		}
	}
	if p.ESR != nil {
		o.ESR = p.ESR.Value
	}
	if p.Class != "" {
		class, err := part.ParseSafetyClass(p.Class)
		if err != nil {
			return replacement.Part{}, fmt.Errorf("%s: %w", p.Name.Text, err)
		}
		o.Class = class
	}
	o.Traits = p.traits()
	return o, nil
}

// traits reads what the kind, the type and the settings say beside figures.
func (p *Part) traits() []replacement.Trait {
	var list []replacement.Trait
	polarity, _ := p.Settings.Get("polarity")
	kind := strings.ToLower(p.Kind.Text)
	for _, t := range replacement.Traits() {
		word := strings.ToLower(string(t))
		if p.says(word) || strings.EqualFold(polarity.Text, string(t)) || strings.Contains(kind, word) {
			list = append(list, t)
		}
	}
	if kindOf(p.Kind.Text).Name == "carbon resistor" {
		list = append(list, replacement.Composition)
	}
	return list
}

// Placed gives the circuit in which a part stands, and the part as it stands
// there, with what the list of parts says of it; nil when it stands in none.
func (s *Sheet) Placed(name string) (circuit string, c *Circuit, p *Part) {
	for key, c := range s.Circuits.All() {
		for i := range c.Parts {
			if c.Parts[i].Name.Text == name {
				return key.Text, c, &c.Parts[i]
			}
		}
	}
	return "", nil, nil
}

// Original gives the part of that name as package replacement takes it, with what
// the list of parts and a circuit say of it together, and whether it sits beside
// something hot. The error says why nothing can be said of a replacement.
func (s *Sheet) Original(name string) (o replacement.Part, hot bool, err error) {
	listed := s.Part(name)
	if listed == nil {
		return o, false, fmt.Errorf("there is no part %q", name)
	}
	p := *listed
	if _, _, placed := s.Placed(name); placed != nil && placed != listed {
		if len(p.Rated) == 0 {
			p.Rated = placed.Rated
		}
		if p.Power == nil {
			p.Power = placed.Power
		}
		if p.Type == "" {
			p.Type = placed.Type
		}
		if len(placed.Settings) > len(p.Settings) {
			p.Settings = placed.Settings
		}
	}
	o, err = p.Original()
	return o, p.Near.Text != "", err
}
