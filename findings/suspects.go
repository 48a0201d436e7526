package findings

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// weigh runs the diagnosis and fills in suspects and explanations.
func (w *work) weigh(ctx context.Context) error {
	w.problem = diagnosis.Problem{Items: len(w.model.Items), Undescribed: undescribed, Model: w.evidence}
	for _, c := range w.model.Candidates {
		w.problem.Faults = append(w.problem.Faults, diagnosis.Fault{Item: c.Item, Prior: c.Prior})
	}
	w.problem.Casualties = w.casualties()
	p, err := w.search(ctx)
	if err != nil {
		return err
	}
	w.report.Search = Search{Exact: p.Exact, LeftOut: p.LeftOut, Guess: p.Guess, Items: len(w.model.Items), Largest: len(p.BySize) - 1, Unplaced: w.unplaced()}
	for _, n := range p.BySize {
		w.report.Search.Sets += n
	}
	w.explanations = p.Explanations(&w.problem)
	w.asFound = w.explanations
	w.replacedItems()
	w.explanations = w.remaining(w.explanations)
	w.report.Beyond = 0
	for _, e := range w.explanations {
		switch {
		case e.Undescribed:
			w.report.Beyond = e.Probability
		case len(e.Items) == 0:
			w.report.Clear = e.Probability
		}
	}
	w.suspects()
	for _, e := range w.explanations {
		if e.Probability < 0.005 || len(w.report.Sets) == 8 {
			break
		}
		w.report.Sets = append(w.report.Sets, w.faultSet(e))
	}
	return nil
}

// unplaced counts the parts that are no suspects because nothing places them.
func (w *work) unplaced() int {
	names := map[string]bool{}
	note := func(parts []sheet.Part) {
		for i := range parts {
			name := parts[i].Name.Text
			if _, ok := w.model.Item(name); !ok && !wiring.OnlyInCircuits(parts[i].Kind.Text) {
				names[name] = true
			}
		}
	}
	note(w.sheet.Parts)
	for _, circuit := range w.sheet.Circuits.All() {
		if circuit != nil {
			note(circuit.Parts)
		}
	}
	return len(names)
}

// replacedItems reports how likely each replaced item was bad.
func (w *work) replacedItems() {
	suspicion := diagnosis.Suspicion(w.explanations, len(w.model.Items))
	for _, item := range w.replaced {
		w.report.Replaced = append(w.report.Replaced, Replaced{Name: w.model.Items[item].Name, Needed: suspicion[item]})
	}
}

// remaining takes the replaced items out of the explanations and joins those
// that then are the same.
func (w *work) remaining(explanations []diagnosis.Explanation) []diagnosis.Explanation {
	if len(w.replaced) == 0 {
		return explanations
	}
	var left []diagnosis.Explanation
	for _, e := range explanations {
		e.Items = slices.DeleteFunc(slices.Clone(e.Items), func(i int) bool { return contains(w.replaced, i) })
		e.Ways = slices.Clone(e.Ways)
		for i := range e.Ways {
			e.Ways[i].Faults = slices.DeleteFunc(slices.Clone(e.Ways[i].Faults), func(f int) bool {
				return contains(w.replaced, w.model.Candidates[f].Item)
			})
		}
		same := slices.IndexFunc(left, func(o diagnosis.Explanation) bool {
			return o.Undescribed == e.Undescribed && slices.Equal(o.Items, e.Items)
		})
		if same < 0 {
			left = append(left, e)
			continue
		}
		left[same].Probability += e.Probability
		left[same].Ways = append(left[same].Ways, e.Ways...)
	}
	slices.SortStableFunc(left, func(a, b diagnosis.Explanation) int { return cmp.Compare(b.Probability, a.Probability) })
	return left
}

func (w *work) faultSet(e diagnosis.Explanation) FaultSet {
	set := FaultSet{Probability: e.Probability, Items: []string{}}
	switch {
	case e.Undescribed:
		set.Items = append(set.Items, "something not described")
	case len(e.Items) == 0:
		set.Items = append(set.Items, "nothing wrong")
	}
	for _, i := range e.Items {
		set.Items = append(set.Items, w.model.Items[i].Name)
	}
	return set
}

// explains is how many times likelier a fault alone must make the signals that
// were read to count as explaining them.
const explains = 2

// leastSuspicion is the probability below which an item is not listed.
const leastSuspicion = 0.003

