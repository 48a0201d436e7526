package prediction

import (
	"context"
	"math"
	"slices"
	"sort"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// Errors of the model itself: the drawing is not quite the unit, the parts not
// quite their models. A share of the value and what is left at nothing; common
// practice, no source.
const (
	levelShare, levelLeast         = 0.01, 3e-3
	rippleShare, rippleLeast       = 0.15, 0.5e-3
	frequencyShare, frequencyLeast = 0.01, 0.2
	freeFrequencyShare             = 0.08
	heatShare, heatLeast           = 0.2, 0.02
	movingShare                    = 0.15
	leftShare                      = 4e-3 // of what a node has in the sound circuit
)

// floors are the deviations by which the model itself may be off.
func (p *Predictor) floors(o *outcome) []float64 {
	floor := make([]float64, len(p.live.Of))
	for at, of := range p.live.Of {
		v := math.Abs(o.values[at])
		switch of.Aspect {
		case Level:
			floor[at] = math.Hypot(levelShare*v, levelLeast+0.02*o.values[at+2])
			if o.scale != nil { // what the search for the steady state leaves
				floor[at] = math.Hypot(floor[at], leftShare*o.scale[at/len(liveAspects)])
			}
			if o.behaviour == StillMoving || o.behaviour == Cycles {
				floor[at] += movingShare * v
			}
		case Ripple, RMS:
			least := rippleLeast
			if of.Aspect == RMS {
				least /= 3
			}
			floor[at] = math.Hypot(rippleShare*v, least)
			if o.behaviour == StillMoving || o.behaviour == Cycles {
				floor[at] += movingShare * v
			}
		case Frequency:
			share := frequencyShare
			if p.free {
				share = freeFrequencyShare
			}
			floor[at] = math.Hypot(share*v, frequencyLeast)
		case Heat:
			floor[at] = math.Hypot(heatShare*v, heatLeast)
		}
		floor[at] *= p.set.ModelError
	}
	return floor
}

// way makes one of the ways of a live circuit.
func (p *Predictor) way(o *outcome, weight float64, factor [][]float64) Way {
	w := Way{Weight: weight, Behaviour: o.behaviour, Period: o.period, Why: o.why, Blown: o.blown, Hot: o.hot, Bears: o.bears,
		layout: p.live, ground: p.drawn.Ground}
	if o.values == nil { // anything may be
		w.mean, w.floor = make([]float64, len(p.live.Of)), make([]float64, len(p.live.Of))
		for at := range w.floor {
			w.floor[at] = broad
		}
		return w
	}
	w.mean, w.floor = o.values, p.floors(o)
	w.factor = keep(factor, w.floor)
	return w
}

// broad is the deviation, in any unit, of what nothing is known of.
const broad = 30

// keep drops the columns that change nothing.
func keep(factor [][]float64, floor []float64) [][]float64 {
	var list [][]float64
	for _, column := range factor {
		for at, v := range column {
			if math.Abs(v) > negligible*floor[at] {
				list = append(list, column)
				break
			}
		}
	}
	return list
}

// negligible is a spread that does not matter beside the error of the model.
const negligible = 0.03

// prune lists the columns that matter in the order of their names.
func prune(columns map[[2]string][]float64, floor []float64) [][]float64 {
	var names [][2]string
	for name := range columns {
		names = append(names, name)
	}
	sort.Slice(names, func(i, j int) bool {
		return names[i][0] < names[j][0] || names[i][0] == names[j][0] && names[i][1] < names[j][1]
	})
	var list [][]float64
	for _, name := range names {
		list = append(list, columns[name])
	}
	return keep(list, floor)
}

// adjoint gives the columns of a circuit at rest from the sensitivities of its
// levels, each from one more solution of the transposed equations. All else moves
// too little to matter beside the error of the model.
func (p *Predictor) adjoint(c *wiring.Circuit, s *circuit.Solver, op *circuit.OperatingPoint) ([][]float64, error) {
	list := knobs(c, s)
	columns := make([][]float64, len(list))
	for i := range columns {
		columns[i] = make([]float64, len(p.live.Of))
	}
	for i, n := range p.nodes {
		slopes, err := s.Sensitivities(op, circuit.Voltage(n))
		if err != nil {
			return nil, err
		}
		of := map[[2]string]float64{}
		for _, slope := range slopes {
			of[[2]string{slope.Part, slope.Name}] = slope.Value
		}
		for k, knob := range list {
			columns[k][len(liveAspects)*i] = of[[2]string{knob.part, knob.parameter}] * knob.step()
		}
	}
	return columns, nil
}

// solved is how a circuit is solved with its knobs turned.
type solved func(ctx context.Context, settings []setting) (*outcome, error)

// spread makes the ways of a circuit: about what it does as drawn, with the
// columns that are known, and, where samples of good parts do something else
// altogether, about that too. Two samples, opposite to each other, are always
// looked at; when they are like what the columns say, that is all.
func (p *Predictor) spread(ctx context.Context, drawn *outcome, columns [][]float64, list []knob, solve solved) ([]Way, error) {
	floor := p.floors(drawn)
	like := func(o *outcome) bool { return p.alike(drawn, o, columns, floor) }
	var others []*outcome
	looked := 1
	take := func(to int) error {
		for ; looked <= to; looked++ {
			o, err := solve(ctx, sample(list, looked-1))
			if err != nil {
				return err
			}
			if !like(o) {
				others = append(others, o)
			}
		}
		return nil
	}
	if err := take(2); err != nil {
		return nil, err
	}
	if len(others) > 0 {
		if err := take(max(p.set.Samples, 2)); err != nil {
			return nil, err
		}
	}
	ways := []Way{p.way(drawn, float64(looked-len(others))/float64(looked), columns)}
	for len(others) > 0 { // gather those that are like each other
		first := others[0]
		group, rest := []*outcome{first}, []*outcome(nil)
		for _, o := range others[1:] {
			if p.alike(first, o, nil, nil) {
				group = append(group, o)
			} else {
				rest = append(rest, o)
			}
		}
		others = rest
		middle, deviations := p.summary(group)
		ways = append(ways, p.way(middle, float64(len(group))/float64(looked), deviations))
	}
	return ways, nil
}

// A sample does something else when it behaves otherwise, blows other fuses, or
// has a level off by more than this many deviations and this share of its size.
const (
	elseDeviations = 5
	elseShare      = 0.12
)

// alike tells whether a sample does what another does, as far as its columns and
// floor let one expect.
func (p *Predictor) alike(a, b *outcome, columns [][]float64, floor []float64) bool {
	if a.behaviour != b.behaviour || !slices.Equal(a.blown, b.blown) {
		return false
	}
	if a.values == nil || b.values == nil {
		return a.values == nil && b.values == nil
	}
	for i := range p.nodes {
		at := len(liveAspects) * i
		variance := 0.0
		if floor != nil {
			variance = floor[at] * floor[at]
		}
		for _, c := range columns {
			variance += c[at] * c[at]
		}
		size := max(math.Abs(a.values[at]), math.Abs(b.values[at]), a.values[at+1], b.values[at+1], 0.1)
		if a.scale != nil {
			size = max(size, a.scale[i]/5)
		}
		if math.Abs(a.values[at]-b.values[at]) > max(elseDeviations*math.Sqrt(variance), elseShare*size) {
			return false
		}
	}
	return true
}

// summary is the mean of some samples, with their deviations from it as columns.
func (p *Predictor) summary(group []*outcome) (*outcome, [][]float64) {
	middle := *group[0]
	if middle.values == nil || len(group) == 1 {
		return &middle, nil
	}
	n := float64(len(group))
	middle.values = make([]float64, len(group[0].values))
	for _, o := range group {
		for at, v := range o.values {
			middle.values[at] += v / n
		}
	}
	var columns [][]float64
	for _, o := range group {
		column := make([]float64, len(o.values))
		for at, v := range o.values {
			column[at] = (v - middle.values[at]) / math.Sqrt(n-1)
		}
		columns = append(columns, column)
	}
	return &middle, columns
}

// differences gives the columns of a circuit that is followed over time by turning
// knobs: those that matter most one by one, the others in a few groups to random
// sides, whose effects squared are on average those of the knobs in them. Ranked
// says which matter, most important first.
func (p *Predictor) differences(ctx context.Context, drawn *outcome, ranked []knob, solve solved) ([][]float64, error) {
	var settings [][]setting
	single := min(len(ranked), max(p.set.Samples-2, 1))
	if single < len(ranked) {
		single = max(p.set.Samples-2-groups, 1)
	}
	for _, k := range ranked[:single] {
		settings = append(settings, alone(k))
	}
	if rest := ranked[single:]; len(rest) > 0 {
		for g := range groups {
			settings = append(settings, together(rest, g))
		}
	}
	var columns [][]float64
	for i, set := range settings {
		column, err := p.column(ctx, drawn, set, solve)
		if err != nil {
			return nil, err
		}
		if column == nil {
			continue
		}
		if i >= single {
			for at := range column {
				column[at] /= math.Sqrt(groups)
			}
		}
		columns = append(columns, column)
	}
	return columns, nil
}

// column is what some knobs change when they are turned; nil when the circuit then does
// something else, which is no spread: samples find it.
func (p *Predictor) column(ctx context.Context, drawn *outcome, set []setting, solve solved) ([]float64, error) {
	there, err := solve(ctx, set)
	if err != nil {
		return nil, err
	}
	from, share := drawn, 1.0
	if there.values == nil || there.behaviour != drawn.behaviour || !p.alike(drawn, there, nil, nil) {
		if from, err = solve(ctx, opposite(set)); err != nil || !p.straight(from, drawn, there) {
			return nil, err
		}
		share = 0.5
	}
	column := make([]float64, len(drawn.values))
	for at := range column {
		if p.live.Of[at].Aspect != Frequency || p.free { // a harmonic more or less is no spread
			column[at] = share * (there.values[at] - from.values[at])
		}
	}
	return column, nil
}

// straight reports whether a circuit goes as far to the one side as to the other when
// its knobs are turned there and back, so that what it does is a spread, though a wide
// one: every level, within half of the way.
func (p *Predictor) straight(back, drawn, there *outcome) bool {
	for _, o := range []*outcome{back, there} {
		if o.values == nil || o.behaviour != drawn.behaviour || !slices.Equal(o.blown, drawn.blown) {
			return false
		}
	}
	for i := range p.nodes {
		at := len(liveAspects) * i
		one, other := there.values[at]-drawn.values[at], drawn.values[at]-back.values[at]
		if math.Abs(one-other) > max(math.Abs(one+other)/2, elseShare*max(math.Abs(drawn.values[at]), 0.1)) {
			return false
		}
	}
	return true
}

// groups is the number of groups in which knobs that matter little are turned.
const groups = 3
