package findings

import (
	"math"
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/flow"
	"halfsplit/prediction"
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

// part finds, for every test whose answer is a number, the ranges that tell the
// explanations apart, and leaves out those where there are none.
func (w *work) part(sets []diagnosis.Explanation, candidates []candidate) []candidate {
	foreteller := w.evidence.Foreteller(nil)
	for i := range candidates {
		t := &candidates[i].test
		if t.Kind != flow.Probe || !w.isNumber(t) {
			continue
		}
		var list []prediction.Outlook
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
					list = append(list, prediction.Outlook{Weight: e.Probability * weight, Mean: means[k], Deviation: deviations[k]})
				}
			}
		}
		size := 0.0
		for _, o := range list {
			size = math.Max(size, math.Abs(o.Mean))
		}
		t.Number.U = math.Max(usualBound*size, leastBound*math.Min(size, 1))
		t.Edges = prediction.Edges(list, t.Number.U)
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
