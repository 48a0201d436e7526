package replacement

import (
	"fmt"
	"math"

	"halfsplit/quantity"
)

// resistorPowers are the dissipations that resistors are made for, in watts.
var resistorPowers = []float64{0.125, 0.25, 0.5, 1, 2, 3, 5, 7, 10}

// zenerPowers likewise.
var zenerPowers = []float64{0.25, 0.5, 1, 1.3, 3, 5}

// powerMargin is on the dissipation: a part at half of its rating lasts, and does
// not brown the board. Common practice, no source.
const powerMargin = 2

// plainBody is the voltage, in volts, up to which a plain film resistor may be
// used; beyond it flashes over, whatever its dissipation. Usual limiting element
// voltage of quarter-watt bodies in makers' catalogues, from memory.
const plainBody = 250

// resistor sets the requirements for a resistor.
func (n *Need) resistor() {
	o, bears := n.Original, n.Stress
	low, high, assumed := o.spread()
	n.Pick = Part{Kind: Resistor, Value: o.Value, Traits: o.Traits}
	text := "the value within the original's tolerance"
	if assumed {
		text = "the value within 5 %, since the original's tolerance is not known"
	}
	n.require(Value, o.Value*(1+low), o.Value*(1+high), "marking", "%s", text)
	value, _ := n.limit(Value)
	n.Pick.Value = pickValue(o.Value, value)
	n.wish(Tolerance, 0, math.Max(-low, high), "marking", "no wider than that of the original")
	spread := math.Min(math.Max(-low, high), 0.05)
	n.Pick.Tolerance = &quantity.Tolerance{Low: -spread, High: spread, Unit: quantity.Percent}
	least := n.rating(Power, o.Power, bears.Dissipation, powerMargin, "dissipates")
	if least < o.Power { // a small body costs nothing to keep, and stands surges
		r := &n.Requirements[len(n.Requirements)-1]
		r.Low, r.Why, r.Source = o.Power, "the rating of the original, which is more than twice what it dissipates", "marking"
		least = o.Power
		n.Notes = nil
	}
	n.Pick.Power = standard(resistorPowers, least)
	if bears.Voltage > plainBody {
		n.require(Voltage, bears.Voltage*plainMargin, math.Inf(1), "makers' limiting element voltage, from memory",
			"it bears %s; a plain small body stands about %d V, so take a type made for it, or two or three in series", figure(bears.Voltage, quantity.Volt), plainBody)
		n.Pick.Voltage = standard([]float64{350, 500, 750, 1000, 1600, 2500}, bears.Voltage*plainMargin)
	}
	if o.TempCo > 0 {
		n.wish(TempCo, 0, o.TempCo, "marking", "no larger than that of the original")
	}
	if n.Pick.Power >= 1 {
		n.note("stand it off the board, and away from electrolytics: it runs hot by design")
	}
	if o.Has(Fusible) {
		n.never("a plain resistor: this one is there to open without fire when it is overloaded")
	}
	n.kinds = n.resistorKinds
}

func (n Need) resistorKinds(c Part) string {
	o := n.Original
	switch {
	case c.Kind != Resistor:
		return fmt.Sprintf("it is a %s, not a resistor", c.Kind)
	case o.Has(Fusible) && !c.Has(Fusible):
		return "it is not fusible; the original is there to open without fire when it is overloaded"
	case c.Has(Fusible) && !o.Has(Fusible):
		return "it is fusible, and may open in a surge that the original stood"
	case c.Has(Wirewound) && !o.Has(Wirewound) && (n.Stress.Frequency >= switchingAbove || n.Use == Timing):
		return "a wirewound resistor is an inductor too, which counts at this frequency"
	case o.Has(Composition) && c.Has(Wirewound):
		return "a wirewound one has inductance, and the original was a composition resistor, chosen for pulses"
	case c.Has(Composition) && !o.Has(Composition):
		return "carbon composition drifts upwards and is noisy"
	}
	return ""
}
