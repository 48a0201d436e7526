package flow

import (
	"math"
	"slices"

	"halfsplit/fault"
	"halfsplit/signal"
)

// State is a working space in which the model foretells what every net does
// under one set of faults in one scene. It is not safe for concurrent use.
type State struct {
	model *Model
	Nets  []signal.Spread
	dirty []bool
	own   []*Candidate // the faults that show, one pass
	scene *Scene
	ways  []pattern // scratch
}

// NewState makes a working space.
func (m *Model) NewState() *State {
	return &State{model: m, Nets: make([]signal.Spread, len(m.nets)), dirty: make([]bool, len(m.blocks))}
}

// sweeps bounds the passes through feedback loops. A loop settles in two or
// three; what has not settled by then differs by less than a reading can show.
const sweeps = 8

// Foretell fills Nets with what every net does when the given candidates are
// at fault and show themselves.
func (s *State) Foretell(showing []int, scene *Scene) {
	m := s.model
	s.scene = scene
	s.own = s.own[:0]
	for n := range s.Nets {
		s.Nets[n] = signal.Pure(signal.Good)
	}
	clear(s.dirty)
	for _, i := range showing {
		c := &m.Candidates[i]
		if slices.Contains(scene.Replaced, c.Item) || slices.Contains(scene.Lifted, c.Item) ||
			(c.block >= 0 && slices.Contains(scene.Without, c.block)) {
			continue
		}
		s.own = append(s.own, c)
	}
	for _, b := range scene.Without {
		s.settle(m.blocks[b].outputs)
	}
	for _, c := range s.own {
		if c.block < 0 {
			s.settle([]int{c.net})
			continue
		}
		b := &m.blocks[c.block]
		s.settle(b.outputs)
		if c.drags {
			s.settle(b.inputs)
		}
		if c.pulls {
			s.settle(b.supplies)
		}
	}
	for _, group := range m.order {
		for range sweeps {
			any := false
			for _, b := range group {
				if s.dirty[b] {
					s.dirty[b] = false
					any = true
					s.settle(m.blocks[b].outputs)
				}
			}
			if !any || len(group) == 1 {
				break
			}
		}
	}
}

// settle works out nets anew and marks the readers of those that changed.
func (s *State) settle(nets []int) {
	for _, n := range nets {
		now := s.net(n)
		change := 0.0
		for i := range now {
			change = math.Max(change, math.Abs(now[i]-s.Nets[n][i]))
		}
		if change < 1e-3 {
			continue
		}
		s.Nets[n] = now
		for _, b := range s.model.readers[n] {
			s.dirty[b] = true
		}
	}
}

// net works out what one net does from its drivers and whatever drags it.
func (s *State) net(n int) signal.Spread {
	if slices.Contains(s.scene.Injected, n) {
		return signal.Pure(signal.Good)
	}
	m := s.model
	var mix blend
	mix.start()
	for _, d := range m.drivers[n] {
		out := s.output(d)
		mix.add(&out)
	}
	result := mix.result()
	for _, c := range s.own {
		switch {
		case c.block < 0:
			if c.net == n && c.Mode.Output.Said() {
				result = override(c.Mode.Output, result)
			}
		case c.drags && slices.Contains(m.blocks[c.block].inputs, n):
			// a dragged input: only one of several is concerned
			share := 1 / float64(len(m.blocks[c.block].inputs))
			result = override(c.Mode.Input, result).Mix(share, result)
		case c.pulls && slices.Contains(m.blocks[c.block].supplies, n):
			result = override(c.Mode.Supply, result)
		}
	}
	return result
}

// output works out what a block puts out on one of its outputs.
func (s *State) output(d driver) signal.Spread {
	m := s.model
	b := &m.blocks[d.block]
	if slices.Contains(s.scene.Without, d.block) {
		return signal.Pure(signal.Absent)
	}
	var mix blend
	mix.start()
	for _, n := range b.inputs {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := b.follow.Out(in)
			mix.add(&out)
		}
	}
	for _, n := range b.supplies {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := fault.Starved(in)
			mix.add(&out)
		}
	}
	healthy := mix.result()
	for _, c := range s.own {
		if c.block != d.block || (c.only >= 0 && c.only != d.output) {
			continue
		}
		bad := c.Mode.Output
		if !bad.Said() { // leaves the output to the inputs
			continue
		}
		if slices.Contains(s.scene.Piggybacked, c.Item) {
			bad = piggybacked(bad)
		}
		healthy = override(bad, healthy)
	}
	return healthy
}

// piggybacked is what an output does when a good chip is pressed on top: one
// that is driven by nobody comes right, one that is held does not (common
// practice, no source).
func piggybacked(out signal.Spread) signal.Spread {
	const helps = 0.85
	for _, s := range []signal.State{signal.Floating, signal.Absent} {
		out[signal.Good] += helps * out[s]
		out[s] *= 1 - helps
	}
	return out
}

// override lays a fault's own effect over what would be there without it: where
// the fault leaves the net good, the rest decides.
func override(own, below signal.Spread) signal.Spread {
	keep := own[signal.Good]
	own[signal.Good] = 0
	for i := range own {
		own[i] += keep * below[i]
	}
	return own
}

// blend joins several causes that act on the same output: it is good only when
// every cause leaves it good, and otherwise wrong in the ways of the causes, in
// proportion.
type blend struct {
	good float64
	bad  signal.Spread
	any  bool
}

func (b *blend) start() { *b = blend{good: 1} }

func (b *blend) add(p *signal.Spread) {
	b.good *= p[signal.Good]
	for s := signal.Absent; s < signal.States; s++ {
		b.bad[s] += p[s]
	}
	b.any = true
}

func (b *blend) result() signal.Spread {
	if !b.any {
		return signal.Pure(signal.Good)
	}
	sum := 0.0
	for _, p := range b.bad {
		sum += p
	}
	var out signal.Spread
	if sum > 0 {
		for s, p := range b.bad {
			out[s] = p / sum * (1 - b.good)
		}
	}
	out[signal.Good] = b.good
	return out
}
