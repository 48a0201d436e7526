package findings

import (
	"slices"

	"halfsplit/diagnosis"
	"halfsplit/flow"
)

// surer is the test to make before the first suspect is replaced.
type surer struct {
	what, care string
	around     bool // it reads an input, a supply or an output
}

// The least, in bits, that a test must tell of an even doubt between a suspect and
// something not described, to be worth making before the suspect is replaced; and
// the same for a reading of an input, a supply or an output of it. Common practice,
// no source.
const (
	tellsApart  = 0.3
	tellsAround = 0.08
)

// makeSure finds the test that best tells the first suspect from something not
// described, which may act just like it: mostly a test of the part by itself; for one
// that is only likely, also what stands around it. A part that tested bad by itself needs none.
func (w *work) makeSure(table *diagnosis.Table, candidates []candidate, costs []float64, sets []diagnosis.Explanation) {
	first := w.report.first()
	if first == nil {
		return
	}
	item, ok := w.model.Item(first.Name)
	if !ok || w.provedBad(item) > 0 {
		return
	}
	doubt := w.doubt(table, sets, item)
	if doubt == nil {
		return
	}
	inputs, supplies, outputs := w.model.Around(item)
	around := slices.Concat(inputs, supplies, outputs)
	best, most := -1, 0.0
	for i := range candidates {
		c := &candidates[i]
		near := first.Probability < nearlySure && w.reads(c, around)
		if c.test.Kind != flow.Measure && c.test.Kind != flow.Condition && !near {
			continue
		}
		if h, _ := w.held(w.step(c)); h != nil {
			continue
		}
		least := tellsApart
		if near {
			least = tellsAround
		}
		g := doubt.Gain(i)
		if worth := g / (costs[i] + setUp); g >= least && worth > most {
			best, most = i, worth
		}
	}
	if best >= 0 {
		c := &candidates[best]
		w.surer = &surer{what: c.what, care: w.care(c), around: w.reads(c, around)}
	}
}

// reads reports whether a test is a reading of one of the nets.
func (w *work) reads(c *candidate, nets []string) bool {
	return c.test.Kind == flow.Probe && slices.Contains(nets, w.model.Nets()[c.test.Net])
}

// doubt is the table with an even doubt between an item and something not
// described; nil when either is out of the question.
func (w *work) doubt(table *diagnosis.Table, sets []diagnosis.Explanation, item int) *diagnosis.Table {
	weights, class := make([]float64, len(sets)), make([]int, len(sets))
	var total [2]float64 // of something not described, of the item
	for h, e := range sets {
		switch {
		case e.Undescribed:
		case contains(e.Items, item):
			class[h] = 1
		default:
			continue
		}
		weights[h] = e.Probability
		total[class[h]] += e.Probability
	}
	if total[0] == 0 || total[1] == 0 {
		return nil
	}
	for h := range weights {
		weights[h] /= total[class[h]]
	}
	doubt := table.Clone()
	if doubt.Reweigh(weights) != nil || doubt.Join(class) != nil {
		return nil
	}
	return doubt
}
