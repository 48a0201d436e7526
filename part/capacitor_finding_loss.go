package part

import "math"

// Two frequencies within these ratios count as the same.
const (
	atLeast = 0.8
	atMost  = 1.25
)

// meterFrequency is taken for an ESR without a frequency. Common practice, no
// source.
const meterFrequency = 100e3

// lossReference is the limit that a loss is held against: an ESR in ohms or a
// tan δ, at a frequency in hertz.
type lossReference struct {
	value, frequency float64
	ofESR            bool
	source           string
	assumed          []string
}

// lossReference picks the sheet's limit of the quantity read, else the sheet's
// other limit, else that of the kind.
func (c Capacitor) lossReference(read Quantity, frequency float64) (lossReference, bool) {
	esr := lossReference{value: c.Limits.ESR, frequency: c.Limits.ESRFrequency, ofESR: true, source: FromSheet}
	tangent := lossReference{value: c.Limits.LossTangent, frequency: c.Limits.LossFrequency, source: FromSheet}
	first, second := esr, tangent
	if read == QuantityLossTangent {
		first, second = tangent, esr
	}
	for _, reference := range []lossReference{first, second} {
		if reference.value == 0 {
			continue
		}
		if reference.frequency == 0 {
			reference.frequency = frequency
			reference.assumed = []string{"the sheet gives no frequency for its limit; that of the reading taken"}
		}
		return reference, true
	}
	usual, ok := c.LossLimit(frequency)
	return lossReference{value: usual.LossTangent, frequency: usual.Frequency, source: usual.Source, assumed: usual.Assumed}, ok
}

// lossFinding judges an ESR or a tan δ.
//
// The loss of an electrolytic is mostly the resistance of its electrolyte, the
// same at every frequency; that of the other kinds is mostly in the dielectric,
// where tan δ stays or rises with frequency and ESR falls. A limit is carried
// to the frequency of the reading by the first rule; by the second it is left
// as it is, and the reading counts only in the direction in which that is safe.
func (c Capacitor) lossFinding(read Quantity, measured Measured, reading CapacitorReading) Reason {
	reason := Reason{Quantity: read, Reading: measured, Beyond: Spent, Clears: true}
	frequency := reading.Frequency
	if frequency == 0 {
		frequency = meterFrequency
		reason.assume("frequency not noted; 100 kHz taken, as ESR meters use (%s)", CommonPractice)
	}
	reference, known := c.lossReference(read, frequency)
	if !known {
		reason.Clears = false
		reason.Limits = []Limit{{CannotTell, 0, math.MaxFloat64, ""}}
		reason.because("no limit is known for a %v; the sheet may give one", c.Kind)
		reason.grade(math.Inf(-1), math.Inf(1))
		return reason
	}
	reason.Assumed = append(reason.Assumed, reference.assumed...)
	proofAbove := 0.0
	limit := reference.value
	carried := frequency > reference.frequency*atMost
	below := frequency < reference.frequency*atLeast
	electrolytic := c.Kind.electrolytic()
	switch {
	case carried && electrolytic:
		reason.assume("limit stated at %s carried to %s as the same resistance, though a new part reads lower there",
			engineering(reference.frequency, "Hz"), engineering(frequency, "Hz"))
	case carried && reference.ofESR:
		reason.Clears = false
		reason.because("limit stated at %s: at %s a lower resistance is normal, so only too much counts", engineering(reference.frequency, "Hz"), engineering(frequency, "Hz"))
	case carried:
		proofAbove = math.Inf(1)
		reason.because("limit stated at %s: at %s more loss is normal, so only a good reading counts", engineering(reference.frequency, "Hz"), engineering(frequency, "Hz"))
	case below && reference.ofESR:
		proofAbove = math.Inf(1)
		reason.because("limit stated at %s: at %s a higher resistance is normal, so only a good reading counts", engineering(reference.frequency, "Hz"), engineering(frequency, "Hz"))
	case below:
		reason.Clears = false
		reason.because("limit stated at %s: at %s less loss is normal, so only too much counts", engineering(reference.frequency, "Hz"), engineering(frequency, "Hz"))
	}
	if !reference.ofESR && electrolytic && frequency > reference.frequency {
		limit *= frequency / reference.frequency
	}
	switch {
	case reference.ofESR && read == QuantityLossTangent:
		limit = LossTangent(limit, frequency, c.Nominal)
	case !reference.ofESR && read == QuantityESR:
		limit = ESR(limit, frequency, c.Nominal)
	}
	endOfLife := c.Kind.EndOfLife()
	good := Limit{Good, 0, limit, reference.source}
	usable := Limit{Worn, 0, limit * endOfLife.LossMultiple, endOfLife.LossSource}
	if electrolytic && c.InitialESR > 0 {
		c.narrowByRise(read, frequency, &good, &usable)
		limit = good.High
	}
	reason.Limits = []Limit{good, usable}
	reason.temperatureAssumed(reading)
	if reading.cold() {
		proofAbove = math.Inf(1)
		reason.because("read cold, at %.0f °C: loss is higher there, so only a good reading counts", reading.Temperature-273.15)
	}
	if reading.hot() {
		reason.Clears = false
		reason.because("read hot, at %.0f °C: loss is lower there, so only too much counts", reading.Temperature-273.15)
	}
	if reading.inCircuit() {
		reason.placeAssumed(reading)
		reason.Clears = false
		if read == QuantityLossTangent {
			proofAbove = math.Inf(1)
			reason.because("in circuit, a parallel capacitor lowers tan δ and a parallel resistor raises it: it decides nothing")
		} else {
			feigned := c.feignedESR(limit, frequency)
			proofAbove = math.Max(proofAbove, feigned)
			reason.because("in circuit, a parallel path hides a high ESR, and a resistor across a good part can make it read up to %s at %s: only more than that holds, unless a coil lies across it",
				engineering(feigned, "Ω"), engineering(frequency, "Hz"))
		}
	}
	reason.grade(math.Inf(-1), proofAbove)
	return reason
}

// narrowByRise narrows the limits of a loss to what the rise since new allows: a
// rise of 100 % ends the life, and wear begins at the strictest multiple that
// makers print.
func (c Capacitor) narrowByRise(read Quantity, frequency float64, good, usable *Limit) {
	initial, endOfLife := c.InitialESR, c.Kind.EndOfLife()
	if read == QuantityLossTangent {
		initial = LossTangent(initial, frequency, c.Nominal)
	}
	const doubled = 2
	if most := initial * doubled; most < usable.High {
		usable.High, usable.Source = most, sourceMIL
	}
	most, source := usable.High, usable.Source
	if endOfLife.EarlyLoss > 0 {
		most, source = initial*endOfLife.EarlyLoss, endOfLife.EarlySource
	}
	if most < good.High {
		good.High, good.Source = most, source
	}
}

// feignedESR returns the greatest resistance in ohms that a meter can read, in
// phase, across a good part in circuit, whatever resistors and capacitors lie
// in parallel.
//
// A part of series resistance r and reactance X has the admittance
// (r + jX)/(r² + X²). Adding a conductance g and a susceptance b of the same
// sign, the real part of the impedance is greatest at b = 0 and at the g that
// makes conductance and susceptance equal: (r² + X²)/2X, as long as r is less
// than X; beyond, nothing in parallel raises it above r. X is that of the least
// capacitance a good part may have.
func (c Capacitor) feignedESR(limit, frequency float64) float64 {
	good, _ := c.capacitanceRange()
	reactance := 1 / (2 * math.Pi * frequency * good.Low)
	if limit >= reactance {
		return limit
	}
	return (limit*limit + reactance*reactance) / (2 * reactance)
}
