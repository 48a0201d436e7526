package diagnosis_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/diagnosis"
)

// board is a logic board; the gates are listed from the inputs to the outputs.
type board struct {
	Inputs, Outputs []string
	Gates           ordered[struct {
		Op string
		In []string
	}]
}

// put decides what a wire carries: the value its driver gives, or another.
// load is the gate that looks, empty for the wire itself.
type put func(wire, load string, value int) int

// run gives the value of every wire.
func (b board) run(apply map[string]int, fault put) map[string]int {
	value := map[string]int{}
	for _, input := range b.Inputs {
		value[input] = fault(input, "", apply[input])
	}
	for _, name := range b.Gates.names {
		gate := b.Gates.of[name]
		all, any, sum := 1, 0, 0
		for _, in := range gate.In {
			x := fault(in, name, value[in])
			all, any, sum = all&x, any|x, sum^x
		}
		out := map[string]int{"AND": all, "NAND": 1 - all, "OR": any, "XOR": sum}[gate.Op]
		value[name] = fault(name, "", out)
	}
	return value
}

func sound(_, _ string, value int) int { return value }

// stuck is a wire, or one branch of it, that keeps one value.
type stuck struct {
	wire, load string
	value      int
}

func (s stuck) String() string {
	if s.load == "" {
		return fmt.Sprintf("%s/%d", s.wire, s.value)
	}
	return fmt.Sprintf("%s->%s/%d", s.wire, s.load, s.value)
}

func (s stuck) put(wire, load string, value int) int {
	if s.wire == wire && s.load == load {
		return s.value
	}
	return value
}

// stems lists the stuck wires; with branches, also every branch of a wire
// that feeds more than one load.
func (b board) stuck(branches bool) []stuck {
	var faults []stuck
	for _, wire := range slices.Concat(b.Inputs, b.Gates.names) {
		loads := []string{""}
		for _, gate := range b.Gates.names {
			if slices.Contains(b.Gates.of[gate].In, wire) {
				loads = append(loads, gate)
			}
		}
		fan := len(loads) - 1
		if slices.Contains(b.Outputs, wire) {
			fan++
		}
		if !branches || fan < 2 {
			loads = loads[:1]
		}
		for _, load := range loads {
			faults = append(faults, stuck{wire, load, 0}, stuck{wire, load, 1})
		}
	}
	return faults
}

// patterns are all input patterns, counted up in binary.
func (b board) patterns() []map[string]int {
	var all []map[string]int
	for n := range 1 << len(b.Inputs) {
		pattern := map[string]int{}
		for i, input := range b.Inputs {
			pattern[input] = n >> (len(b.Inputs) - 1 - i) & 1
		}
		all = append(all, pattern)
	}
	return all
}

// bits writes the values of wires side by side.
func bits(wires []string, value map[string]int) string {
	var s strings.Builder
	for _, wire := range wires {
		fmt.Fprint(&s, value[wire])
	}
	return s.String()
}

// addPattern enters the test "apply this and read these wires" over faulty
// boards. It returns the answers in words.
func (b board) addPattern(r *reference, table *diagnosis.Table, faults []put, apply map[string]int, read []string) []string {
	var answers []string
	var chance [][]float64
	for h, fault := range faults {
		answer := bits(read, b.run(apply, fault))
		a := slices.Index(answers, answer)
		if a < 0 {
			a = len(answers)
			answers = append(answers, answer)
			chance = append(chance, make([]float64, len(faults)))
		}
		chance[a][h] = 1
	}
	if _, err := table.Add(chance); err != nil {
		r.Fatal(err)
	}
	return answers
}

