package diagnosis

import "math"

// Groups joins hypotheses that none of the given tests can tell apart: those
// whose every answer has the same chance as under the first of the group,
// within the tolerance. Each group has at least two hypotheses, in ascending
// order; a hypothesis that stands alone is in none. Weights do not count: a
// hypothesis ruled out is grouped like any other.
func (t *Table) Groups(tests []int, tolerance float64) [][]int {
	var groups [][]int
	placed := make([]bool, len(t.weights))
	for h := range t.weights {
		if placed[h] {
			continue
		}
		group := []int{h}
		for g := h + 1; g < len(t.weights); g++ {
			if !placed[g] && t.alike(tests, h, g, tolerance) {
				group = append(group, g)
				placed[g] = true
			}
		}
		if len(group) > 1 {
			groups = append(groups, group)
		}
	}
	return groups
}

func (t *Table) alike(tests []int, h, g int, tolerance float64) bool {
	for _, test := range tests {
		if r := t.tests[test].readings; r != nil {
			if !r.alike(h, g, tolerance) {
				return false
			}
			continue
		}
		for _, row := range t.tests[test].chance {
			if math.Abs(row[h]-row[g]) > tolerance {
				return false
			}
		}
	}
	return true
}
