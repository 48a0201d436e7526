package diagnosis_test

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
)

// suspectPart is a part as the collection writes it.
type suspectPart struct {
	P, Look, Fix float64
	Cover        string
}

// candidates turns parts, in their order, into candidates.
func candidates(parts ordered[suspectPart]) []diagnosis.Candidate {
	var all []diagnosis.Candidate
	for _, part := range parts.values() {
		all = append(all, diagnosis.Candidate{Probability: part.P, Look: part.Look, Fix: part.Fix})
	}
	return all
}

// chances and looks list the probabilities and the costs of parts.
func chances(parts ordered[suspectPart]) []float64 {
	var list []float64
	for _, part := range parts.values() {
		list = append(list, part.P)
	}
	return list
}

func looks(parts ordered[suspectPart]) []float64 {
	var list []float64
	for _, part := range parts.values() {
		list = append(list, part.Look)
	}
	return list
}

// single lists sets of one item each.
func single(n int) [][]int {
	var sets [][]int
	for i := range n {
		sets = append(sets, []int{i})
	}
	return sets
}

// orderBy sorts the parts by a figure, the smallest first.
func orderBy(parts ordered[suspectPart], figure func(suspectPart) float64) []string {
	order := slices.Clone(parts.names)
	slices.SortStableFunc(order, func(a, b string) int { return cmp.Compare(figure(parts.of[a]), figure(parts.of[b])) })
	return order
}

// pick names the members of an order.
func pick(names []string, order []int) []string {
	var picked []string
	for _, i := range order {
		picked = append(picked, names[i])
	}
	return picked
}

// permutations visits every order of the names.
func permutations(names []string, visit func([]string)) {
	var place func(done, left []string)
	place = func(done, left []string) {
		if len(left) == 0 {
			visit(done)
			return
		}
		for i := range left {
			place(append(slices.Clone(done), left[i]), slices.Delete(slices.Clone(left), i, i+1))
		}
	}
	place(nil, names)
}

// cheapest is the best of all orders under a cost, the alphabetical first
// among equals, and the dearest cost.
func cheapest(names []string, cost func([]string) float64) (order []string, best, worst float64) {
	best, worst = math.Inf(1), math.Inf(-1)
	sorted := slices.Clone(names)
	slices.Sort(sorted)
	permutations(sorted, func(o []string) {
		c := cost(o)
		if c < best-1e-12 {
			order, best = slices.Clone(o), c
		}
		worst = max(worst, c)
	})
	return order, best, worst
}

// spent is the expected cost of an order when exactly one part is bad, and
// what is left unfound at its end.
func spent(parts ordered[suspectPart], order []string, inAll float64) (cost, left float64) {
	left = inAll
	for _, name := range order {
		part := parts.of[name]
		cost += left*part.Look + part.P*part.Fix
		left -= part.P
	}
	return cost, left
}

// repairOrder: where looks cost what they cost and one part is bad, the order
// by probability per cost is the cheapest of all (Kadane and Simon 1977).
func repairOrder(r *reference) {
	g := given[struct{ Parts ordered[suspectPart] }](r)
	parts := g.Parts.sorted()
	order, cost := diagnosis.RepairOrder(candidates(parts))
	same(r, "order", pick(parts.names, order), want[[]string](r, "p_over_c_order"))
	r.near("cost", cost, want[float64](r, "p_over_c_expected_cost"))
	ratios := want[map[string]float64](r, "p_over_c")
	for i, name := range pick(parts.names, order) {
		r.near("probability per cost of "+name, parts.of[name].P/parts.of[name].Look, ratios[name])
		if i > 0 && ratios[name] > ratios[parts.names[order[i-1]]]+1e-12 {
			r.Errorf("%s comes after a part with less probability per cost", name)
		}
	}
	fixes := 0.0 // paid whatever the order
	for _, part := range parts.values() {
		fixes += part.P * part.Fix
	}
	planned(r, newTable(r, chances(parts)), diagnosis.Goal{Repair: &diagnosis.Repair{
		Bad: single(len(parts.names)), Actions: diagnosis.Swaps(looks(parts)), Call: math.Inf(1),
	}}, cost-fixes)
	costOf := func(order []string) float64 { c, _ := spent(parts, order, 1); return c }
	_, best, worst := cheapest(parts.names, costOf)
	r.near("cheapest of all orders", best, want[float64](r, "brute_force_best_cost"))
	r.near("dearest of all orders", worst, want[float64](r, "brute_force_worst_cost"))
	if optimal := math.Abs(cost-best) < 1e-12; optimal != want[bool](r, "optimal") {
		r.Errorf("the order is the best: %v", optimal)
	}
	r.near("most probable first", costOf(orderBy(parts, func(p suspectPart) float64 { return -p.P })), want[float64](r, "most_probable_first_cost"))
	r.near("cheapest first", costOf(orderBy(parts, func(p suspectPart) float64 { return p.Look })), want[float64](r, "cheapest_first_cost"))
}

