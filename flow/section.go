package flow

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"halfsplit/fault"
	"halfsplit/signal"
)

// Section is a section of the unit that is foretold by other means than signal
// flow, mostly by solving its circuit. Its nets do what its solver says; what
// signal flow adds are items that the solver does not know: they lie over it.
type Section struct {
	Name    string
	Inputs  []string // nets that feed it, for which sources stand in it
	Outputs []string // every other net of it that can be read
	Parts   []SectionPart
	Solver  Solver
}

// SectionPart is a part of a section and what can go wrong with it. A part that
// stands elsewhere in the description too is one item.
type SectionPart struct {
	Part
	Of   string // the item that it is inside of, empty when it is one by itself
	Acts []Act
	// Strain multiplies its odds by what it bears there; 0 means 1.
	Strain float64
}

// Act is one thing that a fault does to a part. The shares of the acts of one
// mode add up to one.
type Act struct {
	Mode  string // of the part's kind
	Name  string // "shorted", "leaky, 470 Ω"
	Share float64
}

// Solver foretells a section. It must be safe for concurrent use.
type Solver interface {
	// Ways tells what may then happen, at least one way, and the weights add up
	// to one: a crowbar has fired or not, an oscillator has started or not.
	Ways(c *Circumstances) []Way
}

// Circumstances are what a section is in: the state of the bench and what is
// wrong.
type Circumstances struct {
	Off      bool           // the power is off
	Unloaded bool           // all loads are disconnected
	Failing  []Failing      // parts that fail, ascending by part
	Lifted   []int          // parts taken out
	Without  []string       // blocks that are pulled or disconnected
	Inputs   []signal.State // what feeds it, one for each input
	Loads    []Load         // what hangs on its nets and drags them
}

// Key stands for the circumstances: like ones have like keys.
func (c *Circumstances) Key() string {
	key := make([]byte, 0, 64)
	flag := func(b bool) {
		if b {
			key = append(key, 1)
		} else {
			key = append(key, 0)
		}
	}
	number := func(n int) { key = binary.AppendVarint(key, int64(n)) }
	flag(c.Off)
	flag(c.Unloaded)
	number(len(c.Failing))
	for _, f := range c.Failing {
		number(f.Part)
		number(f.Act)
	}
	number(len(c.Lifted))
	for _, l := range c.Lifted {
		number(l)
	}
	for _, s := range c.Inputs {
		number(int(s))
	}
	number(len(c.Loads))
	for _, l := range c.Loads {
		number(l.Output)
		number(int(l.State))
	}
	for _, name := range c.Without {
		number(len(name))
		key = append(key, name...)
	}
	return string(key)
}

// Failing is a part with what its fault does, by number.
type Failing struct{ Part, Act int }

// Load is something that is no part of the section and drags one of its outputs
// to a state.
type Load struct {
	Output int
	State  signal.State
}

// Way is one thing that may happen in a section.
type Way interface {
	Weight() float64
	// Net is what an output then does.
	Net(output int) signal.Spread
	// Log is ln of the joint density of readings in numbers.
	Log(numbers []Number) float64
	// Expect is what a further reading should be, and its standard deviation
	// but for the meter's, when others were read.
	Expect(next Number, read []Number) (mean, deviation float64)
}

// Number is a reading in a section: how much of what, between which nets.
type Number struct {
	Output int
	To     int // another output, −1 for ground
	Of     Measured
	Value  float64 // V, V, V, Hz, Ω
	U      float64 // its standard uncertainty
}

// Measured is what a number says.
type Measured int

// The things measured.
const (
	Level      Measured = iota // steady voltage, the average where it moves
	Ripple                     // alternating part, peak to peak
	RMS                        // alternating part, RMS
	Frequency                  // how often it repeats
	Resistance                 // with the power off
)

// String gives it in words.
func (m Measured) String() string {
	return [...]string{"level", "ripple peak to peak", "ripple RMS", "frequency", "resistance"}[m]
}

