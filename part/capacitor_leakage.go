package part

import "math"

// LeakageLimit is the greatest leakage with which parts of one kind and rating
// are specified when new.
type LeakageLimit struct {
	Current float64 // amperes
	Voltage float64 // volts at which it holds
	After   float64 // seconds after the voltage is applied
	Source  string

	// Insulation tells that makers state a resistance, not a current: at a
	// lower voltage the limit is lower in proportion.
	Insulation bool
}

// at returns the limit in amperes at another voltage.
func (l LeakageLimit) at(volts float64) float64 {
	if l.Insulation {
		return l.Current * volts / l.Voltage
	}
	return l.Current
}

// insulation is the least resistance in ohms of a new part, or the least
// product of resistance and capacitance in ohm farads, whichever asks less.
type insulation struct {
	resistance, timeConstant float64
	testVoltage              float64 // zero: rated voltage
	source                   string
}

// insulations holds the limits of the kinds whose insulation is stated. Makers
// measure film at 100 V (KEMET R41) and ceramic at rated voltage, after a
// minute. The film resistance is the WIMA time constant at 0.33 µF, below
// which makers state a resistance instead (KEMET R41).
var insulations = map[CapacitorKind]insulation{
	PlasticFilm:     {30e9, 10000, 100, sourceWIMA},
	CeramicClass1:   {10e9, 500, 0, sourceSECI},
	CeramicClass2:   {10e9, 500, 0, sourceSECI},
	CeramicClass3:   {10e9, 500, 0, sourceSECI},
	Mica:            {7.5e9, math.Inf(1), 100, sourceCDE},
	PaperFoil:       {5e9, 1000, 100, CommonPractice},
	MetallisedPaper: {12e9, 4000, 100, sourcePaper},
}

// LeakageLimit returns the limit usual for the kind and rating of the
// capacitor, without regard to its sheet. It reports false where the kind has
// none.
//
// Aluminium electrolytics, with C in µF, V in volts and the result in µA: up to
// 100 V the greater of 0.01 CV and 3, after 2 minutes; above, 0.03 CV + 15
// while CV is at most 1000, else 0.02 CV + 25, after 5 minutes (Lelon RGA).
// Non-polar: 0.03 CV + 3 after 5 minutes (Teapo SN). Solid tantalum: the
// greater of 0.01 CV and 0.5 after 2 minutes (Panasonic TEH). The other kinds
// have an insulation resistance after one minute: film from WIMA's table of
// dielectrics, ceramic from SECI, mica from Cornell Dubilier 293; paper and
// foil: common practice; metallised paper: from memory.
func (c Capacitor) LeakageLimit() (LeakageLimit, bool) {
	const minute = 60
	charge := c.Nominal * 1e6 * c.RatedVoltage // µF V
	limit := LeakageLimit{Voltage: c.RatedVoltage}
	switch c.Kind {
	case AluminiumElectrolytic:
		limit.Source = sourceLelon
		switch {
		case c.RatedVoltage <= 100:
			limit.Current, limit.After = math.Max(0.01*charge, 3)*1e-6, 2*minute
		case charge <= 1000:
			limit.Current, limit.After = (0.03*charge+15)*1e-6, 5*minute
		default:
			limit.Current, limit.After = (0.02*charge+25)*1e-6, 5*minute
		}
		return limit, true
	case NonPolarElectrolytic:
		limit.Current, limit.After, limit.Source = (0.03*charge+3)*1e-6, 5*minute, sourceTeapo
		return limit, true
	case SolidTantalum:
		limit.Current, limit.After, limit.Source = math.Max(0.01*charge, 0.5)*1e-6, 2*minute, sourceTEH
		return limit, true
	}
	stated, ok := insulations[c.Kind]
	if !ok {
		return LeakageLimit{}, false
	}
	if stated.testVoltage > 0 && stated.testVoltage < c.RatedVoltage {
		limit.Voltage = stated.testVoltage
	}
	resistance := math.Min(stated.resistance, stated.timeConstant/c.Nominal)
	limit.Current, limit.After, limit.Source, limit.Insulation = limit.Voltage/resistance, minute, stated.source, true
	return limit, true
}
