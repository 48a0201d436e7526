package flow

import (
	"math"
	"slices"
	"sync"

	"halfsplit/fault"
	"halfsplit/signal"
)

// Reading is what was read on a net.
type Reading struct {
	Net        int
	Likelihood signal.Likelihood
	// Fitful marks a signal that comes and goes by itself; the likelihood is
	// then not used.
	Fitful bool
	again  signal.Likelihood // how it speaks once the net was read before
	best   float64           // the best it was; it is kept relative to that
	piece  int               // its number among all evidence
}

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

// PartReading is what a test of one item said: the chance of that result for
// a healthy item, and for each of the item's modes in the order of its kind's
// Modes.
type PartReading struct {
	Item    int
	Healthy float64
	Modes   []float64
}

// Evidence is all that was read, scene by scene. It is a diagnosis.Model.
type Evidence struct {
	model  *Model
	scenes []sceneEvidence
	groups []group
	parts  []PartReading
	order  []item
	wrong  bool    // somebody says that something is wrong
	scale  float64 // ln of the best that all readings were
	byKey  map[string]int
	pool   sync.Pool
	once   sync.Once
	most   []float64   // the most that Each can give
	sound  []float64   // what it gives when nothing is wrong
	single [][]float64 // and for each candidate alone
}

type sceneEvidence struct {
	scene    Scene
	readings []Reading
	checks   []CheckReading
	isFirst  bool // nothing was done since the group began
}

// item says where one piece of evidence is kept, in the order of arrival.
type item struct {
	kind         byte // 'r' reading, 'c' check, 'p' part
	scene, index int
}

// NewEvidence starts with nothing read.
func (m *Model) NewEvidence() *Evidence {
	e := &Evidence{model: m, byKey: map[string]int{}}
	e.pool.New = func() any { return m.NewState() }
	return e
}

func (e *Evidence) at(scene Scene) (int, *sceneEvidence) {
	key := scene.key()
	i, ok := e.byKey[key]
	if !ok {
		i = len(e.scenes)
		e.byKey[key] = i
		e.scenes = append(e.scenes, sceneEvidence{scene: scene})
		calm := scene.calm()
		g := e.groupOf(calm.key())
		if g < 0 {
			g = len(e.groups)
			e.groups = append(e.groups, group{key: calm.key(), first: scene.undone()})
		}
		e.scenes[i].isFirst = !scene.changed(&e.groups[g].first)
		e.groups[g].scenes = append(e.groups[g].scenes, i)
	}
	return i, &e.scenes[i]
}

// Read adds a reading of a net.
func (e *Evidence) Read(scene Scene, r Reading) {
	r.best = 1
	if best := r.Likelihood.Best(); best > 0 && !r.Fitful {
		r.best = best
		for s := range r.Likelihood {
			r.Likelihood[s] /= best
		}
	}
	e.scale += math.Log(r.best)
	r.again = r.Likelihood.Again()
	r.piece = len(e.order)
	i, at := e.at(scene)
	e.order = append(e.order, item{'r', i, len(at.readings)})
	at.readings = append(at.readings, r)
}

// Checked adds the answer of a check.
func (e *Evidence) Checked(scene Scene, r CheckReading) {
	r.piece = len(e.order)
	i, at := e.at(scene)
	e.order = append(e.order, item{'c', i, len(at.checks)})
	at.checks = append(at.checks, r)
}

// Tested adds the result of a test of an item. A test of an item after it was
// replaced speaks of the new one and must not be added.
func (e *Evidence) Tested(r PartReading) {
	e.order = append(e.order, item{'p', 0, len(e.parts)})
	e.parts = append(e.parts, r)
}

// Complained notes that somebody says the unit does not work as it should,
// which with a sound unit happens seldom.
func (e *Evidence) Complained() { e.wrong = true }

// complaint is the chance that a unit with nothing wrong is brought to the
// bench. Common practice, no source.
const complaint = 0.03

// Pieces is the number of pieces of evidence: readings, checks, part tests.
func (e *Evidence) Pieces() int { return len(e.order) }

// LogLikelihood implements diagnosis.Model.
func (e *Evidence) LogLikelihood(faults []int) float64 {
	sum := e.Signals(faults)
	if e.wrong && len(faults) == 0 {
		sum += math.Log(complaint)
	}
	for i := range e.parts {
		sum += math.Log(e.parts[i].chance(e.model, faults))
	}
	return sum
}

// Signals is ln of the chance of everything read on nets and of all checks,
// leaving out tests of single parts.
func (e *Evidence) Signals(faults []int) float64 {
	state := e.pool.Get().(*State)
	defer e.pool.Put(state)
	sum := e.scale
	for i := range e.groups {
		sum += e.logGroup(state, &e.groups[i], faults)
	}
	return sum
}

