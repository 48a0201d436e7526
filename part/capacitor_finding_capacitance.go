package part

import "math"

// capacitanceRange returns the limits of a good part and of a usable one.
func (c Capacitor) capacitanceRange() (good, usable Limit) {
	low, high, _ := c.Tolerance()
	endOfLife := c.Kind.EndOfLife()
	good = Limit{Good, c.Nominal * (1 + low), c.Nominal * (1 + high), FromMarking}
	usable = Limit{Worn, good.Low * (1 - endOfLife.CapacitanceChange), good.High * (1 + endOfLife.CapacitanceChange), endOfLife.CapacitanceSource}
	if c.Initial > 0 {
		usable.Low, usable.High = c.Initial*(1-endOfLife.CapacitanceChange), c.Initial*(1+endOfLife.CapacitanceChange)
		low, high := usable.Low, usable.High
		if early := endOfLife.EarlyChange; early > 0 {
			low, high = c.Initial*(1-early), c.Initial*(1+early)
		}
		if low > good.Low || high < good.High {
			good.Source = endOfLife.CapacitanceSource
			if endOfLife.EarlyChange > 0 {
				good.Source = endOfLife.EarlySource
			}
		}
		good.Low, good.High = math.Max(good.Low, low), math.Min(good.High, high)
	}
	return good, usable
}

// capacitanceFinding judges the capacitance against tolerance and end of life.
func (c Capacitor) capacitanceFinding(reading CapacitorReading) Reason {
	good, usable := c.capacitanceRange()
	reason := Reason{
		Quantity: QuantityCapacitance,
		Reading:  *reading.Capacitance,
		Nominal:  c.Nominal,
		Limits:   []Limit{good, usable},
		Beyond:   Spent,
		Clears:   true,
	}
	if low, high, assumed := c.Tolerance(); assumed {
		reason.assume("tolerance %+.3g to %+.3g %%, usual for the kind (%s)", 100*low, 100*high, CommonPractice)
	}
	if c.Initial == 0 {
		reason.assume("value when new not known, change counted from the edge of the tolerance")
	}
	proofBelow, proofAbove := math.Inf(1), 0.0
	if reading.inCircuit() {
		reason.placeAssumed(reading)
		reason.Clears, proofAbove = false, math.Inf(1)
		reason.because("in circuit, parallel capacitors and resistors make it read high: only a low reading holds, unless a coil lies across it")
	}
	reason.temperatureAssumed(reading)
	if reading.cold() {
		proofBelow = math.Inf(-1)
		reason.because("read cold, at %.0f °C: a low reading may rise at room temperature", reading.Temperature-273.15)
	}
	if reading.hot() {
		reason.Clears = false
		reason.because("read hot, at %.0f °C: a good reading may fall at room temperature", reading.Temperature-273.15)
		if c.Kind == CeramicClass2 || c.Kind == CeramicClass3 {
			proofBelow = math.Inf(-1)
			reason.because("class 2 and 3 ceramic loses capacitance when hot")
		}
	}
	const lossy = 0.1 // where the two modes of a meter part by one per cent
	if d := reading.LossTangent; d != nil && d.Value >= lossy {
		reason.assume("series mode; if the meter was in parallel mode the true value is %s",
			engineering(SeriesCapacitance(reading.Capacitance.Value, d.Value), "F"))
	}
	reason.grade(proofBelow, proofAbove)
	return reason
}
