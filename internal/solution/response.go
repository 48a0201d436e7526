package solution

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"halfsplit/circuit"
)

// perDecade is how many frequencies are solved in each decade.
const perDecade = 30

// response follows a small signal through the circuit.
func (a *asking) response() error {
	a.answer.Analysis = FrequencyResponse
	switch drives := a.wired.Driven; {
	case len(drives) == 0:
		return Description{errors.New(`no source puts in a signal; add "kind: sine source", or "settings: {signal: 1 V}" to the source that shall`)}
	case len(drives) > 1:
		return Description{fmt.Errorf("%s and %s both put in a signal; keep the setting signal of one, and give a sine source that shall be quiet as a dc source", drives[0].Part, drives[1].Part)}
	}
	if a.wired.Period > 0 && len(a.wired.Driven) == 0 {
		a.warn("what changes with time stands still for this")
	}
	op, err := a.solver.OperatingPoint(a.ctx)
	if err != nil {
		return classed(err)
	}
	frequencies := sweep(a.question.Low, a.question.High)
	r, err := a.solver.AC(a.ctx, op, frequencies)
	if err != nil {
		return classed(err)
	}
	drive := a.wired.Driven[0]
	a.answer.Response = &Response{Drive: drive.Part, Size: drive.Size, Frequencies: frequencies}
	for _, n := range a.nodes {
		s := NodeSweep{Name: n}
		turn := 0.0
		for i := range frequencies {
			v, err := r.Value(i, circuit.Voltage(n))
			if err != nil {
				return Description{err}
			}
			v /= complex(drive.Size, 0)
			phase := cmplx.Phase(v) * 180 / math.Pi
			if i > 0 { // without jumps of a whole turn
				turn = 360 * math.Round((s.Phase[i-1]-phase)/360)
			}
			s.Gain = append(s.Gain, 20*math.Log10(max(cmplx.Abs(v), 1e-15)))
			s.Phase = append(s.Phase, phase+turn)
		}
		s.corners(frequencies)
		a.answer.Response.Nodes = append(a.answer.Response.Nodes, s)
		a.answer.curves = append(a.answer.curves, curve{n, frequencies, s.Gain})
	}
	return nil
}

// sweep spaces frequencies evenly on a logarithmic scale, both ends included.
func sweep(low, high float64) []float64 {
	n := max(1, int(math.Ceil(perDecade*math.Log10(high/low)-1e-9)))
	list := make([]float64, n+1)
	for i := range list {
		list[i] = low * math.Pow(high/low, float64(i)/float64(n))
	}
	list[n] = high
	return list
}

// corners finds where the gain is highest and where it has fallen by 3 dB.
func (s *NodeSweep) corners(frequencies []float64) {
	top := 0
	for i, g := range s.Gain {
		if g > s.Gain[top] {
			top = i
		}
	}
	s.Highest = frequencies[top]
	level := s.Gain[top] - 20*math.Log10(math.Sqrt2)
	between := func(i, j int) float64 { // i above the level, j below it
		u := (s.Gain[i] - level) / (s.Gain[i] - s.Gain[j])
		return frequencies[i] * math.Pow(frequencies[j]/frequencies[i], u)
	}
	for i := top; i > 0; i-- {
		if s.Gain[i-1] < level {
			s.Lower = between(i, i-1)
			break
		}
	}
	for i := top; i < len(frequencies)-1; i++ {
		if s.Gain[i+1] < level {
			s.Upper = between(i, i+1)
			break
		}
	}
}