// logicDiagnosis: a board that puts out what it should not. A gate of a
// diagnosis may put out anything, each time anew; which wire is worth a probe
// is asked of the single stuck wires that are left.
func logicDiagnosis(r *reference) {
	type observation struct{ Apply, Read map[string]int }
	g := given[struct {
		board        `yaml:",inline"`
		Observations []observation
	}](r)
	gates := g.Gates.names
	for i, values := range want[[]map[string]int](r, "good_values") {
		same(r, "a good board", []string{bits(gates, g.run(g.Observations[i].Apply, sound))}, []string{bits(gates, values)})
	}

	problem := diagnosis.Problem{Items: len(gates)}
	for i := range gates {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: i, Prior: 0.01})
	}
	// The chance of what was read, when each bad gate tosses a coin.
	problem.Model = described(func(faults []int) float64 {
		ln := 0.0
		for _, o := range g.Observations {
			agree := 0
			for toss := range 1 << len(faults) {
				value := g.run(o.Apply, func(wire, load string, value int) int {
					if i := slices.Index(faults, slices.Index(gates, wire)); i >= 0 && load == "" {
						return toss >> i & 1
					}
					return value
				})
				ok := true
				for wire, read := range o.Read {
					ok = ok && value[wire] == read
				}
				if ok {
					agree++
				}
			}
			ln += math.Log(float64(agree) / float64(int(1)<<len(faults)))
		}
		return ln
	})
	posterior := searchExactly(r, problem)
	diagnoses, conflicts := minimalOf(posterior)
	sameSets(r, "minimal diagnoses", names(gates, diagnoses), want[[][]string](r, "minimal_diagnoses"))
	sameSets(r, "minimal conflicts", names(gates, conflicts), want[[][]string](r, "minimal_conflicts"))
	sameSets(r, "diagnoses from conflicts", names(gates, diagnosis.Conflicts(conflicts)), names(gates, diagnoses))

	faults := g.stuck(false)
	var puts []put
	for _, f := range faults {
		puts = append(puts, f.put)
	}
	table := newTable(r, ones(len(faults)))
	for i, o := range g.Observations {
		answers := g.addPattern(r, table, puts, o.Apply, g.Outputs)
		if err := table.Update(i, slices.Index(answers, bits(g.Outputs, o.Read))); err != nil {
			r.Fatal(err)
		}
	}
	var left []string
	for h, w := range table.Weights() {
		if w > 0 {
			left = append(left, faults[h].String())
		}
	}
	same(r, "stuck wires left", left, want[[]string](r, "single_stuck_at_consistent"))

	compare := func(tests []string, gains map[string]float64, best []string) {
		r.Helper()
		first := table.Tests() - len(tests)
		var most float64
		for i, test := range tests {
			r.near("gain of "+test, table.Gain(first+i), gains[test])
			most = max(most, table.Gain(first+i))
		}
		var top []string
		for i, test := range tests {
			if table.Gain(first+i) > most-1e-12 {
				top = append(top, test)
			}
		}
		same(r, "best", top, best)
	}
	last := g.Observations[len(g.Observations)-1].Apply
	var wires []string
	for _, gate := range gates {
		if !slices.Contains(g.Outputs, gate) {
			wires = append(wires, gate)
			g.addPattern(r, table, puts, last, []string{gate})
		}
	}
	compare(wires, want[map[string]float64](r, "probe_information_bits_on_last_vector"), want[[]string](r, "best_probes"))
	var patterns []string
	for _, pattern := range g.patterns() {
		patterns = append(patterns, bits(g.Inputs, pattern))
		g.addPattern(r, table, puts, pattern, g.Outputs)
	}
	compare(patterns, want[map[string]float64](r, "vector_information_bits"), want[[]string](r, "best_next_vectors"))
}

