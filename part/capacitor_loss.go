package part

import (
	"fmt"
	"math"
)

// ESR returns the equivalent series resistance in ohms of a capacitor with loss
// tangent tan δ at a frequency in hertz and a capacitance in farads, both above
// zero:
//
//	ESR = tan δ / (2π f C)
//
// Source: Illinois Capacitor, impedance and dissipation factor note, DF = ESR/Xc.
func ESR(lossTangent, frequency, capacitance float64) float64 {
	return lossTangent / (2 * math.Pi * frequency * capacitance)
}

// LossTangent returns tan δ, the dissipation factor, of a capacitor with a
// series resistance in ohms at a frequency in hertz and a capacitance in
// farads: the inverse of [ESR].
func LossTangent(esr, frequency, capacitance float64) float64 {
	return esr * 2 * math.Pi * frequency * capacitance
}

// QualityFactor returns Q = 1/tan δ. The loss tangent is above zero.
func QualityFactor(lossTangent float64) float64 { return 1 / lossTangent }

// ParallelCapacitance returns what a meter in parallel mode shows, in farads,
// for a capacitor of the given series capacitance and loss tangent:
//
//	Cp = Cs / (1 + tan²δ)
//
// A lossy electrolytic therefore reads low in parallel mode. Textbook circuit
// theory.
func ParallelCapacitance(series, lossTangent float64) float64 {
	return series / (1 + lossTangent*lossTangent)
}

// SeriesCapacitance is the inverse of [ParallelCapacitance].
func SeriesCapacitance(parallel, lossTangent float64) float64 {
	return parallel * (1 + lossTangent*lossTangent)
}

// LossLimit is the greatest loss with which parts of one kind and rating are
// specified when new.
type LossLimit struct {
	LossTangent float64 // tan δ, a plain ratio
	Frequency   float64 // hertz at which it holds
	Source      string
	Assumed     []string // what was taken for granted to find it
}

type voltageLoss struct{ rated, lossTangent float64 }

// lossByVoltage is tan δ at 120 Hz and 20 °C of general-purpose aluminium
// electrolytics. Source: sourceLelon.
var lossByVoltage = []voltageLoss{
	{6.3, 0.23}, {10, 0.20}, {16, 0.16}, {25, 0.14}, {35, 0.12}, {50, 0.10}, {63, 0.09}, {100, 0.08},
	{160, 0.12}, {200, 0.14}, {250, 0.17}, {350, 0.20}, {400, 0.25}, {450, 0.25},
}

// nonPolarLossByVoltage is the same for non-polar parts. Source: sourceTeapo.
var nonPolarLossByVoltage = []voltageLoss{
	{6.3, 0.24}, {10, 0.20}, {16, 0.17}, {25, 0.15}, {35, 0.14}, {50, 0.12}, {100, 0.10},
}

