package prediction

import (
	"context"
	"hash/fnv"
	"math/rand/v2"
	"sync"

	"halfsplit/circuit"
)

// Specimen is one unit of a circuit: each of its parts is off by some amount
// within its tolerance, the same in every state of the bench, and some fail. What
// it reads is worked out by solving it, not drawn from a forecast, so that
// forecasts can be tried on it. It is safe for concurrent use.
type Specimen struct {
	predictor *Predictor
	troubles  []Trouble
	number    uint64

	mutex sync.Mutex
	live  map[string]*outcome
	ohms  map[shownAt]float64
}

// shownAt is a reading of the ohmmeter in one state of the bench.
type shownAt struct {
	bench string
	of    Observable
}

// Specimen makes a unit with some troubles; another number makes one whose parts
// are off otherwise.
func (p *Predictor) Specimen(troubles []Trouble, number uint64) *Specimen {
	return &Specimen{predictor: p, troubles: troubles, number: number, live: map[string]*outcome{}, ohms: map[shownAt]float64{}}
}

// Value is what is there to be read in a state of the bench, without what a meter
// adds. ok is false when the circuit says nothing of it or has no solution.
func (s *Specimen) Value(ctx context.Context, bench Bench, of Observable) (value float64, ok bool, err error) {
	if of.Aspect == Resistance {
		return s.resistance(ctx, bench, of)
	}
	p := s.predictor
	sum, n, ok := p.live.find(of, p.drawn.Ground)
	if !ok || bench.Off {
		return 0, false, nil
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	name := benchName(bench)
	o := s.live[name]
	if o == nil {
		if o, err = s.solve(ctx, bench); err != nil {
			return 0, false, err
		}
		s.live[name] = o
	}
	if o.values == nil {
		return 0, false, nil
	}
	for _, part := range sum[:n] {
		value += part.sign * o.values[part.at]
	}
	return value, true, nil
}

// solve works out the circuit under power.
func (s *Specimen) solve(ctx context.Context, bench Bench) (*outcome, error) {
	p, c := s.predictor, Case{bench, s.troubles}
	twin, err := p.drawn.Failing(c.failing(p.drawn))
	if err != nil {
		return nil, err
	}
	plain, err := twin.Solver(circuit.Settings{})
	if err != nil {
		return failed(ctx, err)
	}
	settings := s.turned(knobs(twin, plain))
	switch {
	case twin.Period > 0:
		base, err := p.soundIn(ctx, bench)
		if err != nil {
			return nil, err
		}
		return p.repeat(ctx, twin, settings, base.outcome)
	case p.free:
		cold, err := p.cold.Failing(c.failing(p.cold))
		if err != nil {
			return nil, err
		}
		return p.start(ctx, cold, settings)
	}
	o, _, err := p.rest(ctx, twin, settings)
	return o, err
}

// resistance is what the ohmmeter shows.
func (s *Specimen) resistance(ctx context.Context, bench Bench, of Observable) (value float64, ok bool, err error) {
	p := s.predictor
	if _, ok := p.dead.place[of]; !ok || !bench.Off {
		return 0, false, nil
	}
	at := shownAt{benchName(bench), of}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if value, ok := s.ohms[at]; ok {
		return value, true, nil
	}
	c := Case{bench, s.troubles}
	twin, err := p.drawn.Failing(c.failing(p.drawn))
	if err != nil {
		return 0, false, err
	}
	plain, err := twin.Solver(circuit.Settings{})
	if err != nil {
		return 0, false, nil
	}
	shown, err := p.probe(ctx, twin, of, s.turned(knobs(twin, plain)))
	if err != nil {
		return 0, false, ctx.Err()
	}
	s.ohms[at] = shown.value
	return shown.value, true, nil
}

// turned turns every knob as it is in this unit: normal, within two and a half
// deviations, by nothing but the names and the number.
func (s *Specimen) turned(list []knob) []setting {
	settings := make([]setting, len(list))
	for i, k := range list {
		h := fnv.New64a()
		h.Write([]byte(k.part + "\x00" + k.parameter))
		random := rand.New(rand.NewPCG(h.Sum64(), s.number))
		by := random.NormFloat64()
		for by < -2.5 || by > 2.5 {
			by = random.NormFloat64()
		}
		settings[i] = setting{k, by}
	}
	return settings
}