// NumberReading is a number that was read in a section.
type NumberReading struct {
	Section int
	Number
	// Likelihood is how the number speaks of the state of its net, where
	// something lies over it that the solver does not know; in density, like
	// that of the solver.
	Likelihood signal.Likelihood
	piece      int
}

// section is a compiled section.
type section struct {
	name            string
	inputs, outputs []int // nets
	parts           []int // items
	solver          Solver
}

// addSection enters a section; blocks and shunts are there already.
func (m *Model) addSection(d Section) error {
	number := len(m.sections)
	c := section{name: d.Name, solver: d.Solver, inputs: m.netNumbers(d.Inputs), outputs: m.netNumbers(d.Outputs)}
	block := len(m.blocks)
	m.blocks = append(m.blocks, wholeSection(&c))
	for _, p := range d.Parts {
		own := p.Of
		if own == "" {
			own = p.Name
		}
		item, known := m.itemNumber[own]
		if !known {
			item = m.addItem(Item{Name: own, Kind: p.Kind, Block: d.Name})
		}
		c.parts = append(c.parts, item)
	}
	m.sections = append(m.sections, c)
	return m.addActs(number, block, d.Parts)
}

// wholeSection is the block that stands for a section where one is asked for what
// surrounds a part.
func wholeSection(c *section) block {
	return block{name: c.name, section: true, inputs: c.inputs, outputs: c.outputs}
}

// addActs replaces the candidates of the section's parts by one for each act. An
// item shares its odds out among the parts inside it.
func (m *Model) addActs(number, block int, parts []SectionPart) error {
	s := &m.sections[number]
	total := map[int]float64{} // odds of the parts of each item
	for i, p := range parts {
		if len(p.Acts) > 0 {
			total[s.parts[i]] += odds(p.Kind, p.Odds)
		}
	}
	simulated := map[int]float64{}
	place := map[int]Candidate{} // where the item sits, from its old candidates
	m.Candidates = slices.DeleteFunc(m.Candidates, func(c Candidate) bool {
		if total[c.Item] == 0 {
			return false
		}
		simulated[c.Item] += c.Prior
		place[c.Item] = Candidate{block: c.block, net: c.net}
		return true
	})
	for i, p := range parts {
		item := s.parts[i]
		share := odds(p.Kind, p.Odds)
		if old := simulated[item]; old > 0 {
			share *= old / total[item]
		}
		if p.Strain > 0 {
			share *= p.Strain
		}
		at, placed := place[item]
		if !placed {
			at = Candidate{block: block, net: -1}
		}
		for a, act := range p.Acts {
			mode := slices.IndexFunc(p.Kind.Modes, func(one fault.Mode) bool { return one.Name == act.Mode })
			if mode < 0 {
				return fmt.Errorf("%s: a %s has no mode %q", p.Name, p.Kind.Name, act.Mode)
			}
			c := at
			c.Item, c.mode, c.Mode, c.only = item, mode, p.Kind.Modes[mode], -1
			c.Name = act.Name
			c.act = &failingPart{section: number, Failing: Failing{Part: i, Act: a}}
			if p.Of != "" {
				c.Name = p.Name + " " + act.Name
				c.mode = min(mode, len(m.Items[item].Kind.Modes)-1)
			}
			if c.block >= 0 && m.whole[item] < 0 && c.Mode.Within.Said() {
				c.Mode.Output = c.Mode.Within
			}
			c.Prior = share * c.Mode.Share * act.Share
			m.Candidates = append(m.Candidates, c)
		}
	}
	return nil
}

// failingPart says which act of which section a candidate is.
type failingPart struct {
	section int
	Failing
}

// Section gives the number of a section's output for a net: which section, and
// which of its outputs; false when no section makes the net.
func (m *Model) Section(net int) (number, output int, ok bool) {
	for i := range m.sections {
		if output := slices.Index(m.sections[i].outputs, net); output >= 0 {
			return i, output, true
		}
	}
	return 0, 0, false
}

// Simulated reports whether an item is a part of a section.
func (m *Model) Simulated(item int) bool { return m.simulated[item] }

