package replacement

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfsplit/part"
	"halfsplit/quantity"
)

// CommonPractice marks a rule without an authority.
const CommonPractice = part.CommonPractice

// Figure is what a requirement is about.
type Figure string

// The figures.
const (
	Value       Figure = "value"
	Tolerance   Figure = "tolerance"
	Voltage     Figure = "voltage"
	Current     Figure = "current"
	Power       Figure = "power"
	Temperature Figure = "temperature"
	Ripple      Figure = "ripple current"
	ESR         Figure = "ESR"
	Recovery    Figure = "recovery time"
	Gain        Figure = "current gain"
	Transition  Figure = "transition frequency"
	Dropout     Figure = "dropout"
	TempCo      Figure = "temperature coefficient"
)

// unitOf gives the unit of a figure; that of the value depends on the part.
var unitOf = map[Figure]quantity.Unit{
	Tolerance: quantity.Percent, Voltage: quantity.Volt, Current: quantity.Ampere, Power: quantity.Watt, Temperature: quantity.Celsius, Ripple: quantity.Ampere,
	ESR: quantity.Ohm, Recovery: quantity.Second, Gain: quantity.None, Transition: quantity.Hertz, Dropout: quantity.Volt, TempCo: quantity.PPMPerKelvin,
}

// read gives a figure of a part; zero when not known.
func (f Figure) read(p Part) float64 {
	switch f {
	case Value:
		return p.Value
	case Tolerance:
		if p.Tolerance == nil {
			return 0
		}
		low, high, _ := p.spread()
		return math.Max(-low, high)
	case Voltage:
		return p.Voltage
	case Current, Ripple:
		return p.Current
	case Power:
		return p.Power
	case Temperature:
		return p.Temperature
	case ESR:
		return p.ESR
	case Recovery:
		return p.Recovery
	case Gain:
		return p.Gain
	case Transition:
		return p.Transition
	case Dropout:
		return p.Dropout
	case TempCo:
		return p.TempCo
	}
	return 0
}

// Requirement is a limit on one figure, both ends included; High is infinite
// where there is no upper one.
type Requirement struct {
	Figure    Figure
	Unit      quantity.Unit
	Low, High float64
	Why       string
	Source    string
	// Wish says that a part which does not say this figure is not refused.
	Wish bool
}

// String writes the limits: "voltage at least 35 V".
func (r Requirement) String() string { return string(r.Figure) + " " + r.limits() }

// limits writes the limits alone.
func (r Requirement) limits() string {
	low, high := r.Low, r.High
	if r.Figure == Temperature {
		low, high = r.Low-273.15, r.High-273.15
	}
	write := func(x float64) string {
		if r.Figure == Temperature {
			return fmt.Sprintf("%.0f °C", x)
		}
		return figure(x, r.Unit)
	}
	switch {
	case math.IsInf(r.High, 1):
		return "at least " + write(low)
	case r.Low == 0 || math.IsInf(r.Low, -1):
		return "at most " + write(high)
	}
	return write(low) + " to " + write(high)
}

// figure writes a value with three digits at most.
func figure(x float64, unit quantity.Unit) string {
	if math.IsInf(x, 0) {
		return quantity.Quantity{Value: x, Unit: unit}.String()
	}
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	return quantity.Quantity{Value: short, Unit: unit}.String()
}

// meets tells whether a figure lies within the limits, rounding left aside.
func (r Requirement) meets(x float64) bool {
	const rounding = 1e-9
	return x >= r.Low-rounding*math.Abs(r.Low) && x <= r.High+rounding*math.Abs(r.High)
}

// Need is what a replacement has to be.
type Need struct {
	Original     Part
	Stress       Stress
	Use          Use
	Requirements []Requirement
	Pick         Part     // from the values and ratings that are made, none below the original's
	Never        []string // what must not be put in, with the reason
	Warnings     []string
	Notes        []string

	kinds func(Part) string // why a kind of candidate will not do; empty when it will
}