// chance is the chance of the result under the faults.
func (r *PartReading) chance(m *Model, faults []int) float64 {
	for _, f := range faults {
		c := &m.Candidates[f]
		if c.Item != r.Item {
			continue
		}
		return r.Modes[c.mode]
	}
	return r.Healthy
}

// group is the scenes that differ only in what was done to parts. A fault that
// comes and goes mostly stays as it was while another part is chilled, pressed
// or replaced.
type group struct {
	key    string
	first  Scene // as it was before anything was done
	scenes []int
}

func (e *Evidence) groupOf(key string) int {
	return slices.IndexFunc(e.groups, func(g group) bool { return g.key == key })
}

// pattern is one way in which the conditional faults of a set show or hide.
type pattern struct {
	weight  float64
	showing []int
}

// stays is the chance that a fault which comes and goes stays as it is while
// something is done to another part. Common practice, no source.
const stays = 0.98

// patterns lists the ways in which the faults may show in a calm scene. A fault
// that is always there shows in all of them. The list is the state's own, valid
// until the next call.
func (s *State) patterns(faults []int, calm *Scene) []pattern {
	s.ways = s.spread(s.ways, faults, calm.active)
	return s.ways
}

// disturbed lists the ways in which the faults may show while something is done
// to parts, when they showed in the given way before. The list is the state's
// own, valid until the next call.
func (s *State) disturbed(faults, before []int, scene *Scene) []pattern {
	s.after = s.spread(s.after, faults, func(c *Candidate) float64 {
		switch {
		case c.Mode.When == fault.Always:
			return 1
		case scene.touches(c.Item):
			return scene.active(c)
		case slices.ContainsFunc(before, func(f int) bool { return &s.model.Candidates[f] == c }):
			return stays
		}
		return 1 - stays
	})
	return s.after
}

// spread lists, in the space of an old list, the ways in which faults may show,
// each with its own chance.
func (s *State) spread(ways []pattern, faults []int, chance func(*Candidate) float64) []pattern {
	ways = enter(ways[:0], 1, nil)
	for _, f := range faults {
		p := chance(&s.model.Candidates[f])
		for i, n := 0, len(ways); i < n; i++ {
			if p < 1 {
				ways = enter(ways, ways[i].weight*(1-p), ways[i].showing)
				ways[i].weight *= p
			}
			ways[i].showing = append(ways[i].showing, f)
		}
	}
	return ways
}

// enter adds a pattern to a list, in the space of an old one where there is one.
func enter(ways []pattern, weight float64, showing []int) []pattern {
	if len(ways) < cap(ways) {
		ways = ways[:len(ways)+1]
	} else {
		ways = append(ways, pattern{})
	}
	way := &ways[len(ways)-1]
	way.weight, way.showing = weight, append(way.showing[:0], showing...)
	return ways
}

// logGroup is ln of the chance of everything read in a group of scenes.
func (e *Evidence) logGroup(state *State, g *group, faults []int) float64 {
	sum := 0.0
	for _, way := range state.patterns(faults, &g.first) {
		chance, _ := e.chanceGroup(state, g, faults, way.showing, -1)
		sum += way.weight * chance
	}
	for _, i := range g.scenes {
		for j := range e.scenes[i].readings {
			if r := &e.scenes[i].readings[j]; r.Fitful {
				sum *= e.scenes[i].fitful(state, faults, r.Net)
			}
		}
	}
	return math.Log(sum)
}

// chanceGroup is the chance of everything read in a group of scenes when the
// faults showed in the given way in the calm one. A net stays in one state
// while nothing changes: several readings of it are weighed together, state by
// state, and while something is done to a part that has no share in the
// trouble, the net still is as it was read before. One scene may be left out, −1
// for none. What is known of nets in the calm scene is returned too; it is the
// state's own, valid until the next call.
func (e *Evidence) chanceGroup(state *State, g *group, faults, showing []int, leftOut int) (float64, []netState) {
	p := 1.0
	var known []netState
	for _, i := range g.scenes {
		if at := &e.scenes[i]; at.isFirst {
			state.Foretell(showing, &at.scene)
			var chance float64
			chance, known = at.chance(state, showing, nil, state.known[:0])
			state.known = known
			p *= chance
		}
	}
	for _, i := range g.scenes {
		at := &e.scenes[i]
		if at.isFirst || i == leftOut {
			continue
		}
		sum := 0.0
		for _, way := range state.disturbed(faults, showing, &at.scene) {
			state.Foretell(way.showing, &at.scene)
			var chance float64
			chance, state.knownNow = at.chance(state, way.showing, known, state.knownNow[:0])
			sum += way.weight * chance
		}
		p *= sum
	}
	return p, known
}

