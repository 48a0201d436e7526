package rehearsal

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"halfsplit/prediction"
)

// specimens keeps units that were made, for the strategies that hunt in the same
// ones.
type specimens struct {
	mutex sync.Mutex
	made  map[specimenKey]*made
}

type specimenKey struct {
	fault  int
	number uint64
}

// made is a unit with the output of which it is complained.
type made struct {
	once      sync.Once
	specimen  *prediction.Specimen
	complaint int
}

// mostTries is how many units are made at most until one shows its trouble.
const mostTries = 30

// Build makes a unit and solves it. Its trouble shows at an output; where it
// does in none of many, the unit comes nevertheless.
func (b *CircuitBench) Build(hypothesis int, random *rand.Rand) Unit {
	key := specimenKey{b.faultOf[hypothesis], random.Uint64()}
	b.specimens.mutex.Lock()
	if b.specimens.made == nil {
		b.specimens.made = map[specimenKey]*made{}
	}
	one := b.specimens.made[key]
	if one == nil {
		one = &made{}
		b.specimens.made[key] = one
	}
	b.specimens.mutex.Unlock()
	one.once.Do(func() { b.draw(one, key) })
	return &circuitUnit{bench: b, hypothesis: hypothesis, made: one, taken: map[string]*taken{}}
}

// draw draws units until one shows its trouble.
func (b *CircuitBench) draw(one *made, key specimenKey) {
	random := rand.New(rand.NewPCG(key.number, uint64(key.fault+1)))
	for range mostTries {
		var trouble prediction.Trouble
		if key.fault >= 0 {
			trouble = b.Faults[key.fault].Trouble
		} else { // something draws too much, anywhere
			trouble = prediction.Trouble{Node: b.Nodes[random.IntN(len(b.Nodes))], Ohms: leastDrawn * math.Pow(mostDrawn/leastDrawn, random.Float64())}
		}
		one.specimen = b.Predictor.Specimen([]prediction.Trouble{trouble}, random.Uint64())
		if bad := b.complaints(one.specimen); len(bad) > 0 {
			one.complaint = bad[random.IntN(len(bad))]
			return
		}
		if b.ctx.Err() != nil {
			return
		}
	}
}

// What hangs on a node without being described, in ohm.
const leastDrawn, mostDrawn = 0.3, 3e3

// complaints lists the outputs that are bad in a unit; none when it has no
// solution.
func (b *CircuitBench) complaints(s *prediction.Specimen) (bad []int) {
	for i, o := range b.Outputs {
		level, known, err := s.Value(b.ctx, running, prediction.Observable{Aspect: prediction.Level, Node: o.Node})
		if err != nil || !known {
			return nil
		}
		ripple, _, err := s.Value(b.ctx, running, prediction.Observable{Aspect: prediction.Ripple, Node: o.Node})
		if err != nil {
			return nil
		}
		if !o.Rail.Keeps(level, ripple) {
			bad = append(bad, i)
		}
	}
	return bad
}

// circuitUnit is one unit on the bench with what was read of it.
type circuitUnit struct {
	bench      *CircuitBench
	hypothesis int
	*made
	taken map[string]*taken // by state of the bench
	last  int               // the test made last
}

// taken is what was read in one state of the bench, with its part in logs.
type taken struct {
	reads []prediction.Read
	logs  []float64
}

// Answer makes a test: reads what the unit really has, with the error of the
// meter, which is even within its bound (JCGM 100:2008, 4.3.7).
func (u *circuitUnit) Answer(test int, random *rand.Rand) int {
	u.last = test
	if test == 0 {
		return u.complaint
	}
	b := u.bench
	t := &b.Tests[test-1]
	if !t.reading() {
		return draw(b.table.Under(u.hypothesis, test), random)
	}
	of := t.Of
	if random.Float64() < b.Slips {
		of = b.mistaken(t, random)
	}
	value, known, err := u.specimen.Value(b.ctx, t.Bench, of)
	if err != nil || !known { // cancelled, or nothing settles
		value = (2*random.Float64() - 1) * b.size
	}
	bound := math.Sqrt(3) * b.Meter(t.Of, value)
	value += (2*random.Float64() - 1) * bound
	read := prediction.Read{Of: t.Of, Value: value, U: b.Meter(t.Of, value)}
	at := u.taken[state(t.Bench)]
	if at == nil {
		at = &taken{logs: make([]float64, len(b.Faults))}
		u.taken[state(t.Bench)] = at
	}
	at.reads = append(at.reads, read)
	answer, _ := slices.BinarySearch(b.edges[test-1], value)
	return answer
}

