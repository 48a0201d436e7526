package findings

import (
	"math"
	"strings"

	"halfsplit/logbook"
	"halfsplit/part"
	"halfsplit/quantity"
)

// capacitor judges a capacitor that was measured by itself and takes the
// verdict in as evidence.
func (w *work) capacitor(e *logbook.Entry, name string, how logbook.How) {
	p := w.sheet.Part(name)
	if p == nil {
		w.unused(e, "the sheet has no part %s to compare with", name)
		return
	}
	c, assumed, err := p.Capacitor()
	if err != nil {
		w.unused(e, "%v", err)
		return
	}
	v, err := c.Judge(w.capacitorReading(e, how))
	if err != nil {
		w.fail(e, err)
		return
	}
	if assumed != "" {
		defer func() {
			last := &w.report.Capacitors[len(w.report.Capacitors)-1]
			last.Reasons = append(last.Reasons, assumed)
		}()
	}
	entry := Capacitor{Line: e.Place.Line, Part: name, Condition: v.Condition.String()}
	for _, reason := range v.Reasons {
		entry.Reasons = append(entry.Reasons, reason.String())
	}
	for _, missing := range v.Missing {
		entry.Missing = append(entry.Missing, missing.String())
	}
	w.report.Capacitors = append(w.report.Capacitors, entry)
	switch {
	case v.Evidence() == part.EvidenceStrong:
		how = logbook.OutOfCircuit // package part has allowed for what a reading in circuit can prove
		w.partResult(e, name, how, false, badness(v), v.Condition.String())
	case v.Condition == part.Good || v.Condition == part.GoodAsFarAsRead:
		w.capacitorGood(e, name, how)
	default:
		w.unused(e, "%s is %s: neither cleared nor accused by it", name, v.Condition)
	}
}

// capacitorGood takes in a good capacitor. One whose loss was not read is not
// cleared of having dried out.
func (w *work) capacitorGood(e *logbook.Entry, name string, how logbook.How) {
	if e.ESR == nil && e.Loss == nil && how == logbook.OutOfCircuit {
		how = logbook.InCircuit
	}
	w.partResult(e, name, how, true, nil, "good as far as read")
}

// badness names what the strongest reason shows.
func badness(v part.CapacitorVerdict) []string {
	var shows []string
	for _, reason := range v.Reasons {
		if reason.Worst.Evidence() != part.EvidenceStrong {
			continue
		}
		switch reason.Quantity {
		case part.QuantityESR, part.QuantityLossTangent:
			shows = append(shows, "esr high")
		case part.QuantityLeakage:
			shows = append(shows, "leaky", "short")
		case part.QuantityCapacitance:
			shows = append(shows, "open", "esr high")
		}
	}
	return shows
}

// capacitorReading gives the readings of an entry with the meter's uncertainty.
func (w *work) capacitorReading(e *logbook.Entry, how logbook.How) part.CapacitorReading {
	r := part.CapacitorReading{Place: part.InCircuit}
	if how == logbook.OutOfCircuit {
		r.Place = part.OutOfCircuit
	}
	measured := func(q *quantity.Quantity) *part.Measured {
		if q == nil {
			return nil
		}
		u := 0.02 * math.Abs(q.Value) / math.Sqrt(3) // 2 % where the meter does not say; common practice, no source
		if m, _, err := w.measure(e.With.Text, []reading{{quantity: *q}}, 0); err == nil {
			if estimate, err := m.Estimate(); err == nil {
				u = estimate.U
			}
		}
		return &part.Measured{Value: q.Value, Uncertainty: u}
	}
	r.Capacitance, r.ESR, r.LossTangent, r.Leakage = measured(e.Capacity), measured(e.ESR), measured(e.Loss), measured(e.Leakage)
	if e.Frequency != nil {
		r.Frequency = e.Frequency.Value
	}
	if e.Volts != nil {
		r.LeakageVoltage = e.Volts.Value
	}
	if e.State.Temperature != nil {
		r.Temperature = e.State.Temperature.Value + 273.15
	}
	for _, look := range e.Seen {
		switch strings.ToLower(string(look)) {
		case "bulged":
			r.Look |= part.Bulged
		case "leaked":
			r.Look |= part.Leaked
		case "cracked":
			r.Look |= part.Cracked
		case "burnt":
			r.Look |= part.Burnt
		case "residue":
			r.Look |= part.Residue
		}
	}
	return r
}