// netState is what a net does, as far as it was read.
type netState struct {
	net      int
	foretold signal.Spread // before it was read
	spread   signal.Spread // afterwards
}

// together is the share of cases in which the outputs of a healthy block that is
// starved or has a wrong input all do the same. Common practice, no source.
const together = 0.5

// chance is the chance of what was read in the scene when the state has been
// foretold, and, in the given space, what the nets that were read then are known
// to do. A net that was read before and for which the same is foretold is still
// as it was; the outputs of one block go together half of the time.
func (e *sceneEvidence) chance(state *State, showing []int, before, known []netState) (float64, []netState) {
	p := 1.0
	known = append(known, before...)
	for i := range e.readings {
		r := &e.readings[i]
		if r.Fitful {
			continue
		}
		foretold := &state.Nets[r.Net]
		at := slices.IndexFunc(known, func(k netState) bool { return k.net == r.Net && alike(&k.foretold, foretold) })
		likelihood := &r.Likelihood
		if at >= 0 {
			// the same state read again; where it bears out the first reading it says less
			if r.Likelihood.Of(&known[at].spread) >= 0.5 {
				likelihood = &r.again
			}
		} else {
			now := netState{net: r.Net, foretold: *foretold, spread: *foretold}
			if sister := state.model.sister(known, r.Net, foretold); sister >= 0 {
				now.spread = known[sister].spread.Mix(together, *foretold)
			}
			at = len(known)
			known = append(known, now)
		}
		spread := &known[at].spread
		chance := likelihood.Of(spread)
		p *= chance
		if chance > 0 {
			for s := range spread {
				spread[s] *= likelihood[s] / chance
			}
		}
	}
	for i := range e.checks {
		p *= e.checks[i].Check.chance(e.checks[i].Answer, state, showing)
	}
	return p, known
}

// alike reports whether the same was foretold.
func alike(a, b *signal.Spread) bool {
	for s, p := range a {
		if math.Abs(p-b[s]) > 1e-6 {
			return false
		}
	}
	return true
}

// sister finds, among nets that were read, another output of the block that
// drives the net, for which the same was foretold; −1 when there is none.
func (m *Model) sister(known []netState, net int, foretold *signal.Spread) int {
	drivers := m.drivers[net]
	if len(drivers) != 1 || len(m.blocks[drivers[0].block].outputs) < 2 || foretold[signal.Good] == 1 {
		return -1
	}
	return slices.IndexFunc(known, func(k netState) bool {
		d := m.drivers[k.net]
		return len(d) == 1 && d[0].block == drivers[0].block && k.net != net && alike(&k.foretold, foretold)
	})
}

