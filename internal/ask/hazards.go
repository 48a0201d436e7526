package ask

import (
	"math"
	"strings"

	"halfsplit/hazard"
	"halfsplit/internal/safety"
	"halfsplit/quantity"
)

// Hazards asks what can hurt in a unit, beside what its sheet says.
type Hazards struct {
	Mains      string  `placeholder:"VOLTAGE" help:"The mains it is run on, in place of the sheet's."`
	Frequency  string  `placeholder:"FREQUENCY" help:"Mains frequency; the sheet's, or 50Hz."`
	Class      string  `placeholder:"CLASS" help:"Protection class: I, I-hand-held, II or III."`
	Power      string  `placeholder:"POWER" help:"What it takes from the mains, such as 60W, for the choice of a series lamp."`
	Supply     string  `placeholder:"KIND" help:"linear or switching: how its supply behaves behind a lamp."`
	Safe       string  `default:"50V" placeholder:"VOLTAGE" help:"Voltage down to which a capacitor is discharged; some codes ask for 60V, others for 30V."`
	Within     string  `default:"1min" placeholder:"TIME" help:"Time that a fitted bleeder may take."`
	Filter     string  `placeholder:"CAPACITANCE" help:"Capacitance from the mains to touchable metal, such as 4.7nF, for the touch current."`
	Lead       float64 `placeholder:"METRES" help:"Length of the mains lead through which the earth is measured, in metres."`
	Section    float64 `placeholder:"MM2" help:"Section of its earth conductor in mm²; 0.75 when not given."`
	Earth      string  `placeholder:"RESISTANCE" help:"A reading: from the earth pin to touchable metal."`
	Insulation string  `placeholder:"RESISTANCE" help:"A reading: insulation at 500 V DC."`
	Touch      string  `placeholder:"CURRENT" help:"A reading: touch current, such as 0.3mA."`
	Hot        string  `placeholder:"VOLTAGE" help:"A reading: voltage across 1500 ohm beside 0.15 uF from touchable metal to earth ground."`
}

// Answers reads the question.
func (h *Hazards) Answers() (safety.Answers, error) {
	a := safety.Answers{Lead: hazard.Lead{Length: h.Lead, Section: h.Section}}
	readings := map[string]*float64{}
	for _, o := range []struct {
		field, text string
		unit        quantity.Unit
		into        *float64
		zero        bool // zero makes sense
	}{
		{"mains", h.Mains, quantity.Volt, &a.Mains, false}, {"frequency", h.Frequency, quantity.Hertz, &a.Frequency, false},
		{"power", h.Power, quantity.Watt, &a.Power, false}, {"safe", h.Safe, quantity.Volt, &a.Safe, false},
		{"within", h.Within, quantity.Second, &a.Within, false}, {"filter", h.Filter, quantity.Farad, &a.Filter, false},
		{"earth", h.Earth, quantity.Ohm, nil, true}, {"insulation", h.Insulation, quantity.Ohm, nil, true},
		{"touch", h.Touch, quantity.Ampere, nil, true}, {"hot", h.Hot, quantity.Volt, nil, true},
	} {
		if o.text == "" {
			continue
		}
		q, err := quantity.ParseAs(o.text, o.unit)
		switch {
		case err != nil:
			return a, Mistake{o.field, err}
		case q.Value < 0:
			return a, wrong(o.field, "%s cannot be below zero", q)
		case q.Value == 0 && !o.zero:
			return a, wrong(o.field, "%s must be above zero", q)
		}
		if o.into != nil {
			*o.into = q.Value
		} else {
			readings[o.field] = &q.Value
		}
	}
	a.Earth, a.Insulation, a.Touch, a.Hot = readings["earth"], readings["insulation"], readings["touch"], readings["hot"]
	if h.Class != "" {
		a.Class = hazard.Class("class " + strings.Replace(strings.TrimPrefix(strings.TrimPrefix(h.Class, "class "), "class-"), "-hand-held", " hand-held", 1))
		if _, _, err := hazard.TouchLimit(a.Class); err != nil {
			return a, wrong("class", "%q is none; write I, I-hand-held, II or III", h.Class)
		}
	}
	a.Supply = hazard.Supply(h.Supply)
	switch {
	case h.Supply != "" && a.Supply != hazard.LinearSupply && a.Supply != hazard.SwitchingSupply:
		return a, wrong("supply", "%q is none; write linear or switching", h.Supply)
	case h.Lead < 0 || h.Section < 0 || math.IsInf(h.Lead+h.Section, 0) || math.IsNaN(h.Lead+h.Section):
		return a, wrong("lead", "the length and the section of the lead cannot be below zero")
	case a.Mains > 1000:
		return a, wrong("mains", "%s is too much; write the voltage of the mains, such as 230V", h.Mains)
	}
	return a, nil
}
