package findings

import (
	"fmt"
	"math"
	"slices"

	"halfsplit/flow"
	"halfsplit/hazard"
	"halfsplit/quantity"
)

// Thresholds of the advice. Common practice, no source.
const (
	nearlySure   = 0.9  // replace, or call it clear
	likelyEnough = 0.75 // replace, when no test saves any time
	surelyBeyond = 0.8  // look beyond the sheet
	mostlyBeyond = 0.5  // look beyond the sheet, when no test tells much
	tellsMuch    = 0.2  // bits
)

// advise says the one thing to do next.
func (w *work) advise() {
	a := &w.report.Advice
	if h := w.unanswered(); h != nil {
		a.First = fmt.Sprintf("answer the hazard %q: %s", h.Name, orText(h.Do, "see the sheet"))
	}
	top := Suspect{}
	if first := w.report.first(); first != nil {
		top = *first
	}
	switch {
	case len(w.observations) == 0:
		a.Do = "record a symptom"
		a.Why = "nothing was read yet: what the unit does wrong, at which signal, comes before all suspects"
	case w.report.Clear >= nearlySure && len(w.replaced) > 0 && w.unwatched() != "":
		a.Do, a.What = "test", "watch "+w.unwatched()
		a.Why = fmt.Sprintf("%s that nothing described is wrong any more, but it was not looked at since the last repair", Percent(w.report.Clear))
	case w.report.Clear >= nearlySure && len(w.replaced) > 0 && w.report.Proof.reached():
		a.Do = "hand back"
		a.Why = fmt.Sprintf("%s that nothing described is wrong any more, and the proof asked for is reached", Percent(w.report.Clear))
		if w.report.Proof.Steady {
			a.Why = fmt.Sprintf("%s that nothing described is wrong any more: the fault was there whenever the unit was on, and %s of running since the repair went without it", Percent(w.report.Clear), quantity.FormatDuration(w.report.Proof.Clean))
		}
	case w.report.Clear >= nearlySure && len(w.replaced) > 0:
		a.Do = "prove"
		a.Why = fmt.Sprintf("%s that nothing described is wrong any more: now show that it holds", Percent(w.report.Clear))
		if p := w.report.Proof; p != nil && p.Steady {
			a.Why = fmt.Sprintf("%s that nothing described is wrong any more, and the fault, which was there whenever the unit was on, is gone; now run it once in its closed case, loaded and hot, and enter that as a soak", Percent(w.report.Clear))
		}
	case w.report.Clear >= nearlySure:
		a.Do = "record a symptom"
		a.Why = fmt.Sprintf("%s that nothing described is wrong: everything read so far is as it should be", Percent(w.report.Clear))
	case w.report.Beyond >= surelyBeyond, w.report.Beyond >= mostlyBeyond && !w.worthTesting():
		a.Do = "look beyond"
		a.Why = fmt.Sprintf("%s that the trouble is something the sheet does not describe: it fits the readings better than any described fault", Percent(w.report.Beyond))
	case w.surer != nil && (top.Probability >= nearlySure || top.Probability >= likelyEnough && w.nothingSaved()):
		a.Do, a.What, a.Care = "test", w.surer.what, w.surer.care
		a.Why = fmt.Sprintf("%s is bad with %s; before it is replaced, this tells it from something that only acts like it", top.Name, Percent(top.Probability))
		if w.surer.around {
			a.Why = fmt.Sprintf("%s is bad with %s; before it is replaced, this shows whether what is around it is as it must be then", top.Name, Percent(top.Probability))
		}
	case top.Probability >= nearlySure:
		a.Do, a.What = "replace", top.Name
		a.Why = fmt.Sprintf("%s is bad with %s; look at the guard first", top.Name, Percent(top.Probability))
	case top.Probability >= likelyEnough && w.nothingSaved():
		a.Do, a.What = "replace", top.Name
		a.Why = fmt.Sprintf("%s is bad with %s, and no test within reach saves more time than it takes; look at the guard first", top.Name, Percent(top.Probability))
	case len(w.report.Tests) == 0 && len(w.report.Forbidden) == 0 && top.Name != "":
		a.Do, a.What = "replace", top.Name
		a.Why = "no test within reach tells more"
	case len(w.report.Tests) == 0 && len(w.report.Forbidden) > 0:
		a.Do, a.What = "test", w.report.Forbidden[0].Tests[0]
		a.Why = "it tells most for its time"
	case len(w.report.Tests) == 0:
		a.Do = "look beyond"
		a.Why = "no suspect and no test within reach"
	default:
		best := w.report.Tests[0]
		a.Do, a.What, a.Care = "test", best.Test, best.Care
		a.Why = fmt.Sprintf("it tells most for its time: %.2f bits in %s", best.Bits, Minutes(best.Minutes))
		if w.report.Ahead {
			a.Why = fmt.Sprintf("with what can be tested after it, it leads to the end soonest: %.2f bits in %s", best.Bits, Minutes(best.Minutes))
		}
	}
	w.gate()
}

