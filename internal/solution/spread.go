package solution

import (
	"halfsplit/circuit"
)

// spreadAtRest adds what tolerances make of each voltage at rest.
func (a *asking) spreadAtRest(op *circuit.OperatingPoint) error {
	for i, n := range a.nodes {
		sp, err := a.solver.Spread(a.ctx, op, circuit.Voltage(n))
		if err != nil {
			return classed(err)
		}
		a.answer.Nodes[i].Spread = spreadOf(sp)
	}
	return nil
}

// spreadWhenRepeating adds what tolerances make of mean and ripple of each node,
// from the state in which the sound circuit repeats itself.
func (a *asking) spreadWhenRepeating(steady *circuit.Steady, repeat circuit.Repeat) error {
	repeat.Cold, repeat.Warm, repeat.From, repeat.Stress, repeat.Progress = false, true, steady.State(), false, nil
	spreads, err := a.solver.SpreadOf(a.ctx, func() ([]float64, error) {
		st, err := a.solver.Steady(a.ctx, repeat)
		if err != nil {
			return nil, err
		}
		var list []float64
		for _, n := range a.nodes {
			r, err := st.Whole(circuit.Voltage(n))
			if err != nil {
				return nil, err
			}
			list = append(list, r.Mean, r.PeakToPeak)
		}
		return list, nil
	})
	if err != nil {
		return classed(err)
	}
	for i := range a.nodes {
		a.answer.Nodes[i].Spread, a.answer.Nodes[i].RippleSpread = spreadOf(spreads[2*i]), spreadOf(spreads[2*i+1])
	}
	return nil
}

// spreadOf takes over what the solver says, part by part.
func spreadOf(sp circuit.Spread) *Spread {
	to := &Spread{Deviation: sp.Deviation, Lowest: sp.Low, Highest: sp.High}
	for _, one := range sp.Shares {
		to.Shares = append(to.Shares, Share{one.Part, one.Deviation, one.Share})
	}
	return to
}
