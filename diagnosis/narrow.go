package diagnosis

import (
	"math"
	"slices"
)

// narrowed is a table cut down to the hypotheses and tests that matter, every
// test with a few answers.
type narrowed struct {
	weights    []float64
	class      []int
	hypotheses []int // their numbers in the whole table
	tests      []choice
	costs      []float64
	whole      float64 // the share of the weight that was kept
}

// choice is one test of a narrowed table.
type choice struct {
	number  int // in the whole table
	chance  [][]float64
	perfect bool // every answer is certain under every hypothesis
}

// narrow keeps the hypotheses listed and the tests listed that tell anything
// of them. Hypotheses under which every test answers alike are taken together:
// those of one class, and any where all there is to do is to tell apart what can
// be told apart; none where they are mended by different actions.
func (t *Table) narrow(hypotheses, tests []int, goal *Goal) *narrowed {
	n := &narrowed{hypotheses: hypotheses}
	for _, h := range hypotheses {
		n.weights = append(n.weights, t.weights[h])
		class := h
		if t.classes != nil {
			class = t.classes.of[h]
		}
		n.class = append(n.class, class)
		n.whole += t.weights[h]
	}
	for i := range n.weights {
		n.weights[i] /= n.whole
	}
	for _, test := range tests {
		var chance [][]float64
		if r := t.tests[test].readings; r != nil {
			chance = r.words(hypotheses)
		} else {
			for _, row := range t.tests[test].chance {
				few := make([]float64, len(hypotheses))
				for i, h := range hypotheses {
					few[i] = row[h]
				}
				chance = append(chance, few)
			}
			chance = mergeAnswers(chance)
		}
		if len(chance) < 2 {
			continue
		}
		c := choice{number: test, chance: chance, perfect: true}
		for _, row := range chance {
			c.perfect = c.perfect && !slices.ContainsFunc(row, func(p float64) bool { return p > 0 && p < 1 })
		}
		n.tests = append(n.tests, c)
		n.costs = append(n.costs, goal.Costs[test])
	}
	if goal.Repair == nil {
		n.merge(goal.Sure == 0 || goal.Sure == 1)
	}
	return n
}

// mergeAnswers joins answers that mean the same: whose chances under the
// hypotheses are in one proportion. Impossible ones go.
func mergeAnswers(chance [][]float64) [][]float64 {
	var merged [][]float64
	for _, row := range chance {
		if slices.Max(row) == 0 {
			continue
		}
		same := slices.IndexFunc(merged, func(other []float64) bool { return proportional(row, other) })
		if same < 0 {
			merged = append(merged, slices.Clone(row))
			continue
		}
		for h, p := range row {
			merged[same][h] += p
		}
	}
	return merged
}

func proportional(a, b []float64) bool {
	x, y := 0.0, 0.0
	for h := range a {
		x, y = x+a[h], y+b[h]
	}
	for h := range a {
		if math.Abs(a[h]*y-b[h]*x) > 1e-12*x*y {
			return false
		}
	}
	return true
}

// merge takes together hypotheses of one class, or of any, under which every test
// answers alike.
func (n *narrowed) merge(any bool) {
	var kept []int
	for h := range n.weights {
		same := slices.IndexFunc(kept, func(g int) bool { return (any || n.class[g] == n.class[h]) && n.alike(g, h) })
		if same < 0 {
			kept = append(kept, h)
			continue
		}
		into := kept[same]
		n.weights[into] += n.weights[h]
		if n.class[into] != n.class[h] {
			n.class[into] = -1 - into // a class of its own: it may be either
		}
	}
	if len(kept) == len(n.weights) {
		return
	}
	pickFloats := func(list []float64) []float64 {
		few := make([]float64, len(kept))
		for i, h := range kept {
			few[i] = list[h]
		}
		return few
	}
	n.weights = pickFloats(n.weights)
	for i := range n.tests {
		for a, row := range n.tests[i].chance {
			n.tests[i].chance[a] = pickFloats(row)
		}
	}
	class, numbers := make([]int, len(kept)), make([]int, len(kept))
	for i, h := range kept {
		class[i], numbers[i] = n.class[h], n.hypotheses[h]
	}
	n.class, n.hypotheses = class, numbers
}

func (n *narrowed) alike(g, h int) bool {
	for i := range n.tests {
		for _, row := range n.tests[i].chance {
			if row[g] != row[h] {
				return false
			}
		}
	}
	return true
}

// words turns a reading into one of a few answers for a few hypotheses: the
// range between two cuts, one cut between each two means that follow each
// other, nearer to the one with the narrower spread.
func (r *spread) words(hypotheses []int) [][]float64 {
	order := slices.Clone(hypotheses)
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case r.mean[a] < r.mean[b]:
			return -1
		case r.mean[a] > r.mean[b]:
			return 1
		}
		return 0
	})
	var cuts []float64
	cut := func(x float64) {
		if len(cuts) == 0 || x > cuts[len(cuts)-1] {
			cuts = append(cuts, x)
		}
	}
	for i, h := range order {
		if i == 0 {
			cut(r.mean[h] - 2*r.sd[h])
			continue
		}
		g := order[i-1]
		narrow := min(r.sd[g], r.sd[h])
		if apart := r.mean[h] - r.mean[g]; apart > narrow/2 {
			cut(r.mean[g] + apart*r.sd[g]/(r.sd[g]+r.sd[h]))
		}
	}
	cut(r.mean[order[len(order)-1]] + 2*r.sd[order[len(order)-1]])
	chance := make([][]float64, len(cuts)+1)
	for a := range chance {
		chance[a] = make([]float64, len(hypotheses))
		for i, h := range hypotheses {
			low, high := 0.0, 1.0
			if a > 0 {
				low = below(cuts[a-1], r.mean[h], r.sd[h])
			}
			if a < len(cuts) {
				high = below(cuts[a], r.mean[h], r.sd[h])
			}
			chance[a][i] = (1-r.slip)*(high-low) + r.slip/float64(len(chance))
		}
	}
	return mergeAnswers(chance)
}

// numberClasses numbers the classes that are left from 0, and counts them.
func (n *narrowed) numberClasses() int {
	number := map[int]int{}
	class := make([]int, len(n.class))
	for h, c := range n.class {
		i, known := number[c]
		if !known {
			i = len(number)
			number[c] = i
		}
		class[h] = i
	}
	n.class = class
	return len(number)
}
