package circuit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// A Tolerance is how far a parameter may be off, relative to its value.
type Tolerance struct {
	Spread       float64 // half width when uniform, standard deviation when normal
	Distribution Distribution
}

// Distribution is how values lie within a tolerance.
type Distribution int

const (
	Uniform Distribution = iota // anywhere between the limits: what a bare "±5 %" says
	Normal                      // around the middle
)

// deviation is the relative standard deviation (uniform: JCGM 100:2008, 4.3.7).
func (t Tolerance) deviation() float64 {
	if t.Distribution == Normal {
		return t.Spread
	}
	return t.Spread / math.Sqrt(3)
}

// draw is a random relative error.
func (t Tolerance) draw(random *rand.Rand) float64 {
	if t.Distribution == Normal {
		return t.Spread * random.NormFloat64()
	}
	return t.Spread * (2*random.Float64() - 1)
}

// toleranced is a parameter with its tolerance.
type toleranced struct {
	Parameter
	Tolerance
	nominal float64
}

// tolerances lists the parameters that have one.
func (s *Solver) tolerances() ([]toleranced, error) {
	var list []toleranced
	used := 0
	for _, q := range s.Parameters() {
		part := s.circuit.parts[s.circuit.index[q.Part]]
		if t, ok := part.tolerance[q.Name]; ok {
			if !(t.Spread >= 0) || t.Spread >= 1 {
				return nil, fmt.Errorf("part %s: a tolerance of %g; it must be at least 0 and less than 1, 0.05 for 5 %%", q.Part, t.Spread)
			}
			list = append(list, toleranced{q, t, q.Value()})
			used++
		}
	}
	for _, part := range s.circuit.parts {
		for name := range part.tolerance {
			if _, err := s.parameter(part.name, name); err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}

// A Spread is how far a quantity may be off because parts have tolerances.
type Spread struct {
	Nominal   float64 // with every part at its value
	Deviation float64 // standard deviation, to first order
	Low, High float64 // when every part is at the worse end of its tolerance; three deviations where it is normal
	Slopes    []Slope // of the parameters that have a tolerance
	// Shares are what each of these parameters contributes, the largest first.
	Shares []Share
}

// A Share is what the tolerance of one parameter contributes to a spread.
type Share struct {
	Part, Name string
	Deviation  float64 // standard deviation of the quantity from this parameter alone
	Share      float64 // of the variance of the quantity, from 0 to 1
}

// shareOut works out the deviation and who has which share in it.
func (sp *Spread) shareOut() {
	square := 0.0
	for _, one := range sp.Shares {
		square += one.Deviation * one.Deviation
	}
	sp.Deviation = math.Sqrt(square)
	for i := range sp.Shares {
		if one := &sp.Shares[i]; square > 0 {
			one.Share = one.Deviation * one.Deviation / square
		}
	}
	slices.SortStableFunc(sp.Shares, func(a, b Share) int { return cmp.Compare(b.Deviation, a.Deviation) })
}

// Spread works out the tolerance of a quantity at an operating point from its
// sensitivities: the deviation as the root of the sum of squares (law of
// propagation of uncertainty, JCGM 100:2008, 5.1.2), and the extremes by
// solving the circuit with every part at the end that its sensitivity points
// to.
func (s *Solver) Spread(ctx context.Context, op *OperatingPoint, q Quantity) (Spread, error) {
	nominal, err := op.Value(q)
	if err != nil {
		return Spread{}, err
	}
	list, err := s.tolerances()
	if err != nil {
		return Spread{}, err
	}
	slopes, err := s.Sensitivities(op, q)
	if err != nil {
		return Spread{}, err
	}
	result := Spread{Nominal: nominal}
	ends := make([]float64, len(list))
	for i, t := range list {
		for _, slope := range slopes {
			if slope.at == t.at {
				result.Shares = append(result.Shares, Share{Part: t.Part, Name: t.Name, Deviation: math.Abs(slope.Relative) * t.deviation()})
				ends[i] = math.Copysign(t.Spread, slope.Relative)
				if t.Distribution == Normal {
					ends[i] *= 3
				}
				result.Slopes = append(result.Slopes, slope)
			}
		}
	}
	result.shareOut()
	defer s.reset(list)
	for i, to := range [2]*float64{&result.Low, &result.High} {
		for k, t := range list {
			s.put(t.Parameter, t.nominal*(1+float64(2*i-1)*ends[k]))
		}
		s.restamp()
		extreme, err := s.OperatingPointFrom(ctx, op.State())
		if err != nil {
			return result, err
		}
		if *to, err = extreme.Value(q); err != nil {
			return result, err
		}
	}
	return result, nil
}

// SpreadOf works out the tolerance of anything that can be measured with this
// solver, such as the ripple of a periodic state, by taking each parameter in turn
// to both ends of its tolerance: two measurements for each. Low and High are where
// the changes add up the worse way. The parameters are left at their nominal
// values.
func (s *Solver) SpreadOf(ctx context.Context, measure func() ([]float64, error)) ([]Spread, error) {
	list, err := s.tolerances()
	if err != nil {
		return nil, err
	}
	nominal, err := measure()
	if err != nil {
		return nil, err
	}
	spreads := make([]Spread, len(nominal))
	for i, v := range nominal {
		spreads[i] = Spread{Nominal: v, Low: v, High: v}
	}
	defer s.reset(list)
	for _, t := range list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		end := t.Spread
		if t.Distribution == Normal {
			end *= 3
		}
		var ends [2][]float64
		for i := range ends {
			s.put(t.Parameter, t.nominal*(1+float64(2*i-1)*end))
			s.restamp()
			if ends[i], err = measure(); err != nil {
				return nil, fmt.Errorf("with the %s of part %s at %g: %w", t.Name, t.Part, t.Value(), err)
			}
		}
		s.put(t.Parameter, t.nominal)
		s.restamp()
		for i := range spreads {
			half := (ends[1][i] - ends[0][i]) / 2
			spreads[i].Low -= math.Abs(half)
			spreads[i].High += math.Abs(half)
			deviation := 0.0
			if end > 0 {
				deviation = math.Abs(half) * t.deviation() / end
			}
			spreads[i].Shares = append(spreads[i].Shares, Share{Part: t.Part, Name: t.Name, Deviation: deviation})
		}
	}
	for i := range spreads {
		spreads[i].shareOut()
	}
	return spreads, nil
}

// Toleranced counts the parameters that have a tolerance.
func (s *Solver) Toleranced() (int, error) {
	list, err := s.tolerances()
	return len(list), err
}

// reset puts parameters back to their nominal values.
func (s *Solver) reset(list []toleranced) {
	for _, t := range list {
		s.put(t.Parameter, t.nominal)
	}
	s.restamp()
}

// Sample draws every parameter that has a tolerance at random, measures, and
// repeats; it returns what was measured. The parameters are left at their
// nominal values.
func (s *Solver) Sample(ctx context.Context, samples int, random *rand.Rand, measure func() (float64, error)) ([]float64, error) {
	list, err := s.tolerances()
	if err != nil {
		return nil, err
	}
	defer s.reset(list)
	values := make([]float64, 0, samples)
	for range samples {
		if err := ctx.Err(); err != nil {
			return values, err
		}
		for _, t := range list {
			s.put(t.Parameter, t.nominal*(1+t.draw(random)))
		}
		s.restamp()
		v, err := measure()
		if err != nil {
			return values, err
		}
		values = append(values, v)
	}
	return values, nil
}
