package flow

import (
	"encoding/binary"
	"math"
	"slices"

	"halfsplit/fault"
	"halfsplit/signal"
)

// State is a working space in which the model foretells what every net does
// under one set of faults in one scene. It is not safe for concurrent use.
type State struct {
	model  *Model
	*frame // what was foretold last

	frames  map[string]*frame // what was foretold lately, by key
	ring    []*frame          // the same in the order in which it was foretold, from next on
	next    int               // the one that is used up next
	most    int               // so many are remembered
	written []byte            // scratch
	healthy []signal.Spread   // what each block would put out were it healthy
	dirty   []bool            // blocks to be worked out anew
	now     []int             // those of them in hand
	under   bool              // signal flow alone is being worked out, without the sections
	given   []int             // nets taken to be good, because a solver follows what they do
	numbers []Number          // scratch

	// Scratch space for weighing evidence.
	ways, after     []pattern  // patterns before and after something is done
	steady          []int      // faults that are always there
	known, knownNow []netState // nets that were read, before and after something is done
}

// frame is what was foretold for one set of faults in one scene.
type frame struct {
	Nets     []signal.Spread // what every net does; not to be changed
	key      string          // what it is known by
	off      []bool          // blocks that are disconnected
	own      []*Candidate    // the faults that show
	scene    *Scene
	sections []solved // what the sections do
}

// mostFrames is how many frames are remembered, and mostSpreads how many nets in all
// of them. Sets of faults of which some do not show, and scenes that differ only in
// warmth, in what was replaced or in what is chilled, heated or pressed, need the
// same again and again.
const (
	leastFrames = 8
	mostFrames  = 4096
	mostSpreads = 400_000
)

// NewState makes a working space.
func (m *Model) NewState() *State {
	most := max(leastFrames, min(mostFrames, mostSpreads/max(1, len(m.nets))))
	return &State{model: m, most: most, frames: map[string]*frame{}, healthy: make([]signal.Spread, len(m.blocks)), dirty: make([]bool, len(m.blocks))}
}

// shows reports whether a fault has any effect in a scene: its item was neither
// replaced nor lifted.
func (s *Scene) shows(c *Candidate) bool {
	return !slices.Contains(s.Replaced, c.Item) && !slices.Contains(s.Lifted, c.Item)
}

// keyOf writes what decides what is foretold: the faults that have an effect, and
// what is done that has one.
func (s *State) keyOf(showing []int, scene *Scene) []byte {
	key := append(s.written[:0], 0)
	if scene.Off {
		key[0] |= 1
	}
	if scene.Unloaded {
		key[0] |= 2
	}
	for _, f := range showing {
		c := &s.model.Candidates[f]
		if !scene.shows(c) {
			continue
		}
		key = binary.AppendUvarint(key, uint64(f+1))
		if slices.Contains(scene.Piggybacked, c.Item) {
			key = append(key, 0)
		}
	}
	for _, list := range [...][]int{scene.Lifted, scene.Without, scene.Injected} {
		key = append(key, 0, 0)
		for _, n := range list {
			key = binary.AppendUvarint(key, uint64(n+1))
		}
	}
	s.written = key
	return key
}

// find takes up a frame that was foretold before; it reports false, and takes up
// one to be filled, when there is none.
func (s *State) find(showing []int, scene *Scene) bool {
	key := s.keyOf(showing, scene)
	known := s.frame
	if known == nil || known.key != string(key) {
		known = s.frames[string(key)]
	}
	if known != nil {
		s.frame, known.scene = known, scene
		return true
	}
	if len(s.ring) < s.most {
		m := s.model
		s.frame = &frame{Nets: make([]signal.Spread, len(m.nets)), off: make([]bool, len(m.blocks)), sections: make([]solved, len(m.sections))}
		s.ring = append(s.ring, s.frame)
	} else {
		s.frame = s.ring[s.next]
		s.next = (s.next + 1) % s.most
		delete(s.frames, s.frame.key)
	}
	s.frame.key = string(key)
	s.frames[s.frame.key] = s.frame
	return false
}

// sweeps is how many times a feedback loop is gone round at most, and settled
// the change below which it has come to rest. What has not settled by then
// differs by less than a reading can show.
const (
	sweeps  = 20
	settled = 1e-7
)

