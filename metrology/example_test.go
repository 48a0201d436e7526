package metrology_test

import (
	"fmt"
	"math"

	"halfsplit/metrology"
)

// The +5 V rail of the Ostrel VT-9 reads 4.78 V on a handheld meter. The
// terminal's logic is TTL, which wants 4.75 V: so is it good?
func ExampleJudge() {
	meter, _ := metrology.InstrumentByName("handheld 3½-digit multimeter")
	measurement, err := meter.Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: []float64{4.78}, Resolution: 0.01})
	if err != nil {
		fmt.Println(err)
		return
	}
	rail, err := metrology.FamilyLimit("TTL", 5)
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, err := metrology.Judge(measurement, rail.Limit)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%g V is %s at the %s (%g V, %s)\n", verdict.Estimate.Value, verdict.Word, verdict.Side, rail.Limit.Low, rail.Limit.Source)
	fmt.Printf("margin %.2f V, U = %.3f V (k = %.2f)\n", verdict.Margin, verdict.Expanded, verdict.Coverage)
	fmt.Printf("p = %.2f, 1 - p = %.2f\n", verdict.Conformity.Conforming, verdict.Conformity.Nonconforming)
	for _, remedy := range verdict.Settlement.Remedies {
		fmt.Printf("to settle it: %s (last digit %g V; meter to ±%.3f V)\n", remedy, verdict.Settlement.Resolution, verdict.Settlement.Bound)
	}
	// Output:
	// 4.78 V is too close to call at the low limit (4.75 V, recommended operating conditions, Texas Instruments SDLS025B (SN54LS00, SN74LS00), 2003)
	// margin 0.03 V, U = 0.063 V (k = 2.00)
	// p = 0.83, 1 - p = 0.17
	// to settle it: more digits (last digit 0.001 V; meter to ±0.032 V)
	// to settle it: a better meter (last digit 0.001 V; meter to ±0.032 V)
}