// mistaken is the same at a place where something else is.
func (b *CircuitBench) mistaken(t *CircuitTest, random *rand.Rand) prediction.Observable {
	of := t.Of
	of.Node = b.Nodes[random.IntN(len(b.Nodes))]
	return of
}

// Weigh multiplies the weights of hypotheses by how the last answer speaks for
// each, given all that was read before in the same state of the bench.
func (u *circuitUnit) Weigh(answer int, weights []float64) {
	b := u.bench
	if u.last == 0 || !b.Tests[u.last-1].reading() {
		for h := range weights {
			if weights[h] > 0 {
				weights[h] *= b.table.Under(h, u.last)[answer]
			}
		}
		return
	}
	t := &b.Tests[u.last-1]
	at := u.taken[state(t.Bench)]
	forecasts := b.forecasts[state(t.Bench)]
	alive := make([]bool, len(b.Faults))
	for h, f := range b.faultOf {
		if weights[h] > 0 && f >= 0 {
			alive[f] = true
		}
	}
	speaks := make([]float64, len(b.Faults))
	best := math.Inf(-1)
	for f := range speaks {
		if !alive[f] {
			continue
		}
		now := u.log(forecasts[f], at.reads, !t.Bench.Off && state(t.Bench) == state(running))
		speaks[f], at.logs[f] = now-at.logs[f], now
		best = max(best, speaks[f])
	}
	anything := math.Log(b.anything(t, at.reads[len(at.reads)-1]))
	best = max(best, anything)
	for h, f := range b.faultOf {
		switch {
		case weights[h] == 0:
		case f < 0:
			weights[h] *= math.Exp(anything - best)
		default:
			weights[h] *= math.Exp(speaks[f] - best)
		}
	}
}

// leastBad keeps a complaint possible under every fault.
const leastBad = 1e-4

// log is ln of the density of readings under a fault. In the state in which the
// unit was complained of, the complaint is weighed anew with them: a fault that
// mostly shows nowhere is no less likely for that once it is seen to show. What
// the complaint was worth by itself is in the table already.
func (u *circuitUnit) log(f *prediction.Forecast, reads []prediction.Read, complained bool) float64 {
	if !complained {
		return f.LogDensity(reads)
	}
	o := u.bench.Outputs[u.complaint]
	sum, before, best := 0.0, 0.0, math.Inf(-1)
	logs := make([]float64, len(f.Ways))
	for i := range f.Ways {
		logs[i] = f.Ways[i].LogDensity(reads)
		best = max(best, logs[i])
	}
	for i := range f.Ways {
		way := &f.Ways[i]
		before += way.Weight * max(way.Bad(o.Node, o.Rail, nil), leastBad)
		sum += way.Weight * math.Exp(logs[i]-best) * max(way.Bad(o.Node, o.Rail, reads), leastBad)
	}
	return best + math.Log(sum/before)
}

// anything is the density of a reading when the trouble is something that is not
// described: often as under some fault that is, or else anything plausible.
func (b *CircuitBench) anything(t *CircuitTest, read prediction.Read) float64 {
	usual, total := 0.0, 0.0
	one := []prediction.Read{read}
	for f, forecast := range b.forecasts[state(t.Bench)] {
		if b.priors[f] > 0 {
			usual += b.priors[f] * math.Exp(forecast.LogDensity(one))
			total += b.priors[f]
		}
	}
	return usualShare*usual/total + (1-usualShare)*prediction.Plausible(t.Of, read.Value, b.size)
}