// require adds a requirement, unless its limit is not known.
func (n *Need) require(f Figure, low, high float64, source, format string, values ...any) {
	unit := unitOf[f]
	if f == Value {
		unit = n.Original.unit()
	}
	n.Requirements = append(n.Requirements, Requirement{Figure: f, Unit: unit, Low: low, High: high, Why: fmt.Sprintf(format, values...), Source: source})
}

// wish adds a requirement that a part is not refused for when it does not say the
// figure.
func (n *Need) wish(f Figure, low, high float64, source, format string, values ...any) {
	n.require(f, low, high, source, format, values...)
	n.Requirements[len(n.Requirements)-1].Wish = true
}

func (n *Need) warn(format string, values ...any) {
	n.Warnings = append(n.Warnings, fmt.Sprintf(format, values...))
}
func (n *Need) note(format string, values ...any) {
	n.Notes = append(n.Notes, fmt.Sprintf(format, values...))
}
func (n *Need) never(format string, values ...any) {
	n.Never = append(n.Never, fmt.Sprintf(format, values...))
}

// limit finds the requirement on a figure.
func (n *Need) limit(f Figure) (Requirement, bool) {
	for _, r := range n.Requirements {
		if r.Figure == f {
			return r, true
		}
	}
	return Requirement{Low: 0, High: math.Inf(1)}, false
}

// For says what will serve in the place of a part, from its marking and from what
// it bears. The error names everything that cannot be right.
func For(original Part, bears Stress, use Use) (Need, error) {
	if err := errors.Join(original.Validate(), bears.Validate()); err != nil {
		return Need{}, err
	}
	if use == "" {
		use = AsMarked
	}
	n := Need{Original: original, Stress: bears, Use: use}
	if original.Value == 0 && original.unit() != quantity.None {
		return Need{}, fmt.Errorf("the value of the %s is not known; write it as marked, as in %s", original.Kind, original.unit().Example())
	}
	switch original.Kind {
	case Resistor:
		n.resistor()
	case Capacitor:
		n.capacitor()
	case Diode, Rectifier, Bridge:
		n.diode()
	case Zener:
		n.zener()
	case Transistor, FieldTrans:
		n.transistor()
	case Regulator:
		n.regulator()
	}
	return n, nil
}

// rating requires a rating: that of the original, or where the circuit is known
// what it bears with a margin. It gives what is required, zero when neither is
// known.
func (n *Need) rating(f Figure, marked, bears, margin float64, what string) float64 {
	unit := unitOf[f]
	show := func(x float64) string { return figure(x, unit) }
	switch {
	case bears > 0:
		low := bears * margin
		n.require(f, low, math.Inf(1), CommonPractice, "it %s %s in its circuit; %.3g times that for margin", what, show(bears), margin)
		if marked > 0 && bears > marked {
			n.warn("the original was overloaded: it %s %s and is rated for %s", what, show(bears), show(marked))
		}
		if marked > 0 && low < marked {
			n.note("the original is rated for %s, and keeping that does no harm; its circuit asks for less, as far as it is described", show(marked))
		}
		return low
	case marked > 0:
		n.require(f, marked, math.Inf(1), "marking", "the rating of the original, as its circuit is not known")
		return marked
	}
	n.warn("neither the rated %s of the original nor what it bears is known; measure what it bears, or find the rating, before you choose", f)
	return 0
}

// Answer is what a candidate is worth.
type Answer struct {
	Part    Part     `json:"part"`
	Serves  bool     `json:"serves"`
	Refused []string `json:"refused,omitempty"`
	Unknown []string `json:"not_known,omitempty"`
	Notes   []string `json:"notes,omitempty"`
}

