package findings

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/logbook"
	"halfsplit/sheet"
	"halfsplit/signal"
)

// The costs of tests in minutes, beyond what kinds and points say. Common
// practice, no source.
const (
	pinMinutes    = 1.5 // probing a signal that the sheet names no point for
	chillMinutes  = 3
	pressMinutes  = 2
	backMinutes   = 3  // piggybacking
	checkMinutes  = 2  // a check whose time the sheet does not give
	liftHarm      = 2  // lifting a leg wears board and part: counted as minutes
	swapWaste     = 8  // a part thrown away for nothing: counted as minutes
	lostMinutes   = 60 // looking beyond the sheet
	setUp         = 1  // finding the place and thinking, for any test
	mostSets      = 300
	mostProposals = 6
)

// candidate is a test with its cost and its words.
type candidate struct {
	test    flow.Test
	minutes float64
	what    string
	at      string
	where   string
	probing bool // without touching the unit's parts
}

// propose lists the tests that tell most per minute, repair by replacement, the
// groups that probing cannot tell apart, and the guard of the first suspect.
func (w *work) propose() {
	sets := w.explanations[:min(mostSets, len(w.explanations))]
	candidates := w.candidates()
	table, costs, err := w.table(sets, candidates)
	if err != nil || len(sets) == 0 {
		return
	}
	items, weights := itemSets(sets)
	swapCosts := w.swapCosts()
	order, now := diagnosis.ReplaceAll(items, weights, swapCosts, lostMinutes)
	w.report.Order = &Replacement{Minutes: now}
	suspicion := diagnosis.Suspicion(sets, len(w.model.Items))
	for _, i := range order {
		if suspicion[i] >= 0.01 {
			w.report.Order.Order = append(w.report.Order.Order, w.model.Items[i].Name)
		}
	}
	w.rank(table, candidates, costs, sets, swapCosts, now)
	w.groups(table, candidates, sets)
	w.guard()
}

func itemSets(sets []diagnosis.Explanation) (items [][]int, weights []float64) {
	for _, e := range sets {
		set := e.Items
		if e.Undescribed {
			set = nil
		} else if set == nil {
			set = []int{}
		}
		items = append(items, set)
		weights = append(weights, e.Probability)
	}
	return items, weights
}

// swapCosts gives the cost of replacing each item, waste included.
func (w *work) swapCosts() []float64 {
	costs := make([]float64, len(w.model.Items))
	for i, item := range w.model.Items {
		costs[i] = item.Kind.Replace + swapWaste
		if item.Kind.Name == "joint" || item.Kind.Name == "track" {
			costs[i] = item.Kind.Replace // nothing is thrown away
		}
	}
	return costs
}

// now is the state of the unit in which the next test would be made.
func (w *work) now() flow.Scene {
	scene := w.last
	scene.Replaced = slices.Clone(w.replaced)
	return scene
}

// candidates lists every test that can be afforded and was not made yet.
func (w *work) candidates() []candidate {
	scene := w.now()
	var list []candidate
	for n, name := range w.model.Nets() {
		if w.readSince(name) {
			continue
		}
		c := candidate{test: flow.Test{Kind: flow.Probe, Net: n, Scene: scene, Level: !w.model.Digital(n)}, minutes: pinMinutes, what: "read " + name, at: name, probing: true}
		if points := w.sheet.PointsOf(name); len(points) > 0 {
			best := slices.MinFunc(points, func(a, b *sheet.Point) int { return cmp.Compare(pointMinutes(a), pointMinutes(b)) })
			if c.minutes = pointMinutes(best); math.IsInf(c.minutes, 1) {
				continue
			}
			c.at, c.where = best.Name.Text, best.Where
			c.what = "read " + best.Name.Text
			if best.Name.Text != name {
				c.what += " (" + name + ")"
			}
			if best.Twin.Text != "" {
				c.what += ", and compare with " + best.Twin.Text
			}
		} else if mains(name) {
			continue
		}
		list = append(list, c)
	}
	suspicion := diagnosis.Suspicion(w.explanations, len(w.model.Items))
	watched := w.place(w.watched)
	for i, item := range w.model.Items {
		if suspicion[i] < 0.004 || contains(w.replaced, i) {
			continue
		}
		list = append(list, w.itemTests(i, item, scene, watched)...)
	}
	for i := range w.sheet.Checks {
		c := &w.sheet.Checks[i]
		if w.readSince(c.Name.Text) {
			continue
		}
		minutes := checkMinutes * 1.0
		if c.Time != nil {
			minutes = c.Time.Value / 60
		}
		what := "make the check " + c.Name.Text
		list = append(list, candidate{test: flow.Test{Kind: flow.Ask, Check: w.checks[c.Name.Text], Scene: scene}, minutes: minutes, what: what, at: c.Name.Text, where: c.Ask, probing: true})
	}
	return list
}

