package flow

import (
	"math"

	"halfsplit/signal"
)

// Helping implements diagnosis.Sieve. A fault can help a set to explain what was
// read only where, alone, it foretells some piece of it better than the set
// does; or where the set explains a piece only in part, and the fault explains
// it better than a sound unit does, so that the two may share it.
func (e *Evidence) Helping(faults []int) []bool {
	e.helped()
	const better = 0.07 // in ln
	now := e.Each(faults)
	helping := make([]bool, len(e.single))
	for f, alone := range e.single {
		for n, l := range alone {
			if l > now[n]+better || l > e.sound[n]+better && now[n] < e.most[n]-better {
				helping[f] = true
				break
			}
		}
	}
	return helping
}

// helped works out once what every piece of evidence is alone.
func (e *Evidence) helped() {
	e.once.Do(func() {
		e.most, e.sound = e.ceilings(), e.Each(nil)
		e.single = make([][]float64, len(e.model.Candidates))
		for f := range e.single {
			e.single[f] = e.Each([]int{f})
		}
	})
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
	for i := range e.numbers {
		r := &e.numbers[i]
		chances[r.piece] += way.weight * state.chance(r)
	}
	for i := range e.checks {
		c := &e.checks[i]
		chances[c.piece] += way.weight * c.Check.chance(c.Answer, state, way.showing)
	}
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
		case 'n':
			r := &e.scenes[at.scene].numbers[at.index]
			best = max(r.Likelihood.Best(), 1/(r.U*math.Sqrt(2*math.Pi)))
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
