package findings

import (
	"context"
	"math"
	"sync"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/prediction"
	"halfsplit/signal"
)

// solver foretells a section by solving its circuit. Single faults are worked
// out exactly; of two and more at once it is first taken that at each node the
// graver one shows, and only where that matters are they worked out together.
type solver struct {
	ctx       context.Context
	predictor *prediction.Predictor
	section   *simulated
	sources   [][]string // the parts that stand for each input
	loads     []string
	acts      [][]fault.Act

	lock  sync.RWMutex
	memo  map[string]*solution
	exact bool // work out everything together from now on
	fresh int  // how many were worked out together since it was last asked
}

// solution is what happens under some circumstances.
type solution struct {
	ways  []flow.Way
	rough bool // put together from single faults
}

// Ways implements flow.Solver.
func (s *solver) Ways(c *flow.Circumstances) []flow.Way {
	key := c.Key()
	s.lock.RLock()
	known := s.memo[key]
	exact := s.exact
	s.lock.RUnlock()
	if known != nil && !(known.rough && exact) {
		return known.ways
	}
	one := &solution{}
	if n := len(c.Failing) + len(c.Loads); n > 1 && !exact {
		one.rough = true
		one.ways = s.gravest(c)
	} else {
		one.ways = s.work(c)
	}
	s.lock.Lock()
	defer s.lock.Unlock()
	if exact && len(c.Failing)+len(c.Loads) > 1 {
		s.fresh++
	}
	s.memo[key] = one
	return one.ways
}

// foresee works out many circumstances on all processors.
func (s *solver) foresee(ctx context.Context, wanted []*flow.Circumstances, progress func(done, of int)) error {
	cases := make([]prediction.Case, len(wanted))
	for i, c := range wanted {
		cases[i] = s.asked(c)
	}
	forecasts, err := s.predictor.ForecastAll(ctx, cases, progress)
	if err != nil {
		return err
	}
	s.lock.Lock()
	defer s.lock.Unlock()
	for i, c := range wanted {
		s.memo[c.Key()] = &solution{ways: s.ways(forecasts[i])}
	}
	return nil
}

// together says whether several faults at once are to be worked out together, and
// gives how many were since it was last said.
func (s *solver) together(exact bool) (fresh int) {
	s.lock.Lock()
	defer s.lock.Unlock()
	fresh, s.fresh, s.exact = s.fresh, 0, exact
	return fresh
}

// work asks for the forecast under the circumstances.
func (s *solver) work(c *flow.Circumstances) []flow.Way {
	one := s.asked(c)
	f, err := s.predictor.Forecast(s.ctx, one.Bench, one.Troubles)
	if err != nil {
		return []flow.Way{unknown{}}
	}
	return s.ways(f)
}

func (s *solver) ways(f *prediction.Forecast) []flow.Way {
	ways := make([]flow.Way, len(f.Ways))
	for i := range f.Ways {
		ways[i] = newWay(&f.Ways[i], s.section)
	}
	if len(ways) == 0 {
		return []flow.Way{unknown{}}
	}
	return ways
}

// shares are what a source gives when what it stands for is in a state. Common
// practice, no source.
var shares = [signal.States]float64{
	signal.Good: 1, signal.Low: 0.7, signal.High: 1.2, signal.Clamped: 0.5, signal.Wrong: 0.7, signal.Noisy: 1, signal.StuckHigh: 1,
}

// asked puts the circumstances as the predictor takes them.
func (s *solver) asked(c *flow.Circumstances) prediction.Case {
	one := prediction.Case{Bench: prediction.Bench{Off: c.Off}}
	parts := s.section.flow.Parts
	for _, i := range c.Lifted {
		one.Bench.Lifted = append(one.Bench.Lifted, parts[i].Name)
	}
	for _, load := range s.loads {
		if c.Unloaded || s.section.pulled(load, c.Without) {
			one.Bench.Without = append(one.Bench.Without, load)
		}
	}
	for i, state := range c.Inputs {
		if shares[state] == 1 {
			continue
		}
		if one.Bench.Sources == nil {
			one.Bench.Sources = map[string]float64{}
		}
		for _, source := range s.sources[i] {
			one.Bench.Sources[source] = shares[state]
		}
	}
	for _, f := range c.Failing {
		one.Troubles = append(one.Troubles, prediction.Trouble{Part: parts[f.Part].Name, Act: s.acts[f.Part][f.Act]})
	}
	for _, l := range c.Loads {
		ohms := dead
		if l.State == signal.Low || l.State == signal.Clamped {
			ohms = math.Max(math.Abs(s.section.rails[l.Output].Nominal)/heavy, dead)
		}
		one.Troubles = append(one.Troubles, prediction.Trouble{Node: s.section.flow.Outputs[l.Output], Ohms: ohms})
	}
	return one
}

