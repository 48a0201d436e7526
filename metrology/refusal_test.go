package metrology_test

import (
	"math"
	"strings"
	"testing"

	"halfsplit/metrology"
)

// What cannot be right is refused, with words that say what would be.
func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	band := metrology.Limit{Low: 4.75, High: 5.25}
	free := metrology.Limit{Low: -inf, High: inf}
	one := func(x []float64) float64 { return x[0] }
	meter := plainMeter()
	volts := func(values ...float64) metrology.Reading {
		return metrology.Reading{Function: metrology.DCVolts, Values: values}
	}
	part := func(c metrology.Component) error {
		_, err := metrology.Judge(metrology.Measurement{Value: 5, Components: []metrology.Component{c}}, band)
		return err
	}
	second := func(_ any, err error) error { return err }
	third := func(_, _ any, err error) error { return err }
	ranges := func(rs ...metrology.Accuracy) error {
		return metrology.Instrument{Name: "M", Ranges: map[metrology.Function][]metrology.Accuracy{metrology.Ohms: rs}}.Check()
	}
	warm := 5000.0

	for _, c := range []struct {
		name string
		err  error
		says string
	}{
		{"negative u", part(metrology.Component{U: -1}), "must be zero or more"},
		{"u not a number", part(metrology.Component{U: nan}), "must be zero or more"},
		{"infinite u", part(metrology.Component{U: inf}), "finite"},
		{"half a degree of freedom", part(metrology.Component{U: 1, DOF: 0.5}), "1 or more"},
		{"share above one", part(metrology.Component{U: 1, LastDigitShare: 2}), "between 0 and 1"},
		{"budget beyond numbers", second(metrology.Measurement{Components: []metrology.Component{{U: math.MaxFloat64}, {U: math.MaxFloat64}}}.Estimate()), "too large"},
		{"value not a number", second(metrology.Judge(metrology.Measurement{Value: nan}, band)), "finite number"},
		{"limits the wrong way round", second(metrology.Judge(metrology.FromBound(5, 0.1), metrology.Limit{Low: -4.5, High: -5.5})), "more negative"},
		{"limit not a number", second(metrology.Conform(metrology.Estimate{}, metrology.Limit{Low: nan})), "not a number"},
		{"limits at infinity", second(metrology.Conform(metrology.Estimate{}, metrology.Limit{Low: inf, High: inf})), "no value lies"},
		{"no limit", second(metrology.Judge(metrology.FromBound(5, 0.1), free)), "at least one side"},
		{"estimate with negative u", second(metrology.Conform(metrology.Estimate{U: -1}, band)), "zero or more"},
		{"estimate with bad freedom", second(metrology.Conform(metrology.Estimate{DOF: -1}, band)), "degrees of freedom"},

		{"prior without spread", second(metrology.Estimate{U: 1}.WithPrior(metrology.Prior{})), "above zero"},
		{"prior and few readings", second(metrology.Estimate{U: 1, DOF: 4}.WithPrior(metrology.Prior{Deviation: 1})), "Pooled"},
		{"prior and bad estimate", second(metrology.Estimate{U: nan}.WithPrior(metrology.Prior{Deviation: 1})), "zero or more"},
		{"margin for certainty", second(metrology.MarginFactor(1)), "between 0 and 1"},
		{"guard without coverage", second(metrology.GuardBandRisk(1, 0)), "above zero"},
		{"guard for no risk", second(metrology.GuardBandFactor(0, 2)), "between 0 and 1"},
		{"guard wider than the band", second(band.Guarded(0.3)), "better measurement"},
		{"guard not a number", second(band.Guarded(nan)), "finite"},
		{"guard of nothing", second(metrology.Limit{Low: 1}.Guarded(0)), "above the high limit"},
		{"lot without spread", second(metrology.GlobalRisks(metrology.Prior{}, 1, band, band)), "above zero"},
		{"lot far too narrow", second(metrology.GlobalRisks(metrology.Prior{Deviation: 1e-300}, 1e200, band, band)), "check the units"},
		{"risks of bad tolerance", second(metrology.GlobalRisks(metrology.Prior{Deviation: 1}, 1, metrology.Limit{Low: 2, High: 1}, band)), "(tolerance)"},
		{"risks of bad acceptance", second(metrology.GlobalRisks(metrology.Prior{Deviation: 1}, 1, band, metrology.Limit{Low: 2, High: 1})), "(acceptance)"},

		{"tolerance of zero volts", second(metrology.Tolerance(0, 0.05, 0.05, "")), "other than zero"},
		{"negative tolerance", second(metrology.Tolerance(5, -0.05, 0.05, "")), "zero or more"},
		{"deviation from zero", second(metrology.Deviation(1, 0)), "not zero"},
		{"practice at zero volts", second(metrology.CommonPractice(0, false)), "other than zero"},
		{"ripple practice at zero volts", second(metrology.CommonPracticeRipple(0)), "other than zero"},

		{"one reading has no scatter", second(metrology.TypeA([]float64{1})), "at least two"},
		{"reading not a number", second(metrology.TypeA([]float64{1, nan})), "reading 2"},
		{"readings beyond numbers", second(metrology.TypeA([]float64{math.MaxFloat64, -math.MaxFloat64})), "too large"},
		{"nothing to pool", third(metrology.Pooled()), "no group"},
		{"pooling single readings", third(metrology.Pooled(metrology.Repeats{Deviation: 1})), "two readings or more"},
		{"unequal series", third(metrology.Simultaneous([]float64{1, 2}, []float64{1, 2, 3})), "equal numbers"},
		{"short series", third(metrology.Simultaneous([]float64{1})), "quantity 1"},

		{"level of certainty", second(metrology.CoverageFactor(1, 0)), "between 0 and 1"},
		{"bad freedom", second(metrology.CoverageFactor(0.95, 0.2)), "1 or more"},
		{"expanding a negative", third(metrology.Expand(-1, 0, 0.95)), "zero or more"},
		{"expanding at no level", third(metrology.Expand(1, 0, 0)), "between 0 and 1"},

		{"input with negative u", second(metrology.Propagate(one, []metrology.Input{{U: -1}}, nil)), "not negative"},
		{"model without value", second(metrology.Propagate(func([]float64) float64 { return nan }, nil, nil)), "finite number"},
		{"model with a wall", second(metrology.Propagate(func(x []float64) float64 { return math.Sqrt(x[0]) }, []metrology.Input{{Value: 0, U: 1}}, nil)), "smooth"},
		{"matrix of wrong size", second(metrology.Propagate(one, []metrology.Input{{U: 1}}, metrology.Correlation{})), "0 rows for 1"},
		{"row of wrong size", second(metrology.Propagate(one, []metrology.Input{{U: 1}}, metrology.Correlation{{1, 0}})), "2 entries"},
		{"bad diagonal", second(metrology.Propagate(one, []metrology.Input{{U: 1}}, metrology.Correlation{{0.9}})), "must be 1"},
		{"matrix not symmetric", second(metrology.Propagate(one, []metrology.Input{{U: 1}, {U: 1}}, metrology.Correlation{{1, 0.5}, {0.4, 1}})), "same both ways"},
		{"impossible correlations", second(metrology.Propagate(func(x []float64) float64 { return x[0] + x[1] + x[2] },
			[]metrology.Input{{U: 1}, {U: 1}, {U: 1}}, metrology.Correlation{{1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}})), "contradict"},
		{"sensitivities short", second(metrology.Covariance([]float64{1}, []float64{1}, []float64{1, 1}, nil)), "for 2 inputs"},
		{"covariance of negative u", second(metrology.Covariance([]float64{1}, []float64{1}, []float64{-1}, nil)), "not negative"},
		{"covariance beyond numbers", second(metrology.Covariance([]float64{1e200}, []float64{1e200}, []float64{1e200}, nil)), "too large"},
		{"second order of bad input", second(metrology.SecondOrder(one, []metrology.Input{{U: -1}})), "not negative"},
		{"second order over a wall", second(metrology.SecondOrder(func(x []float64) float64 { return math.Log(x[0]) }, []metrology.Input{{Value: 1, U: 1}})), "two standard uncertainties"},

		{"calibration of two points", second(metrology.FitCalibration([]float64{1, 2}, []float64{1, 2}, 0)), "three or more"},
		{"calibration at one point", second(metrology.FitCalibration([]float64{1, 1, 1}, []float64{1, 2, 3}, 0)), "two different"},
		{"calibration not a number", second(metrology.FitCalibration([]float64{1, 2, nan}, []float64{1, 2, 3}, 0)), "finite"},
		{"calibration beyond numbers", second(metrology.FitCalibration([]float64{1, 2, 3}, []float64{math.MaxFloat64, -math.MaxFloat64, math.MaxFloat64}, 0)), "too large"},

		{"range of nothing", ranges(metrology.Accuracy{}), "above zero"},
		{"negative accuracy", ranges(metrology.Accuracy{Range: 1, OfReading: -0.1}), "part of reading"},
		{"band the wrong way round", ranges(metrology.Accuracy{Range: 1, BandLow: 28, BandHigh: 18}), "lower end first"},
		{"falling ranges", ranges(metrology.Accuracy{Range: 2}, metrology.Accuracy{Range: 1}), "do not rise"},
		{"function without ranges", ranges(), "has no ranges"},
		{"meter without ranges", metrology.Instrument{}.Check(), "no ranges"},
		{"no counts", second(metrology.Resolution(1, 0)), "one or more"},
		{"no reading", second(meter.Evaluate(volts())), "at least one"},
		{"reading not finite", second(meter.Evaluate(volts(1, nan))), "reading 2"},
		{"reading beyond the meter", second(meter.Evaluate(volts(1200))), "highest range"},
		{"function not there", second(meter.Evaluate(metrology.Reading{Function: metrology.ESR, Values: []float64{1}})), "does not measure ESR"},
		{"room too hot", second(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{1}, Ambient: &warm})), "degrees Celsius"},
		{"negative last digit", second(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{1}, Resolution: -0.1})), "last digit"},
		{"negative circuit", second(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{1}, CircuitResistance: -1})), "circuit"},
		{"negative circuit tolerance", second(meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{1}, CircuitResistance: 1, CircuitTolerance: -1})), "circuit tolerance"},
		{"range for nothing", second(meter.RangeFor(metrology.DCVolts, nan, 0)), "finite number"},
		{"unknown meter", second(metrology.InstrumentByName("spyglass")), "handheld 3½-digit multimeter"},

		{"voltmeter of no ohms", second(metrology.VoltmeterLoading(metrology.Resistance{Ohms: 1}, metrology.Resistance{})), "10 MΩ"},
		{"negative source", second(metrology.VoltmeterLoading(metrology.Resistance{Ohms: -1}, metrology.Resistance{Ohms: 1})), "source"},
		{"negative meter", second(metrology.VoltmeterLoading(metrology.Resistance{}, metrology.Resistance{Ohms: -1})), "meter"},
		{"loop of no ohms", second(metrology.BurdenLoading(metrology.Resistance{Ohms: 1}, metrology.Resistance{})), "load"},
		{"negative shunt", second(metrology.BurdenLoading(metrology.Resistance{Ohms: -1}, metrology.Resistance{})), "shunt"},
		{"negative loop", second(metrology.BurdenLoading(metrology.Resistance{}, metrology.Resistance{Ohms: nan})), "loop"},
		{"divider of no ohms", third(metrology.Divider(10, 0, 1)), "above zero"},
		{"same load twice", third(metrology.SourceFromTwo(1, 1e6, 1, 1e6)), "must differ"},
		{"no such source", third(metrology.SourceFromTwo(9, 1e5, 8, 1e6)), "fit no source"},
		{"leads longer than the part", second(metrology.LeadCorrection(metrology.Resistance{Ohms: 0.2}, metrology.Resistance{Ohms: 0.5})), "tips pressed"},
		{"negative part", second(metrology.LeadCorrection(metrology.Resistance{Ohms: -1}, metrology.Resistance{})), "part with its leads"},
		{"negative leads", second(metrology.LeadCorrection(metrology.Resistance{}, metrology.Resistance{Ohms: -1})), "leads"},

		{"peak to peak of a rectified wave", second(metrology.HalfWave().FromPeakToPeak(1)), "does not give"},
		{"average of a half wave", second(metrology.HalfWave().FromAverageReading(1)), "true root mean square"},
		{"pulse that is never on", second(metrology.PulseCrest(0)), "above 0"},
		{"ripple on no rail", second(metrology.Ripple(1, 0)), "not be at zero"},
		{"scope without bandwidth", second(metrology.RiseTime(0)), "above zero"},
		{"level in no load", second(metrology.LevelVolts(0, 0)), "above zero"},

		{"unknown family", second(metrology.FamilyLimits("valves")), "known are TTL"},
		{"unknown family's rail", second(metrology.FamilyLimit("valves", 5)), "known are TTL"},
		{"rail the family lacks", second(metrology.FamilyLimit("4116", 15)), "VDD 12 V, VCC 5 V, VBB -5 V"},
		{"supply beyond the family", second(metrology.FamilyLimit("CMOS", 24)), "3 to 15 V"},
		{"trip the wrong way round", second(metrology.TripState(5, metrology.Limit{Low: 7, High: 5})), "above the high"},
		{"trip of no rail", second(metrology.TripState(nan, band)), "finite"},
		{"levels of no family", second(metrology.LogicThresholds("ECL", 5)), "known are 74"},
		{"levels at an odd supply", second(metrology.LogicThresholds("4000B", 7)), "5, 10 and 15 V"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.err == nil || !strings.Contains(c.err.Error(), c.says) || !strings.HasPrefix(c.err.Error(), "metrology: ") {
				t.Errorf("error %v, want one that says %q", c.err, c.says)
			}
		})
	}
}
