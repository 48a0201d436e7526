package findings

import (
	"fmt"
	"math"
	"slices"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/logbook"
)

// guard holds up what should be shown before the first suspect is replaced.
func (w *work) guard() {
	first := w.report.first()
	if first == nil || first.Probability < 0.3 {
		return
	}
	name := first.Name
	item, ok := w.model.Item(name)
	if !ok {
		return
	}
	inputs, supplies, outputs := w.model.Around(item)
	g := &Guard{Item: name}
	when := fault.Always
	if f := w.likeliestFault(item); f >= 0 {
		when = w.model.Candidates[f].Mode.When
	}
	for _, net := range inputs {
		g.Points = append(g.Points, w.shown("input "+net+" good", net, true, when))
	}
	for _, net := range supplies {
		g.Points = append(g.Points, w.shown("supply "+net+" good at the pin", net, true, when))
	}
	for _, net := range outputs {
		what := "output " + net + " bad"
		if w.model.Items[item].Net != "" {
			what = net + " bad"
		}
		g.Points = append(g.Points, w.shown(what, net, false, when))
	}
	if line := w.provedBad(item); line > 0 {
		g.Points = append(g.Points, Shown{What: name + " tested bad by itself", Word: "shown", Line: line})
	}
	watched := w.cures(item)
	g.Proves = fmt.Sprintf("change nothing else at the same time. If %s comes right, %s was bad. If not, %s was good, and suspicion moves to %s.",
		watched, name, name, w.nextAfter(item))
	if w.provedBad(item) > 0 {
		g.Proves = fmt.Sprintf("change nothing else at the same time. If %s comes right, %s was all that mattered. If not, suspicion moves to %s.",
			watched, name, w.nextAfter(item))
	}
	w.report.Guard = g
}

// compared reports whether an item was tested beside a good one.
func (w *work) compared(item int) bool {
	return slices.ContainsFunc(w.tests, func(t tested) bool { return t.item == item && t.how == logbook.Compared })
}

// provedBad is the line at which an item was tested bad by itself, or 0.
func (w *work) provedBad(item int) int {
	for _, t := range w.tests {
		if t.item == item && !t.good {
			return t.line
		}
	}
	return 0
}

// cures names the place that should come right when an item is replaced: the
// symptom that its likeliest fault foretells best.
func (w *work) cures(item int) string {
	f := w.likeliestFault(item)
	if f < 0 {
		return w.symptomName()
	}
	each := w.evidence.Each([]int{f})
	sound := w.evidence.Each(nil)
	best, most := w.symptomName(), math.Log(speaks)
	for n := range w.observations {
		o := &w.observations[n]
		if o.entry.Verb() == "symptom" && each[n]-sound[n] > most {
			best, most = o.place.name, each[n]-sound[n]
		}
	}
	return best
}

// symptomName is the place of the symptom that is still open, else of the first.
func (w *work) symptomName() string {
	if open := w.openSymptom(); open != nil {
		return open.place.name
	}
	if len(w.symptoms) > 0 {
		return w.symptoms[0].name
	}
	return "the symptom"
}

// nextAfter names the suspects that lead when an item is cleared.
func (w *work) nextAfter(item int) string {
	weights := make([]float64, len(w.explanations))
	total := 0.0
	for h, e := range w.explanations {
		if !contains(e.Items, item) && (len(e.Items) > 0 || e.Undescribed) {
			weights[h] = e.Probability
			total += e.Probability
		}
	}
	if total < 1e-6 {
		return "something not described"
	}
	for h := range weights {
		weights[h] /= total
	}
	var names []string
	for _, f := range w.leading(w.explanations, weights) {
		names = append(names, f.Items...)
	}
	return list(names)
}

// shown tells whether a net was shown good (or bad) when it was read last, with
// nothing being done to the unit.
func (w *work) shown(what, net string, good bool, when fault.When) Shown {
	s := Shown{What: what, Word: "not shown"}
	for i := range w.observations {
		o := &w.observations[i]
		if o.place.signal != net || o.special() || math.IsNaN(o.good) {
			continue
		}
		if o.noise && (good || o.good > shownBad) {
			continue // ripple shows a net bad, but none shows no level
		}
		if when == fault.WhenWarm && o.scene.Warm == flow.No || when == fault.WhenCold && o.scene.Warm == flow.Yes {
			continue // the fault hid itself then
		}
		switch {
		case good && o.good >= shownGood, !good && o.good <= shownBad:
			s.Word, s.Line = "shown", o.entry.Place.Line
		case good && o.good <= shownBad, !good && o.good >= shownGood:
			s.Word, s.Line = "shown otherwise", o.entry.Place.Line
		}
	}
	return s
}
