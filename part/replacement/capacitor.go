package replacement

import (
	"fmt"
	"math"

	"halfsplit/part"
	"halfsplit/part/preferred"
	"halfsplit/quantity"
)

// Ratings that capacitors are made for, in volts. Makers' catalogues.
var capacitorRatings = map[part.CapacitorKind][]float64{
	part.AluminiumElectrolytic: {6.3, 10, 16, 25, 35, 50, 63, 80, 100, 160, 200, 250, 350, 400, 450, 500},
	part.NonPolarElectrolytic:  {6.3, 10, 16, 25, 35, 50, 63, 100},
	part.SolidTantalum:         {4, 6.3, 10, 16, 20, 25, 35, 50},
	part.PlasticFilm:           {63, 100, 250, 400, 630, 1000, 1250, 1600, 2000},
	part.CeramicClass1:         {50, 100, 200, 500, 1000, 2000, 3000},
	part.CeramicClass2:         {50, 100, 200, 500, 1000, 2000, 3000},
	part.Mica:                  {100, 300, 500, 1000, 2500},
}

// acRatings are those of parts with a safety class, in volts alternating.
var acRatings = []float64{250, 275, 305, 310, 400, 500}

// polar tells whether a dielectric has a right way round.
func polar(k part.CapacitorKind) bool {
	return k == part.AluminiumElectrolytic || k == part.SolidTantalum
}

func paper(k part.CapacitorKind) bool { return k == part.PaperFoil || k == part.MetallisedPaper }

// successor is the dielectric that one would buy today.
func successor(k part.CapacitorKind) part.CapacitorKind {
	switch {
	case paper(k), k == part.UnknownCapacitor:
		return part.PlasticFilm
	case k == part.CeramicClass3:
		return part.CeramicClass2
	}
	return k
}

// Margins on the voltage that a capacitor bears. That of tantalum is KEMET's, "How
// much do you derate tantalum capacitors" (2015); the others are common practice:
// mains that is 10 % high and a little more, and for class 2 ceramic the loss of
// capacitance under voltage.
const (
	plainMargin    = 1.25
	tantalumMargin = 2.0
	ceramicMargin  = 2.0
)

// switchingAbove is the frequency from which the ripple is that of a switcher and
// the ESR at 100 kHz counts. Common practice.
const switchingAbove = 5e3

// capacitor sets the requirements for a capacitor.
func (n *Need) capacitor() {
	o, bears := n.Original, n.Stress
	if o.Class != part.NoSafetyClass {
		n.mainsCapacitor()
		return
	}
	n.Pick = Part{Kind: Capacitor, Dielectric: successor(o.Dielectric), Traits: o.Traits}
	n.capacitance()
	margin := plainMargin
	switch n.Pick.Dielectric {
	case part.SolidTantalum:
		margin = tantalumMargin
	case part.CeramicClass2:
		margin = ceramicMargin
	}
	least := n.rating(Voltage, o.Voltage, bears.Voltage, margin, "bears")
	if margin == tantalumMargin && bears.Voltage > 0 {
		r := &n.Requirements[len(n.Requirements)-1]
		r.Source = "KEMET, \"How much do you derate tantalum capacitors\" (2015)"
	}
	if least > 0 {
		n.Pick.Voltage = standard(capacitorRatings[n.Pick.Dielectric], math.Max(least, o.Voltage))
	}
	n.electrolyticNeeds()
	n.kinds = n.capacitorKinds
	if polar(o.Dielectric) {
		n.warn("mind the polarity: read it from the board and the circuit, not from how the old part sat; earlier hands may have turned it")
	}
	if paper(o.Dielectric) {
		n.never("old stock of paper: it takes in water on the shelf as in the unit")
	}
}

// capacitance sets the range of the value.
func (n *Need) capacitance() {
	o := n.Original
	low, high, assumed := o.spread()
	use := n.Use
	if use == AsMarked && (polar(o.Dielectric) || o.Dielectric == part.NonPolarElectrolytic) {
		use = Smoothing
	}
	switch use {
	case Smoothing:
		if o.Value < 100e-6 {
			n.require(Value, 0.9*o.Value, 2.2*o.Value, CommonPractice, "to smooth or decouple, up to twice as much does no harm")
			break
		}
		n.require(Value, 0.9*o.Value, 1.5*o.Value, CommonPractice, "for smoothing more does no harm up to half as much again; beyond, the rectifier and the switch see larger surges")
	case Coupling:
		n.require(Value, 0.9*o.Value, 2.2*o.Value, CommonPractice, "for coupling more lowers the corner frequency; much more makes it slow to settle")
	default:
		text := "the value within its tolerance"
		if assumed {
			text = "the value within the tolerance usual for its kind"
		}
		n.require(Value, o.Value*(1+math.Max(low, -0.2)), o.Value*(1+math.Min(high, 0.2)), "marking", "%s", text)
		n.wish(Tolerance, 0, math.Max(-low, high), "marking", "no wider than that of the original")
	}
	value, _ := n.limit(Value)
	n.Pick.Value = pickValue(o.Value, value)
}

