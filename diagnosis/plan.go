package diagnosis

import (
	"encoding/binary"
	"math"
	"slices"
)

// planner works out what is best to do over a narrowed table. Tests that may
// err are made once at most; what they say again is no news.
type planner struct {
	*narrowed
	sure    float64
	repair  *Repair
	optimal map[string]float64   // the least expected cost, by state
	greedy  map[string]float64   // the expected cost of the plain rule, by state
	nodes   int                  // states that may still be entered
	left    map[uint64][]float64 // what remains, by actions done
	sum     []float64            // scratch: the weight of each class
}

// state is what is known at one point of a plan.
type state struct {
	weights []float64 // they add up to one
	made    []uint16  // answers of tests that may err, ascending
	done    uint64    // actions
}

const answersOfTest = 64 // room for the answers of a test in one number

func newPlanner(n *narrowed, goal *Goal, nodes int) *planner {
	p := &planner{narrowed: n, sure: goal.Sure, optimal: map[string]float64{}, greedy: map[string]float64{}, nodes: nodes}
	if p.sure == 0 {
		p.sure = 1
	}
	p.sum = make([]float64, n.numberClasses())
	if goal.Repair != nil {
		r := *goal.Repair
		r.Bad = make([][]int, len(n.hypotheses))
		for i, h := range n.hypotheses {
			r.Bad[i] = goal.Repair.Bad[h]
		}
		p.repair, p.left = &r, map[uint64][]float64{}
	}
	return p
}

func (p *planner) start() state { return state{weights: slices.Clone(p.weights)} }

// key names a state: what is left of the hypotheses, what tests that may err
// said, and what was done.
func (p *planner) key(s *state) string {
	key := make([]byte, 0, 8+len(s.weights)/8+1+2*len(s.made))
	key = binary.LittleEndian.AppendUint64(key, s.done)
	var bits byte
	for h, w := range s.weights {
		if w > 0 {
			bits |= 1 << (h % 8)
		}
		if h%8 == 7 || h == len(s.weights)-1 {
			key, bits = append(key, bits), 0
		}
	}
	for _, m := range s.made {
		key = binary.LittleEndian.AppendUint16(key, m)
	}
	return string(key)
}

// branch is one answer of a test, with its chance and what follows.
type branch struct {
	chance float64
	then   state
}

// branches are the answers of a test that can come; nil when the test was made
// or can say only one thing.
func (p *planner) branches(s *state, test int) []branch {
	c := &p.tests[test]
	if !c.perfect && slices.ContainsFunc(s.made, func(m uint16) bool { return int(m)/answersOfTest == test }) {
		return nil
	}
	var list []branch
	for a, row := range c.chance {
		chance := dot(s.weights, row)
		if chance < 1e-12 {
			continue
		}
		if c.perfect && chance > 1-1e-12 {
			return nil
		}
		then := state{weights: make([]float64, len(s.weights)), made: s.made, done: s.done}
		for h, w := range s.weights {
			then.weights[h] = w * row[h] / chance
		}
		if !c.perfect {
			m := uint16(test*answersOfTest + min(a, answersOfTest-1))
			at, _ := slices.BinarySearch(s.made, m)
			then.made = slices.Insert(slices.Clone(s.made), at, m)
		}
		list = append(list, branch{chance, then})
	}
	return list
}

// gain is what the branches of a test tell of the classes, in bits.
func (p *planner) gain(s *state, list []branch) float64 {
	bits := p.entropy(s.weights)
	for i := range list {
		bits -= list[i].chance * p.entropy(list[i].then.weights)
	}
	return bits
}

// entropy over the classes.
func (p *planner) entropy(weights []float64) float64 {
	bits := 0.0
	for _, w := range p.byClass(weights) {
		bits -= plogp(w)
	}
	return bits
}

// byClass is the weight of each class; valid until the next call.
func (p *planner) byClass(weights []float64) []float64 {
	clear(p.sum)
	for h, w := range weights {
		p.sum[p.class[h]] += w
	}
	return p.sum
}

// settled reports whether testing for a name is at its end: one class is sure
// enough, or no test left tells apart any two that are left.
func (p *planner) settled(s *state) bool {
	if slices.Max(p.byClass(s.weights)) >= p.sure-1e-12 {
		return true
	}
	for h, w := range s.weights {
		if w == 0 {
			continue
		}
		for g := range h {
			if s.weights[g] > 0 && p.class[g] != p.class[h] && p.separable(s, g, h) {
				return false
			}
		}
	}
	return true
}

// separable reports whether a test not yet made answers differently.
func (p *planner) separable(s *state, g, h int) bool {
	for i := range p.tests {
		c := &p.tests[i]
		if !c.perfect && slices.ContainsFunc(s.made, func(m uint16) bool { return int(m)/answersOfTest == i }) {
			continue
		}
		for _, row := range c.chance {
			if row[g] != row[h] {
				return true
			}
		}
	}
	return false
}

// remains is the chance under each hypothesis that the unit does not work after
// the actions.
func (p *planner) remains(done uint64) []float64 {
	list, known := p.left[done]
	if !known {
		list = make([]float64, len(p.weights))
		for h := range list {
			list[h] = p.repair.remains(h, done)
		}
		p.left[done] = list
	}
	return list
}

// act takes an action: the chance that the unit still does not work, and what
// is then known.
func (p *planner) act(s *state, action int) branch {
	done := s.done | 1<<action
	before, after := p.remains(s.done), p.remains(done)
	b := branch{then: state{weights: make([]float64, len(s.weights)), made: s.made, done: done}}
	for h, w := range s.weights {
		if before[h] > 0 {
			b.then.weights[h] = w * after[h] / before[h]
			b.chance += b.then.weights[h]
		}
	}
	if b.chance < 1e-12 {
		b.chance = 0
		return b
	}
	for h := range b.then.weights {
		b.then.weights[h] /= b.chance
	}
	return b
}

// replacing is the expected cost of mending the unit without any further test:
// actions in the order of chance to help per cost, worked out anew after each,
// and the call where that is cheapest; and the first action, −1 for the call.
func (p *planner) replacing(s state) (cost float64, first int) {
	reached, paid := 1.0, 0.0
	best, first, at := p.repair.Call, -1, -1
	for {
		next, worth := -1, 0.0
		var then branch
		for i, a := range p.repair.Actions {
			if s.done>>i&1 == 1 {
				continue
			}
			b := p.act(&s, i)
			if helps := 1 - b.chance; helps > 1e-12 && (next < 0 || helps*p.repair.Actions[next].Cost > worth*a.Cost) {
				next, worth, then = i, helps, b
			}
		}
		if next < 0 {
			break
		}
		if at < 0 {
			at = next
		}
		paid += reached * p.repair.Actions[next].Cost
		reached *= then.chance
		total := paid
		if reached > 0 {
			total += reached * p.repair.Call
		}
		if total < best-1e-12 || (math.IsInf(best, 1) && !math.IsInf(total, 1)) {
			best, first = total, at
		}
		if reached == 0 {
			break
		}
		s = then.then
	}
	return best, first
}
