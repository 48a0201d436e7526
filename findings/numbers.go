package findings

import (
	"fmt"
	"math"

	"halfsplit/flow"
	"halfsplit/logbook"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/signal"
)

// spot is a place in a solved circuit.
type spot struct {
	*simulated
	number, output int
}

// spot gives the place of a signal in a solved circuit.
func (w *work) spot(p place) (spot, bool) {
	if !p.ok || len(w.sections) == 0 {
		return spot{}, false
	}
	number, output, ok := w.model.Section(p.net)
	if !ok {
		return spot{}, false
	}
	return spot{w.sections[number], number, output}, true
}

// rail is what should be there.
func (s spot) rail() prediction.Rail { return s.rails[s.output] }

// numbered takes in numbers that were read in a solved circuit. It reports false
// where the numbers say nothing that the circuit foretells.
func (w *work) numbered(e *logbook.Entry, p place, scene flow.Scene, numbers []reading, text string) bool {
	at, ok := w.spot(p)
	if !ok {
		return false
	}
	n := flow.Number{Output: at.output, To: -1}
	first := numbers[0]
	switch {
	case first.quantity.Unit == quantity.Ohm && scene.Off:
		n.Of = flow.Resistance
	case scene.Off:
		return false
	case first.quantity.Unit == quantity.Hertz:
		n.Of = flow.Frequency
	case first.quantity.Unit != quantity.Volt:
		return false
	case first.mode == "p-p":
		n.Of = flow.Ripple
	case first.ac():
		n.Of = flow.RMS
	}
	source := 0.0
	if p.point != nil && p.point.Source != nil {
		source = p.point.Source.Value
	}
	m, _, err := w.measure(e.With.Text, numbers, source)
	if err != nil {
		w.fail(e, err)
		return true
	}
	estimate, err := m.Estimate()
	if err != nil {
		w.fail(e, err)
		return true
	}
	n.Value, n.U = estimate.Value, math.Max(estimate.U, 1e-9)
	if e.Doubtful { // it counts half
		n.U = math.Hypot(n.U, doubtfulShare*math.Abs(n.Value))
	}
	mean, deviation := w.sound(at, n, &scene)
	l := at.speaks(n, mean, deviation)
	w.evidence.Numbered(scene, flow.NumberReading{Section: at.number, Number: n, Likelihood: l})
	w.note(e, text, scene, p, goodness(l))
	o := &w.observations[len(w.observations)-1]
	o.noise = n.Of == flow.Ripple || n.Of == flow.RMS
	o.number, o.section = &n, at.number
	return true
}

// doubtfulShare is the standard uncertainty of a doubtful reading, as a fraction
// of it. Common practice, no source.
const doubtfulShare = 0.3

// sound is what the circuit would read with nothing wrong.
func (w *work) sound(at spot, n flow.Number, scene *flow.Scene) (mean, deviation float64) {
	bench := w.model.Circumstances(at.number, scene)
	return at.solver.Ways(&bench)[0].Expect(n, nil)
}

// speaks tells how a number speaks of the state of its net, in density, where
// that is all one has to go by: with the trouble outside of what is described,
// or beside the circuit.
func (s spot) speaks(n flow.Number, mean, deviation float64) signal.Likelihood {
	switch n.Of {
	case flow.Level:
		return signal.FromNumber(n.Value, n.U, s.rail().Expectation)
	case flow.Ripple, flow.RMS:
		limit := math.Max(1.5*mean, 3*deviation)
		if n.Of == flow.Ripple && s.rail().Ripple > 0 {
			limit = s.rail().Ripple
		}
		return signal.FromAlternating(n.Value, n.U, limit)
	}
	half := math.Max(3*deviation, 0.1*math.Abs(mean))
	return signal.FromNumber(n.Value, n.U, signal.Expectation{Nominal: mean, Low: mean - half, High: mean + half})
}

// Fits reports whether what was read lies within three standard deviations of
// what is foretold.
func (f *Foretold) Fits() bool {
	return math.Abs(f.Read-f.Mean) <= 3*math.Hypot(f.Deviation, f.U)
}

