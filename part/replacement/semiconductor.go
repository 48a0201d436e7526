package replacement

import (
	"fmt"
	"math"

	"halfsplit/quantity"
)

// Margins of semiconductors on what they bear. Common practice, no source.
const (
	reverseMargin = 2.0 // spikes on the mains and from transformers
	meanMargin    = 1.5
	blockMargin   = 1.5 // collector or drain with an inductive load
	peakMargin    = 1.5
	inputMargin   = 1.25
)

// Ratings that diodes are made for.
var (
	reverseRatings = []float64{40, 50, 75, 100, 200, 400, 600, 800, 1000}
	diodeCurrents  = []float64{0.15, 0.3, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10}
	blockRatings   = []float64{30, 45, 60, 80, 100, 140, 200, 250, 300, 400, 500, 600, 700, 800, 900, 1000}
)

// diode sets the requirements for a diode, a rectifier or a bridge.
func (n *Need) diode() {
	o, bears := n.Original, n.Stress
	n.Pick = Part{Kind: o.Kind, Traits: o.Traits}
	if least := n.rating(Voltage, o.Voltage, bears.Voltage, reverseMargin, "bears in reverse"); least > 0 {
		n.Pick.Voltage = standard(reverseRatings, math.Max(least, o.Voltage))
	}
	if least := n.rating(Current, o.Current, bears.Mean, meanMargin, "carries, in the mean,"); least > 0 {
		n.Pick.Current = standard(diodeCurrents, math.Max(least, o.Current))
	}
	quick := o.Has(Fast) || o.Has(Schottky) || o.Recovery > 0
	switch {
	case o.Recovery > 0:
		n.require(Recovery, 0, o.Recovery, "marking", "no slower than the original")
	case bears.Frequency >= switchingAbove:
		quick = true
		n.require(Recovery, 0, 0.02/bears.Frequency, CommonPractice, "at %s a diode that recovers slowly heats, and rings; a fiftieth of the period",
			figure(bears.Frequency, quantity.Hertz))
	case o.Has(Fast):
		n.require(Recovery, 0, 500e-9, CommonPractice, "the original is a fast one")
	}
	if quick && !o.Has(Schottky) && !o.Has(Fast) {
		n.Pick.Traits = append(n.Pick.Traits[:len(n.Pick.Traits):len(n.Pick.Traits)], Fast)
	}
	if r, ok := n.limit(Recovery); ok {
		n.Pick.Recovery = r.High
	}
	n.warn("mind the direction: the band is the cathode")
	n.kinds = func(c Part) string {
		switch {
		case c.Kind != o.Kind && !(o.Kind == Diode && c.Kind == Rectifier && !quick && o.Current >= 0.3) && !(o.Kind == Rectifier && c.Kind == Diode):
			return fmt.Sprintf("it is a %s, not a %s", c.Kind, o.Kind)
		case o.Has(Schottky) && !c.Has(Schottky):
			return "it is no Schottky diode: twice the drop, twice the heat, and the output falls"
		case o.Has(Germanium) && !c.Has(Germanium) && !c.Has(Schottky):
			return "a silicon diode drops 0.6 V where a germanium one drops 0.2 V; in a detector or bias that tells"
		case c.Has(Schottky) && !o.Has(Schottky) && c.Voltage > 0 && n.Stress.Voltage > 0.5*c.Voltage:
			return "a Schottky diode leaks when it is hot and near its rating; it would bear more than half of it here"
		case c.Has(Germanium) && !o.Has(Germanium):
			return "a germanium diode leaks too much here"
		}
		return ""
	}
	if o.Kind == Bridge {
		n.note("a bridge may be built of four rectifiers with these ratings")
	}
	if quick {
		n.never("a plain mains rectifier: it is too slow")
	}
}

// quickened gives a fast or Schottky diode a recovery time where it states none:
// half a microsecond at most, and none to speak of.
func (p Part) quickened() Part {
	if p.Has(Schottky) && p.Recovery == 0 {
		p.Recovery = 1e-9
	}
	if p.Has(Fast) && p.Recovery == 0 {
		p.Recovery = 500e-9
	}
	return p
}

// zener sets the requirements for a zener diode.
func (n *Need) zener() {
	o, bears := n.Original, n.Stress
	low, high, _ := o.spread()
	n.Pick = Part{Kind: Zener, Value: o.Value}
	n.require(Value, o.Value*(1+low), o.Value*(1+high), "marking", "its voltage within the tolerance")
	least := n.rating(Power, o.Power, bears.Dissipation, powerMargin, "dissipates")
	if least > 0 {
		n.Pick.Power = standard(zenerPowers, math.Max(least, o.Power))
	}
	n.note("a zener's voltage holds at its test current: one of much more power is stated at a larger current, and is low and soft at this one")
	if o.Value >= 5 && o.Value <= 6.5 {
		n.note("near 5.6 V the temperature coefficient is least; two in series for this voltage would not keep it")
	}
	n.warn("mind the direction: the band is the cathode, which here faces the positive side")
	n.kinds = func(c Part) string {
		if c.Kind != Zener {
			return fmt.Sprintf("it is a %s, not a zener", c.Kind)
		}
		if reference := n.Pick.Power; reference > 0 && c.Power > 8*reference {
			return fmt.Sprintf("rated for %.3g W, it is in its knee at the current that flows here", c.Power)
		}
		return ""
	}
}