// LossLimit returns the limit usual for the kind and rating of the capacitor,
// without regard to its sheet, at the frequency nearest to the one asked for,
// in hertz, among those at which makers state it. It reports false where the
// kind has none.
//
// For aluminium electrolytics the table goes by rated voltage. A rating between
// two rows takes the laxer of both, and one beyond the table the nearest row.
// Above 1000 µF makers add 0.02 per 1000 µF and do not say how a part step
// counts; here only whole steps count, the stricter reading: 4700 µF adds
// three, 0.06.
//
// Sources: Lelon RGA (aluminium), Teapo SN (non-polar), NTE TD (tantalum),
// WIMA's table of dielectrics (film, for polyester, the laxest of the usual
// films), SECI (ceramic); mica, and paper and foil: common practice;
// metallised paper: from memory.
func (c Capacitor) LossLimit(frequency float64) (LossLimit, bool) {
	const lineRipple, audio, radio = 120, 1e3, 1e6
	switch c.Kind {
	case AluminiumElectrolytic:
		return c.lossFromTable(lossByVoltage, sourceLelon), true
	case NonPolarElectrolytic:
		return c.lossFromTable(nonPolarLossByVoltage, sourceTeapo), true
	case SolidTantalum:
		limit := LossLimit{LossTangent: 0.10, Frequency: lineRipple, Source: sourceNTE}
		switch { // the maker's groups end at 1.5, 6.8 and 68 µF
		case c.Nominal < 2.2e-6*0.99:
			limit.LossTangent = 0.04
		case c.Nominal < 10e-6*0.99:
			limit.LossTangent = 0.06
		case c.Nominal < 100e-6*0.99:
			limit.LossTangent = 0.08
		}
		return limit, true
	case PlasticFilm:
		switch {
		case frequency >= 100e3*atLeast:
			return LossLimit{LossTangent: 0.030, Frequency: 100e3, Source: sourceWIMA}, true
		case frequency >= 10e3*atLeast:
			return LossLimit{LossTangent: 0.015, Frequency: 10e3, Source: sourceWIMA}, true
		}
		return LossLimit{LossTangent: 0.008, Frequency: audio, Source: sourceWIMA}, true
	case CeramicClass1:
		limit := LossLimit{LossTangent: 1.0 / 1000, Frequency: audio, Source: sourceSECI}
		if c.Nominal <= 1000e-12 {
			limit.Frequency = radio
		}
		if c.Nominal < 30e-12 {
			limit.LossTangent = 1 / (400 + 20*c.Nominal*1e12)
		}
		return limit, true
	case CeramicClass2:
		return LossLimit{LossTangent: 0.03, Frequency: audio, Source: sourceSECI}, true
	case CeramicClass3:
		return LossLimit{LossTangent: 0.05, Frequency: audio, Source: sourceSECI}, true
	case Mica:
		limit := LossLimit{LossTangent: 0.001, Frequency: audio, Source: CommonPractice}
		if c.Nominal <= 1000e-12 {
			limit.Frequency = radio
		}
		return limit, true
	case PaperFoil:
		return LossLimit{LossTangent: 0.010, Frequency: audio, Source: CommonPractice}, true
	case MetallisedPaper:
		return LossLimit{LossTangent: 0.013, Frequency: audio, Source: sourcePaper}, true
	}
	return LossLimit{}, false
}

// lossFromTable looks up the rated voltage and adds the allowance for large
// capacitances.
func (c Capacitor) lossFromTable(table []voltageLoss, source string) LossLimit {
	limit := LossLimit{Frequency: 120, Source: source}
	first, last := table[0], table[len(table)-1]
	switch {
	case c.RatedVoltage < first.rated:
		limit.LossTangent = first.lossTangent
		limit.Assumed = append(limit.Assumed, fmt.Sprintf("the table begins at %v V; its first row taken for %v V", first.rated, c.RatedVoltage))
	case c.RatedVoltage > last.rated:
		limit.LossTangent = last.lossTangent
		limit.Assumed = append(limit.Assumed, fmt.Sprintf("the table ends at %v V; its last row taken for %v V", last.rated, c.RatedVoltage))
	default:
		for i, row := range table {
			if c.RatedVoltage == row.rated {
				limit.LossTangent = row.lossTangent
				break
			}
			if c.RatedVoltage < row.rated {
				below := table[i-1]
				limit.LossTangent = math.Max(below.lossTangent, row.lossTangent)
				limit.Assumed = append(limit.Assumed, fmt.Sprintf("%v V lies between the rows for %v V and %v V; the laxer taken", c.RatedVoltage, below.rated, row.rated))
				break
			}
		}
	}
	const step, stepAllowance = 1000e-6, 0.02
	if steps := math.Floor(c.Nominal/step - 1 + rounding); steps > 0 {
		limit.LossTangent += stepAllowance * steps
		limit.Assumed = append(limit.Assumed, fmt.Sprintf("%v whole steps of 1000 µF above the first counted", steps))
	}
	return limit
}
