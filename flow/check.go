package flow

import (
	"halfsplit/signal"
)

// Cause is one thing that a check may be about: an item that is bad in any
// way, or a net in a state.
type Cause struct {
	Item int // −1 when it is about a net
	Mode string
	Net  int
	// State is the net's state; NotGood means any but good.
	State   signal.State
	NotGood bool
}

// Row is one line of a check's cause–effect table: when the cause holds, each
// answer has the given chance.
type Row struct {
	Cause  Cause
	Chance []float64
}

// Check is an observation that follows from faults by a table rather than by
// signal flow: what a self-test prints, what a lamp blinks.
type Check struct {
	Rows      []Row
	Otherwise []float64 // the chance of each answer when no cause holds
}

// CheckReading is the answer that a check gave.
type CheckReading struct {
	Check  *Check
	Answer int
	piece  int // its number among all evidence
}

// Answers gives the chance of each answer when the state has been foretold:
// the average over the causes that hold, each weighed by how surely it holds;
// what is left goes to Otherwise.
func (c *Check) Answers(state *State, showing []int) []float64 {
	answers := make([]float64, len(c.Otherwise))
	for a := range answers {
		answers[a] = c.chance(a, state, showing)
	}
	return answers
}

// chance is the chance of one answer.
func (c *Check) chance(answer int, state *State, showing []int) float64 {
	left, total, sum := 1.0, 0.0, 0.0
	for i := range c.Rows {
		holds := c.Rows[i].Cause.holds(state, showing)
		left *= 1 - holds
		total += holds
		sum += holds * c.Rows[i].Chance[answer]
	}
	p := left * c.Otherwise[answer]
	if total > 0 {
		p += sum * (1 - left) / total
	}
	return (1-signal.Slip)*p + signal.Slip/float64(len(c.Otherwise))
}

// holds is how surely the cause holds.
func (c *Cause) holds(state *State, showing []int) float64 {
	if c.Item < 0 {
		if c.NotGood {
			return state.Nets[c.Net].Bad()
		}
		return state.Nets[c.Net][c.State]
	}
	for _, f := range showing {
		k := &state.model.Candidates[f]
		if k.Item == c.Item && (c.Mode == "" || c.Mode == k.Mode.Name) {
			return 1
		}
	}
	return 0
}
