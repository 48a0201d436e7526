package diagnosis

import (
	"fmt"
	"math"
	"slices"
)

// Table holds what each test would answer under each hypothesis, and the
// weight of each hypothesis. It answers which test tells most, and takes the
// answer in. Hypotheses are numbered from 0; so are tests and their answers.
//
// The expected fall in entropy of a test is the mutual information of answer
// and hypothesis, I = H(answer) − Σ weight·H(answer | hypothesis) (Cover and
// Thomas, Elements of Information Theory, section 2.4). The second entropy
// does not change with the weights and is kept, so that choosing among many
// tests is a few multiplications for each number in the table.
//
// The answer of a test is one of a few (Add), or a number (AddReadings). Where
// several hypotheses mean the same for the work, as when one part may be bad in
// several ways, Join says so, and gains are counted in what then matters.
type Table struct {
	weights []float64
	tests   []foretold
	answers []float64 // scratch: the chance of each answer of one test
	rows    []float64 // scratch: the weight of each row of readings
	classes *classes  // nil: each hypothesis by itself
}

// foretold is one test: the chance of each answer under each hypothesis,
// answer by answer, and the entropy of the answer under each hypothesis; or
// what a reading is foretold to be.
type foretold struct {
	chance   [][]float64
	noise    []float64 // bits
	readings *spread
}

// count is the number of answers.
func (f *foretold) count() int {
	if f.readings != nil {
		return len(f.readings.nodes)
	}
	return len(f.chance)
}

// NewTable starts a table over the hypotheses with the given weights, which
// need not add up to one.
func NewTable(weights []float64) (*Table, error) {
	t := &Table{weights: append([]float64(nil), weights...)}
	if err := t.normalise(); err != nil {
		return nil, err
	}
	return t, nil
}

// Add enters a test: chance[a][h] is the chance of answer a under hypothesis
// h. For each hypothesis the chances must add up to one. The number of the
// test is returned. The table keeps the slices.
func (t *Table) Add(chance [][]float64) (int, error) {
	noise := make([]float64, len(t.weights))
	sums := make([]float64, len(t.weights))
	for a, row := range chance {
		if len(row) != len(t.weights) {
			return 0, fmt.Errorf("diagnosis: answer %d has %d chances for %d hypotheses", a, len(row), len(t.weights))
		}
		for h, p := range row {
			if !(p >= 0 && p <= 1+1e-9) {
				return 0, fmt.Errorf("diagnosis: answer %d under hypothesis %d has chance %v", a, h, p)
			}
			sums[h] += p
			noise[h] -= plogp(p)
		}
	}
	for h, sum := range sums {
		if math.Abs(sum-1) > 1e-6 {
			return 0, fmt.Errorf("diagnosis: the answers under hypothesis %d add up to %v, not 1", h, sum)
		}
	}
	return t.enter(foretold{chance: chance, noise: noise}), nil
}

// enter takes a test in and gives its number.
func (t *Table) enter(test foretold) int {
	t.tests = append(t.tests, test)
	if n := test.count(); n > len(t.answers) {
		t.answers = make([]float64, n)
	}
	if r := test.readings; r != nil && len(r.rows) > len(t.rows) {
		t.rows = make([]float64, len(r.rows))
	}
	return len(t.tests) - 1
}

// Clone is a table over the same tests with weights of its own: the two can be
// used side by side.
func (t *Table) Clone() *Table {
	clone := &Table{weights: slices.Clone(t.weights), tests: slices.Clone(t.tests), answers: make([]float64, len(t.answers)), rows: make([]float64, len(t.rows))}
	if t.classes != nil {
		c := *t.classes
		c.weight, c.near, c.settled, c.alive = make([]float64, len(c.weight)), nil, false, nil
		clone.classes = &c
	}
	return clone
}

// Reweigh gives the hypotheses other weights, which need not add up to one.
// Weights that make no sense are an error and change nothing.
func (t *Table) Reweigh(weights []float64) error {
	if len(weights) != len(t.weights) {
		return fmt.Errorf("diagnosis: %d weights for %d hypotheses", len(weights), len(t.weights))
	}
	fresh := Table{weights: slices.Clone(weights)}
	if err := fresh.normalise(); err != nil {
		return err
	}
	copy(t.weights, fresh.weights)
	t.unsettle()
	return nil
}