// Foretell fills Nets with what every net does when the given candidates are
// at fault and show themselves. What sections do is taken over all ways by
// weight.
func (s *State) Foretell(showing []int, scene *Scene) {
	if s.find(showing, scene) {
		for i := range s.sections {
			s.fix(i, -1)
		}
		return
	}
	s.scene = scene
	s.disconnect()
	s.own = s.own[:0]
	for _, i := range showing {
		c := &s.model.Candidates[i]
		if scene.shows(c) && (c.block < 0 || !s.off[c.block]) {
			s.own = append(s.own, c)
		}
	}
	if len(s.sections) > 0 {
		s.under, s.given = true, s.given[:0]
		s.flow() // first what signal flow alone does: what feeds the sections,
		fed := s.feed()
		if fed {
			s.flow() // then what lies over them, for what feeds them comes through the solver
		}
		s.under = false
		for i := range s.sections {
			s.solve(i)
		}
	}
	s.flow()
}

// feed notes what feeds the sections, and reports whether any of it is wrong.
func (s *State) feed() bool {
	s.given = s.given[:0]
	for i := range s.sections {
		v := &s.sections[i]
		v.fed = v.fed[:0]
		for _, n := range s.model.sections[i].inputs {
			v.fed = append(v.fed, s.Nets[n])
			if s.Nets[n][signal.Good] < 1 {
				s.given = append(s.given, n)
			}
		}
	}
	return len(s.given) > 0
}

// flow goes through all the blocks that a fault or a section touches.
func (s *State) flow() {
	m := s.model
	for n := range s.Nets {
		s.Nets[n] = signal.Spread{signal.Good: 1}
	}
	for b := range s.healthy {
		s.healthy[b] = signal.Spread{signal.Good: 1}
	}
	copy(s.dirty, s.off)
	for _, c := range s.own {
		s.touch(c)
	}
	if !s.under {
		s.layOver()
	}
	for _, group := range m.order {
		for range sweeps {
			if !s.sweep(group) {
				break
			}
		}
	}
}

// layOver fills in the nets that sections make.
func (s *State) layOver() {
	for i := range s.sections {
		v := &s.sections[i]
		for output, n := range s.model.sections[i].outputs {
			net := v.under[output]
			if over := &v.over[output]; over[signal.Good] < 1 {
				lies := blend{}
				lies.add(over)
				lies.over(&net)
			}
			if s.Nets[n] = net; net[signal.Good] < 1 {
				for _, reader := range s.model.readers[n] {
					s.dirty[reader] = true
				}
			}
		}
	}
}

// disconnect marks the blocks that are pulled, or lifted whole.
func (s *State) disconnect() {
	clear(s.off)
	for _, b := range s.scene.Without {
		s.off[b] = true
	}
	for _, i := range s.scene.Lifted {
		if b := s.model.whole[i]; b >= 0 && !s.model.simulated[i] {
			s.off[b] = true
		}
	}
}

// touch marks what must be worked out anew because of a fault: the block it is
// in, and whatever drives a net that it drags.
func (s *State) touch(c *Candidate) {
	if c.block < 0 {
		s.touchNet(c.net)
		return
	}
	b := &s.model.blocks[c.block]
	s.dirty[c.block] = true
	if c.drags {
		for _, n := range b.inputs {
			s.touchNet(n)
		}
	}
	if c.pulls {
		for _, n := range b.supplies {
			s.touchNet(n)
		}
	}
}

func (s *State) touchNet(n int) {
	if s.under && len(s.model.drivers[n]) == 0 {
		s.Nets[n] = s.net(n) // only a section makes it
	}
	for _, d := range s.model.drivers[n] {
		s.dirty[d.block] = true
	}
}

// sweep works out anew what is dirty in a group of blocks: first all the
// blocks, then all their nets, so that in a feedback loop it does not matter
// where one begins. It marks the readers of nets that changed, and reports
// whether there was anything to do.
func (s *State) sweep(group []int) bool {
	s.now = s.now[:0]
	for _, b := range group {
		if s.dirty[b] {
			s.dirty[b] = false
			s.healthy[b] = s.follow(&s.model.blocks[b])
			s.now = append(s.now, b)
		}
	}
	for _, b := range s.now {
		for _, n := range s.model.blocks[b].outputs {
			if s.model.sectionOf[n] >= 0 && !s.under {
				continue // the section makes it
			}
			if net := s.net(n); changed(&net, &s.Nets[n]) {
				s.Nets[n] = net
				for _, reader := range s.model.readers[n] {
					s.dirty[reader] = true
				}
			}
		}
	}
	return len(s.now) > 0
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
	causes := blend{looped: b.looped}
	for _, n := range b.inputs {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := b.follow.Out(in)
			causes.add(&out)
		}
	}
	for _, n := range b.supplies {
		if in := &s.Nets[n]; in[signal.Good] < 1 {
			out := fault.Starved(in)
			causes.add(&out)
		}
	}
	return causes.result()
}