// fitful is the chance of a signal that comes and goes: it takes a fault that
// does, and that reaches the net.
func (e *sceneEvidence) fitful(state *State, faults []int, net int) float64 {
	m := state.model
	state.steady = state.steady[:0]
	for _, f := range faults {
		if e.scene.active(&m.Candidates[f]) >= 1 {
			state.steady = append(state.steady, f)
		}
	}
	state.Foretell(faults, &e.scene)
	bad := state.Nets[net].Bad()
	state.Foretell(state.steady, &e.scene)
	return signal.Slip + (1-signal.Slip)*bad*state.Nets[net][signal.Good]
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

// Helping implements diagnosis.Sieve. A fault can help a set to explain what was
// read only where, alone, it foretells some piece of it better than the set
// does; or, when it comes and goes, where the set explains a piece only in part
// and so does the fault: one of them shows more often than either.
func (e *Evidence) Helping(faults []int) []bool {
	e.once.Do(func() {
		e.most, e.sound = e.ceilings(), e.Each(nil)
		e.single = make([][]float64, len(e.model.Candidates))
		for f := range e.single {
			e.single[f] = e.Each([]int{f})
		}
	})
	const better = 0.15 // in ln
	now := e.Each(faults)
	helping := make([]bool, len(e.single))
	for f, alone := range e.single {
		fitful := e.model.Candidates[f].Mode.When != fault.Always
		for n, l := range alone {
			if l > now[n]+better || fitful && l > e.sound[n]+better && now[n] < e.most[n]-better {
				helping[f] = true
				break
			}
		}
	}
	return helping
}

// coincidence is the chance that chilling, pressing or piggybacking a part that
// has nothing to do with the trouble changes something all the same: cold spray
// reaches the neighbour, the board bends elsewhere. Common practice, no source.
const coincidence = 0.06

// Undescribed implements diagnosis.Model: with a fault of which the model knows
// nothing, every net is as likely good as not, and stays as it is while the
// unit is in the same state; what is done to a described part mostly changes
// nothing; a check may give any answer; and parts test good.
func (e *Evidence) Undescribed() float64 {
	agnostic := signal.Agnostic()
	sum := e.scale
	for i := range e.parts {
		sum += math.Log(e.parts[i].Healthy)
	}
	type place struct {
		net   int
		state string
	}
	joint := map[place]*signal.Likelihood{}
	var order []place
	for n := range e.scenes {
		scene := &e.scenes[n]
		calm := scene.scene.calm()
		key := calm.key()
		for i := range scene.readings {
			r := &scene.readings[i]
			if r.Fitful {
				sum += math.Log(0.25)
				continue
			}
			at := place{r.Net, key}
			likelihood := &r.Likelihood
			if joint[at] != nil && r.Likelihood.Of(posterior(joint[at])) >= 0.5 {
				likelihood = &r.again
			}
			if joint[at] == nil {
				joint[at] = &signal.Likelihood{}
				for s := range joint[at] {
					joint[at][s] = 1
				}
				order = append(order, at)
			}
			anyway := likelihood.Of(&agnostic)
			for s := range joint[at] {
				if !scene.isFirst {
					joint[at][s] *= (1-coincidence)*likelihood[s] + coincidence*anyway
				} else {
					joint[at][s] *= likelihood[s]
				}
			}
		}
		for _, c := range scene.checks {
			sum -= math.Log(float64(len(c.Check.Otherwise)))
		}
	}
	for _, at := range order {
		sum += math.Log(joint[at].Of(&agnostic))
	}
	return sum
}

// Each gives, for each piece of evidence in the order in which it was added,
// the natural logarithm of its chance (or density) under the faults, taken by
// itself.
func (e *Evidence) Each(faults []int) []float64 {
	state := e.pool.Get().(*State)
	defer e.pool.Put(state)
	chances := make([]float64, len(e.order))
	for i := range e.scenes {
		e.scenes[i].each(state, faults, chances)
	}
	for n, at := range e.order {
		switch at.kind {
		case 'p':
			chances[n] = e.parts[at.index].chance(e.model, faults)
		case 'r':
			chances[n] *= e.scenes[at.scene].readings[at.index].best
		}
		chances[n] = math.Log(chances[n])
	}
	return chances
}

// each adds to the chances of all pieces those of the scene's own, each taken by
// itself.
func (e *sceneEvidence) each(state *State, faults []int, chances []float64) {
	first := e.scene.undone()
	for _, before := range state.patterns(faults, &first) {
		if e.isFirst {
			e.addEach(state, before, chances)
			continue
		}
		for _, way := range state.disturbed(faults, before.showing, &e.scene) {
			way.weight *= before.weight
			e.addEach(state, way, chances)
		}
	}
	for i := range e.readings {
		if r := &e.readings[i]; r.Fitful {
			chances[r.piece] = e.fitful(state, faults, r.Net)
		}
	}
}

// addEach adds what one pattern gives.
func (e *sceneEvidence) addEach(state *State, way pattern, chances []float64) {
	state.Foretell(way.showing, &e.scene)
	for i := range e.readings {
		r := &e.readings[i]
		chances[r.piece] += way.weight * r.Likelihood.Of(&state.Nets[r.Net])
	}
	for i := range e.checks {
		c := &e.checks[i]
		chances[c.piece] += way.weight * c.Check.chance(c.Answer, state, way.showing)
	}
}

// posterior is what is known of a net of which nothing was foretold.
func posterior(l *signal.Likelihood) *signal.Spread {
	spread := signal.Agnostic()
	for s := range spread {
		spread[s] *= l[s]
	}
	spread = spread.Normal()
	return &spread
}

// Ceiling implements diagnosis.Model.
func (e *Evidence) Ceiling() float64 {
	sum := 0.0
	for _, most := range e.ceilings() {
		sum += most
	}
	return sum
}

// ceilings gives an upper bound, for each piece of evidence, of its ln chance.
func (e *Evidence) ceilings() []float64 {
	most := make([]float64, len(e.order))
	for n, at := range e.order {
		best := 0.0
		switch at.kind {
		case 'p':
			best = e.parts[at.index].Healthy
			for _, p := range e.parts[at.index].Modes {
				best = max(best, p)
			}
		case 'r':
			best = e.scenes[at.scene].readings[at.index].best
		case 'c':
			r := &e.scenes[at.scene].checks[at.index]
			best = r.Check.Otherwise[r.Answer]
			for _, row := range r.Check.Rows {
				best = max(best, row.Chance[r.Answer])
			}
			best = (1-signal.Slip)*best + signal.Slip/float64(len(r.Check.Otherwise))
		}
		most[n] = math.Log(best)
	}
	return most
}