// pickValue takes the value itself when it is made, else the nearest of E6, E12
// or E24 within the limits.
func pickValue(wanted float64, within Requirement) float64 {
	for _, s := range []preferred.Series{preferred.E6, preferred.E12, preferred.E24} {
		if near := s.Nearest(wanted); within.meets(near) {
			return near
		}
	}
	return wanted
}

// electrolyticNeeds adds temperature, ripple and ESR.
func (n *Need) electrolyticNeeds() {
	o, bears := n.Original, n.Stress
	aluminium := n.Pick.Dielectric == part.AluminiumElectrolytic || n.Pick.Dielectric == part.NonPolarElectrolytic
	if aluminium {
		least := math.Max(o.Temperature, 273.15+85)
		why := "that of the original"
		if o.Temperature == 0 {
			why = "the usual one of the original's time"
		}
		if bears.Hot {
			least, why = math.Max(least, 273.15+105), "it sits beside something hot: 20 K more in the rating are four times the life"
		}
		n.wish(Temperature, least, math.Inf(1), CommonPractice, "%s", why)
		n.Pick.Temperature = math.Max(least, 273.15+105)
	}
	if bears.RMS > 0 && (aluminium || n.Pick.Dielectric == part.SolidTantalum) {
		n.wish(Ripple, bears.RMS, math.Inf(1), "its circuit", "the ripple current that flows in it%s", atFrequency(bears.Frequency))
	} else if o.Current > 0 {
		n.wish(Ripple, o.Current, math.Inf(1), "marking", "the ripple current of the original")
	}
	switch {
	case o.ESR > 0:
		n.wish(ESR, 0, o.ESR, "marking", "the highest that its sheet allows")
	case bears.Frequency >= switchingAbove && aluminium:
		limit, ok := part.Capacitor{Kind: o.Dielectric, Nominal: o.Value, RatedVoltage: math.Max(o.Voltage, 6.3)}.LossLimit(120)
		if ok {
			n.wish(ESR, 0, part.ESR(limit.LossTangent, 120, o.Value)/3, CommonPractice,
				"it carries the ripple of a switcher, where a low-ESR type belongs; a third of what a general-purpose part may have at 120 Hz (%s)", limit.Source)
		}
		if !n.Pick.Has(LowESR) {
			n.Pick.Traits = append(n.Pick.Traits[:len(n.Pick.Traits):len(n.Pick.Traits)], LowESR)
		}
	}
	if o.Dielectric == part.SolidTantalum {
		n.note("an aluminium part in the place of a tantalum: take a low-ESR type at the upper end of the values")
	}
}

// atFrequency says at which frequency, where it is known.
func atFrequency(hertz float64) string {
	if hertz <= 0 {
		return ""
	}
	return ", at " + figure(hertz, quantity.Hertz)
}