// Failing tells what a candidate does in a section; false when it is no part of
// one.
func (m *Model) Failing(candidate int) (section int, failing Failing, ok bool) {
	if act := m.Candidates[candidate].act; act != nil {
		return act.section, act.Failing, true
	}
	return 0, Failing{}, false
}

// InSection reports whether a candidate does something in a section: as a part of
// one, or by dragging a net of one.
func (m *Model) InSection(candidate int) bool {
	c := &m.Candidates[candidate]
	if c.act != nil || c.block < 0 {
		return c.act != nil || m.sectionOf[c.net] >= 0
	}
	made := func(n int) bool { return m.sectionOf[n] >= 0 }
	b := &m.blocks[c.block]
	return c.drags && slices.ContainsFunc(b.inputs, made) || c.pulls && slices.ContainsFunc(b.supplies, made)
}

// leastWay is the weight below which a way is not followed.
const leastWay = 0.01

// mostWays bounds the ways followed for one section.
const mostWays = 8

// weightedWay is a way with what feeds and loads the section taken into account.
type weightedWay struct {
	weight float64
	way    Way
}

// solved is what a section does in the state in hand.
type solved struct {
	ways  []weightedWay
	fixed int             // the way that is taken to have happened, −1 for all by weight
	fed   []signal.Spread // what feeds it
	over  []signal.Spread // what lies over each output
	under []signal.Spread // what each output does under that
}

// mix works out the outputs from the ways.
func (v *solved) mix() {
	for i := range v.under {
		v.under[i] = signal.Spread{}
		for w, way := range v.ways {
			weight := way.weight
			if v.fixed >= 0 {
				if weight = 0; w == v.fixed {
					weight = 1
				}
			}
			if weight == 0 {
				continue
			}
			net := way.way.Net(i)
			for s := range net {
				v.under[i][s] += weight * net[s]
			}
		}
	}
}

// solve asks the solver of a section what happens under the faults that show.
// What feeds it was foretold before.
func (s *State) solve(number int) {
	section, v := &s.model.sections[number], &s.sections[number]
	v.ways, v.fixed = v.ways[:0], -1
	base := s.model.bench(number, s.scene)
	for _, c := range s.own {
		if c.act != nil && c.act.section == number {
			base.Failing = append(base.Failing, c.act.Failing)
		}
	}
	slices.SortFunc(base.Failing, func(a, b Failing) int { return a.Part - b.Part })
	for _, c := range s.circumstances(section, v.fed, base) {
		for _, way := range section.solver.Ways(&c.Circumstances) {
			v.ways = append(v.ways, weightedWay{weight: c.weight * way.Weight(), way: way})
		}
	}
	slices.SortStableFunc(v.ways, func(a, b weightedWay) int {
		switch {
		case a.weight > b.weight:
			return -1
		case a.weight < b.weight:
			return 1
		}
		return 0
	})
	total := 0.0
	for i := range v.ways {
		if i >= mostWays || i > 0 && v.ways[i].weight < leastWay {
			v.ways = v.ways[:i]
			break
		}
		total += v.ways[i].weight
	}
	for i := range v.ways {
		v.ways[i].weight /= total
	}
	v.over = v.over[:0]
	for _, n := range section.outputs {
		v.over = append(v.over, s.Nets[n])
	}
	if len(v.under) != len(section.outputs) {
		v.under = make([]signal.Spread, len(section.outputs))
	}
	v.mix()
}

// bench is what a scene says of a section, but for what feeds it.
func (m *Model) bench(number int, scene *Scene) Circumstances {
	c := Circumstances{Off: scene.Off, Unloaded: scene.Unloaded}
	for i, item := range m.sections[number].parts {
		if slices.Contains(scene.Lifted, item) {
			c.Lifted = append(c.Lifted, i)
		}
	}
	for _, b := range scene.Without {
		c.Without = append(c.Without, m.blocks[b].name)
	}
	return c
}

// Circumstances are those of a section in a scene when nothing is wrong.
func (m *Model) Circumstances(number int, scene *Scene) Circumstances {
	c := m.bench(number, scene)
	c.Inputs = make([]signal.State, len(m.sections[number].inputs))
	return c
}