// Under is the chance of each answer of a test under one hypothesis.
func (t *Table) Under(hypothesis, test int) []float64 {
	f := &t.tests[test]
	chances := make([]float64, f.count())
	if r := f.readings; r != nil {
		row := &r.rows[r.member[hypothesis]]
		for j, p := range row.chance {
			chances[row.first+j] = float64(p)
		}
		return chances
	}
	for a, row := range f.chance {
		chances[a] = row[hypothesis]
	}
	return chances
}

// Tests is the number of tests entered.
func (t *Table) Tests() int { return len(t.tests) }

// Weights are the current probabilities of the hypotheses. The slice is the
// table's own: read it, do not change it.
func (t *Table) Weights() []float64 { return t.weights }

// Entropy is the uncertainty over the hypotheses in bits; where they are
// joined, over the classes.
func (t *Table) Entropy() float64 {
	if t.classes != nil {
		return Entropy(t.classes.weigh(t.weights))
	}
	return Entropy(t.weights)
}

// Answers is the chance of each answer of a test; of a reading, that it comes
// out near each of the values of Nodes. The slice is valid until the next call
// on the table.
func (t *Table) Answers(test int) []float64 {
	f := &t.tests[test]
	chances := t.answers[:f.count()]
	if f.readings != nil {
		f.readings.mix(t.weights, t.rows[:len(f.readings.rows)], chances)
		return chances
	}
	for a, row := range f.chance {
		chances[a] = dot(t.weights, row)
	}
	return chances
}

// Gain is the expected fall in entropy, in bits, when the test is made. Where
// hypotheses are joined, it is the fall in the entropy over the classes.
func (t *Table) Gain(test int) float64 {
	if t.classes != nil {
		return t.classes.gain(t, test)
	}
	bits := -dot(t.weights, t.tests[test].noise)
	for _, p := range t.Answers(test) {
		bits -= plogp(p)
	}
	return max(0, bits)
}

// Best is the test with the largest gain for its cost (minutes, or whatever
// the costs are in), the first among equals, and that gain for each unit of
// cost. The costs must be positive, one for each test. With no test it returns
// −1.
func (t *Table) Best(costs []float64) (test int, gainPerCost float64) {
	test = -1
	for i := range t.tests {
		if g := t.Gain(i) / costs[i]; test < 0 || g > gainPerCost+1e-12 {
			test, gainPerCost = i, g
		}
	}
	return test, gainPerCost
}

// Update takes an answer in. An answer that was impossible under every
// hypothesis is an error and changes nothing. A reading is better taken in by
// Read.
func (t *Table) Update(test, answer int) error {
	row := t.row(test, answer)
	if dot(t.weights, row) <= 0 {
		return fmt.Errorf("diagnosis: answer %d of test %d is impossible under every hypothesis", answer, test)
	}
	for h := range t.weights {
		t.weights[h] *= row[h]
	}
	return t.normalise()
}

// After is the weights as they would be after an answer, written into the
// given slice, which has one place for each hypothesis; all zero when the
// answer is impossible under every hypothesis.
func (t *Table) After(test, answer int, into []float64) {
	row := t.row(test, answer)
	sum := 0.0
	for h, w := range t.weights {
		into[h] = w * row[h]
		sum += into[h]
	}
	if sum == 0 {
		return
	}
	for h := range into {
		into[h] /= sum
	}
}

// row is the chance of an answer under each hypothesis.
func (t *Table) row(test, answer int) []float64 {
	if r := t.tests[test].readings; r != nil {
		return r.row(answer)
	}
	return t.tests[test].chance[answer]
}

func (t *Table) normalise() error {
	sum := 0.0
	for h, w := range t.weights {
		if !(w >= 0) || math.IsInf(w, 1) {
			return fmt.Errorf("diagnosis: hypothesis %d has weight %v", h, w)
		}
		sum += w
	}
	if sum == 0 {
		return fmt.Errorf("diagnosis: no hypothesis has any weight")
	}
	for h := range t.weights {
		t.weights[h] /= sum
	}
	t.unsettle()
	return nil
}

// unsettle notes that the weights have changed.
func (t *Table) unsettle() {
	if t.classes != nil {
		t.classes.settled = false
	}
}

// Entropy of a distribution in bits (Shannon 1948, section 6).
func Entropy(p []float64) float64 {
	bits := 0.0
	for _, x := range p {
		bits -= plogp(x)
	}
	return bits
}

func plogp(p float64) float64 {
	if p <= 0 {
		return 0
	}
	return p * math.Log(p) * math.Log2E // twice as quick as math.Log2
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}