// mains reports whether a signal is by its name at mains potential. Such a place
// is never proposed for probing unless the sheet names a test point there.
func mains(name string) bool {
	name = strings.ToLower(name)
	return strings.Contains(name, "mains") || strings.Contains(name, "primary")
}

// contact reports whether an item is tested with a beeper, without lifting it.
func contact(kind fault.Kind) bool {
	switch kind.Name {
	case "joint", "track", "connector", "cable", "socket", "switch", "fuse", "lamp":
		return true
	}
	return false
}

// itemTests lists the tests of one item.
func (w *work) itemTests(i int, item flow.Item, scene flow.Scene, watched place) []candidate {
	var list []candidate
	where := w.whereIs(item.Name)
	tried := func(how logbook.How) bool {
		return slices.ContainsFunc(w.tests, func(t tested) bool { return t.item == i && t.how == how })
	}
	if !item.Rest && !tried(logbook.OutOfCircuit) {
		verb, minutes := "lift and measure ", item.Kind.Measure+liftHarm
		switch {
		case item.Kind.Follow == fault.Decides:
			verb = "take out and test "
		case contact(item.Kind):
			verb, minutes = "with power off, beep out and inspect ", item.Kind.Measure
		}
		list = append(list, candidate{test: flow.Test{Kind: flow.Measure, Item: i, Scene: scene}, minutes: minutes, what: verb + item.Name, at: item.Name, where: where})
	}
	if !watched.ok {
		return list
	}
	at := " and watch " + watched.name
	condition := func(what string, minutes float64, change func(*flow.Scene), lists func(*flow.Scene) []int) {
		if w.conditionTried(i, lists) {
			return
		}
		s := scene
		change(&s)
		list = append(list, candidate{test: flow.Test{Kind: flow.Condition, Item: i, Net: watched.net, Scene: s}, minutes: minutes, what: what + item.Name + at, at: item.Name, where: where})
	}
	if hasMode(item.Kind, fault.WhenWarm) && scene.Warm != flow.No && !item.Rest {
		condition("chill ", chillMinutes, func(s *flow.Scene) { s.Chilled = []int{i} }, func(s *flow.Scene) []int { return s.Chilled })
	}
	if w.conditionTried(i, func(s *flow.Scene) []int { return s.Chilled }) {
		condition("warm ", chillMinutes, func(s *flow.Scene) { s.Heated = []int{i} }, func(s *flow.Scene) []int { return s.Heated })
	}
	if hasMode(item.Kind, fault.WhenMoved) {
		condition("press and wiggle ", pressMinutes, func(s *flow.Scene) { s.Pressed = []int{i} }, func(s *flow.Scene) []int { return s.Pressed })
	}
	if item.Kind.Follow == fault.Decides && !item.Rest && item.Kind.Name != "board" && item.Kind.Name != "logic" {
		condition("piggyback a good one on ", backMinutes, func(s *flow.Scene) { s.Piggybacked = []int{i} }, func(s *flow.Scene) []int { return s.Piggybacked })
	}
	if !item.Rest {
		s := scene
		s.Replaced = append(slices.Clone(scene.Replaced), i)
		verb := "replace "
		if item.Kind.Name == "joint" {
			verb = "resolder "
		}
		list = append(list, candidate{test: flow.Test{Kind: flow.Replace, Item: i, Net: watched.net, Scene: s}, minutes: w.swapCosts()[i], what: verb + item.Name + at, at: item.Name, where: where})
	}
	return list
}

func hasMode(kind fault.Kind, when fault.When) bool {
	return slices.ContainsFunc(kind.Modes, func(m fault.Mode) bool { return m.When == when })
}

// conditionTried reports whether the item was already chilled, pressed or
// piggybacked since the last replacement.
func (w *work) conditionTried(item int, lists func(*flow.Scene) []int) bool {
	return slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.epoch == w.epoch && contains(lists(&o.scene), item)
	})
}

// readSince reports whether a net or check was read since the last replacement,
// in no special scene.
func (w *work) readSince(name string) bool {
	return slices.ContainsFunc(w.observations, func(o observation) bool {
		special := len(o.scene.Chilled)+len(o.scene.Heated)+len(o.scene.Pressed)+len(o.scene.Piggybacked)+len(o.scene.Without)+len(o.scene.Lifted)+len(o.scene.Injected) > 0
		return o.epoch == w.epoch && !special && (o.place.signal == name || o.place.name == name)
	})
}

