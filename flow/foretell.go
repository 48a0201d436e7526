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
	model   *Model
	Nets    []signal.Spread
	healthy []signal.Spread // what each block would put out were it healthy
	off     []bool          // blocks that are disconnected
	dirty   []bool          // blocks to be worked out anew
	own     []*Candidate    // the faults that show
	scene   *Scene

	calm, disturbed []netState // scratch of Evidence: what nets that were read are known to do
}

// NewState makes a working space.
func (m *Model) NewState() *State {
	return &State{
		model: m, Nets: make([]signal.Spread, len(m.nets)), healthy: make([]signal.Spread, len(m.blocks)),
		off: make([]bool, len(m.blocks)), dirty: make([]bool, len(m.blocks)),
	}
}

// sweeps bounds the passes through feedback loops, and settled is the change
// below which a loop has come to rest. What has not settled by then differs by
// less than a reading can show.
const (
	sweeps  = 20
	settled = 1e-5
)

// Foretell fills Nets with what every net does when the given candidates are
// at fault and show themselves.
func (s *State) Foretell(showing []int, scene *Scene) {
	m := s.model
	s.scene = scene
	for n := range s.Nets {
		s.Nets[n] = signal.Spread{signal.Good: 1}
	}
	for b := range s.healthy {
		s.healthy[b] = signal.Spread{signal.Good: 1}
	}
	clear(s.dirty)
	s.disconnect()
	s.own = s.own[:0]
	for _, i := range showing {
		c := &m.Candidates[i]
		if slices.Contains(scene.Replaced, c.Item) || slices.Contains(scene.Lifted, c.Item) || (c.block >= 0 && s.off[c.block]) {
			continue
		}
		s.own = append(s.own, c)
		s.touch(c)
	}
	for _, group := range m.order {
		for range sweeps {
			any := false
			for _, b := range group {
				if s.dirty[b] {
					s.dirty[b] = false
					any = true
					s.settle(b)
				}
			}
			if !any {
				break
			}
		}
	}
}

// disconnect marks the blocks that are pulled, or lifted whole.
func (s *State) disconnect() {
	clear(s.off)
	for _, b := range s.scene.Without {
		s.off[b], s.dirty[b] = true, true
	}
	for _, i := range s.scene.Lifted {
		if b := s.model.whole[i]; b >= 0 {
			s.off[b], s.dirty[b] = true, true
		}
	}
}

// touch marks what must be worked out anew because of a fault: the block it is
// in, and whatever drives a net that it drags.
func (s *State) touch(c *Candidate) {
	if c.block < 0 {
		s.dirty[s.model.drivers[c.net][0].block] = true
		return
	}
	b := &s.model.blocks[c.block]
	s.dirty[c.block] = true
	if c.drags {
		for _, n := range b.inputs {
			s.dirty[s.model.drivers[n][0].block] = true
		}
	}
	if c.pulls {
		for _, n := range b.supplies {
			s.dirty[s.model.drivers[n][0].block] = true
		}
	}
}

// settle works out a block and its nets anew and marks the readers of those
// that changed.
func (s *State) settle(number int) {
	b := &s.model.blocks[number]
	s.healthy[number] = s.follow(b)
	for _, n := range b.outputs {
		now := s.net(n)
		if !changed(&now, &s.Nets[n]) {
			continue
		}
		s.Nets[n] = now
		for _, reader := range s.model.readers[n] {
			s.dirty[reader] = true
		}
	}
}

func changed(a, b *signal.Spread) bool {
	for i, p := range a {
		if math.Abs(p-b[i]) > settled {
			return true
		}
	}
	return false
}

// follow works out what a healthy block puts out, given its inputs and rails.
func (s *State) follow(b *block) signal.Spread {
	var causes blend
	for i, n := range b.inputs {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := b.follow.Out(in)
			causes.join(&out, b.echo[i])
		}
	}
	for i, n := range b.supplies {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := fault.Starved(in)
			causes.join(&out, b.echo[len(b.inputs)+i])
		}
	}
	return causes.result()
}