// Check holds a candidate against the need. It serves when nothing refuses it;
// a figure it does not say refuses it where the need cannot do without.
func (n Need) Check(candidate Part) Answer {
	a := Answer{Part: candidate}
	if err := candidate.Validate(); err != nil {
		a.Refused = strings.Split(err.Error(), "\n")
		return a
	}
	if why := n.kinds(candidate); why != "" {
		a.Refused = append(a.Refused, why)
		return a
	}
	for _, r := range n.Requirements {
		x := r.Figure.read(candidate.quickened())
		switch {
		case x == 0 && r.Wish:
			a.Unknown = append(a.Unknown, fmt.Sprintf("its %s is not known; wanted is %s", r.Figure, r.limits()))
		case x == 0:
			a.Refused = append(a.Refused, fmt.Sprintf("its %s is not known; %s is needed: %s", r.Figure, r.limits(), r.Why))
		case !r.meets(x):
			shown := Requirement{Figure: r.Figure, Unit: r.Unit, Low: x, High: math.Inf(1)}.limits()
			a.Refused = append(a.Refused, fmt.Sprintf("%s %s, where %s is needed: %s", r.Figure, strings.TrimPrefix(shown, "at least "), r.limits(), r.Why))
		}
	}
	a.Notes = n.remarks(candidate)
	a.Serves = len(a.Refused) == 0
	return a
}

// remarks are what to mind when a candidate is put in.
func (n Need) remarks(candidate Part) []string {
	var list []string
	if o := n.Original; candidate.Pins != "" && o.Pins != "" && !samePins(candidate.Pins, o.Pins) {
		list = append(list, fmt.Sprintf("its pins are %s, those of the original %s: cross its leads", candidate.Pins, o.Pins))
	} else if (o.Kind == Transistor || o.Kind == FieldTrans || o.Kind == Regulator) && (candidate.Pins == "" || o.Pins == "") && (candidate.Type == "" || candidate.Type != o.Type) {
		list = append(list, "compare the order of the pins in both data sheets before it goes in")
	}
	if candidate.Kind == Capacitor && (candidate.Dielectric == part.AluminiumElectrolytic || candidate.Dielectric == part.SolidTantalum) {
		if mark := "an electrolytic marks its negative lead"; candidate.Dielectric == part.SolidTantalum {
			list = append(list, "a tantalum marks its positive lead; reversed it shorts and may burn")
		} else if n.Original.Dielectric == part.SolidTantalum {
			list = append(list, mark+", the tantalum it replaces its positive one")
		}
	}
	return list
}

func samePins(a, b string) bool {
	fold := func(s string) string {
		return strings.ToUpper(strings.Join(strings.FieldsFunc(s, func(c rune) bool { return strings.ContainsRune(" ,-/", c) }), " "))
	}
	return fold(a) == fold(b)
}

// String says in one line what will serve.
func (n Need) String() string {
	var words []string
	for _, r := range n.Requirements {
		switch {
		case r.Figure == Value && n.Pick.Value != 0:
			words = append(words, n.Pick.valueText()+" ("+r.limits()+")")
		case !r.Wish || r.Figure == Temperature:
			words = append(words, r.String())
		}
	}
	text := n.noun() + ": " + strings.Join(words, ", ")
	if len(words) == 0 {
		text = n.noun()
	}
	return text
}

// noun is what the replacement is called.
func (n Need) noun() string {
	p := n.Pick
	switch {
	case p.Class != part.NoSafetyClass:
		return fmt.Sprintf("capacitor of class %s", p.Class)
	case p.Kind == Capacitor:
		return p.Dielectric.String()
	}
	var words []string
	for _, t := range p.Traits {
		words = append(words, string(t))
	}
	if p.Type != "" {
		words = append([]string{p.Type + " or a"}, words...)
	}
	return strings.Join(append(words, string(p.Kind)), " ")
}

// valueText writes the value with its unit.
func (p Part) valueText() string {
	return quantity.Quantity{Value: rounded(p.Value), Unit: p.unit()}.String()
}

// standard gives the first rating of a list that is enough; the last times ten
// and so on where none is, and the need itself beyond that.
func standard(list []float64, need float64) float64 {
	for decade := 1.0; decade <= 1000; decade *= 10 {
		for _, rating := range list {
			if rating*decade >= need*(1-1e-9) {
				return rating * decade
			}
		}
	}
	return need
}