// A short on a board in ohms, and what a part draws in ampere that loads its
// rail without shorting it. Common practice, no source.
const (
	dead  = 0.3
	heavy = 1.5
)

// gravest puts several troubles together from each by itself: at each node the
// one that is further from sound shows.
func (s *solver) gravest(c *flow.Circumstances) []flow.Way {
	bare := *c
	bare.Failing, bare.Loads = nil, nil
	all := []flow.Way{&joint{weight: 1, sound: s.Ways(&bare)[0]}}
	add := func(single flow.Circumstances) {
		var next []flow.Way
		for _, w := range all {
			for _, one := range s.Ways(&single) {
				j := *w.(*joint)
				j.weight *= one.Weight()
				j.ways = append(append([]flow.Way(nil), j.ways...), one)
				if j.weight > 0.01 {
					next = append(next, &j)
				}
			}
		}
		if len(next) > 0 {
			all = next
		}
	}
	for _, f := range c.Failing {
		single := bare
		single.Failing = []flow.Failing{f}
		add(single)
	}
	for _, l := range c.Loads {
		single := bare
		single.Loads = []flow.Load{l}
		add(single)
	}
	for _, w := range all {
		w.(*joint).settle(len(s.section.flow.Outputs))
	}
	return all
}

// way is a way of the predictor. What it is asked again and again it remembers.
type way struct {
	*prediction.Way
	section *simulated
	nets    []signal.Spread
	lock    sync.RWMutex
	expects map[expectation]outlook // of one number, with nothing else read
	logs    map[uint64]float64      // by what was read
}

// expectation is what may be read, without a value.
type expectation struct {
	output, to int
	of         flow.Measured
}

// newWay makes one, with what it does to every output.
func newWay(w *prediction.Way, s *simulated) *way {
	one := &way{Way: w, section: s, expects: map[expectation]outlook{}, logs: map[uint64]float64{}}
	for i, name := range s.flow.Outputs {
		spread := w.State(name, s.rails[i])
		if !spread.Said() {
			spread = signal.Agnostic()
		}
		one.nets = append(one.nets, spread)
	}
	return one
}

func (w *way) Weight() float64 { return w.Way.Weight }

func (w *way) Net(output int) signal.Spread { return w.nets[output] }

func (w *way) Log(numbers []flow.Number) float64 {
	key := digest(numbers)
	w.lock.RLock()
	sum, known := w.logs[key]
	w.lock.RUnlock()
	if !known {
		sum = w.LogDensity(w.reads(numbers))
		w.lock.Lock()
		w.logs[key] = sum
		w.lock.Unlock()
	}
	return sum
}

// digest is a number that stands for what was read (FNV-1a, G. Fowler, L. C. Noll
// and P. Vo; a fair chance of two alike needs four thousand million).
func digest(numbers []flow.Number) uint64 {
	h := uint64(14695981039346656037)
	add := func(x uint64) { h = (h ^ x) * 1099511628211 }
	for _, n := range numbers {
		add(uint64(n.Output))
		add(uint64(n.To + 1))
		add(uint64(n.Of))
		add(math.Float64bits(n.Value))
		add(math.Float64bits(n.Value) >> 32)
		add(math.Float64bits(n.U))
		add(math.Float64bits(n.U) >> 32)
	}
	return h
}

func (w *way) reads(numbers []flow.Number) []prediction.Read {
	reads := make([]prediction.Read, len(numbers))
	for i, n := range numbers {
		reads[i] = prediction.Read{Of: w.section.observable(n), Value: n.Value, U: n.U}
	}
	return reads
}