// net works out what one net does from its drivers and whatever drags it. A
// driver that is disconnected leaves the net to the others; with no other the
// net has nothing on it.
func (s *State) net(n int) signal.Spread {
	if slices.Contains(s.scene.Injected, n) {
		return signal.Pure(signal.Good)
	}
	m := s.model
	var drivers, drags blend
	for _, d := range m.drivers[n] {
		if !s.off[d.block] {
			out := s.output(d)
			drivers.add(&out)
		}
	}
	driven := drivers.result()
	if drivers.causes == 0 {
		driven = signal.Pure(signal.Absent)
	}
	for _, c := range s.own {
		if c.block < 0 {
			if c.net == n && c.Mode.Output.Said() {
				drags.add(&c.Mode.Output)
			}
			continue
		}
		b := &m.blocks[c.block]
		if c.drags && slices.Contains(b.inputs, n) {
			// only one of several inputs is concerned
			drag := c.Mode.Input.Mix(1/float64(len(b.inputs)), signal.Pure(signal.Good))
			drags.add(&drag)
		}
		if c.pulls && slices.Contains(b.supplies, n) {
			drags.add(&c.Mode.Supply)
		}
	}
	drags.over(&driven)
	return driven
}

// output works out what a block puts out on one of its outputs.
func (s *State) output(d driver) signal.Spread {
	var faults blend
	for _, c := range s.own {
		if c.block != d.block || (c.only >= 0 && c.only != d.output) || !c.Mode.Output.Said() {
			continue
		}
		bad := c.Mode.Output
		if slices.Contains(s.scene.Piggybacked, c.Item) {
			bad = piggybacked(bad)
		}
		faults.add(&bad)
	}
	out := s.healthy[d.block]
	faults.over(&out)
	return out
}

// helps is the chance that a good chip pressed on top makes up for an output
// that is driven by nobody. Common practice, no source.
const helps = 0.85

// piggybacked is what an output does when a good chip is pressed on top: one
// that is driven by nobody comes right, one that is held does not.
func piggybacked(out signal.Spread) signal.Spread {
	for _, s := range []signal.State{signal.Floating, signal.Absent} {
		out[signal.Good] += helps * out[s]
		out[s] *= 1 - helps
	}
	return out
}

// blend joins several causes that act on the same thing: it is good only when
// every cause leaves it good, and otherwise wrong in the ways of the causes, in
// proportion. What comes back through a feedback loop is an echo of causes and
// not a further one: with echoes it is as good as the worst of them, or as the
// causes leave it. Without a cause it is good.
type blend struct {
	bad    signal.Spread
	all    float64 // the chance that every cause leaves it good
	worst  float64 // the chance that the worst echo does
	causes int     // echoes among them
}

func (b *blend) add(p *signal.Spread) { b.join(p, false) }

func (b *blend) join(p *signal.Spread, echo bool) {
	if b.causes == 0 {
		b.all, b.worst = 1, 1
	}
	b.causes++
	if echo {
		b.worst = min(b.worst, p[signal.Good])
	} else {
		b.all *= p[signal.Good]
	}
	for s := signal.Absent; s < signal.States; s++ {
		b.bad[s] += p[s]
	}
}

// good is the chance that it is good.
func (b *blend) good() float64 {
	if b.causes == 0 {
		return 1
	}
	return min(b.all, b.worst)
}

func (b *blend) result() signal.Spread {
	out, good := b.bad, b.good()
	if b.causes > 1 {
		sum := 0.0
		for _, p := range out {
			sum += p
		}
		if sum > 0 {
			scale := (1 - good) / sum
			for s := range out {
				out[s] *= scale
			}
		}
	}
	out[signal.Good] = good
	return out
}

// over lays the causes over what would be there without them: where they leave
// it good, the rest decides.
func (b *blend) over(below *signal.Spread) {
	if b.causes == 0 {
		return
	}
	out := b.result()
	keep := out[signal.Good]
	out[signal.Good] = 0
	for i, p := range below {
		out[i] += keep * p
	}
	*below = out
}