// serviceCall: the listed parts may all be good, and then only a call (a swap
// of the whole board) mends the unit. The order is RepairOrder's; where to
// stop and call is found by trying each place.
func serviceCall(r *reference) {
	g := given[struct {
		Parts    ordered[suspectPart]
		CallCost float64 `yaml:"call_cost"`
	}](r)
	parts := g.Parts.sorted()
	order, _ := diagnosis.RepairOrder(candidates(parts))
	sequence := pick(parts.names, order)
	stop, best := 0, math.Inf(1)
	var all float64
	for n := range len(sequence) + 1 {
		cost, left := spent(parts, sequence[:n], 1)
		all = cost + left*g.CallCost
		if all < best-1e-12 {
			stop, best = n, all
		}
	}
	rest := 1.0
	for _, p := range chances(parts) {
		rest -= p
	}
	r.near("call at once", g.CallCost, want[float64](r, "call_at_once_cost"))
	r.near("all parts, then call", all, want[float64](r, "all_parts_then_call_in_p_over_c_order"))
	r.near("best", best, want[float64](r, "best_cost"))
	same(r, "best order", sequence[:stop], want[[]string](r, "best_order_then_call"))

	o := planned(r, newTable(r, append(chances(parts), rest)), diagnosis.Goal{Repair: &diagnosis.Repair{
		Bad: append(single(len(sequence)), nil), Actions: diagnosis.Swaps(looks(parts)), Call: g.CallCost,
	}}, best)
	if len(o.Actions) == 0 || !slices.Contains(pick(parts.names, o.Actions), sequence[0]) {
		r.Errorf("a best plan begins with %v, want %s among them", o.Actions, sequence[0])
	}

	// ReplaceAll, with the call as the cost of a fault not described, counts
	// replacing in vain only up to the cost of the call.
	var sets [][]int
	var weights, costs []float64
	inVain := 0.0
	for i, part := range parts.values() {
		sets = append(sets, []int{i})
		weights = append(weights, part.P)
		costs = append(costs, part.Look)
		inVain += part.Look
	}
	replaced, cost := diagnosis.ReplaceAll(append(sets, nil), append(weights, rest), costs, g.CallCost)
	same(r, "order of replacing", replaced, order)
	r.near("replacing all, then call", cost, all-rest*max(0, inVain-g.CallCost))
}

// planned checks the cost of the best plan, and of what Choose begins with.
func planned(r *reference, table *diagnosis.Table, goal diagnosis.Goal, best float64) diagnosis.Optimum {
	r.Helper()
	o, err := table.Optimum(goal, 10_000)
	if err != nil {
		r.Fatal(err)
	}
	r.near("the best of all plans", o.Cost, best)
	choice, err := table.Choose(goal, diagnosis.Effort{})
	if err != nil {
		r.Fatal(err)
	}
	r.near("the cost expected by Choose", choice.Cost, best)
	if !choice.Exact || choice.Test >= 0 && !slices.Contains(o.Tests, choice.Test) || choice.Action >= 0 && !slices.Contains(o.Actions, choice.Action) {
		r.Errorf("chose %+v, want one of tests %v or actions %v", choice, o.Tests, o.Actions)
	}
	return o
}

