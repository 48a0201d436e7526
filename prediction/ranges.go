package prediction

import (
	"cmp"
	"math"
	"slices"
)

// mostEdges is the most edges between ranges of an answer in numbers.
const mostEdges = 6

// Outlook is one thing that a number may be: its weight, mean and standard
// deviation.
type Outlook struct{ Weight, Mean, Deviation float64 }

// Edges are values, ascending, that part what a number may be into ranges that tell one
// thing from another: in the widest gaps, counted in standard deviations, and
// where there are hardly any, so that each range is about as likely. The meter adds
// a standard uncertainty u. The list is put in the order of its means.
func Edges(list []Outlook, u float64) []float64 {
	slices.SortFunc(list, func(a, b Outlook) int { return cmp.Compare(a.Mean, b.Mean) })
	type gap struct{ value, worth float64 }
	var gaps []gap
	total := 0.0
	for _, o := range list {
		total += o.Weight
	}
	below := 0.0
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		below += a.Weight
		da, db := a.Deviation+u, b.Deviation+u
		if wide := (b.Mean - a.Mean) / (da + db); wide > 1.5 {
			lesser := math.Min(below, total-below)
			gaps = append(gaps, gap{a.Mean + (b.Mean-a.Mean)*da/(da+db), math.Min(wide, 5) * math.Sqrt(lesser/total)})
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
			if below += o.Weight; below >= next && o.Mean < list[len(list)-1].Mean {
				values = append(values, o.Mean+2*(o.Deviation+u))
				next = below + total/4
			}
		}
	}
	slices.Sort(values)
	return slices.Compact(values)
}