// capacitorKinds says why a candidate is of the wrong kind.
func (n Need) capacitorKinds(c Part) string {
	if c.Kind != Capacitor {
		return fmt.Sprintf("it is a %s, not a capacitor", c.Kind)
	}
	was, is := n.Original.Dielectric, c.Dielectric
	exact := n.Use == Timing || n.Use == AsMarked && !polar(was) && was != part.NonPolarElectrolytic
	switch {
	case paper(is):
		return "paper capacitors take in water on the shelf as in the unit; take film"
	case is == part.UnknownCapacitor:
		return "what it is made of is not known; say electrolytic, tantalum, film, ceramic or mica"
	case polar(is) && !polar(was):
		return fmt.Sprintf("a %v has a polarity; the %v it would replace may see either", is, was)
	case is == part.NonPolarElectrolytic && exact:
		return fmt.Sprintf("an electrolytic leaks and drifts where a %v was chosen", was)
	case is == part.CeramicClass2 || is == part.CeramicClass3:
		if exact && was != part.CeramicClass2 && was != part.CeramicClass3 {
			return fmt.Sprintf("%v changes with voltage and temperature, where a %v keeps its value", is, was)
		}
		if n.Use == Coupling && was != is {
			return "class 2 ceramic distorts and is microphonic in the signal path"
		}
		if is == part.CeramicClass3 && was != part.CeramicClass3 {
			return "class 3 ceramic keeps as little as a fifth of its value warm and under voltage"
		}
	case is == part.SolidTantalum && was == part.AluminiumElectrolytic && n.Stress.Voltage > 0 && c.Voltage > 0 && part.TantalumWorkingVoltage(c.Voltage) < n.Stress.Voltage:
		return fmt.Sprintf("a tantalum of %g V should not see more than %g V on a supply; it bears %.3g V", c.Voltage, part.TantalumWorkingVoltage(c.Voltage), n.Stress.Voltage)
	case is == part.SolidTantalum && was == part.AluminiumElectrolytic && n.Stress.Voltage == 0 && c.Voltage > 0 && c.Voltage < 2*n.Original.Voltage:
		return fmt.Sprintf("a tantalum in the place of an aluminium part wants twice its rating, %g V, while the voltage in the circuit is not known", 2*n.Original.Voltage)
	case is == part.PlasticFilm && (was == part.CeramicClass1 || was == part.Mica) && n.Original.Value < 100e-12:
		return "at so few picofarads in a tuned circuit the inductance of a film part counts; take class 1 ceramic or mica"
	}
	if c.Class != part.NoSafetyClass && n.Original.Class == part.NoSafetyClass && n.Stress.Voltage > c.Voltage*math.Sqrt2 {
		return "its rating is alternating; the direct voltage here is above the peak of it"
	}
	return ""
}

// mainsCapacitor sets the requirements for a capacitor with a safety class.
func (n *Need) mainsCapacitor() {
	o := n.Original
	n.Pick = Part{Kind: Capacitor, Dielectric: part.PlasticFilm, Class: o.Class}
	switch o.Class { // X3 and Y3 are no longer made
	case part.ClassX3:
		n.Pick.Class = part.ClassX2
	case part.ClassY3:
		n.Pick.Class = part.ClassY2
	}
	if o.Class.IsY() {
		n.require(Value, 0.8*o.Value, o.Value, CommonPractice, "no more than the original: a larger one raises the current that a person touching the case can feel")
	} else {
		n.require(Value, 0.8*o.Value, 1.2*o.Value, CommonPractice, "near the original: the filter, and the bleeder that empties it, were made for it")
		n.note("check the bleeder across it: the plug's pins must not hold a charge")
	}
	value, _ := n.limit(Value)
	n.Pick.Value = pickValue(o.Value, value)
	if n.Pick.Value > value.High {
		n.Pick.Value = preferred.E6.AtMost(o.Value)
	}
	least := o.Voltage
	if bears := n.Stress.Voltage / math.Sqrt2; bears > 0 {
		least = math.Max(least, 1.1*bears)
	}
	if least == 0 {
		n.warn("its rated alternating voltage is not known; 275 V suits mains of 230 V, 250 V is the least")
		least = 250
	}
	n.require(Voltage, least, math.Inf(1), "IEC 60384-14", "alternating, not below the original's, nor the mains with 10 %% more")
	n.Pick.Voltage = standard(acRatings, math.Max(least, 275))
	n.kinds = func(c Part) string {
		if c.Kind != Capacitor {
			return fmt.Sprintf("it is a %s, not a capacitor", c.Kind)
		}
		if ok, why := c.Class.MayServeAs(o.Class); !ok {
			return why
		}
		if paper(c.Dielectric) {
			return "old stock of metallised paper cracks and burns whether it was used or not; take a new film part of the class"
		}
		if polar(c.Dielectric) || c.Dielectric == part.NonPolarElectrolytic {
			return "an electrolytic does not belong on the mains"
		}
		return ""
	}
	n.never("a part without a class, whatever its direct voltage; class X in the place of Y; a lower class; old stock of paper")
	n.warn("mains: unplugged, discharged and measured; keep the distances of the original between its leads and to the case; local codes and licensed practice come first")
	if n.Original.Dielectric == part.MetallisedPaper {
		n.note("film switches off sparks less well than paper did: where the part quenched a contact with a resistor in series, take one made for that, resistor and all")
	}
}
