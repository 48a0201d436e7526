package flow

import (
	"math"

	"halfsplit/signal"
)

// coincidence is the chance that chilling, pressing or piggybacking a part that
// has nothing to do with the trouble changes something all the same: cold spray
// reaches the neighbour, the board bends elsewhere. Common practice, no source.
const coincidence = 0.06

// lookAlike is the share of faults of which the model knows nothing that read like one
// that it knows, though every part tests good and none that is replaced cures
// them: a torn track beside the part, a part left out of the sheet. Common
// practice, no source; the others may do anything.
const lookAlike = 0.5

// Undescribed implements diagnosis.Model: with a fault of which the model knows
// nothing, parts test good, and the nets either do what they would with a fault
// that it knows, whatever is done to described parts, or anything.
func (e *Evidence) Undescribed() float64 {
	return logAdd(math.Log(1-lookAlike)+e.anything(), math.Log(lookAlike)+e.likeDescribed())
}

// likeDescribed is ln of the chance of all that was read when the trouble acts like
// a single described fault, picked by the priors, that sits beside every described
// part.
func (e *Evidence) likeDescribed() float64 {
	beside := e.model.NewEvidence()
	for _, at := range e.order {
		switch at.kind {
		case 'r':
			s := &e.scenes[at.scene]
			r := s.readings[at.index]
			if r.Fitful {
				beside.Read(s.scene.untouched(), Reading{Net: r.Net, Fitful: true})
				continue
			}
			for state := range r.Likelihood {
				r.Likelihood[state] *= r.best
			}
			beside.Read(s.scene.untouched(), Reading{Net: r.Net, Likelihood: r.Likelihood})
		case 'n':
			s := &e.scenes[at.scene]
			beside.Numbered(s.scene.untouched(), s.numbers[at.index])
		}
	}
	sum, total := math.Inf(-1), 0.0
	for f, c := range e.model.Candidates {
		sum = logAdd(sum, math.Log(c.Prior)+beside.Signals([]int{f}))
		total += c.Prior
	}
	sum -= math.Log(total)
	for i := range e.parts {
		sum += math.Log(e.parts[i].Healthy)
	}
	for i := range e.scenes {
		for _, c := range e.scenes[i].checks {
			sum -= math.Log(float64(len(c.Check.Otherwise)))
		}
	}
	return sum
}

// untouched is the scene without anything that was done to items.
func (s *Scene) untouched() Scene {
	u := *s
	u.Replaced, u.Lifted, u.Chilled, u.Heated, u.Pressed, u.Piggybacked = nil, nil, nil, nil, nil, nil
	return u
}

// anything is ln of the chance of all that was read when every net is as likely
// good as not, and stays as it is, or does so while the unit is in the same state;
// what is done to a described part mostly changes nothing; and a check may give any
// answer.
func (e *Evidence) anything() float64 {
	return logAdd(math.Log(1-byState)+e.free(false), math.Log(byState)+e.free(true))
}

// byState is the share of faults that show in one state of the unit and not in
// another, when it is warm or cold: about one in four of those described.
const byState = 0.25

// free is that when each net may do something else in each state of the unit, or
// does the same in all.
func (e *Evidence) free(apart bool) float64 {
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
	read := func(scene *sceneEvidence, net int, likelihood, again *signal.Likelihood) {
		calm := scene.scene.calm()
		at := place{net: net}
		if apart {
			at.state = calm.key()
		}
		if joint[at] != nil && likelihood.Of(posterior(joint[at])) >= 0.5 {
			likelihood = again
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
	for n := range e.scenes {
		scene := &e.scenes[n]
		for i := range scene.readings {
			if r := &scene.readings[i]; r.Fitful {
				sum += math.Log(0.25)
			} else {
				read(scene, r.Net, &r.Likelihood, &r.again)
			}
		}
		for i := range scene.numbers {
			r := &scene.numbers[i]
			if r.Of == Level {
				read(scene, e.model.sections[r.Section].outputs[r.Output], &r.Likelihood, &r.Likelihood)
			} else {
				sum += math.Log(r.Likelihood.Of(&agnostic))
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

// posterior is what is known of a net of which nothing was foretold.
func posterior(l *signal.Likelihood) *signal.Spread {
	spread := signal.Agnostic()
	for s := range spread {
		spread[s] *= l[s]
	}
	spread = spread.Normal()
	return &spread
}
