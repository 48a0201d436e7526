package diagnosis_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"

	"go.yaml.in/yaml/v4"
)

// The three-multiplier two-adder circuit of de Kleer and Williams,
// "Diagnosing multiple faults", Artificial Intelligence 32 (1987): X = A·C,
// Y = B·D, Z = C·E, F = X + Y, G = Y + Z.
type polyboxGiven struct {
	Inputs map[string]int
	Wires  []string
	Parts  ordered[struct {
		Op  string
		In  []string
		Out string
	}]
	Observed    ordered[int]
	PriorFaulty float64 `yaml:"prior_faulty"`
	DomainSize  int     `yaml:"domain_size"`
	Probes      []string
	FollowUp    []wireValue `yaml:"follow_up"`
}

// wireValue is a reading: the number on a wire.
type wireValue struct {
	wire  string
	value int
}

func (w *wireValue) UnmarshalYAML(node *yaml.Node) error {
	if err := node.Content[0].Load(&w.wire); err != nil {
		return err
	}
	return node.Content[1].Load(&w.value)
}

// problem has one fault for each part, all equally likely.
func (g polyboxGiven) problem(model diagnosis.Model) diagnosis.Problem {
	p := diagnosis.Problem{Items: len(g.Parts.names), Model: model}
	for i := range g.Parts.names {
		p.Faults = append(p.Faults, diagnosis.Fault{Item: i, Prior: g.PriorFaulty})
	}
	return p
}

// ruleModel is the first model of the collection: good parts fix the value of
// a wire or leave it open; a reading of an open wire has chance 1/domain.
type ruleModel struct {
	polyboxGiven
	read []wireValue
}

func (m ruleModel) Undescribed() float64 { return math.Inf(-1) }

func (m ruleModel) Ceiling() float64 { return 0 }

func (m ruleModel) LogLikelihood(faults []int) float64 {
	ln := 0.0
	for i, r := range m.read {
		switch value, fixed := m.predict(faults, m.read[:i], r.wire); {
		case !fixed:
			ln -= math.Log(float64(m.DomainSize))
		case value != r.value:
			return math.Inf(-1)
		}
	}
	return ln
}

// predict tells the value that the good parts and the readings fix on a wire.
// Every good part and every reading is one linear equation in the wires; the
// wire is fixed when its unit vector is a combination of them.
func (m ruleModel) predict(faults []int, read []wireValue, wire string) (value int, fixed bool) {
	n := len(m.Wires)
	at := func(name string) int { return slices.Index(m.Wires, name) }
	var rows [][]float64 // coefficients, then the right-hand side
	for i, name := range m.Parts.names {
		if slices.Contains(faults, i) {
			continue
		}
		part := m.Parts.of[name]
		row := make([]float64, n+1)
		row[at(part.Out)] = 1
		if part.Op == "mul" {
			row[n] = float64(m.Inputs[part.In[0]] * m.Inputs[part.In[1]])
		} else {
			for _, in := range part.In {
				row[at(in)]--
			}
		}
		rows = append(rows, row)
	}
	for _, r := range read {
		row := make([]float64, n+1)
		row[at(r.wire)], row[n] = 1, float64(r.value)
		rows = append(rows, row)
	}
	goal := make([]float64, n+1)
	goal[at(wire)] = 1
	for column := range n {
		pivot := slices.IndexFunc(rows, func(row []float64) bool { return math.Abs(row[column]) > 1e-9 })
		if pivot < 0 {
			continue
		}
		p := rows[pivot]
		rows = slices.Delete(rows, pivot, pivot+1)
		for _, row := range append(rows, goal) {
			f := row[column] / p[column]
			for j := range row {
				row[j] -= f * p[j]
			}
		}
	}
	for _, x := range goal[:n] {
		if math.Abs(x) > 1e-9 {
			return 0, false
		}
	}
	return int(math.Round(-goal[n])), true
}

// generativeModel is the second model: a faulty part puts out any number of
// the domain, whatever its inputs.
type generativeModel struct {
	polyboxGiven
	read []wireValue
}

func (m generativeModel) Undescribed() float64 { return math.Inf(-1) }

func (m generativeModel) Ceiling() float64 { return 0 }

func (m generativeModel) LogLikelihood(faults []int) float64 {
	sum := 0.0
	m.worlds(faults, func(_ map[string]int, chance float64) { sum += chance })
	return math.Log(sum)
}

