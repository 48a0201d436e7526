package flow

import (
	"math"

	"halfsplit/signal"
)

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
	read := func(scene *sceneEvidence, net int, likelihood, again *signal.Likelihood) {
		calm := scene.scene.calm()
		at := place{net, calm.key()}
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
