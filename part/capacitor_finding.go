package part

import (
	"fmt"
	"math"
)

// rounding keeps a reading that equals a limit in decimals inside it.
const rounding = 1e-9

// grade fills in what a measured reason deserves. Outside the narrowest limit
// the reading is bad; it proves so only when above proofAbove or below
// proofBelow, as the side may be.
func (r *Reason) grade(proofBelow, proofAbove float64) {
	r.Condemns = proofAbove < math.Inf(1) || proofBelow > math.Inf(-1)
	word := func(x float64) Condition {
		deserved := r.Beyond
		for _, limit := range r.Limits {
			if limit.Low*(1-rounding) <= x && x <= limit.High*(1+rounding) {
				deserved = limit.Word
				break
			}
		}
		switch {
		case deserved == Good && !r.Clears:
			return CannotTell
		case deserved.bad() && !(x < r.Limits[0].Low && x < proofBelow) && !(x > r.Limits[0].High && x > proofAbove):
			return CannotTell
		}
		return deserved
	}
	low, high := r.Reading.span()
	low = math.Max(low, 0) // none of the quantities can be less
	nearest := math.Min(high, math.Max(low, r.Limits[0].Low))
	r.Best = word(nearest)
	r.Worst = word(low)
	if word(high).rank() > r.Worst.rank() {
		r.Worst = word(high)
	}
}

// because records why a reading taken this way proves less.
func (r *Reason) because(format string, args ...any) {
	r.Because = append(r.Because, fmt.Sprintf(format, args...))
}

// assume records what was taken for granted.
func (r *Reason) assume(format string, args ...any) {
	r.Assumed = append(r.Assumed, fmt.Sprintf(format, args...))
}

// Limits of quantities hold at room temperature, 15 to 35 °C. Source: IEC
// 60068-1, standard atmospheric conditions, as printed in Murata's data sheet
// of class X1/Y1 ceramic capacitors, "room condition".
const (
	coldest = 273.15 + 15
	warmest = 273.15 + 35
)

// cold and hot tell whether the part was read outside room temperature.
func (r CapacitorReading) cold() bool { return r.Temperature > 0 && r.Temperature < coldest }
func (r CapacitorReading) hot() bool  { return r.Temperature > warmest }

// temperatureAssumed notes that a temperature was taken for granted.
func (r *Reason) temperatureAssumed(reading CapacitorReading) {
	if reading.Temperature == 0 {
		r.assume("read at room temperature")
	}
}

// inCircuit tells whether other parts may have been read along.
func (r CapacitorReading) inCircuit() bool { return r.Place != OutOfCircuit }

// placeAssumed notes that a place was taken for granted.
func (r *Reason) placeAssumed(reading CapacitorReading) {
	if reading.Place == PlaceNotNoted {
		r.assume("read in circuit, as nothing else is noted")
	}
}

// findings turns one sitting into reasons.
func (c Capacitor) findings(reading CapacitorReading) []Reason {
	var reasons []Reason
	if reading.Capacitance != nil {
		reasons = append(reasons, c.capacitanceFinding(reading))
	}
	if reading.ESR != nil {
		reasons = append(reasons, c.lossFinding(QuantityESR, *reading.ESR, reading))
	}
	if reading.LossTangent != nil {
		reasons = append(reasons, c.lossFinding(QuantityLossTangent, *reading.LossTangent, reading))
	}
	if reading.Leakage != nil {
		reasons = append(reasons, c.leakageFinding(reading))
	}
	reasons = append(reasons, c.lookFindings(reading.Look)...)
	if reading.Age > 0 {
		if reason, matters := c.ageFinding(reading.Age); matters {
			reasons = append(reasons, reason)
		}
	}
	return reasons
}