// stuckAt: every single stuck wire and branch of a board against every input
// pattern. What no pattern tells apart is a group; the smallest sets of
// patterns that show every fault are the smallest that share a pattern with
// each fault's showing patterns.
func stuckAt(r *reference) {
	b := given[board](r)
	faults := b.stuck(true)
	if n := want[int](r, "fault_count"); len(faults) != n {
		r.Errorf("%d faults, want %d", len(faults), n)
	}
	puts := []put{sound} // hypothesis 0: a good board
	for _, f := range faults {
		puts = append(puts, f.put)
	}
	table := newTable(r, ones(len(puts)))
	good := want[map[string]string](r, "good_outputs")
	var patterns []string
	var all []int
	for i, pattern := range b.patterns() {
		patterns = append(patterns, bits(b.Inputs, pattern))
		all = append(all, i)
		answers := b.addPattern(r, table, puts, pattern, b.Outputs)
		if answers[0] != good[patterns[i]] {
			r.Errorf("a good board puts out %s for %s, want %s", answers[0], patterns[i], good[patterns[i]])
		}
	}

	// A pattern shows a fault that it sets apart from the good board.
	shows := make([][]int, len(faults)) // patterns, by fault
	counts := want[map[string]int](r, "detections_per_vector")
	for i, pattern := range patterns {
		hidden := goodGroup(table, []int{i})
		shown := 0
		for f := range faults {
			if !slices.Contains(hidden, f+1) {
				shows[f] = append(shows[f], i)
				shown++
			}
		}
		if shown != counts[pattern] {
			r.Errorf("%s shows %d faults, want %d", pattern, shown, counts[pattern])
		}
	}
	showing := want[map[string][]string](r, "detecting_vectors")
	for f, fault := range faults {
		same(r, fault.String(), names(patterns, [][]int{shows[f]})[0], showing[fault.String()])
	}
	hidden := []string{}
	for _, h := range goodGroup(table, all) {
		if h > 0 {
			hidden = append(hidden, faults[h-1].String())
		}
	}
	same(r, "faults that nothing shows", hidden, want[[]string](r, "undetectable"))

	// Groups, and those that stand alone.
	grouped := map[int]bool{0: true}
	var classes [][]string
	representatives := []int{0}
	for _, group := range table.Groups(all, 0) {
		var class []string
		for _, h := range group {
			grouped[h] = true
			class = append(class, faults[h-1].String())
		}
		classes = append(classes, class)
		representatives = append(representatives, group[0])
	}
	for h := range puts {
		if !grouped[h] {
			classes = append(classes, []string{faults[h-1].String()})
			representatives = append(representatives, h)
		}
	}
	sameSets(r, "classes", classes, want[[][]string](r, "output_equivalence_classes"))
	if n := want[int](r, "class_count"); len(classes) != n {
		r.Errorf("%d classes, want %d", len(classes), n)
	}

	complete := diagnosis.Conflicts(diagnosis.Minimal(shows))
	smallest := len(slices.DeleteFunc(slices.Clone(complete), func(set []int) bool { return len(set) > len(complete[0]) }))
	if n := want[int](r, "minimum_complete_test_size"); len(complete[0]) != n {
		r.Errorf("the smallest complete set has %d patterns, want %d", len(complete[0]), n)
	}
	if n := want[int](r, "number_of_minimum_complete_tests"); smallest != n {
		r.Errorf("%d smallest complete sets, want %d", smallest, n)
	}
	same(r, "the first complete set", names(patterns, complete)[0], want[[]string](r, "first_minimum_complete_test"))

	// A set of patterns separates the classes when it shares a pattern with
	// each pair's telling patterns.
	var chosen []put
	for _, h := range representatives {
		chosen = append(chosen, puts[h])
	}
	one := newTable(r, ones(len(chosen)))
	together := make([][]int, len(patterns)) // by pattern: the group of each class
	for i, pattern := range b.patterns() {
		b.addPattern(r, one, chosen, pattern, b.Outputs)
		together[i] = make([]int, len(chosen))
		for h := range chosen {
			together[i][h] = h
		}
		for _, group := range one.Groups([]int{i}, 0) {
			for _, h := range group {
				together[i][h] = group[0]
			}
		}
	}
	var telling [][]int
	for g := range chosen {
		for h := range g {
			var apart []int
			for i := range patterns {
				if together[i][g] != together[i][h] {
					apart = append(apart, i)
				}
			}
			telling = append(telling, apart)
		}
	}
	separating := diagnosis.Conflicts(diagnosis.Minimal(telling))
	smallest = len(slices.DeleteFunc(slices.Clone(separating), func(set []int) bool { return len(set) > len(separating[0]) }))
	if n := want[int](r, "minimum_fixed_separating_set", "size"); len(separating[0]) != n {
		r.Errorf("%d patterns separate, want %d", len(separating[0]), n)
	}
	if n := want[int](r, "minimum_fixed_separating_set", "count"); smallest != n {
		r.Errorf("%d smallest separating sets, want %d", smallest, n)
	}
	same(r, "the first separating set", names(patterns, separating)[0], want[[]string](r, "minimum_fixed_separating_set", "first"))
	if groups := one.Groups(separating[0], 0); groups != nil {
		r.Errorf("%v do not separate %v", separating[0], groups)
	}
}

// goodGroup is the group of hypothesis 0 under the tests; none when it stands
// alone.
func goodGroup(table *diagnosis.Table, tests []int) []int {
	for _, group := range table.Groups(tests, 0) {
		if group[0] == 0 {
			return group
		}
	}
	return nil
}
