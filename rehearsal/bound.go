package rehearsal

import (
	"cmp"
	"math"
	"slices"

	"halfsplit/diagnosis"
)

// Bounds are what no strategy goes below.
type Bounds struct {
	// Entropy is the uncertainty over the sets of suspects once what comes with
	// the unit is known, bits, on average.
	Entropy float64 `json:"entropy_bits"`
	// Testing is a cost of tests that no plan goes below which leaves the given
	// uncertainty: no test tells more than its capacity, whatever was read
	// before, and none but the repeatable is made twice.
	Testing float64 `json:"testing_at_least"`
	// Optimum is the cost of the best of all plans, testing until a name is sure
	// enough; Known is false when there are too many states.
	Optimum float64 `json:"optimum,omitempty"`
	Known   bool    `json:"optimum_known"`
}

// Bound works out the bounds of a bench for hunts that leave so many bits on
// average; states bounds the search for the optimum.
func Bound(bench Bench, sure, left float64, states int) (Bounds, error) {
	if err := check(bench); err != nil {
		return Bounds{}, err
	}
	setup := bench.Setup()
	var b Bounds
	b.Known = true
	costs := make([]float64, len(setup.Tests))
	for i, t := range setup.Tests {
		costs[i] = t.Cost
		if t.Cost == 0 {
			costs[i] = math.Inf(1)
		}
		b.Known = b.Known && !(t.Repeat && t.Cost > 0)
	}
	goal := diagnosis.Goal{Costs: costs, Sure: sure}
	var visit func(table *diagnosis.Table, test int, chance float64)
	visit = func(table *diagnosis.Table, test int, chance float64) {
		for ; test < len(setup.Tests); test++ {
			if setup.Tests[test].Cost > 0 {
				continue
			}
			for a, p := range slices.Clone(table.Answers(test)) {
				if p < 1e-9 {
					continue
				}
				then := table.Clone()
				if then.Update(test, a) == nil {
					visit(then, test+1, chance*p)
				}
			}
			return
		}
		b.Entropy += chance * table.Entropy()
		if !b.Known {
			return
		}
		o, err := table.Optimum(goal, states)
		if err != nil {
			b.Known, b.Optimum = false, 0
			return
		}
		b.Optimum += chance * o.Cost
	}
	visit(bench.Table().Clone(), 0, 1)
	b.Testing = knapsack(bench, b.Entropy-left)
	return b, nil
}

// knapsack is the least cost at which tests could tell so many bits, each at
// most its capacity and once.
func knapsack(bench Bench, bits float64) float64 {
	setup := bench.Setup()
	type offer struct{ bits, cost float64 }
	var offers []offer
	for i, t := range setup.Tests {
		if t.Cost == 0 {
			continue
		}
		if c := capacity(bench.Table(), i); c > 0 {
			times := 1
			if t.Repeat {
				times = mostRepeats
			}
			for range times {
				offers = append(offers, offer{c, t.Cost})
			}
		}
	}
	slices.SortFunc(offers, func(a, b offer) int { return cmp.Compare(b.bits/b.cost, a.bits/a.cost) })
	cost := 0.0
	for _, o := range offers {
		if bits <= 0 {
			break
		}
		cost += o.cost * math.Min(1, bits/o.bits)
		bits -= o.bits
	}
	return cost
}

// mostRepeats is how often a repeatable test counts at most in the bound.
const mostRepeats = 1000

// capacity is the most that a test can tell, in bits, whatever is known
// beforehand (algorithm of Blahut and Arimoto: Arimoto, "An algorithm for
// computing the capacity of arbitrary discrete memoryless channels", IEEE
// Transactions on Information Theory 18, 1972). It is reckoned from above, so
// that it stays a bound.
func capacity(table *diagnosis.Table, test int) float64 {
	var rows [][]float64
	seen := map[string]bool{}
	for h, w := range table.Weights() {
		if w == 0 {
			continue
		}
		row := table.Under(h, test)
		key := make([]byte, 0, 8*len(row))
		for _, p := range row {
			bits := math.Float64bits(p)
			for shift := 0; shift < 64; shift += 8 {
				key = append(key, byte(bits>>shift))
			}
		}
		if !seen[string(key)] {
			seen[string(key)] = true
			rows = append(rows, row)
		}
	}
	if len(rows) < 2 {
		return 0
	}
	input := make([]float64, len(rows))
	for i := range input {
		input[i] = 1 / float64(len(rows))
	}
	output := make([]float64, len(rows[0]))
	told := make([]float64, len(rows))
	above := math.Inf(1)
	for range 200 {
		clear(output)
		for i, row := range rows {
			for a, p := range row {
				output[a] += input[i] * p
			}
		}
		mean, most := 0.0, 0.0
		for i, row := range rows {
			told[i] = 0
			for a, p := range row {
				if p > 0 {
					told[i] += p * math.Log2(p/output[a])
				}
			}
			mean += input[i] * told[i]
			most = math.Max(most, told[i])
		}
		above = math.Min(above, most)
		if most-mean < 1e-4 {
			break
		}
		sum := 0.0
		for i := range input {
			input[i] *= math.Exp2(told[i])
			sum += input[i]
		}
		for i := range input {
			input[i] /= sum
		}
	}
	return above
}
