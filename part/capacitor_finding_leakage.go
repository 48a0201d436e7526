package part

import "math"

// shortedBelow is the resistance in ohms under which a capacitor is called
// shorted. Common practice, no source.
const shortedBelow = 100

// leakageFinding judges the leakage.
func (c Capacitor) leakageFinding(reading CapacitorReading) Reason {
	reason := Reason{Quantity: QuantityLeakage, Reading: *reading.Leakage, Beyond: Dangerous, Clears: true}
	volts := reading.LeakageVoltage
	usual, known := c.LeakageLimit()
	if c.Limits.Leakage > 0 {
		usual = LeakageLimit{Current: c.Limits.Leakage, Voltage: c.RatedVoltage, After: usual.After, Source: FromSheet}
		known = true
	}
	shorted := volts / shortedBelow
	proofAbove := 0.0
	if known {
		endOfLife := c.Kind.EndOfLife()
		good := usual.at(volts)
		usable := good * endOfLife.LeakageMultiple
		reason.Limits = []Limit{{Good, 0, good, usual.Source}, {Worn, 0, usable, endOfLife.LeakageSource}}
		if !c.onMains() {
			reason.Limits = append(reason.Limits, Limit{Spent, 0, math.Max(usable, shorted), CommonPractice})
		}
		if c.Kind.electrolytic() {
			reason.assume("not reformed first; an electrolytic long without voltage may leak less after reforming")
		}
		if volts < usual.Voltage*0.95 {
			reason.Clears = false
			reason.because("read at %s, less than the %s of the limit: only too much counts", engineering(volts, "V"), engineering(usual.Voltage, "V"))
		}
		if reading.LeakageAfter == 0 {
			reason.assume("read after the current had settled")
		} else if reading.LeakageAfter < usual.After {
			proofAbove = math.Inf(1)
			reason.because("read after %.3g min, before the %.3g min of the limit: the current may still fall, so only a good reading counts", reading.LeakageAfter/60, usual.After/60)
		}
	} else {
		reason.Clears = false
		reason.Limits = []Limit{{CannotTell, 0, shorted, CommonPractice}}
		reason.because("no limit is known for a %v; the sheet may give one", c.Kind)
	}
	if most := c.greatestTestVoltage(); volts > most {
		proofAbove = math.Inf(1)
		reason.because("read at %s, more than the %s the part stands: only a good reading counts", engineering(volts, "V"), engineering(most, "V"))
	}
	reason.temperatureAssumed(reading)
	if reading.cold() {
		reason.Clears = false
		reason.because("read cold, at %.0f °C: leakage is lower there, so only too much counts", reading.Temperature-273.15)
	}
	if reading.hot() {
		proofAbove = math.Inf(1)
		reason.because("read hot, at %.0f °C: leakage is higher there, so only a good reading counts", reading.Temperature-273.15)
	}
	if reading.inCircuit() {
		reason.placeAssumed(reading)
		proofAbove = math.Inf(1)
		reason.because("in circuit, parallel paths add their current: only a good reading holds; lift a leg")
	}
	reason.grade(math.Inf(-1), proofAbove)
	return reason
}

// greatestTestVoltage returns the direct voltage up to which a leakage says
// something against the part: the rated voltage with 5 % for the supply, or for
// a part with a safety class, whose rating is alternating, the proof voltage of
// class X (class Y parts are proved higher).
func (c Capacitor) greatestTestVoltage() float64 {
	if c.SafetyClass != NoSafetyClass {
		proof, _ := ClassX2.ProofVoltage(c.RatedVoltage)
		return proof
	}
	return c.RatedVoltage * 1.05
}
