package findings

import (
	"cmp"
	"math"
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/flow"
	"halfsplit/quantity"
)

// offMinutes is what it takes to switch off, wait for the charge to go, measure
// a resistance and switch on again. Common practice, no source.
const offMinutes = 3

// usualBound is the standard uncertainty of a reading to come, as a fraction, and
// leastBound the least, in volts or whatever it is in. Common practice, no
// source: a plain multimeter.
const (
	usualBound = 0.006
	leastBound = 0.003
)

// numberTests lists what can be measured at a node of a solved circuit.
func (w *work) numberTests(net int, name string, at spot, scene flow.Scene) []candidate {
	if len(w.sheet.PointsOf(name)) == 0 && !at.reached(name) && w.sheet.Rail(name) == nil {
		return nil
	}
	var list []candidate
	add := func(of flow.Measured, scene flow.Scene, before, after string, minutes float64) {
		if w.numberRead(at, of, scene.Warm) {
			return
		}
		c := candidate{test: flow.Test{Kind: flow.Probe, Net: net, Scene: scene, Section: at.number}, minutes: pinMinutes, what: "read " + name, at: name, probing: true}
		c.test.Number = flow.Number{Output: at.output, To: -1, Of: of}
		if !w.probe(&c, name) {
			return
		}
		c.what = before + c.what + after + w.when(&scene)
		c.minutes += minutes
		list = append(list, c)
	}
	add(flow.Level, scene, "", "", 0)
	if at.rail().Ripple > 0 {
		add(flow.RMS, scene, "", " with the meter on AC", 0)
	}
	off := scene
	off.Off, off.Warm = true, flow.Unknown
	add(flow.Resistance, off, "power off: ", " for its resistance to "+at.circuit.Ground.Text, offMinutes)
	return list
}

// numberRead reports whether a number was read since the last replacement.
func (w *work) numberRead(at spot, of flow.Measured, warm flow.Answer) bool {
	return slices.ContainsFunc(w.observations, func(o observation) bool {
		return o.epoch == w.epoch && o.number != nil && o.section == at.number && o.number.Output == at.output &&
			(o.number.Of == of || of == flow.RMS && o.number.Of == flow.Ripple) && sameWarmth(o.scene.Warm, warm)
	})
}

// mostEdges is the most edges between ranges of an answer in numbers.
const mostEdges = 6

// part finds, for every test whose answer is a number, the ranges that tell the
// explanations apart, and leaves out those where there are none.
func (w *work) part(sets []diagnosis.Explanation, candidates []candidate) []candidate {
	foreteller := w.evidence.Foreteller(nil)
	for i := range candidates {
		t := &candidates[i].test
		if t.Kind != flow.Probe || !w.isNumber(t) {
			continue
		}
		var list []outlook
		for _, e := range sets[:min(60, len(sets))] {
			if e.Undescribed || len(e.Ways) == 0 && len(e.Items) > 0 {
				continue
			}
			var faults []int
			if len(e.Ways) > 0 {
				faults = e.Ways[0].Faults
			}
			weights, means, deviations := foreteller.Expect(t.Section, t.Number, faults, &t.Scene)
			for k, weight := range weights {
				if deviations[k] < anything {
					list = append(list, outlook{e.Probability * weight, means[k], deviations[k]})
				}
			}
		}
		size := 0.0
		for _, o := range list {
			size = math.Max(size, math.Abs(o.mean))
		}
		t.Number.U = math.Max(usualBound*size, leastBound*math.Min(size, 1))
		t.Edges = edges(list, t.Number.U)
	}
	return slices.DeleteFunc(candidates, func(c candidate) bool {
		return c.test.Kind == flow.Probe && w.isNumber(&c.test) && len(c.test.Edges) == 0
	})
}

// isNumber reports whether a probe is of a solved circuit.
func (w *work) isNumber(t *flow.Test) bool {
	_, _, ok := w.model.Section(t.Net)
	return ok
}

// outlook is one thing that a number may be.
type outlook struct{ weight, mean, deviation float64 }

// edges are values that part what a number may be into ranges that tell one
// thing from another: in the widest gaps, counted in standard deviations, and
// where there are hardly any, so that each range is about as likely.
func edges(list []outlook, u float64) []float64 {
	slices.SortFunc(list, func(a, b outlook) int { return cmp.Compare(a.mean, b.mean) })
	type gap struct{ value, worth float64 }
	var gaps []gap
	total := 0.0
	for _, o := range list {
		total += o.weight
	}
	below := 0.0
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		below += a.weight
		da, db := a.deviation+u, b.deviation+u
		if wide := (b.mean - a.mean) / (da + db); wide > 1.5 {
			lesser := math.Min(below, total-below)
			gaps = append(gaps, gap{a.mean + (b.mean-a.mean)*da/(da+db), math.Min(wide, 5) * math.Sqrt(lesser/total)})
		}
	}
	slices.SortFunc(gaps, func(a, b gap) int { return cmp.Compare(b.worth, a.worth) })
	var values []float64
	for _, g := range gaps[:min(mostEdges, len(gaps))] {
		values = append(values, g.value)
	}
	if len(values) < 2 {
		below = 0
		next := total / 4
		for _, o := range list {
			if below += o.weight; below >= next && o.mean < list[len(list)-1].mean {
				values = append(values, o.mean+2*(o.deviation+u))
				next = below + total/4
			}
		}
	}
	slices.Sort(values)
	return slices.Compact(values)
}

// rangeText says what range of numbers an answer is.
func rangeText(t *flow.Test, answer int) string {
	unit, suffix := quantity.Volt, ""
	switch t.Number.Of {
	case flow.Resistance:
		unit = quantity.Ohm
	case flow.Frequency:
		unit = quantity.Hertz
	case flow.RMS, flow.Ripple:
		suffix = " AC"
	}
	figure := func(i int) string { return quantity.FormatDigits(t.Edges[i], unit, 2) + suffix }
	switch {
	case answer == 0:
		return "below " + figure(0)
	case answer == len(t.Edges):
		return "above " + figure(answer-1)
	}
	return figure(answer-1) + " to " + figure(answer)
}