// worlds lists what the multipliers may put out, each with its chance times
// the chance of the readings.
func (m generativeModel) worlds(faults []int, visit func(wires map[string]int, chance float64)) {
	wires := map[string]int{}
	var assign func(part int, chance float64)
	assign = func(i int, chance float64) {
		if i == len(m.Parts.names) {
			visit(wires, chance)
			return
		}
		part := m.Parts.of[m.Parts.names[i]]
		bad := slices.Contains(faults, i)
		at := slices.IndexFunc(m.read, func(r wireValue) bool { return r.wire == part.Out })
		switch {
		case part.Op == "add" && at < 0:
			assign(i+1, chance) // nobody looked
		case part.Op == "add" && bad:
			assign(i+1, chance/float64(m.DomainSize))
		case part.Op == "add":
			if wires[part.In[0]]+wires[part.In[1]] == m.read[at].value {
				assign(i+1, chance)
			}
		case bad:
			for value := range m.DomainSize {
				if at < 0 || m.read[at].value == value {
					wires[part.Out] = value
					assign(i+1, chance/float64(m.DomainSize))
				}
			}
		default:
			wires[part.Out] = m.Inputs[part.In[0]] * m.Inputs[part.In[1]]
			if at < 0 || m.read[at].value == wires[part.Out] {
				assign(i+1, chance)
			}
		}
	}
	assign(0, 1)
}

func polybox(r *reference) {
	g := given[polyboxGiven](r)
	var read []wireValue
	for _, wire := range g.Observed.names {
		read = append(read, wireValue{wire, g.Observed.of[wire]})
	}
	predicted := want[map[string]int](r, "predicted")
	for _, wire := range g.Wires {
		if value, fixed := (ruleModel{g, nil}).predict(nil, nil, wire); !fixed || value != predicted[wire] {
			r.Errorf("a good circuit puts %d on %s (fixed: %v), want %d", value, wire, fixed, predicted[wire])
		}
	}

	rule := g.problem(ruleModel{g, read})
	posterior := searchExactly(r, rule)
	minimal := g.minimal(r, posterior, nil)
	r.sameExplanations("the rule model's explanations", posterior.Explanations(&rule), minimal)
	possible := 0
	for _, set := range posterior.Sets {
		if set.Probability > 0 {
			possible++
		}
	}
	if n := want[int](r, "consistent_fault_set_count"); possible != n {
		r.Errorf("%d fault sets are possible, want %d", possible, n)
	}
	g.comparePosterior(r, posterior, 1e-5, "rule_model", "posterior")
	g.compareParts(r, posterior, "rule_model", "part_fault_probability")
	table := tableOf(r, posterior)
	r.near("entropy under the rule model", table.Entropy(), want[float64](r, "rule_model", "entropy_bits"))
	outcomes := map[string][]string{}
	for _, wire := range g.Probes {
		outcomes[wire] = g.addRuleProbe(r, table, posterior, ruleModel{g, read}, wire)
	}
	for i, wire := range g.Probes {
		chances := want[map[string]float64](r, "rule_model", "outcome_probability", wire)
		if len(chances) != len(outcomes[wire]) {
			r.Errorf("%s may read %v, want %v", wire, outcomes[wire], chances)
		}
		for a, chance := range table.Answers(i) {
			r.nearRelative(fmt.Sprintf("chance of %s = %s", wire, outcomes[wire][a]), chance, chances[outcomes[wire][a]])
		}
	}
	g.compareProbes(r, table, "rule_model")

	// What was learned may be taken in as a reading more, or as the answer of
	// a test in the table: it must come to the same.
	for _, next := range g.FollowUp {
		name := fmt.Sprintf("%s=%d", next.wire, next.value)
		after := searchExactly(r, g.problem(ruleModel{g, append(slices.Clone(read), next)}))
		g.minimal(r, after, []string{"follow_up", name})
		g.comparePosterior(r, after, 1e-4, "follow_up", name, "rule_posterior")
		g.compareUpdate(r, posterior, after, ruleModel{g, read}, next)
	}

	generative := g.problem(generativeModel{g, read})
	posterior = searchExactly(r, generative)
	g.comparePosterior(r, posterior, 1e-5, "generative_model", "posterior")
	g.compareParts(r, posterior, "generative_model", "part_fault_probability")
	table = tableOf(r, posterior)
	r.near("entropy under the generative model", table.Entropy(), want[float64](r, "generative_model", "entropy_bits"))
	for _, wire := range g.Probes {
		g.addGenerativeProbe(r, table, posterior, generativeModel{g, read}, wire)
	}
	g.compareProbes(r, table, "generative_model")
}

// minimal compares the minimal diagnoses and the conflicts with the expected
// ones at the path, in both directions, and returns the diagnoses.
func (g polyboxGiven) minimal(r *reference, posterior *diagnosis.Posterior, path []string) [][]int {
	r.Helper()
	diagnoses, conflicts := minimalOf(posterior)
	place := strings.Join(path, " ")
	sameSets(r, place+" minimal diagnoses", names(g.Parts.names, diagnoses), want[[][]string](r, append(path, "minimal_diagnoses")...))
	sameSets(r, place+" minimal conflicts", names(g.Parts.names, conflicts), want[[][]string](r, append(path, "minimal_conflicts")...))
	sameSets(r, place+" diagnoses from conflicts", names(g.Parts.names, diagnosis.Conflicts(conflicts)), names(g.Parts.names, diagnoses))
	return diagnoses
}