// weightedCircumstances are circumstances with their chance.
type weightedCircumstances struct {
	weight float64
	Circumstances
}

// circumstances spreads them over what may feed and load the section.
func (s *State) circumstances(section *section, fed []signal.Spread, base Circumstances) []weightedCircumstances {
	list := []weightedCircumstances{{1, base}}
	split := func(spread *signal.Spread, with func(*Circumstances, signal.State)) {
		var next []weightedCircumstances
		for _, c := range list {
			for state, p := range spread {
				if p*c.weight < leastWay && p < 1 {
					continue
				}
				one := weightedCircumstances{c.weight * p, c.Circumstances}
				with(&one.Circumstances, signal.State(state))
				next = append(next, one)
			}
		}
		if len(next) > 0 {
			list = next
		}
	}
	for i := range fed {
		split(&fed[i], func(c *Circumstances, state signal.State) {
			c.Inputs = append(slices.Clone(c.Inputs), state)
		})
	}
	for _, c := range s.own {
		if c.act != nil {
			continue
		}
		s.drags(c, func(n int, spread signal.Spread) {
			output := slices.Index(section.outputs, n)
			if output < 0 || !loads(&spread) {
				return
			}
			split(&spread, func(c *Circumstances, state signal.State) {
				if state != signal.Good {
					c.Loads = append(slices.Clone(c.Loads), Load{Output: output, State: state})
				}
			})
		})
	}
	return list
}

// drags tells which nets a candidate drags, and to what.
func (s *State) drags(c *Candidate, drag func(net int, spread signal.Spread)) {
	if c.block < 0 {
		if c.Mode.Output.Said() {
			drag(c.net, c.Mode.Output)
		}
		return
	}
	b := &s.model.blocks[c.block]
	if c.drags {
		for _, n := range b.inputs { // only one of several inputs is concerned
			drag(n, c.Mode.Input.Mix(1/float64(len(b.inputs)), signal.Pure(signal.Good)))
		}
	}
	if c.pulls {
		for _, n := range b.supplies {
			drag(n, c.Mode.Supply)
		}
	}
}

// loads reports whether what drags a net does so by loading it, which the
// solver can follow.
func loads(spread *signal.Spread) bool {
	load := spread[signal.Absent] + spread[signal.Low] + spread[signal.Clamped] + spread[signal.StuckLow]
	return load >= spread.Bad()/2 && load > 0
}

// fix takes one of the ways of a section to have happened, −1 for all of them by
// weight, and works out what follows.
func (s *State) fix(number, way int) {
	v := &s.sections[number]
	if v.fixed == way {
		return
	}
	v.fixed = way
	v.mix()
	s.flow()
}

// logNumbers is ln of the density of the numbers read in a section, when the way
// in which it is fixed, or its only one, has happened.
func (s *State) logNumbers(number int, readings []NumberReading) float64 {
	v := &s.sections[number]
	way := v.ways[max(v.fixed, 0)].way
	sum := 0.0
	s.numbers = s.numbers[:0]
	for i := range readings {
		r := &readings[i]
		switch {
		case r.Section != number:
		case v.over[r.Output][signal.Good] > 1-1e-9:
			s.numbers = append(s.numbers, r.Number)
		default:
			sum += math.Log(v.covered(way, r))
		}
	}
	if len(s.numbers) > 0 {
		sum += way.Log(s.numbers)
	}
	return sum
}

// covered is the density of a number on a net over which something may lie that
// the solver does not know.
func (v *solved) covered(way Way, r *NumberReading) float64 {
	over := &v.over[r.Output]
	density := over[signal.Good] * math.Exp(way.Log([]Number{r.Number}))
	for state := signal.Absent; state < signal.States; state++ {
		density += over[state] * r.Likelihood[state]
	}
	return density
}

// chance is the density of one number by itself, over all ways by weight.
func (s *State) chance(r *NumberReading) float64 {
	v := &s.sections[r.Section]
	sum := 0.0
	for _, w := range v.ways {
		sum += w.weight * v.covered(w.way, r)
	}
	return sum
}
