package prediction

import (
	"context"
	"math"
	"slices"
	"sort"

	"halfsplit/circuit"
	"halfsplit/fault"
	"halfsplit/wiring"
)

// outcome is what came of one circuit with one setting of its parts.
type outcome struct {
	behaviour Behaviour
	period    float64
	why       string
	values    []float64 // by the layout for a live circuit; nil when there is no solution
	blown     []string
	hot       []Hot
	state     circuit.State           // to start a like circuit from; of a periodic one
	began     float64                 // seconds until it had come up, of one that sets its own pace
	bears     map[string]fault.Stress // by part
	point     *circuit.OperatingPoint // at rest
	scale     []float64               // level of each node in the sound circuit; nil when not known
}

// live lists what is foretold of a circuit under power: four figures of each node,
// and the heat of each part.
func live(drawn *wiring.Circuit, nodes []string) []Observable {
	var list []Observable
	for _, n := range nodes {
		for _, a := range liveAspects {
			list = append(list, Observable{Aspect: a, Node: n})
		}
	}
	for _, p := range drawn.Parts {
		list = append(list, Observable{Aspect: Heat, Node: p.Name})
	}
	return list
}

// liveAspects are those of each node, in the order of the layout.
var liveAspects = [4]Aspect{Level, Ripple, RMS, Frequency}

// collect fills in the values of an outcome, and what the parts bear.
func (p *Predictor) collect(o *outcome, c *wiring.Circuit, stresses []circuit.Stress, read func(circuit.Quantity) (circuit.Reading, error), frequency func(circuit.Quantity, circuit.Reading) float64) {
	o.values, o.bears = make([]float64, len(p.live.Of)), map[string]fault.Stress{}
	for i, n := range p.nodes {
		r, err := read(circuit.Voltage(n))
		if err != nil {
			continue // every node of the drawn circuit is held
		}
		at := o.values[len(liveAspects)*i:]
		at[0], at[1] = r.Mean, r.PeakToPeak
		at[2] = math.Sqrt(max(r.RMS*r.RMS-r.Mean*r.Mean, 0))
		if r.PeakToPeak > leastRipple {
			at[3] = frequency(circuit.Voltage(n), r)
		}
	}
	for _, noisy := range c.Noisy {
		if i := slices.Index(p.nodes, noisy.Node); i >= 0 {
			at := o.values[len(liveAspects)*i:]
			at[1], at[2] = max(at[1], 3.5*noisy.RMS), math.Hypot(at[2], noisy.RMS)
		}
	}
	heat := p.live.place
	for _, b := range c.Bearings(stresses, read) {
		o.values[heat[Observable{Aspect: Heat, Node: b.Part}]] = b.Dissipation
		if b.OfPower > 0 || b.OfVoltage > 0 || b.OfCurrent > 0 {
			o.bears[b.Part] = fault.Stress{Power: b.OfPower, Voltage: b.OfVoltage, Current: b.OfCurrent}
		}
		hot := Hot{Part: b.Part}
		for _, share := range [3]Hot{{Share: b.OfPower, Of: "power"}, {Share: b.OfVoltage, Of: "voltage"}, {Share: b.OfCurrent, Of: "current"}} {
			if share.Share > hot.Share {
				hot.Share, hot.Of = share.Share, share.Of
			}
		}
		if hot.Share > 1.0005 {
			o.hot = append(o.hot, hot)
		}
	}
	sort.SliceStable(o.hot, func(i, j int) bool { return o.hot[i].Share > o.hot[j].Share })
}

// leastRipple is what no frequency can be made out of, in volt.
const leastRipple = 1e-4

// failed is the outcome of a circuit without a solution. The error is that of ctx
// alone.
func failed(ctx context.Context, err error) (*outcome, error) {
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return &outcome{behaviour: NoSolution, why: err.Error()}, nil
}

// rest solves a circuit at rest.
func (p *Predictor) rest(ctx context.Context, c *wiring.Circuit, settings []setting) (*outcome, *circuit.Solver, error) {
	s, err := solver(c, circuit.Settings{}, settings)
	if err != nil {
		o, err := failed(ctx, err)
		return o, nil, err
	}
	op, err := s.OperatingPoint(ctx)
	if err != nil {
		o, err := failed(ctx, err)
		return o, nil, err
	}
	o := &outcome{behaviour: Rests, point: op}
	p.collect(o, c, op.Stress(), func(q circuit.Quantity) (circuit.Reading, error) {
		v, err := op.Value(q)
		return circuit.Reading{Mean: v, Min: v, Max: v, RMS: math.Abs(v)}, err
	}, nil)
	o.blown = blown(c, func(part string) bool {
		whole, err := op.On(part)
		return err == nil && !whole
	})
	return o, s, nil
}

// blown lists the fuses that are gone.
func blown(c *wiring.Circuit, gone func(part string) bool) []string {
	var list []string
	for _, p := range c.Parts {
		if p.Is.Name == "fuse" && gone(p.Name) {
			list = append(list, p.Name)
		}
	}
	return list
}

