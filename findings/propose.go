package findings

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
	"halfsplit/flow"
	"halfsplit/signal"
)

// The bounds of what is proposed.
const (
	mostSets      = 160
	mostProposals = 6
	leastBits     = 0.02 // a test that tells less is not worth naming
	nearTheEnd    = 1.5  // bits of uncertainty from which on it pays to look ahead
)

// propose lists the tests that tell most per minute, repair by replacement, the
// groups that probing cannot tell apart, and the guard of the first suspect with the
// test that makes sure of it.
func (w *work) propose() error {
	sets := w.explanations[:min(mostSets, len(w.explanations))]
	candidates := w.part(sets, w.candidates())
	table, costs, err := w.table(sets, candidates)
	if err != nil {
		return err
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
	w.makeSure(table, candidates, costs, sets)
	w.guard()
	return nil
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
	w.lookAhead(table, costs, order)
	items, _ := itemSets(sets)
	after := make([]float64, len(sets))
	forbidden := 0
	for _, i := range order {
		if len(w.report.Tests) == w.proposals || gains[i] < leastBits {
			break
		}
		c := candidates[i]
		if h, why := w.held(w.step(&c)); h != nil {
			if forbidden++; forbidden <= w.proposals {
				w.forbid(h, why, c.what)
			}
			continue
		}
		p := Proposal{Test: c.what, At: c.at, Where: c.where, Care: w.care(&c), Bits: gains[i], Minutes: c.minutes, Saves: now - c.minutes}
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

// lookAhead puts the test first that begins the cheapest plan, where few suspects
// are left and it is another than the one that tells most for its time: a test that
// tells little now may make the next one tell all.
func (w *work) lookAhead(table *diagnosis.Table, costs []float64, order []int) {
	if table.Entropy() > nearTheEnd {
		return
	}
	whole := make([]float64, len(costs))
	for i, c := range costs {
		whole[i] = c + setUp
	}
	choice, err := table.Choose(diagnosis.Goal{Costs: whole, Sure: nearlySure}, diagnosis.Effort{})
	if err != nil || choice.Test < 0 {
		return
	}
	if at := slices.Index(order, choice.Test); at > 0 && table.Gain(choice.Test) >= leastBits {
		copy(order[1:at+1], order[:at])
		order[0] = choice.Test
		w.report.Ahead = true
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
		if len(t.Edges) > 0 {
			return rangeText(t, a)
		}
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
