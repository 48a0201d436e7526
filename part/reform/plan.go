package reform

import (
	"errors"
	"fmt"
	"math"

	"halfsplit/part"
	"halfsplit/part/preferred"
)

// Minute and Hour are in seconds.
const (
	Minute = 60.0
	Hour   = 3600.0
)

// Procedure is a published way to reform.
type Procedure struct {
	Name       string
	Source     string
	Low, High  float64 // series resistance in ohms, up to and above Border
	Border     float64 // volts of rating
	AtRated    float64 // seconds at the full voltage
	Current    float64 // amperes at most; zero when it sets none
	RestAfter  float64 // seconds of rest before it is measured; zero when it asks none
	StepsInOne bool    // applies the full voltage at once
}

// Gentle is the procedure that is planned when none is named.
var Gentle = Procedure{Name: "gentle", Source: "Cornell Dubilier, \"Shelf life and re-aging\" (1993)", Low: 10e3, High: 100e3, Border: 75, AtRated: 4 * Hour, Current: 1e-3}

// Procedures lists the published procedures that can be planned. MIL-HDBK-1131C
// could not be read and is left out.
func Procedures() []Procedure {
	return []Procedure{
		Gentle,
		{Name: "preconditioning", Source: "ECA/EIA-815, preconditioning", Low: 100, High: 1000, Border: 100, AtRated: Hour, RestAfter: 12 * Hour, StepsInOne: true},
		{Name: "half an hour", Source: "Panasonic, as quoted", Low: 1000, High: 1000, Border: math.Inf(1), AtRated: 30 * Minute, StepsInOne: true},
	}
}

// FivePlusOne gives the time of a rule of hobby practice, in seconds: five
// minutes and one for each month without voltage.
func FivePlusOne(months float64) float64 { return (5 + months) * Minute }

// stubborn is the share of the applied voltage that may remain across the resistor
// after an hour; with more the part is probably beyond help. Source: the rule of
// five minutes plus one a month, copied hobby pages; a second copy of it says 20 %.
const stubborn = 0.10

// GiveUpDrop gives the voltage across the series resistor above which a part is
// given up after an hour, of the voltage applied.
func GiveUpDrop(applied float64) float64 { return stubborn * applied }

// DischargeResistor gives the resistor through which the part is discharged
// afterwards, in ohms: about one for each volt. Source: ECA/EIA-815.
func DischargeResistor(applied float64) float64 { return applied }

// Shorted gives the current in amperes and the power in watts that the series
// resistor bears when the part is shorted.
func Shorted(applied, resistance float64) (current, power float64) {
	return applied / resistance, applied * applied / resistance
}

// Step is one voltage of a plan.
type Step struct {
	Voltage float64 // of the supply
	Charge  float64 // seconds until the part has charged, five time constants
	Hold    float64 // seconds it is held at least, the charging included
	// DropDone is the voltage across the resistor below which the next step may
	// follow, DropGiveUp that above which the part is given up after an hour.
	// Where they differ, what lies between is within the leakage allowed, but
	// the resistor is too large to let the part come up: see Plan.Smaller.
	DropDone, DropGiveUp float64
}

// Plan is what to do.
type Plan struct {
	Procedure     Procedure
	Capacitor     part.Capacitor
	Resistor      float64 // ohms, a value of E12
	ResistorPower float64 // watts that it must stand, with the part shorted
	WorstCurrent  float64 // amperes, with the part shorted at the full voltage
	// Smaller is the resistor, in ohms, to go on with when the part stalls below
	// the leakage allowed; zero where the first one will do.
	Smaller float64
	Steps   []Step
	Time    float64 // seconds at least, from beginning to end
	// Accept is the leakage in amperes, and AcceptDrop the voltage it makes across
	// the resistor, below which the part is reformed; Worn is the leakage below
	// which it is usable. Source says whose limit it is.
	Accept, AcceptDrop, Worn float64
	Source                   string
	Energy                   float64 // joules stored at the full voltage
	Discharge                float64 // ohms
	DischargeTime            float64 // seconds to a hundredth of the voltage
	Rest                     float64 // seconds before it is measured
	Stops                    []string
	Cautions                 []string
}

// leastSteps is in how many steps a voltage is raised at least. Common practice.
const leastSteps = 4