func (w *work) whereIs(name string) string {
	if p := w.sheet.Part(name); p != nil {
		return p.Where
	}
	if b := w.sheet.Block(name); b != nil {
		return b.Where
	}
	return ""
}

// table foretells every test under every explanation.
func (w *work) table(sets []diagnosis.Explanation, candidates []candidate) (*diagnosis.Table, []float64, error) {
	weights := make([]float64, len(sets))
	tests := make([]flow.Test, len(candidates))
	costs := make([]float64, len(candidates))
	chances := make([][][]float64, len(candidates)) // test, answer, set
	for i := range candidates {
		tests[i], costs[i] = candidates[i].test, candidates[i].minutes
		chances[i] = make([][]float64, tests[i].Answers())
		for a := range chances[i] {
			chances[i][a] = make([]float64, len(sets))
		}
	}
	foreteller := w.evidence.Foreteller(tests)
	for h, e := range sets {
		weights[h] = e.Probability
		if e.Undescribed {
			for i := range tests {
				for a, p := range foreteller.Undescribed(&tests[i]) {
					chances[i][a][h] = p
				}
			}
			continue
		}
		const mostWays = 3
		ways := e.Ways[:min(mostWays, len(e.Ways))]
		total := 0.0
		for _, way := range ways {
			total += way.Probability
		}
		for _, way := range ways {
			for i, list := range foreteller.Chances(way.Faults) {
				for a, p := range list {
					chances[i][a][h] += way.Probability / total * p
				}
			}
		}
	}
	table, err := diagnosis.NewTable(weights)
	if err != nil {
		return nil, nil, err
	}
	for i := range chances {
		if _, err := table.Add(chances[i]); err != nil {
			return nil, nil, err
		}
	}
	return table, costs, nil
}

// rank fills in the proposals.
func (w *work) rank(table *diagnosis.Table, candidates []candidate, costs []float64, sets []diagnosis.Explanation, swapCosts []float64, now float64) {
	gains := make([]float64, len(candidates))
	order := make([]int, len(candidates))
	for i := range candidates {
		gains[i] = table.Gain(i)
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(gains[b]/(costs[b]+setUp), gains[a]/(costs[a]+setUp)) })
	items, _ := itemSets(sets)
	after := make([]float64, len(sets))
	for _, i := range order {
		if len(w.report.Tests) == mostProposals || gains[i] < 0.005 {
			break
		}
		c := candidates[i]
		p := Proposal{Test: c.what, At: c.at, Where: c.where, Bits: gains[i], Minutes: c.minutes, Saves: now - c.minutes}
		for a, chance := range slices.Clone(table.Answers(i)) {
			if chance < 1e-6 {
				continue
			}
			table.After(i, a, after)
			_, then := diagnosis.ReplaceAll(items, after, swapCosts, lostMinutes)
			p.Saves -= chance * then
			p.Answers = merge(p.Answers, Meaning{Answer: w.answer(&c.test, a), Chance: chance, Then: w.leading(sets, after)})
		}
		slices.SortStableFunc(p.Answers, func(a, b Meaning) int { return cmp.Compare(b.Chance, a.Chance) })
		p.Answers = slices.DeleteFunc(p.Answers, func(m Meaning) bool { return m.Chance < 0.03 })
		for a := range p.Answers {
			p.Answers[a].Answer = shortened(p.Answers[a].Answer)
		}
		p.Answers = p.Answers[:min(4, len(p.Answers))]
		w.report.Tests = append(w.report.Tests, p)
	}
}

// merge adds an answer to those that would mean the same, if there are any.
func merge(answers []Meaning, m Meaning) []Meaning {
	const alike = 0.06
	for i := range answers {
		a := &answers[i]
		if !slices.EqualFunc(a.Then, m.Then, func(x, y FaultSet) bool {
			return slices.Equal(x.Items, y.Items) && math.Abs(x.Probability-y.Probability) <= alike
		}) {
			continue
		}
		if m.Chance > a.Chance { // the likelier answer goes first and speaks for all
			a.Then = m.Then
			a.Answer, m.Answer = m.Answer, a.Answer
		}
		a.Answer += ", " + m.Answer
		a.Chance += m.Chance
		return answers
	}
	return append(answers, m)
}

// shortened cuts a long list of answers that mean the same.
func shortened(answers string) string {
	words := strings.Split(answers, ", ")
	if len(words) <= 4 {
		return answers
	}
	return strings.Join(words[:3], ", ") + " and the like"
}