// gate turns advice that a hazard forbids into the advice to answer the hazard.
func (w *work) gate() {
	a := &w.report.Advice
	step, held := hazard.Step{}, true
	switch {
	case a.Do == "prove":
		step.Powered = true
	case a.Do == "replace":
		item, ok := w.model.Item(a.What)
		if held = ok; ok {
			step = w.reach(item)
		}
	case a.Do == "test" && len(w.report.Tests) == 0 && len(w.report.Forbidden) > 0: // and no other is left
		f := w.report.Forbidden[0]
		w.makeSafe(f.Hazard, f.Why)
		return
	case a.Do == "test" && len(w.report.Tests) == 0: // to watch the unit
		step.Powered = true
	default:
		held = false
	}
	if !held {
		return
	}
	if h, why := w.held(step); h != nil {
		w.makeSafe(h.Name, why)
	}
}

// makeSafe advises to answer a hazard before what would be next.
func (w *work) makeSafe(name, why string) {
	a := &w.report.Advice
	next := a.Do
	switch a.Do {
	case "test":
		next = a.What
	case "replace":
		next += " " + a.What
	}
	a.Do, a.What, a.First, a.Care = "make safe", name, "", ""
	a.Why = fmt.Sprintf("next would be: %s; %s, and the hazard %q is not answered", next, why, name)
}

// worthTesting reports whether a proposed test tells much.
func (w *work) worthTesting() bool {
	return slices.ContainsFunc(w.report.Tests, func(p Proposal) bool { return p.Bits >= tellsMuch })
}

// nothingSaved reports whether no proposed test is expected to save half a minute against
// replacing straight away.
func (w *work) nothingSaved() bool {
	return !slices.ContainsFunc(w.report.Tests, func(p Proposal) bool { return p.Saves >= 0.5 })
}

// unwatched is the place of a symptom that was not looked at since the last
// repair, or empty.
func (w *work) unwatched() string {
	for _, p := range w.symptoms {
		if !w.readSince(p.signal, flow.Unknown) {
			return p.name
		}
	}
	return ""
}

// reached reports whether the sureness asked for is reached.
func (p *Proof) reached() bool {
	if p == nil || !p.Repaired || p.Again {
		return false
	}
	if p.Steady {
		return p.Clean > 0
	}
	for _, n := range p.Needs {
		if n.Level == p.Sure {
			return n.Further == 0
		}
	}
	return false
}

func orText(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

// Percent writes a probability with as many digits as it deserves: "63 %",
// ">99 %", "<1 %".
func Percent(p float64) string { return quantity.FormatChance(p) }

// Minutes writes a time in minutes: "30 s", "1.5 min".
func Minutes(m float64) string {
	if m < 1 {
		return fmt.Sprintf("%.0f s", math.Round(60*m))
	}
	return fmt.Sprintf("%.3g min", m)
}