// sharedCover: two parts behind one cover share the cost of opening it, so
// looks do not cost what they cost alone, and probability per cost is not the
// best order, with or without the cover counted in.
func sharedCover(r *reference) {
	g := given[struct {
		Parts    ordered[suspectPart]
		OpenCost map[string]float64 `yaml:"open_cost"`
	}](r)
	parts := g.Parts.sorted()
	costOf := func(order []string) float64 {
		cost, left := 0.0, 1.0
		opened := map[string]bool{"": true}
		for _, name := range order {
			part := parts.of[name]
			cost += left * part.Look
			if !opened[part.Cover] {
				cost += left * g.OpenCost[part.Cover]
				opened[part.Cover] = true
			}
			left -= part.P
		}
		return cost
	}
	order, best, _ := cheapest(parts.names, costOf)
	same(r, "best order", order, want[[]string](r, "brute_force_best_order"))
	r.near("best cost", best, want[float64](r, "brute_force_best_cost"))
	covered := candidates(parts)
	for i, part := range parts.values() {
		covered[i].Look += g.OpenCost[part.Cover]
	}
	for field, c := range map[string][]diagnosis.Candidate{
		"naive_p_over_c_with_cover_cost":    covered,
		"naive_p_over_c_without_cover_cost": candidates(parts),
	} {
		order, _ := diagnosis.RepairOrder(c)
		cost := costOf(pick(parts.names, order))
		r.near(field, cost, want[float64](r, field))
		if cost <= best+1e-9 {
			r.Errorf("%s: costs %v, as little as the best; the case is meant to show it does not", field, cost)
		}
	}
}

// dependentActions: actions that mend more than one cause, or not for sure.
// Ordered once by probability per cost they are not the best; ordered anew
// after each that failed they may be, and may not.
func dependentActions(r *reference) {
	g := given[struct {
		CausePrior ordered[float64] `yaml:"cause_prior"`
		Actions    ordered[struct {
			Cost  float64
			Fixes map[string]float64
		}]
		CallCost float64 `yaml:"call_cost"`
	}](r)
	actions := g.Actions.sorted()
	// try takes an action that did not help out of the weights of the causes.
	try := func(weights map[string]float64, action string) map[string]float64 {
		after := map[string]float64{}
		for cause, w := range weights {
			after[cause] = w * (1 - actions.of[action].Fixes[cause])
		}
		return after
	}
	total := func(weights map[string]float64) float64 {
		sum := 0.0
		for _, cause := range g.CausePrior.names {
			sum += weights[cause]
		}
		return sum
	}
	costOf := func(order []string) float64 {
		cost, weights := 0.0, g.CausePrior.of
		for _, action := range order {
			cost += total(weights) * actions.of[action].Cost
			weights = try(weights, action)
		}
		return cost + total(weights)*g.CallCost
	}
	ranked := func(names []string, weights map[string]float64) []string {
		var all []diagnosis.Candidate
		for _, action := range names {
			c := diagnosis.Candidate{Look: actions.of[action].Cost}
			for cause, fixes := range actions.of[action].Fixes {
				c.Probability += weights[cause] * fixes
			}
			all = append(all, c)
		}
		order, _ := diagnosis.RepairOrder(all)
		return pick(names, order)
	}
	best, bestCost, _ := cheapest(actions.names, costOf)
	same(r, "best order", best, want[[]string](r, "brute_force_best_order"))
	r.near("best cost", bestCost, want[float64](r, "brute_force_best_cost"))

	once := ranked(actions.names, g.CausePrior.of)
	same(r, "ordered once", once, want[[]string](r, "static_p_over_c_order"))
	r.near("cost when ordered once", costOf(once), want[float64](r, "static_p_over_c_cost"))
	if costOf(once) <= bestCost+1e-9 {
		r.Errorf("ordered once is as cheap as the best; the case is meant to show it is not")
	}

	repair := &diagnosis.Repair{Call: g.CallCost, Bad: single(len(g.CausePrior.names))}
	for _, action := range actions.values() {
		mends := map[int]float64{}
		for cause, p := range action.Fixes {
			mends[slices.Index(g.CausePrior.names, cause)] = p
		}
		repair.Actions = append(repair.Actions, diagnosis.Action{Cost: action.Cost, Mends: mends})
	}
	o := planned(r, newTable(r, g.CausePrior.values()), diagnosis.Goal{Repair: repair}, bestCost)
	if !slices.Contains(pick(actions.names, o.Actions), best[0]) {
		r.Errorf("a best plan begins with %v, want %s among them", pick(actions.names, o.Actions), best[0])
	}

	var anew []string
	weights, left := g.CausePrior.of, actions.names
	for len(left) > 0 {
		next := ranked(left, weights)[0]
		anew = append(anew, next)
		weights = try(weights, next)
		i := slices.Index(left, next)
		left = slices.Delete(slices.Clone(left), i, i+1)
	}
	same(r, "ordered anew", anew, want[[]string](r, "updated_p_over_c_order"))
	r.near("cost when ordered anew", costOf(anew), want[float64](r, "updated_p_over_c_cost"))
}