// foretold lists the numbers that were read in circuits beside what a set of
// faults would make of them.
func (w *work) foretold(set []int) []Foretold {
	var list []Foretold
	foreteller := w.evidence.Foreteller(nil)
	for i := range w.observations {
		o := &w.observations[i]
		if o.number == nil {
			continue
		}
		f := Foretold{Line: o.entry.Place.Line, At: o.place.name, Of: o.number.Of.String(), Unit: o.unit(), Read: o.number.Value, U: o.number.U}
		f.Mean, f.Deviation = nearest(foreteller, o, set)
		f.Sound, f.Spread = nearest(foreteller, o, nil)
		list = append(list, f)
	}
	return list
}

// nearest is what a number would be in the way that fits it best, weighed by how
// likely that way is.
func nearest(f *flow.Foreteller, o *observation, set []int) (mean, deviation float64) {
	weights, means, deviations := f.Expect(o.section, *o.number, set, &o.scene)
	best := math.Inf(-1)
	for i, weight := range weights {
		d := math.Hypot(deviations[i], o.number.U)
		z := (o.number.Value - means[i]) / d
		if fit := math.Log(weight) - math.Log(d) - math.Min(z*z/2, 20); fit > best {
			best, mean, deviation = fit, means[i], deviations[i]
		}
	}
	return mean, deviation
}

// orExpected fills in what a point should read from the sound circuit, where
// neither sheet nor case says so.
func (w *work) orExpected(x *expected, p place) {
	at, ok := w.spot(p)
	if !ok || x.value != nil || x.word != "" {
		return
	}
	rail := at.rail()
	x.value = &quantity.Quantity{Value: rounded(rail.Nominal), Unit: quantity.Volt}
	x.limit.Low, x.limit.High = rail.Low, rail.High
	x.limit.Source = fmt.Sprintf("the circuit %q, solved", at.name)
}

// farOff is how many standard deviations a number must be from all that single
// faults make of it to count as impossible.
const farOff = 6

// impossible reports numbers that no single fault of the circuit gives, by far.
func (w *work) impossible() {
	foreteller := w.evidence.Foreteller(nil)
	for i := range w.observations {
		o := &w.observations[i]
		if o.number == nil {
			continue
		}
		off := func(faults []int) (z, mean float64) {
			mean, deviation := nearest(foreteller, o, faults)
			return math.Abs(o.number.Value-mean) / math.Hypot(deviation, o.number.U), mean
		}
		nearestOff, nearestMean := off(nil)
		sound, who := nearestMean, "nothing wrong"
		for f, c := range w.model.Candidates {
			if section, _, ok := w.model.Failing(f); !ok || section != o.section {
				continue
			}
			z, mean := off([]int{f})
			nearestOff = math.Min(nearestOff, z)
			if math.Abs(o.number.Value-mean) < math.Abs(o.number.Value-nearestMean) {
				nearestMean, who = mean, w.model.Items[c.Item].Name+" "+c.Name
			}
		}
		if lead := w.lead(); lead != nil {
			if z, _ := off(lead); z < farOff {
				continue
			}
		}
		if nearestOff >= farOff {
			unit := o.unit()
			w.report.Disputes = append(w.report.Disputes, Dispute{[]int{o.entry.Place.Line}, fmt.Sprintf(
				"%s: no single fault of the circuit gives that (sound: %s; nearest: %s with %s): misread, two faults at once, or something beyond the circuit",
				o.text, quantity.FormatDigits(sound, unit, 3), quantity.FormatDigits(nearestMean, unit, 3), who)})
		}
	}
}

// rounded keeps four digits of a value that was worked out.
func rounded(x float64) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	scale := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

// unit is what a number is in.
func (o *observation) unit() quantity.Unit {
	switch o.number.Of {
	case flow.Frequency:
		return quantity.Hertz
	case flow.Resistance:
		return quantity.Ohm
	}
	return quantity.Volt
}