// answer gives the words of an answer.
func (w *work) answer(t *flow.Test, a int) string {
	switch t.Kind {
	case flow.Probe:
		if t.Level {
			return flow.Levels()[a].String()
		}
		return signal.State(a).String()
	case flow.Measure:
		return [2]string{"bad", "good"}[a]
	case flow.Ask:
		for name, check := range w.checks {
			if check == t.Check {
				return w.sheet.Check(name).Answers[a].Text
			}
		}
	}
	return [2]string{"comes right", "still wrong"}[a]
}

// leading gives the first suspects under given weights of the sets.
func (w *work) leading(sets []diagnosis.Explanation, weights []float64) []FaultSet {
	suspicion := make([]float64, len(w.model.Items))
	beyond, clear := 0.0, 0.0
	for h, e := range sets {
		switch {
		case e.Undescribed:
			beyond += weights[h]
		case len(e.Items) == 0:
			clear += weights[h]
		}
		for _, i := range e.Items {
			suspicion[i] += weights[h]
		}
	}
	list := []FaultSet{{Items: []string{"something not described"}, Probability: beyond}, {Items: []string{"nothing wrong"}, Probability: clear}}
	for i, p := range suspicion {
		list = append(list, FaultSet{Items: []string{w.model.Items[i].Name}, Probability: p})
	}
	slices.SortStableFunc(list, func(a, b FaultSet) int { return cmp.Compare(b.Probability, a.Probability) })
	list = list[:min(3, len(list))]
	return slices.DeleteFunc(list, func(f FaultSet) bool { return f.Probability < 0.03 })
}

// groups lists suspects that no probing tells apart.
func (w *work) groups(table *diagnosis.Table, candidates []candidate, sets []diagnosis.Explanation) {
	var probing []int
	for i, c := range candidates {
		if c.probing {
			probing = append(probing, i)
		}
	}
	for _, group := range table.Groups(probing, 0.08) {
		var names []string
		for _, h := range group {
			if e := sets[h]; len(e.Items) == 1 && e.Probability >= 0.01 {
				names = append(names, w.model.Items[e.Items[0]].Name)
			}
		}
		if len(names) > 1 {
			w.report.Groups = append(w.report.Groups, names)
		}
	}
}

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
	for _, net := range inputs {
		g.Points = append(g.Points, w.shown("input "+net+" good", net, true))
	}
	for _, net := range supplies {
		g.Points = append(g.Points, w.shown("supply "+net+" good at the pin", net, true))
	}
	for _, net := range outputs {
		what := "output " + net + " bad"
		if w.model.Items[item].Net != "" {
			what = net + " bad"
		}
		g.Points = append(g.Points, w.shown(what, net, false))
	}
	if line := w.provedBad(item); line > 0 {
		g.Points = append(g.Points, Shown{What: name + " tested bad by itself", Word: "shown", Line: line})
	}
	watched := w.cures(item)
	g.Proves = fmt.Sprintf("change nothing else at the same time. If %s comes right, %s was bad. If not, %s was good, and suspicion moves to %s.",
		watched, name, name, w.nextAfter(item))
	w.report.Guard = g
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
		return "the symptom"
	}
	each := w.evidence.Each([]int{f})
	sound := w.evidence.Each(nil)
	best, most := "the symptom", math.Log(speaks)
	for n := range w.observations {
		o := &w.observations[n]
		if o.entry.Verb() == "symptom" && each[n]-sound[n] > most {
			best, most = o.place.name, each[n]-sound[n]
		}
	}
	return best
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

// shown tells whether a net was shown good (or bad) since the last change.
func (w *work) shown(what, net string, good bool) Shown {
	s := Shown{What: what, Word: "not shown"}
	for _, o := range w.observations {
		if o.place.signal != net || o.epoch != w.epoch || math.IsNaN(o.good) {
			continue
		}
		switch {
		case o.good >= 0.8 == good && (o.good >= 0.8 || o.good <= 0.2):
			s.Word, s.Line = "shown", o.entry.Place.Line
		case o.good >= 0.8 || o.good <= 0.2:
			s.Word, s.Line = "shown otherwise", o.entry.Place.Line
		}
	}
	return s
}

// pointMinutes is the time a reading at a point takes; +Inf when it cannot be
// reached.
func pointMinutes(p *sheet.Point) float64 {
	if p.Time != nil {
		return math.Max(p.Time.Value/60, 0.1)
	}
	if m := p.Reach.Minutes(); m > 0 {
		return m
	}
	return math.Inf(1)
}