func (w *way) Expect(next flow.Number, read []flow.Number) (mean, deviation float64) {
	if len(read) > 0 {
		return w.predict(next, read)
	}
	key := expectation{next.Output, next.To, next.Of}
	w.lock.RLock()
	o, known := w.expects[key]
	w.lock.RUnlock()
	if !known {
		o.mean, o.deviation = w.predict(next, nil)
		w.lock.Lock()
		w.expects[key] = o
		w.lock.Unlock()
	}
	return o.mean, o.deviation
}

func (w *way) predict(next flow.Number, read []flow.Number) (mean, deviation float64) {
	mean, deviation, ok := w.Predict(w.section.observable(next), w.reads(read))
	if !ok {
		return 0, anything
	}
	return mean, deviation
}

// anything is the standard deviation of a reading of which nothing is known, in
// whatever unit.
const anything = 1e3

// observable puts a number as the predictor takes it.
func (s *simulated) observable(n flow.Number) prediction.Observable {
	o := prediction.Observable{Node: s.flow.Outputs[n.Output]}
	if n.To >= 0 {
		o.To = s.flow.Outputs[n.To]
	}
	switch n.Of {
	case flow.Ripple:
		o.Aspect = prediction.Ripple
	case flow.RMS:
		o.Aspect = prediction.RMS
	case flow.Frequency:
		o.Aspect = prediction.Frequency
	case flow.Resistance:
		o.Aspect = prediction.Resistance
	}
	return o
}

// joint is several ways at once.
type joint struct {
	weight float64
	sound  flow.Way
	ways   []flow.Way
	nets   []signal.Spread
}

func (j *joint) Weight() float64 { return j.weight }

func (j *joint) Net(output int) signal.Spread { return j.nets[output] }

// settle works out what every output does.
func (j *joint) settle(outputs int) {
	j.nets = make([]signal.Spread, outputs)
	for output := range j.nets {
		worst := j.sound.Net(output)
		for _, w := range j.ways {
			if net := w.Net(output); net[signal.Good] < worst[signal.Good] {
				worst = net
			}
		}
		j.nets[output] = worst
	}
}

// doubt is how much of the lesser of two deviations is uncertain when the
// greater shows. Common practice, no source.
const doubt = 0.3

func (j *joint) Expect(next flow.Number, read []flow.Number) (mean, deviation float64) {
	sound, deviation := j.sound.Expect(next, read)
	mean = sound
	rest := 0.0
	for _, w := range j.ways {
		m, d := w.Expect(next, nil)
		if math.Abs(m-sound) > math.Abs(mean-sound) {
			rest = math.Abs(mean - sound)
			mean, deviation = m, d
		} else {
			rest = math.Max(rest, math.Abs(m-sound))
		}
	}
	return mean, math.Hypot(deviation, doubt*rest)
}

func (j *joint) Log(numbers []flow.Number) float64 {
	sum := 0.0
	for _, n := range numbers {
		mean, deviation := j.Expect(n, nil)
		deviation = math.Hypot(deviation, n.U)
		z := (n.Value - mean) / deviation
		peak := 1 / (deviation * math.Sqrt(2*math.Pi))
		tail := signal.Slip / (math.Pi * wide(mean, deviation) * (1 + math.Pow((n.Value-mean)/wide(mean, deviation), 2)))
		sum += math.Log((1-signal.Slip)*peak*math.Exp(-z*z/2) + tail)
	}
	return sum
}

// wide is the half width of the heavy tail of a reading.
func wide(mean, deviation float64) float64 { return math.Max(math.Abs(mean), 10*deviation) }

// unknown is a way of which nothing is known.
type unknown struct{}

func (unknown) Weight() float64       { return 1 }
func (unknown) Net(int) signal.Spread { return signal.Agnostic() }
func (unknown) Log(numbers []flow.Number) float64 {
	sum := 0.0
	for _, n := range numbers {
		scale := math.Max(math.Abs(n.Value), n.U)
		sum -= math.Log(4 * math.Max(scale, 1e-9))
	}
	return sum
}
func (unknown) Expect(flow.Number, []flow.Number) (float64, float64) { return 0, anything }

// outlook is what a number should be.
type outlook struct{ mean, deviation float64 }
