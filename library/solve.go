package library

import (
	"context"
	"fmt"

	"halfsplit/prediction"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// readings are what a meter reads in the circuits of a sheet when all is sound.
type readings struct {
	values map[string]map[prediction.Aspect]float64 // by node
	failed map[string]string                        // circuits that have no solution, and why
}

// at gives a reading at a node.
func (r readings) at(node string, aspect prediction.Aspect) (float64, bool) {
	v, ok := r.values[node][aspect]
	return v, ok
}

// lost reports a circuit that could be solved before and cannot any more.
func (r readings) lost(after readings) error {
	for circuit, why := range after.failed {
		if _, already := r.failed[circuit]; !already {
			return fmt.Errorf("with these values the circuit %q cannot be solved: %s; see whether one of them is mistaken", circuit, why)
		}
	}
	return nil
}

// readAll solves the circuits of a sheet as they are drawn. A node of several
// circuits is read in the first. The error is that of ctx.
func readAll(ctx context.Context, s *sheet.Sheet) (readings, error) {
	r := readings{map[string]map[prediction.Aspect]float64{}, map[string]string{}}
	for name, c := range s.Circuits.All() {
		wired, err := s.Wire(c, wiring.Running)
		if err != nil {
			r.failed[name.Text] = err.Error()
			continue
		}
		p, err := prediction.New(wired, prediction.Settings{Samples: 1})
		if err != nil {
			r.failed[name.Text] = err.Error()
			continue
		}
		f, err := p.Forecast(ctx, prediction.Bench{}, nil)
		if err != nil {
			return r, err
		}
		way := &f.Ways[0] // as it is drawn
		if way.Behaviour == prediction.NoSolution {
			r.failed[name.Text] = way.Why
			continue
		}
		for _, node := range wired.Nodes() {
			if _, known := r.values[node]; known {
				continue
			}
			r.values[node] = map[prediction.Aspect]float64{}
			for _, aspect := range []prediction.Aspect{prediction.Level, prediction.Ripple, prediction.RMS, prediction.Frequency} {
				if v, _, ok := way.Predict(prediction.Observable{Aspect: aspect, Node: node}, nil); ok {
					r.values[node][aspect] = v
				}
			}
		}
	}
	return r, nil
}
