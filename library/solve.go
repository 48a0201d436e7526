package library

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halfsplit/circuit"
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
		values, err := readOne(ctx, s, c)
		if ctx.Err() != nil {
			return r, ctx.Err()
		}
		if err != nil {
			r.failed[name.Text] = err.Error()
			continue
		}
		for node, of := range values {
			if _, known := r.values[node]; !known {
				r.values[node] = of
			}
		}
	}
	return r, nil
}

// readOne reads every node of a circuit.
func readOne(ctx context.Context, s *sheet.Sheet, c *sheet.Circuit) (map[string]map[prediction.Aspect]float64, error) {
	wired, err := s.Wire(c, wiring.Running)
	if err != nil {
		return nil, err
	}
	p, err := prediction.New(wired, prediction.Settings{Samples: 1})
	if err != nil {
		return nil, err
	}
	if p.SetsItsOwnPace() {
		return followed(ctx, s, c)
	}
	f, err := p.Forecast(ctx, prediction.Bench{}, nil)
	if err != nil {
		return nil, err
	}
	way := &f.Ways[0] // as it is drawn
	if way.Behaviour == prediction.NoSolution {
		return nil, errors.New(way.Why)
	}
	values := map[string]map[prediction.Aspect]float64{}
	for _, node := range wired.Nodes() {
		values[node] = map[prediction.Aspect]float64{}
		for _, aspect := range []prediction.Aspect{prediction.Level, prediction.Ripple, prediction.RMS, prediction.Frequency} {
			if v, _, ok := way.Predict(prediction.Observable{Aspect: aspect, Node: node}, nil); ok {
				values[node][aspect] = v
			}
		}
	}
	return values, nil
}

// How a circuit that sets its own pace is followed: for how long in it, to what
// accuracy in each step, and until its levels stay within what share.
const (
	longest  = 40e-3 // seconds
	accuracy = 1e-3
	steady   = 0.01
)

// followed reads a circuit that sets its own pace, once it does the same over and
// over after switching on.
func followed(ctx context.Context, s *sheet.Sheet, c *sheet.Circuit) (map[string]map[prediction.Aspect]float64, error) {
	wired, err := s.Wire(c, wiring.SwitchedOn)
	if err != nil {
		return nil, err
	}
	solver, err := wired.Solver(circuit.Settings{Accuracy: accuracy})
	if err != nil {
		return nil, err
	}
	run := circuit.Run{Until: longest, Cold: true, Watch: steady, Enough: true}
	for _, node := range wired.Nodes() {
		run.Record = append(run.Record, circuit.Voltage(node))
	}
	tr, err := solver.Transient(ctx, run)
	if err != nil {
		return nil, err
	}
	end := tr.Time[len(tr.Time)-1]
	values := map[string]map[prediction.Aspect]float64{}
	for i, node := range wired.Nodes() {
		r, err := tr.Over(run.Record[i], end*5/6, end)
		if err != nil {
			return nil, err
		}
		values[node] = map[prediction.Aspect]float64{
			prediction.Level: r.Mean, prediction.Ripple: r.PeakToPeak,
			prediction.RMS: math.Sqrt(math.Max(0, r.RMS*r.RMS-r.Mean*r.Mean)),
		}
	}
	return values, nil
}