func (g polyboxGiven) comparePosterior(r *reference, posterior *diagnosis.Posterior, above float64, path ...string) {
	r.Helper()
	compareSets(r, strings.Join(path, " "), posterior, g.Parts.names, above, want[map[string]float64](r, path...))
}

func (g polyboxGiven) compareParts(r *reference, posterior *diagnosis.Posterior, path ...string) {
	r.Helper()
	for part, p := range want[map[string]float64](r, path...) {
		r.nearRelative(part+" bad, "+path[0], marginal(posterior, slices.Index(g.Parts.names, part)), p)
	}
}

// addRuleProbe enters a probe under the rule model: the values that some set
// of faults fixes, and "other". It returns the names of the answers.
func (g polyboxGiven) addRuleProbe(r *reference, table *diagnosis.Table, posterior *diagnosis.Posterior, model ruleModel, wire string) []string {
	var values []int
	fixed := make([]*int, len(posterior.Sets))
	for h, set := range posterior.Sets {
		if set.Probability == 0 {
			continue // contradicts the readings; what it would predict is of no interest
		}
		if value, ok := model.predict(set.Faults, model.read, wire); ok {
			fixed[h] = &value
			if !slices.Contains(values, value) {
				values = append(values, value)
			}
		}
	}
	slices.Sort(values)
	chance := make([][]float64, len(values)+1)
	var outcome []string
	for a := range chance {
		chance[a] = make([]float64, len(posterior.Sets))
		other := a == len(values)
		if other {
			outcome = append(outcome, "other")
		} else {
			outcome = append(outcome, fmt.Sprint(values[a]))
		}
		for h, value := range fixed {
			switch {
			case value == nil && other:
				chance[a][h] = float64(g.DomainSize-len(values)) / float64(g.DomainSize)
			case value == nil:
				chance[a][h] = 1 / float64(g.DomainSize)
			case !other && *value == values[a]:
				chance[a][h] = 1
			}
		}
	}
	if _, err := table.Add(chance); err != nil {
		r.Fatal(err)
	}
	return outcome
}

// addGenerativeProbe enters a probe under the generative model: any number of
// the domain may be read.
func (g polyboxGiven) addGenerativeProbe(r *reference, table *diagnosis.Table, posterior *diagnosis.Posterior, model generativeModel, wire string) {
	chance := make([][]float64, g.DomainSize)
	for a := range chance {
		chance[a] = make([]float64, len(posterior.Sets))
	}
	for h, set := range posterior.Sets {
		sum := 0.0
		model.worlds(set.Faults, func(wires map[string]int, p float64) {
			chance[wires[wire]][h] += p
			sum += p
		})
		for a := range chance {
			if sum > 0 {
				chance[a][h] /= sum
			} else {
				chance[a][h] = 1 / float64(g.DomainSize)
			}
		}
	}
	if _, err := table.Add(chance); err != nil {
		r.Fatal(err)
	}
}

// compareProbes compares the expected entropy after each probe, and the order
// of the probes by it.
func (g polyboxGiven) compareProbes(r *reference, table *diagnosis.Table, model string) {
	r.Helper()
	expected := want[map[string]float64](r, model, "expected_entropy_after_probe_bits")
	costs := make([]float64, len(g.Probes))
	for i, wire := range g.Probes {
		r.near("entropy after "+wire+", "+model, table.Entropy()-table.Gain(i), expected[wire])
		costs[i] = 1
	}
	order := byGain(table, costs)
	var probes []string
	for _, i := range order {
		probes = append(probes, g.Probes[i])
	}
	same(r, "order of probes, "+model, probes, want[[]string](r, model, "best_probe_order"))
	if best, _ := table.Best(costs); best != order[0] {
		r.Errorf("the best probe is %s, want %s", g.Probes[best], probes[0])
	}
}

// compareUpdate takes a reading into a table of the earlier posterior.
func (g polyboxGiven) compareUpdate(r *reference, before, after *diagnosis.Posterior, model ruleModel, next wireValue) {
	r.Helper()
	table := tableOf(r, before)
	outcome := g.addRuleProbe(r, table, before, model, next.wire)
	answer := slices.Index(outcome, fmt.Sprint(next.value))
	if answer < 0 { // nothing fixes this value: it is one among the others
		answer = len(outcome) - 1
	}
	if err := table.Update(0, answer); err != nil {
		r.Fatal(err)
	}
	for h, set := range before.Sets {
		i := slices.IndexFunc(after.Sets, func(s diagnosis.Set) bool { return slices.Equal(s.Faults, set.Faults) })
		r.nearRelative(fmt.Sprintf("%v after %s = %d", set.Faults, next.wire, next.value), table.Weights()[h], after.Sets[i].Probability)
	}
}
