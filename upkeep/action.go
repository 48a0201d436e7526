package upkeep

import (
	"fmt"
	"strings"

	"halfsplit/hazard"
)

// Action is something to do.
type Action struct {
	Do     string
	Parts  []string // what it is done to
	Why    string
	Source string
}

// String gives the action, to what, and why.
func (a Action) String() string {
	text := a.Do
	if len(a.Parts) > 0 {
		text = strings.Join(a.Parts, ", ") + ": " + text
	}
	if a.Why != "" {
		text += " (" + a.Why + ")"
	}
	return text
}

// wornOut is the share of a stated life from which an electrolytic is to be measured:
// all of it. Common practice, no source.
const wornOut = 1.0

// Next is what to do first.
func (a Assessment) Next() Action { return a.Actions[0] }

// actions lists what to do, in this order: damage, dangers from the worst down, what is
// to be reformed before power, what is to be measured.
func (a *Assessment) actions() []Action {
	var list []Action
	if a.Unit.Guessed() {
		list = append(list, Action{Do: "look inside before power: what it holds is a guess", Source: practice})
	}
	for i := range a.Lines {
		l := &a.Lines[i]
		if l.Danger == Wears && l.Damage == "" {
			continue
		}
		act := l.action()
		same := len(list) - 1 // what is done alike to several is said once
		if same >= 0 && list[same].Do == act.Do && l.Hazard == nil && len(list[same].Parts) > 0 {
			list[same].Parts = append(list[same].Parts, act.Parts...)
			continue
		}
		list = append(list, act)
	}
	if act, due := a.reforming(); due {
		list = append(list, act)
	}
	if act, due := a.measuring(); due {
		list = append(list, act)
	}
	if len(list) == 0 {
		list = append(list, Action{Do: fmt.Sprintf("nothing is due; power it at least every %.0f years, so that its electrolytics stay formed", reformAfter), Source: shelfSource})
	}
	return list
}

// shelfSource is where the years come from after which an electrolytic is reformed.
const shelfSource = "makers ask for it after two years (EPCOS, Nichicon) or three (Cornell Dubilier)"

// action is what is done about a line that endangers.
func (l *Line) action() Action {
	usual := hazard.Other.Usual()
	switch {
	case l.Kind == "battery":
		usual = hazard.Battery.Usual()
	case l.Across:
		usual = hazard.MainsCapacitor.Usual()
	}
	act := Action{Do: usual.Do, Parts: []string{l.Name}, Why: l.Danger.String(), Source: usual.Source}
	switch {
	case l.Hazard != nil && l.Damage == "":
		act.Do, act.Source = l.Hazard.Do, "the sheet"
		if l.Hazard.Found() {
			act.Source = practice
		}
		if l.Hazard.Where != "" {
			act.Why = l.Hazard.Where + "; " + act.Why
		}
	case l.Damage != "":
		act.Why = l.Damage
		if l.Kind != "battery" {
			act.Do, act.Source = "do not power it; take it out and replace it", practice
		}
	case l.Guess:
		act.Do = "see whether there is one; " + act.Do
	case l.Kind == "tantalum":
		act.Do, act.Source = "read the resistance across it before power, and bring its rail up with the current limited: it shorts", practice
	}
	return act
}

// reforming is what is reformed before power.
func (a *Assessment) reforming() (Action, bool) {
	var names []string
	for _, r := range a.Reforms {
		names = append(names, r.Part)
	}
	if a.Unit.Guessed() && min(a.Rest, a.Age) >= reformAfter {
		names = []string{"electrolytics"}
	}
	if len(names) == 0 {
		return Action{}, false
	}
	return Action{
		Do: "reform before power, the reservoirs first; where they cannot be taken out, bring the unit up slowly behind a series lamp", Parts: names,
		Why: inYears(a.Rest) + " without voltage", Source: shelfSource,
	}, true
}

// measuring is which electrolytics are measured, the most worn first.
func (a *Assessment) measuring() (Action, bool) {
	var names []string
	worst := 0.0
	for i := range a.Lines {
		if l := &a.Lines[i]; l.Kind == "electrolytic" && l.Consumed >= wornOut && l.Damage == "" {
			names = append(names, l.Name)
			worst = max(worst, l.Consumed)
		}
	}
	if len(names) == 0 {
		return Action{}, false
	}
	why := fmt.Sprintf("up to %.1f times the stated life used up", worst)
	return Action{Do: "measure series resistance and leakage, and replace what is worn, not what is old", Parts: names, Why: why, Source: practice}, true
}