// net works out what one net does from its drivers and whatever drags it. A
// driver that is disconnected leaves the net to the others; with no other the
// net has nothing on it.
func (s *State) net(n int) signal.Spread {
	if slices.Contains(s.scene.Injected, n) || s.under && slices.Contains(s.given, n) {
		return signal.Pure(signal.Good)
	}
	m := s.model
	drivers, drags := blend{looped: m.looped[n]}, blend{looped: m.looped[n]}
	for _, d := range m.drivers[n] {
		if !s.off[d.block] {
			out := s.output(d)
			drivers.add(&out)
		}
	}
	driven := drivers.result()
	if drivers.causes == 0 && len(m.drivers[n]) > 0 {
		driven = signal.Pure(signal.Absent)
	}
	section := m.sectionOf[n] >= 0
	for _, c := range s.own {
		if s.under && c.act != nil {
			continue // the section's solver follows it
		}
		s.drags(c, func(dragged int, spread signal.Spread) {
			if dragged == n && !(section && loads(&spread)) {
				drags.add(&spread)
			}
		})
	}
	drags.over(&driven)
	return driven
}

// output works out what a block puts out on one of its outputs.
func (s *State) output(d driver) signal.Spread {
	faults := blend{looped: s.model.blocks[d.block].looped}
	for _, c := range s.own {
		if s.under && c.act != nil || c.block != d.block || (c.only >= 0 && c.only != d.output) || !c.Mode.Output.Said() {
			continue
		}
		bad := c.Mode.Output
		if slices.Contains(s.scene.Piggybacked, c.Item) && !s.model.Items[c.Item].Kind.Capacitor() {
			bad = piggybacked(bad)
		}
		faults.add(&bad)
	}
	out := s.healthy[d.block]
	faults.over(&out)
	return out
}

// helps is the chance that a good chip pressed on top makes up for an output
// that is driven by nobody, and a good capacitor held across one for what that lacks. Common practice, no source.
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
// proportion. Without a cause it is good. In a feedback loop everything comes
// back to everything, and what comes back is no further cause: there it is as
// good as the worst cause leaves it.
type blend struct {
	bad    signal.Spread
	good   float64
	causes int
	looped bool
}

func (b *blend) add(p *signal.Spread) {
	if b.causes == 0 {
		b.good = p[signal.Good]
	} else {
		b.good = b.both(b.good, p[signal.Good])
	}
	b.causes++
	for s := signal.Absent; s < signal.States; s++ {
		b.bad[s] += p[s]
	}
}

// both is the chance of good when two causes leave it good with these chances.
func (b *blend) both(p, q float64) float64 {
	if b.looped {
		return min(p, q)
	}
	return p * q
}

func (b *blend) result() signal.Spread {
	if b.causes == 0 {
		return signal.Spread{signal.Good: 1}
	}
	out := b.bad
	if b.causes > 1 {
		out = signal.Spread{}
		spill(&out, &b.bad, 1-b.good)
	}
	out[signal.Good] = b.good
	return out
}

// over lays the causes over what would be there without them: where they leave
// it good, the rest decides.
func (b *blend) over(below *signal.Spread) {
	if b.causes == 0 {
		return
	}
	out := b.result()
	good := b.both(b.good, below[signal.Good])
	spill(&out, below, b.good-good)
	out[signal.Good] = good
	*below = out
}

// spill adds to out the given mass, over the states but good, in the proportions
// of like.
func spill(out, like *signal.Spread, mass float64) {
	sum := 0.0
	for s := signal.Absent; s < signal.States; s++ {
		sum += like[s]
	}
	if sum == 0 {
		return
	}
	mass /= sum
	for s := signal.Absent; s < signal.States; s++ {
		out[s] += mass * like[s]
	}
}