// transistor sets the requirements for a bipolar or field-effect transistor.
func (n *Need) transistor() {
	o, bears := n.Original, n.Stress
	n.Pick = Part{Kind: o.Kind, Type: o.Type, Traits: o.Traits}
	if least := n.rating(Voltage, o.Voltage, bears.Voltage, blockMargin, "blocks"); least > 0 {
		n.Pick.Voltage = standard(blockRatings, math.Max(least, o.Voltage))
	}
	if least := n.rating(Current, o.Current, bears.Current, peakMargin, "carries as much as"); least > 0 {
		n.Pick.Current = standard(diodeCurrents, math.Max(least, o.Current))
	}
	if least := n.rating(Power, o.Power, bears.Dissipation, powerMargin, "dissipates"); least > 0 {
		n.Pick.Power = math.Max(least, o.Power)
	}
	if o.Gain > 0 {
		n.wish(Gain, o.Gain, math.Inf(1), "marking", "no less than the least gain of the original")
		n.Pick.Gain = o.Gain
	}
	if o.Transition > 0 {
		n.wish(Transition, o.Transition, 20*o.Transition, CommonPractice, "as quick as the original, and not so much quicker that it oscillates")
	}
	if o.Recovery > 0 {
		n.wish(Recovery, 0, o.Recovery, "marking", "switches no slower than the original")
	}
	n.warn("the order of the pins differs between types, makers and continents: compare data sheets; check what the tab or case is connected to")
	if bears.Dissipation > 1 || o.Power > 1.5 {
		n.note("renew the insulating washer and the paste, and measure that the tab is insulated where it must be")
	}
	n.kinds = func(c Part) string {
		if c.Kind != o.Kind {
			return fmt.Sprintf("it is a %s, not a %s", c.Kind, o.Kind)
		}
		for _, pair := range [][2]Trait{{NPN, PNP}, {NChannel, PChannel}} {
			for i, t := range pair {
				if o.Has(t) && c.Has(pair[1-i]) {
					return fmt.Sprintf("it is %s, the original %s", pair[1-i], t)
				}
				if o.Has(t) && !c.Has(t) {
					return fmt.Sprintf("it is not said to be %s", t)
				}
			}
		}
		switch {
		case o.Has(Germanium) != c.Has(Germanium):
			return "germanium and silicon bias differently, at 0.2 V and 0.6 V; the stage would have to be set anew"
		case c.Has(Darlington) && !o.Has(Darlington):
			return "a Darlington drops twice the base voltage and saturates at 0.8 V and more"
		case o.Has(Darlington) && !c.Has(Darlington):
			return "a single transistor lacks the gain of the Darlington it would replace"
		}
		return ""
	}
	if !o.Has(NPN) && !o.Has(PNP) && !o.Has(NChannel) && !o.Has(PChannel) {
		n.warn("its polarity is not known: say npn or pnp, n-channel or p-channel")
	}
}

// regulator sets the requirements for a three-terminal regulator.
func (n *Need) regulator() {
	o, bears := n.Original, n.Stress
	low, high, _ := o.spread()
	n.Pick = Part{Kind: Regulator, Value: o.Value, Type: o.Type}
	a, b := o.Value*(1+low), o.Value*(1+high)
	n.require(Value, math.Min(a, b), math.Max(a, b), "marking", "its output voltage, with its sign")
	current := bears.Mean
	if current == 0 {
		current = bears.Current
	}
	if least := n.rating(Current, o.Current, current, meanMargin, "delivers"); least > 0 {
		n.Pick.Current = standard([]float64{0.1, 0.5, 1, 1.5, 3, 5}, math.Max(least, o.Current))
	}
	if bears.Voltage > 0 {
		n.wish(Voltage, bears.Voltage*inputMargin, math.Inf(1), CommonPractice, "its input sees %s; a quarter more for high mains",
			figure(bears.Voltage, quantity.Volt))
	} else if o.Voltage > 0 {
		n.wish(Voltage, o.Voltage, math.Inf(1), "marking", "the highest input of the original")
	}
	if bears.Headroom > 0 {
		n.wish(Dropout, 0, bears.Headroom, "its circuit", "no more than what is left between input and output in the trough of the ripple")
	} else if o.Dropout > 0 {
		n.wish(Dropout, 0, o.Dropout, "marking", "no more than that of the original")
	}
	if bears.Dissipation > 1 {
		n.note("it dissipates %s: renew the paste, and check the insulation of the tab", figure(bears.Dissipation, quantity.Watt))
	}
	n.warn("positive and negative three-terminal regulators have different orders of pins, and their tabs are connected differently: compare data sheets")
	n.note("a low-dropout type may oscillate with the capacitors that are there: read what its sheet asks of them")
	n.kinds = func(c Part) string {
		switch {
		case c.Kind != Regulator:
			return fmt.Sprintf("it is a %s, not a regulator", c.Kind)
		case c.Value*o.Value < 0:
			return "it is for the other polarity"
		}
		return ""
	}
}
