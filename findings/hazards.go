package findings

import (
	"fmt"
	"math"

	"halfsplit/logbook"
	"halfsplit/sheet"
)

// safeVolts is the voltage down to which a capacitor is discharged before it
// is touched. Common practice; local codes may ask for less.
const safeVolts = 50.0

// hazards lists the hazards of the sheet and which of them the log answers.
func (w *work) hazards() {
	for i := range w.sheet.Hazards {
		h := &w.sheet.Hazards[i]
		one := Hazard{Name: h.Name.Text, Kind: string(h.Kind), Where: h.Where, Do: h.Do, Before: string(h.Before)}
		if one.Before == "" {
			one.Before = string(sheet.GatePower)
		}
		if h.Capacity != nil && h.Voltage != nil {
			one.Energy = h.Capacity.Value * h.Voltage.Value * h.Voltage.Value / 2 // ½CV²
			if h.Bleeder != nil && math.Abs(h.Voltage.Value) > safeVolts {
				one.Discharge = h.Bleeder.Value * h.Capacity.Value * math.Log(math.Abs(h.Voltage.Value)/safeVolts) // RC ln(V/V₁)
			}
		}
		for j := range w.logCase.Log {
			e := &w.logCase.Log[j]
			if e.Verb() == "safe" && !e.Corrected() && e.Safe.Text == one.Name {
				one.Answered = true
			}
		}
		w.report.Hazards = append(w.report.Hazards, one)
	}
	if line, name := w.powered(); line > 0 {
		w.report.Disputes = append(w.report.Disputes, Dispute{[]int{line}, fmt.Sprintf(
			"the unit was powered here before the hazard %q was answered: record it with safe, or stop and answer it first", name)})
	}
}

// unanswered gives the first hazard that holds a step up, or nil.
func (w *work) unanswered() *Hazard {
	for i := range w.report.Hazards {
		if h := &w.report.Hazards[i]; !h.Answered {
			return h
		}
	}
	return nil
}

// powered reports whether the log shows the unit powered although a hazard that
// comes before power was not answered by then, with the line of the entry.
func (w *work) powered() (line int, hazard string) {
	open := map[string]bool{}
	for _, h := range w.report.Hazards {
		if h.Before == string(sheet.GatePower) {
			open[h.Name] = true
		}
	}
	for i := range w.logCase.Log {
		e := &w.logCase.Log[i]
		switch verb := e.Verb(); {
		case e.Corrected():
		case verb == "safe":
			delete(open, e.Safe.Text)
		case verb == "measure" && e.State.Power != logbook.PowerOff, verb == "soak", verb == "failed":
			for _, h := range w.report.Hazards {
				if open[h.Name] {
					return e.Place.Line, h.Name
				}
			}
		}
	}
	return 0, ""
}
