package findings

import (
	"fmt"
	"slices"

	"halfsplit/flow"
	"halfsplit/hazard"
	"halfsplit/sheet"
)

// hazards lists the hazards of the unit and which of them the log answers.
func (w *work) hazards() {
	w.dangers = w.logCase.Hazards(w.sheet)
	for i := range w.dangers {
		h := &w.dangers[i]
		one := Hazard{Name: h.Name, Kind: string(h.Kind), Where: h.Where, Do: h.Do, Before: string(h.Before), Found: h.Because}
		if h.Store.Capacitance > 0 {
			one.Energy = h.Store.Energy()
			if h.Bleeder > 0 {
				one.Discharge = hazard.Discharge{Capacitance: h.Store.Capacitance, Voltage: h.Store.Voltage, Resistance: h.Bleeder}.TimeTo(hazard.SafeVoltage)
			}
		}
		for j := range w.logCase.Log {
			e := &w.logCase.Log[j]
			switch {
			case e.Corrected():
			case e.Verb() == "safe" && e.Safe.Text == one.Name:
				one.Answered = true
			case e.Verb() == "accept" && e.Accept.Text == one.Name:
				one.Accepted = true
			}
		}
		w.report.Hazards = append(w.report.Hazards, one)
	}
	if line, name := w.powered(); line > 0 {
		w.report.Disputes = append(w.report.Disputes, Dispute{[]int{line}, fmt.Sprintf(
			"the unit was powered here before the hazard %q was answered: record it with safe, or stop and answer it first", name)})
	}
}

// unanswered gives the first hazard that is not answered, or nil.
func (w *work) unanswered() *Hazard {
	for i := range w.report.Hazards {
		if h := &w.report.Hazards[i]; !h.Answered {
			return h
		}
	}
	return nil
}

// held gives the first hazard that holds a step up and is not answered, with the
// reason; nil when the step may be taken.
func (w *work) held(step hazard.Step) (*Hazard, string) {
	for i := range w.dangers {
		if w.report.Hazards[i].Answered {
			continue
		}
		if why, held := w.dangers[i].Holds(step); held {
			return &w.report.Hazards[i], why
		}
	}
	return nil, ""
}

// step says what a test does to the unit.
func (w *work) step(c *candidate) hazard.Step {
	switch c.test.Kind {
	case flow.Ask:
		return hazard.Step{Powered: true}
	case flow.Probe:
		s := hazard.Step{Powered: true, Open: true, Touches: true, Names: []string{c.at}}
		if p := w.sheet.Point(c.at); p != nil {
			s.Names = append(s.Names, w.sheet.SignalOf(p))
			if p.Reach == sheet.ReachOutside {
				s.Open, s.Touches = false, false
			}
		}
		return s
	}
	s := w.reach(c.test.Item)
	s.Powered = c.test.Kind != flow.Measure
	return s
}

// reach is the step of laying hands on an item with the power off.
func (w *work) reach(item int) hazard.Step {
	inputs, supplies, outputs := w.model.Around(item)
	return hazard.Step{Open: true, Touches: true, Names: slices.Concat([]string{w.model.Items[item].Name}, inputs, supplies, outputs)}
}

// forbid notes a test that is left out because a hazard is not answered.
func (w *work) forbid(h *Hazard, why, test string) {
	i := slices.IndexFunc(w.report.Forbidden, func(f Forbidden) bool { return f.Hazard == h.Name && f.Why == why })
	if i < 0 {
		i = len(w.report.Forbidden)
		w.report.Forbidden = append(w.report.Forbidden, Forbidden{Hazard: h.Name, Kind: h.Kind, Before: h.Before, Do: h.Do, Why: why})
	}
	w.report.Forbidden[i].Tests = append(w.report.Forbidden[i].Tests, test)
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
		case e.Powers():
			for _, h := range w.report.Hazards {
				if open[h.Name] {
					return e.Place.Line, h.Name
				}
			}
		}
	}
	return 0, ""
}
