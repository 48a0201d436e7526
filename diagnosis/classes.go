package diagnosis

import (
	"fmt"
	"slices"
)

// classes are hypotheses that need not be told apart.
type classes struct {
	of     []int // the class of each hypothesis
	count  int
	order  []int     // hypotheses, class by class
	weight []float64 // scratch: of each class
	near   []float64 // scratch: one class over the nodes of a reading

	settled bool    // the following are of the weights as they are
	alive   []alive // class by class
	entropy float64 // over the classes
}

// Join says which hypotheses mean the same for the work, as when they are ways
// in which one part is bad: those of one class need not be told apart. Classes
// are numbered from 0; nil takes the classes away. From then on Gain, Best and
// Entropy count classes only.
func (t *Table) Join(class []int) error {
	if class == nil {
		t.classes = nil
		return nil
	}
	if len(class) != len(t.weights) {
		return fmt.Errorf("diagnosis: %d classes for %d hypotheses", len(class), len(t.weights))
	}
	c := &classes{of: slices.Clone(class), order: make([]int, len(class))}
	for h, number := range class {
		if number < 0 {
			return fmt.Errorf("diagnosis: hypothesis %d is in class %d; classes are numbered from 0", h, number)
		}
		c.count = max(c.count, number+1)
		c.order[h] = h
	}
	slices.SortStableFunc(c.order, func(a, b int) int { return class[a] - class[b] })
	c.weight = make([]float64, c.count)
	t.classes = c
	return nil
}

// weigh gives the weight of each class; valid until the next call.
func (c *classes) weigh(weights []float64) []float64 {
	clear(c.weight)
	for h, w := range weights {
		c.weight[c.of[h]] += w
	}
	return c.weight
}

// gain is what a test tells of the class: H(class) + H(answer) − H(class,
// answer).
func (c *classes) gain(t *Table, test int) float64 {
	c.settle(t.weights)
	f := &t.tests[test]
	bits := c.entropy
	if f.readings != nil {
		for _, p := range t.Answers(test) {
			bits -= plogp(p)
		}
		return max(0, bits+c.jointReadings(t, f.readings))
	}
	for _, row := range f.chance {
		answer, share, class := 0.0, 0.0, -1
		for _, l := range c.alive {
			if l.class != class {
				bits += plogp(share)
				answer += share
				share, class = 0, l.class
			}
			share += l.weight * row[l.hypothesis]
		}
		bits += plogp(share) - plogp(answer+share)
	}
	return max(0, bits)
}

// alive is a hypothesis that still has a weight.
type alive struct {
	hypothesis, class int
	weight            float64
}

// dead is the weight up to which a hypothesis is left out of a gain: a thousand of
// them change it by less than 1e-10 bits.
const dead = 1e-15

// settle works out anew, once the weights have changed, which hypotheses are alive,
// class by class, and the entropy over the classes.
func (c *classes) settle(weights []float64) {
	if c.settled {
		return
	}
	c.settled, c.alive, c.entropy = true, c.alive[:0], 0
	for _, h := range c.order {
		if w := weights[h]; w > dead {
			c.alive = append(c.alive, alive{h, c.of[h], w})
		}
	}
	for _, w := range c.weigh(weights) {
		c.entropy -= plogp(w)
	}
}

// jointReadings is the sum of p·log2 p over classes and nodes.
func (c *classes) jointReadings(t *Table, r *spread) float64 {
	if len(c.near) < len(r.nodes) {
		c.near = make([]float64, len(r.nodes))
	}
	sum := 0.0
	for i := 0; i < len(c.order); {
		class := c.of[c.order[i]]
		low, high := len(r.nodes), 0
		for ; i < len(c.order) && c.of[c.order[i]] == class; i++ {
			h := c.order[i]
			w := t.weights[h]
			if w == 0 {
				continue
			}
			row := &r.rows[r.member[h]]
			low, high = min(low, row.first), max(high, row.first+len(row.chance))
			out := c.near[row.first : row.first+len(row.chance)]
			for j, p := range row.chance {
				out[j] += w * float64(p)
			}
		}
		for j := low; j < high; j++ {
			sum += plogp(c.near[j])
			c.near[j] = 0
		}
	}
	return sum
}
