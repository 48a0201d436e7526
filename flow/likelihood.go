package flow

import (
	"math"
	"slices"

	"halfsplit/signal"
)

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

// logGroup is ln of the chance of everything read in a group of scenes.
func (e *Evidence) logGroup(state *State, g *group, faults []int) float64 {
	sum := math.Inf(-1)
	for _, way := range state.patterns(faults, &g.first) {
		shown, _ := e.logShown(state, g, faults, way.showing, -1)
		sum = logAdd(sum, math.Log(way.weight)+shown)
	}
	for _, i := range g.scenes {
		for j := range e.scenes[i].readings {
			if r := &e.scenes[i].readings[j]; r.Fitful {
				sum += math.Log(e.scenes[i].fitful(state, faults, r.Net))
			}
		}
	}
	return sum
}

// logShown is ln of the chance of everything read in a group of scenes when the
// faults showed in the given way in the calm one. A net stays in one state
// while nothing changes: several readings of it are weighed together, state by
// state, and while something is done to a part that has no share in the
// trouble, the net still is as it was read before. One scene may be left out, −1
// for none. What is known of nets in the calm scene is returned too; it is the
// state's own, valid until the next call.
func (e *Evidence) logShown(state *State, g *group, faults, showing []int, leftOut int) (float64, []netState) {
	sum := 0.0
	var known []netState
	for _, i := range g.scenes {
		if at := &e.scenes[i]; at.isFirst {
			state.Foretell(showing, &at.scene)
			var shown float64
			shown, known = at.log(state, showing, nil, state.known[:0])
			state.known = known
			sum += shown
		}
	}
	for _, i := range g.scenes {
		at := &e.scenes[i]
		if at.isFirst || i == leftOut {
			continue
		}
		changed := math.Inf(-1)
		for _, way := range state.disturbed(faults, showing, &at.scene) {
			state.Foretell(way.showing, &at.scene)
			var shown float64
			shown, state.knownNow = at.log(state, way.showing, known, state.knownNow[:0])
			changed = logAdd(changed, math.Log(way.weight)+shown)
		}
		sum += changed
	}
	return sum, known
}

// logAdd is ln(e^a + e^b) without overflow.
func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
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

// log is ln of the chance of what was read in the scene when the state has been
// foretold. Where numbers were read in sections, each way in which these may be is
// followed by itself: it shows both in the numbers and in what hangs on it.
func (e *sceneEvidence) log(state *State, showing []int, before, known []netState) (float64, []netState) {
	number := state.undecided(e)
	if number < 0 {
		sum, known := e.logFixed(state, showing, before, known)
		return sum + state.allNumbers(e), known
	}
	total, best, bestWay := math.Inf(-1), math.Inf(-1), 0
	ways := len(state.sections[number].ways)
	for way := range ways {
		state.fix(number, way)
		sum, _ := e.log(state, showing, before, nil)
		sum += math.Log(state.sections[number].ways[way].weight)
		if total = logAdd(total, sum); sum > best {
			best, bestWay = sum, way
		}
	}
	state.fix(number, bestWay)
	_, known = e.logFixed(state, showing, before, known)
	state.fix(number, -1)
	return total, known
}

// undecided is a section in which numbers were read and of which it is open in
// which of several ways it is; −1 when there is none.
func (s *State) undecided(e *sceneEvidence) int {
	for i := range e.numbers {
		if v := &s.sections[e.numbers[i].Section]; len(v.ways) > 1 && v.fixed < 0 {
			return e.numbers[i].Section
		}
	}
	return -1
}

// allNumbers is ln of the density of all numbers read in a scene.
func (s *State) allNumbers(e *sceneEvidence) float64 {
	sum := 0.0
	if len(e.numbers) > 0 {
		for i := range s.sections {
			sum += s.logNumbers(i, e.numbers)
		}
	}
	return sum
}

// logFixed is ln of the chance of what was read in words in the scene when the state has been
// foretold, and, in the given space, what the nets that were read then are known
// to do. A net that was read before and for which the same is foretold is still
// as it was; the outputs of one block go together half of the time.
func (e *sceneEvidence) logFixed(state *State, showing []int, before, known []netState) (float64, []netState) {
	sum := 0.0
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
		sum += math.Log(chance)
		if chance > 0 {
			for s := range spread {
				spread[s] *= likelihood[s] / chance
			}
		}
	}
	for i := range e.checks {
		sum += math.Log(e.checks[i].Check.chance(e.checks[i].Answer, state, showing))
	}
	return sum, known
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
