package prediction

import (
	"context"
	"math"
	"math/cmplx"
	"slices"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// gains adds to the ways how a small signal passes: the circuit linearised at its
// operating point, with the spread from the sensitivities of each gain. It does
// not depend on the way, and its spread is taken apart from that of the levels.
func (p *Predictor) gains(ctx context.Context, twin *wiring.Circuit, ways []Way) error {
	means, floor, columns, err := p.response(ctx, twin)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	first := len(p.live.Of) - len(p.nodes)*len(p.set.Hertz)
	for i := range ways {
		w := &ways[i]
		w.mean, w.floor = slices.Clone(w.mean), slices.Clone(w.floor)
		if err != nil {
			for at := first; at < len(w.mean); at++ {
				w.mean[at], w.floor[at] = 0, broad
			}
			continue
		}
		copy(w.mean[first:], means)
		copy(w.floor[first:], floor)
		w.factor = slices.Clone(w.factor)
		for _, c := range columns {
			column := make([]float64, len(w.mean))
			copy(column[first:], c)
			w.factor = append(w.factor, column)
		}
	}
	return nil
}

// The error of the model in a gain: a share, and what still comes through.
const gainShare, gainLeast = 0.02, 1e-4

// response works out the gains in the order of the layout: by node, then by
// frequency.
func (p *Predictor) response(ctx context.Context, twin *wiring.Circuit) (means, floor []float64, columns [][]float64, err error) {
	s, err := twin.Solver(circuit.Settings{})
	if err != nil {
		return nil, nil, nil, err
	}
	op, err := s.OperatingPoint(ctx)
	if err != nil {
		return nil, nil, nil, err
	}
	r, err := s.AC(ctx, op, p.set.Hertz)
	if err != nil {
		return nil, nil, nil, err
	}
	if len(twin.Driven) == 0 { // the source was unplugged
		n := len(p.nodes) * len(p.set.Hertz)
		means, floor = make([]float64, n), make([]float64, n)
		for at := range floor {
			floor[at] = gainLeast
		}
		return means, floor, nil, nil
	}
	size := twin.Driven[0].Size
	list := knobs(twin, s)
	for _, n := range p.nodes {
		for i := range p.set.Hertz {
			x, err := r.Value(i, circuit.Voltage(n))
			if err != nil {
				return nil, nil, nil, err
			}
			gain := cmplx.Abs(x) / size
			slopes, err := r.Sensitivities(i, circuit.Voltage(n))
			if err != nil {
				return nil, nil, nil, err
			}
			of := map[[2]string]complex128{}
			for _, slope := range slopes {
				of[[2]string{slope.Part, slope.Name}] = slope.Value
			}
			at := len(means)
			means, floor = append(means, gain), append(floor, p.set.ModelError*math.Hypot(gainShare*gain, gainLeast))
			for k, knob := range list {
				if at == 0 {
					columns = append(columns, make([]float64, len(p.nodes)*len(p.set.Hertz)))
				}
				if gain > 0 {
					// The size of a phasor moves with the part of its change that
					// lies along it.
					columns[k][at] = real(cmplx.Conj(x)*of[[2]string{knob.part, knob.parameter}]) / (gain * size * size) * knob.step()
				}
			}
		}
	}
	return means, floor, keep(columns, floor), nil
}