// suspects lists the items by how likely each is part of the explanation.
func (w *work) suspects() {
	suspicion := diagnosis.Suspicion(w.explanations, len(w.model.Items))
	order := make([]int, len(suspicion))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(suspicion[b], suspicion[a]) })
	w.report.Suspects = []Suspect{}
	for _, i := range order {
		if suspicion[i] < leastSuspicion || len(w.report.Suspects) == 12 {
			break
		}
		item := w.model.Items[i]
		s := Suspect{Name: item.Name, Kind: item.Kind.Name, Probability: suspicion[i], Serves: w.serves(item.Name), Dated: w.dated(item.Name)}
		if item.Block != "" && item.Block != item.Name {
			s.In = item.Block
		}
		s.Odds = w.oddsOf(item)
		likeliest := w.likeliestFault(i)
		if likeliest >= 0 {
			s.Mode = w.model.Candidates[likeliest].Name
			var signals bool
			s.For, s.Against, signals = w.reasons(likeliest)
			s.Foretold = w.foretold(w.wayWith(likeliest))
			s.Explains = signals || w.evidence.Signals([]int{likeliest}) > w.evidence.Signals(nil)+math.Log(explains)
		}
		w.report.Suspects = append(w.report.Suspects, s)
	}
}

// oddsOf gives the reasons for the odds of an item beforehand.
func (w *work) oddsOf(item flow.Item) []OddsFactor {
	var list []OddsFactor
	stress := fault.Stress{}
	for _, s := range w.sections {
		if bears, ok := s.bears[item.Name]; ok {
			stress = bears
		}
	}
	p, learned := w.sheet.Part(item.Name), w.with.Experience
	if p == nil && w.sheet.Block(item.Name) == nil && !w.chip(item.Name) {
		learned = nil // a source, or the rest of a block: no part that is counted
	}
	_, why := worn(p, item.Kind, stress, learned)
	for _, r := range why {
		list = append(list, OddsFactor{r.Text, r.Factor, r.Source})
	}
	return list
}

// chip reports whether a memory of the sheet has a chip of that name.
func (w *work) chip(name string) bool {
	for i := range w.sheet.Memories {
		for _, bank := range w.sheet.Memories[i].Banks {
			if slices.ContainsFunc(bank.Chips, func(c form.Word) bool { return c.Text == name }) {
				return true
			}
		}
	}
	return false
}

// likeliestFault gives the way in which an item is most likely bad, or −1.
func (w *work) likeliestFault(item int) int {
	weights := map[int]float64{}
	best, most := -1, 0.0
	for _, e := range w.explanations {
		for _, way := range e.Ways {
			for _, f := range way.Faults {
				if w.model.Candidates[f].Item == item {
					weights[f] += way.Probability
					if weights[f] > most {
						best, most = f, weights[f]
					}
				}
			}
		}
	}
	return best
}

// speaks is the least ratio of chances at which a reading is named as speaking
// for or against a suspect.
const speaks = 1.4

// reasons lists the readings that speak most for and against a fault: for it,
// how many times likelier they are with it than without, the rest of its
// explanation unchanged, or, for a part of the leading explanation, than under
// the best explanation that does without it; against any other, how many times
// less likely they are than under the leading explanation. signals tells whether
// anything read on a signal speaks for it.
func (w *work) reasons(fault int) (pro, contra []Support, signals bool) {
	set := w.wayWith(fault)
	with := w.evidence.Each(set)
	without := w.evidence.Each(slices.DeleteFunc(slices.Clone(set), func(f int) bool { return f == fault }))
	item := w.model.Candidates[fault].Item
	lead := w.lead()
	leads := slices.Contains(lead, fault)
	rival := without
	switch {
	case leads:
		rival = w.evidence.Each(w.runnerUp(item))
	case lead != nil:
		rival = w.evidence.Each(lead)
	}
	for n := range with {
		o := &w.observations[n]
		if o.part >= 0 && o.part != item {
			continue // the test of another part is no reason for or against this one
		}
		better, against := math.Exp(with[n]-without[n]), math.Exp(with[n]-rival[n])
		if leads {
			better = math.Max(better, against)
		}
		r := Support{Line: o.entry.Place.Line, Text: o.text, Ratio: better}
		switch {
		case !leads && against < 1/speaks:
			r.Ratio = against
			contra = append(contra, r)
		case better > speaks:
			pro = append(pro, r)
			signals = signals || o.part < 0
		}
	}
	const most = 3
	slices.SortStableFunc(pro, func(a, b Support) int { return cmp.Compare(b.Ratio, a.Ratio) })
	slices.SortStableFunc(contra, func(a, b Support) int { return cmp.Compare(a.Ratio, b.Ratio) })
	return pro[:min(most, len(pro))], contra[:min(most, len(contra))], signals
}