// Five readings of the Corvane P6's +15 V rail, and the budget behind them.
func ExampleInstrument_Evaluate() {
	meter, _ := metrology.InstrumentByName("handheld 6000-count multimeter")
	room := 31.0 // °C, three above the band for which the meter is specified
	m, err := meter.Evaluate(metrology.Reading{
		Function: metrology.DCVolts,
		Values:   []float64{14.87, 14.91, 14.86, 14.90, 14.89},
		Ambient:  &room,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range m.Components {
		fmt.Printf("%-20s %.4f V\n", c.Origin, c.U)
	}
	e, _ := m.Estimate()
	fmt.Printf("%.3f V, u = %.4f V\n", e.Value, e.U)
	// Output:
	// meter accuracy       0.0709 V
	// last digit           0.0029 V
	// scatter of readings  0.0093 V
	// 14.886 V, u = 0.0715 V
}

// What "0.5 % + 3 digits" means at 2.000 V, in a normal room and in a cold
// one.
func ExampleAccuracy_BoundAt() {
	a := metrology.Accuracy{Range: 2, Resolution: 0.001, OfReading: 0.005, Digits: 3, Tempco: 0.1, BandLow: 18, BandHigh: 28}
	fmt.Printf("±%.3f V at 23 °C, ±%.3f V at 13 °C\n", a.BoundAt(2, 23), a.BoundAt(2, 13))
	// Output: ±0.013 V at 23 °C, ±0.020 V at 13 °C
}

// A collector behind 470 kΩ, read with an 11 MΩ meter.
func ExampleLoading() {
	load, err := metrology.VoltmeterLoading(metrology.Resistance{Ohms: 470e3, U: 13.6e3}, metrology.Resistance{Ohms: 11e6, U: 64e3})
	if err != nil {
		fmt.Println(err)
		return
	}
	value, u := load.Correct(8.15)
	fmt.Printf("reads %.1f %% off; without the meter %.2f V (u = %.3f V)\n", 100*load.Error(), value, u)
	// Output: reads -4.1 % off; without the meter 8.50 V (u = 0.010 V)
}

// The same point read twice, the second time with a resistor across the
// meter, shows what stands behind it.
func ExampleSourceFromTwo() {
	volts, ohms, err := metrology.SourceFromTwo(6.0, 200e3, 7.5, 500e3)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f V behind %.0f kΩ\n", volts, ohms/1000)
	// Output: 9.0 V behind 100 kΩ
}

// A low ESR reading is mostly leads.
func ExampleLeadCorrection() {
	r, err := metrology.LeadCorrection(metrology.Resistance{Ohms: 0.62, U: 0.01}, metrology.Resistance{Ohms: 0.25, U: 0.01})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f Ω (u = %.3f Ω)\n", r.Ohms, r.U)
	// Output: 0.37 Ω (u = 0.014 Ω)
}

// JCGM 106, 7.3: a Zener diode at −5.47 V (u = 0.05 V) against an upper limit
// of −5.40 V.
//
// Outside: JCGM 106:2012, 7.3. Within: the digits printed.
func ExampleConform() {
	c, err := metrology.Conform(metrology.Estimate{Value: -5.47, U: 0.05}, metrology.Limit{Low: math.Inf(-1), High: -5.40})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("p = %.2f, and beyond the limit with %.2f\n", c.Conforming, c.Above)
	// Output: p = 0.92, and beyond the limit with 0.08
}

// Sorting a drawer of resistors of 5 % whose values scatter by 2.5 %, with a
// meter good to u = 0.5 %.
func ExampleGlobalRisks() {
	five := metrology.Limit{Low: -0.05, High: 0.05}
	r, err := metrology.GlobalRisks(metrology.Prior{Deviation: 0.025}, 0.005, five, five)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bad: %.2f %%; bad and kept: %.2f %%; good and thrown away: %.2f %%\n", 100*r.Nonconforming, 100*r.Consumer, 100*r.Producer)
	// Output: bad: 4.55 %; bad and kept: 0.68 %; good and thrown away: 1.11 %
}

// Limits drawn in by the expanded uncertainty leave at most 2.3 % doubt about
// what passes.
func ExampleLimit_Guarded() {
	limit := metrology.Limit{Low: 4.75, High: 5.25}
	risk, _ := metrology.GuardBandRisk(1, 2)
	accept, err := limit.Guarded(0.03)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("accept %.2f to %.2f V; doubt at most %.1f %%\n", accept.Low, accept.High, 100*risk)
	// Output: accept 4.78 to 5.22 V; doubt at most 2.3 %
}

// Power in a dummy load from voltage and current, each with its bound.
func ExamplePropagate() {
	inputs := []metrology.Input{
		{Value: 12, U: metrology.Rectangular(0.1)},
		{Value: 2, U: metrology.Rectangular(0.05)},
	}
	p, err := metrology.Propagate(func(x []float64) float64 { return x[0] * x[1] }, inputs, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f W, u = %.2f W; from the voltage %.2f W, from the current %.2f W\n", p.Value, p.U, p.Contributions[0], p.Contributions[1])
	// Output: 24 W, u = 0.37 W; from the voltage 0.12 W, from the current 0.35 W
}

// JCGM 100, G.4.1: three contributions with few degrees of freedom.
//
// Outside: JCGM 100:2008, G.4.1. Within: the digits printed.
func ExampleCombine() {
	u, dof, err := metrology.Combine(
		metrology.Component{U: 0.25, DOF: 9},
		metrology.Component{U: 0.57, DOF: 4},
		metrology.Component{U: 0.82, DOF: 14},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	k, expanded, _ := metrology.Expand(u, dof, 0.95)
	fmt.Printf("u = %.2f %%, %.1f degrees of freedom, k = %.2f, U = %.1f %%\n", u, dof, k, expanded)
	// Output: u = 1.03 %, 19.0 degrees of freedom, k = 2.09, U = 2.2 %
}

// The scatter of five readings.
func ExampleTypeA() {
	r, err := metrology.TypeA([]float64{12.34, 12.35, 12.33, 12.35, 12.34})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.3f V, s = %.4f V, u = %.4f V, %g degrees of freedom\n", r.Mean, r.Deviation, r.U, r.DOF)
	// Output: mean 12.342 V, s = 0.0084 V, u = 0.0037 V, 4 degrees of freedom
}

// The bench's old meter was held against a better one at four points.
func ExampleFitCalibration() {
	line, err := metrology.FitCalibration([]float64{1, 5, 10, 15}, []float64{0.004, 0.021, 0.039, 0.061}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := line.Correction(12)
	fmt.Printf("at 12 V add %.3f V (u = %.4f V)\n", c.Value, c.U)
	// Output: at 12 V add 0.048 V (u = 0.0007 V)
}

// What a family of loads can stand, and where that is written.
func ExampleFamilyLimits() {
	rails, err := metrology.FamilyLimits("4116")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range rails {
		fmt.Printf("%s %g to %g V\n", r.Name, r.Limit.Low, r.Limit.High)
	}
	// Output:
	// VDD 10.8 to 13.2 V
	// VCC 4.5 to 5.5 V
	// VBB -5.5 to -4.5 V
}

// Hum on a reservoir capacitor is nearly a triangle: what an averaging meter
// shows, and what is there.
func ExampleWaveform_FromAverageReading() {
	rms, err := metrology.Triangle().FromAverageReading(0.50)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f V RMS\n", rms)
	// Output: 0.520 V RMS
}

// An idle RS-232 line sits at a mark.
func ExampleReceivedLevel() {
	for _, volts := range []float64{-11.2, 0.4, 9.8} {
		fmt.Println(volts, metrology.ReceivedLevel(volts))
	}
	// Output:
	// -11.2 mark
	// 0.4 undefined
	// 9.8 space
}

// A reading of one resistor out of a lot that is known.
func ExampleEstimate_WithPrior() {
	e, err := metrology.Estimate{Value: 1500.17, U: 0.04}.WithPrior(metrology.Prior{Mean: 1500, Deviation: 0.12})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f Ω, u = %.3f Ω\n", e.Value, e.U)
	// Output: 1500.153 Ω, u = 0.038 Ω
}