// testOrRepair: plans that mix tests and replacements. Replacing alone is the
// package's figure, and so is the best mixed plan. The given plan is followed
// too, each answer taken in by a table, to see that it costs as much, and never
// more than replacing alone.
func testOrRepair(r *reference) {
	g := given[struct {
		Prior       ordered[float64]
		ReplaceCost map[string]float64 `yaml:"replace_cost"`
		Tests       map[string]struct {
			Cost     float64
			FailsFor []string `yaml:"fails_for"`
		}
	}](r)
	states := g.Prior.sorted()
	var sets [][]int
	var all []diagnosis.Candidate
	var costs []float64
	for i, state := range states.names {
		sets = append(sets, []int{i})
		costs = append(costs, g.ReplaceCost[state])
		all = append(all, diagnosis.Candidate{Probability: states.of[state], Look: g.ReplaceCost[state]})
	}
	order, alone := diagnosis.RepairOrder(all)
	r.near("replacing alone", alone, want[float64](r, "replace_only_p_over_c_cost"))
	replaced, cost := diagnosis.ReplaceAll(sets, states.values(), costs, 0)
	r.near("replacing alone, by ReplaceAll", cost, alone)
	same(r, "order of replacing", replaced, order)

	// A step either tests, answer 0 being "fails", or replaces, answer 0 being
	// "still bad".
	var follow func(weights []float64, step map[string]any) float64
	follow = func(weights []float64, step map[string]any) float64 {
		what, name, _ := strings.Cut(step["do"].(string), " ")
		cost, fails, branches := g.ReplaceCost[name], slices.DeleteFunc(slices.Clone(states.names), func(s string) bool { return s == name }), []string{"if_still_bad", ""}
		if what == "test" {
			cost, fails, branches = g.Tests[name].Cost, g.Tests[name].FailsFor, []string{"fail", "pass"}
		}
		table := newTable(r, weights)
		test := addTest(r, table, states.names, func(state string) []float64 {
			if slices.Contains(fails, state) {
				return []float64{1, 0}
			}
			return []float64{0, 1}
		})
		for answer, p := range slices.Clone(table.Answers(test)) {
			next, ok := step[branches[answer]].(map[string]any)
			switch {
			case ok:
				cost += p * follow(after(table, test, answer), next)
			case p > 0 && branches[answer] != "":
				r.Errorf("%s: the plan has nothing for %s", step["do"], branches[answer])
			}
		}
		return cost
	}
	best := want[float64](r, "optimal_expected_cost")
	table := newTable(r, states.values())
	var testCosts []float64
	for _, test := range g.Tests {
		addTest(r, table, states.names, func(state string) []float64 {
			if slices.Contains(test.FailsFor, state) {
				return []float64{1, 0}
			}
			return []float64{0, 1}
		})
		testCosts = append(testCosts, test.Cost)
	}
	planned(r, table, diagnosis.Goal{Costs: testCosts, Repair: &diagnosis.Repair{Bad: sets, Actions: diagnosis.Swaps(costs), Call: math.Inf(1)}}, best)
	r.near("the best plan", follow(states.values(), want[map[string]any](r, "plan")), best)
	if best > alone+1e-9 {
		r.Errorf("the best plan costs %v, more than replacing alone, %v", best, alone)
	}
}