// runnerUp is the likeliest set of faults that does without an item; it may be
// empty.
func (w *work) runnerUp(item int) []int {
	for _, e := range w.asFound {
		if len(e.Ways) > 0 && !slices.Contains(e.Items, item) {
			return e.Ways[0].Faults
		}
	}
	return nil
}

// wayWith is the likeliest set of faults that holds the given one, what was
// replaced included.
func (w *work) wayWith(fault int) []int {
	best, most := []int{fault}, 0.0
	for _, e := range w.asFound {
		for _, way := range e.Ways {
			if way.Probability > most && slices.Contains(way.Faults, fault) {
				best, most = way.Faults, way.Probability
			}
		}
	}
	return best
}

// lead is the likeliest set of faults of the likeliest explanation, or nil when
// that is something not described.
func (w *work) lead() []int {
	if len(w.asFound) == 0 || len(w.asFound[0].Ways) == 0 {
		return nil
	}
	return w.asFound[0].Ways[0].Faults
}

// surprising is the chance of a reading, relative to what a fault picked at
// random gives it, below which it does not fit the best explanation.
const surprising = 0.15

// disputes reports readings that do not go together: at the same place in the
// same state, at the same place in different states, and readings that the
// best explanation does not fit.
func (w *work) disputes() {
	for j := range w.observations {
		b := &w.observations[j]
		for i := range j {
			a := &w.observations[i]
			if a.place.name != b.place.name || a.noise != b.noise || a.epoch != b.epoch || !opposed(a.good, b.good) || a.special() || b.special() {
				continue // where something was done, a change is the finding
			}
			if w.comesWithWarmth(a, b) {
				continue // just what the first suspect does
			}
			lines := []int{a.entry.Place.Line, b.entry.Place.Line}
			if sameScene(&a.scene, &b.scene) && sceneText(a.entry) == sceneText(b.entry) {
				w.report.Disputes = append(w.report.Disputes, Dispute{lines, fmt.Sprintf(
					"%s, and %s, in the same state: one of the two is misread, or the fault comes and goes; read again", a.text, b.text)})
				continue
			}
			w.report.Disputes = append(w.report.Disputes, Dispute{lines, fmt.Sprintf(
				"%s, but %s: it depends on the state; look for what warmth, load or movement changes", a.text, b.text)})
		}
	}
	w.unfit()
	w.impossible()
}

// comesWithWarmth reports whether of two opposed readings the one was taken cold, the
// other warm, and the best explanation has a fault that makes just that difference.
func (w *work) comesWithWarmth(a, b *observation) bool {
	bad, good := a, b
	if bad.good >= shownGood {
		bad, good = b, a
	}
	return slices.ContainsFunc(w.lead(), func(f int) bool {
		switch w.model.Candidates[f].Mode.When {
		case fault.WhenWarm:
			return bad.scene.Warm == flow.Yes && good.scene.Warm == flow.No
		case fault.WhenCold:
			return bad.scene.Warm == flow.No && good.scene.Warm == flow.Yes
		}
		return false
	})
}

func opposed(a, b float64) bool {
	return (a >= shownGood && b <= shownBad) || (a <= shownBad && b >= shownGood)
}

// sameScene reports whether two scenes are the same but for the moment.
func sameScene(a, b *flow.Scene) bool {
	x, y := *a, *b
	x.Moment, y.Moment = 0, 0
	return fmt.Sprint(x) == fmt.Sprint(y)
}

// unfit reports the readings that the best explanation does not foretell.
func (w *work) unfit() {
	lead := w.lead()
	if lead == nil {
		return
	}
	usual := w.usual()
	for n, l := range w.evidence.Each(lead) {
		if l-usual[n] < math.Log(surprising) {
			o := &w.observations[n]
			w.report.Disputes = append(w.report.Disputes, Dispute{[]int{o.entry.Place.Line}, fmt.Sprintf(
				"%s does not fit the best explanation (%s): read it again, or expect a second fault", o.text, list(w.faultSet(w.asFound[0]).Items))})
		}
	}
}

// usual gives, for each reading, its chance under a fault picked at random by
// the priors.
func (w *work) usual() []float64 {
	sum := make([]float64, w.evidence.Pieces())
	total := 0.0
	for f, c := range w.model.Candidates {
		for n, l := range w.evidence.Each([]int{f}) {
			sum[n] += c.Prior * math.Exp(l)
		}
		total += c.Prior
	}
	for n := range sum {
		sum[n] = math.Log(sum[n] / total)
	}
	return sum
}

// list joins names as in a sentence.
func list(names []string) string {
	text := ""
	for i, name := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			text += " and "
		default:
			text += ", "
		}
		text += name
	}
	return text
}