// New plans the reforming of a capacitor by a procedure. Full is the voltage to
// end at, the rated one when zero; the error says why a part is not to be
// reformed.
func New(c part.Capacitor, by Procedure, full float64) (Plan, error) {
	if err := c.Validate(); err != nil {
		return Plan{}, err
	}
	if full == 0 {
		full = c.RatedVoltage
	}
	var wrong error
	switch {
	case c.Kind == part.SolidTantalum:
		wrong = errors.New("a solid tantalum is not reformed: its oxide heals or shorts by itself; read its leakage at the rated voltage through 1 kΩ per volt, and replace it when it leaks")
	case c.Kind != part.AluminiumElectrolytic && c.Kind != part.NonPolarElectrolytic:
		wrong = fmt.Errorf("a %v has no oxide to form; what leaks there stays leaky", c.Kind)
	case !(full > 0):
		wrong = fmt.Errorf("ending at %v V; it must be above zero", full)
	case full > c.RatedVoltage:
		wrong = fmt.Errorf("ending at %g V; the part is rated for %g V, and beyond it the oxide breaks down", full, c.RatedVoltage)
	case !(by.Low > 0 && by.High > 0):
		wrong = fmt.Errorf("the procedure %q has no series resistor", by.Name)
	}
	if wrong != nil {
		return Plan{}, wrong
	}
	p := Plan{Procedure: by, Capacitor: c, Resistor: by.Low}
	if c.RatedVoltage > by.Border {
		p.Resistor = by.High
	}
	p.Resistor = preferred.E12.Nearest(p.Resistor)
	p.WorstCurrent, p.ResistorPower = Shorted(full, p.Resistor)
	count := 1
	if !by.StepsInOne {
		count = leastSteps
		if by.Current > 0 { // a step that charges with no more than the current allowed
			count = max(count, int(math.Ceil(full/(by.Current*p.Resistor)-1e-9)))
		}
	}
	limit, _ := c.LeakageLimit()
	if c.Limits.Leakage > 0 {
		limit.Current, limit.Source = c.Limits.Leakage, part.FromSheet
	}
	p.Accept, p.Source = limit.Current, limit.Source
	p.Worn = limit.Current * c.Kind.EndOfLife().LeakageMultiple
	p.AcceptDrop = p.Accept * p.Resistor
	if p.AcceptDrop > GiveUpDrop(full) {
		p.Smaller = preferred.E12.AtMost(GiveUpDrop(full) / p.Accept)
	}
	charge := 5 * p.Resistor * c.Nominal
	for i := 1; i <= count; i++ {
		s := Step{Voltage: full * float64(i) / float64(count), Charge: charge}
		s.Hold = charge + 5*Minute
		if i == count {
			s.Hold = charge + by.AtRated
		}
		allowed := p.AcceptDrop * s.Voltage / full // the leakage allowed, in proportion
		s.DropGiveUp = math.Max(GiveUpDrop(s.Voltage), math.Min(allowed, 0.9*s.Voltage))
		s.DropDone = math.Min(GiveUpDrop(s.Voltage), allowed)
		p.Time += s.Hold
		p.Steps = append(p.Steps, s)
	}
	p.Energy = c.Nominal * full * full / 2
	p.Discharge = preferred.E12.AtLeast(DischargeResistor(full))
	p.DischargeTime = p.Discharge * c.Nominal * math.Log(100)
	p.Rest = by.RestAfter
	p.Stops = []string{
		fmt.Sprintf("give it up when, an hour after a step, the resistor still drops more than the last column says (%.3g V at the last step)", p.Steps[count-1].DropGiveUp),
		"give it up when it gets warm, bulges, hisses or smells, or when its voltage falls while you watch",
	}
	p.Cautions = []string{
		"out of the unit, right way round, behind a cover; never leave it alone",
		"never more than the rated voltage",
		"discharge it afterwards and measure that it is discharged: it recovers some voltage by itself",
		"local codes and licensed practice come first",
	}
	if full > 60 {
		p.Cautions = append(p.Cautions, fmt.Sprintf("%.0f V direct can kill; one hand, insulated clips, supply off before touching", full))
	}
	if c.Kind == part.NonPolarElectrolytic {
		p.Cautions = append(p.Cautions, "non-polar: once each way round")
	}
	return p, nil
}

// Moment is what one would read on a part that reforms well.
type Moment struct {
	Time    float64 // seconds
	Supply  float64 // volts
	Across  float64 // volts across the part
	Current float64 // amperes
}

// Course follows a plan for a part that reforms well: at each step it leaks twice
// what is allowed at first, and half of it at the end. It is a picture of what
// to expect, not a prediction. Points is how many moments a step has, at least 4.
func (p Plan) Course(points int) []Moment {
	points = max(points, 4)
	var list []Moment
	tau := p.Resistor * p.Capacitor.Nominal
	begin, across := 0.0, 0.0
	for _, s := range p.Steps {
		from := across
		for i := range points {
			// Half of the moments within the charging time, where things change.
			t := 0.0
			if half := points / 2; i < half {
				t = s.Charge * float64(i) / float64(half)
			} else {
				t = s.Charge + (s.Hold-s.Charge)*float64(i-half)/float64(points-1-half)
			}
			end := s.Voltage - s.DropDone*(0.5+1.5*math.Exp(-6*t/s.Hold))
			across = end + (from-end)*math.Exp(-t/tau)
			list = append(list, Moment{Time: begin + t, Supply: s.Voltage, Across: across, Current: (s.Voltage - across) / p.Resistor})
		}
		begin += s.Hold
	}
	return list
}

// Recovered judges a step an hour after it began: whether the drop across the
// resistor, in volts, is one with which the part may go on.
func (s Step) Recovered(drop float64) bool { return drop <= s.DropGiveUp }