// Bounds on following a circuit to its periodic state. Its state must repeat
// itself to a share that is enough for bench readings, or, when the circuit keeps
// on trembling, to the worse one.
const (
	repeatTolerance = 2e-3
	trembling       = 1e-2
	warmPeriods     = 60
	coldPeriods     = 150
	mostSteps       = 200_000
)

// repeat follows a circuit that something drives until it repeats itself: from
// the end of one like it when there is one, which is quicker, else from nothing.
// When a fuse blows, it is what comes then.
func (p *Predictor) repeat(ctx context.Context, c *wiring.Circuit, settings []setting, from *outcome) (*outcome, error) {
	var o *outcome
	var err error
	if from != nil && from.behaviour == Repeats {
		o, err = p.period(ctx, c, settings, &from.state, p.set.Accuracy)
		if err == nil && o.behaviour == Repeats && p.collapsed(o, from) {
			o = nil // what was stored then has not gone yet
		}
	}
	for _, accuracy := range []float64{p.set.Accuracy, 3 * p.set.Accuracy} {
		if err != nil || o != nil && (o.behaviour == Repeats || len(o.blown) > 0) {
			break
		}
		var cold *outcome
		if cold, err = p.period(ctx, c, settings, nil, accuracy); err == nil && (o == nil || o.values == nil || cold.behaviour == Repeats) {
			o = cold
		}
	}
	if err != nil || len(o.blown) == 0 {
		return o, err
	}
	after, err := c.Failing(wiring.Failing{Lifted: o.blown})
	if err != nil {
		return nil, err
	}
	gone := o.blown
	if o, err = p.repeat(ctx, after, without(settings, gone), nil); err == nil {
		o.blown = append(gone, o.blown...)
	}
	return o, err
}

// without drops the settings of some parts.
func without(settings []setting, parts []string) []setting {
	return slices.DeleteFunc(slices.Clone(settings), func(s setting) bool { return slices.Contains(parts, s.part) })
}

// collapsed tells whether some level has nearly gone since another outcome.
func (p *Predictor) collapsed(o, from *outcome) bool {
	for i := range p.nodes {
		at := len(liveAspects) * i
		if before := math.Abs(from.values[at]); before > 1 && math.Abs(o.values[at]) < 0.05*before {
			return true
		}
	}
	return false
}

// period follows a circuit once.
func (p *Predictor) period(ctx context.Context, c *wiring.Circuit, settings []setting, from *circuit.State, accuracy float64) (*outcome, error) {
	if c.Period == 0 { // what drove it has been lifted with a fuse
		o, _, err := p.rest(ctx, c, settings)
		if err == nil && o.behaviour == Rests {
			o.behaviour = Repeats
		}
		return o, err
	}
	s, err := solver(c, circuit.Settings{Accuracy: accuracy, MaxSteps: mostSteps}, settings)
	if err != nil {
		return failed(ctx, err)
	}
	rep := circuit.Repeat{Period: c.Period, Record: c.Watched(p.nodes), Stress: true, Tolerance: repeatTolerance, MostPeriods: coldPeriods, Cold: true}
	if from != nil {
		rep.From, rep.Warm, rep.Cold, rep.MostPeriods = *from, true, false, warmPeriods
	}
	steady, err := s.Steady(ctx, rep)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil && (steady == nil || steady.Trace == nil || steady.Periods == 0 || len(steady.Time) < 10) {
		return failed(ctx, err)
	}
	o := &outcome{behaviour: Repeats, period: c.Period, state: steady.State()}
	if err != nil && !(steady.Periods >= warmPeriods && steady.Change <= trembling) {
		o.behaviour, o.why = StillMoving, err.Error()
	}
	begin, end := steady.Time[0], steady.Time[len(steady.Time)-1]
	p.collect(o, c, steady.Stress(c.Circuit), steady.Whole, func(q circuit.Quantity, r circuit.Reading) float64 {
		return harmonic(steady.Trace, q, begin, end) / c.Period
	})
	gone := map[string]bool{}
	for _, e := range steady.Events {
		gone[e.Part] = !e.On
	}
	o.blown = blown(c, func(part string) bool {
		mode, ok := o.state.Mode(part)
		return ok && mode != 0 || !ok && gone[part]
	})
	return o, nil
}

// harmonic is the number of the strongest harmonic of a quantity over a window
// (Fourier series, summed over even steps).
func harmonic(tr *circuit.Trace, q circuit.Quantity, from, to float64) float64 {
	const steps, highest = 256, 60
	var y [steps]float64
	for i := range y {
		v, err := tr.At(q, from+(to-from)*(float64(i)+0.5)/steps)
		if err != nil {
			return 0
		}
		y[i] = v
	}
	best, most := 0, 0.0
	for h := 1; h <= highest; h++ {
		var re, im float64
		sin, cos := math.Sincos(2 * math.Pi * float64(h) / steps)
		x, z := 1.0, 0.0
		for _, v := range y {
			re, im = re+v*x, im+v*z
			x, z = x*cos-z*sin, x*sin+z*cos
		}
		if size := re*re + im*im; size > most*(1+1e-9) {
			best, most = h, size
		}
	}
	return float64(best)
}
