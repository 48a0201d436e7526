package findings

import (
	"cmp"
	"slices"

	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
)

// Bench makes the bench of a sheet for a rehearsal: the faults that the sheet
// describes, with every reading within reach, every check and every test of a
// part by itself, at their times; chilling, warming and pressing parts, and good
// chips piggybacked, while the output complained of is watched. Trial swaps are not
// played. A sheet in which nothing depends on anything is a form.Problems.
func Bench(s *sheet.Sheet) (*rehearsal.NetworkBench, error) {
	description := network(s, nil)
	model, err := flow.Compile(description)
	if err != nil {
		return nil, form.Problems{{File: s.File(), Message: err.Error()}}
	}
	if len(model.Items) == 0 {
		return nil, form.Problems{{File: s.File(), Message: "nothing is described that could be at fault; a rehearsal needs rails, blocks or parts that depend on one another"}}
	}
	w := &work{sheet: s, logCase: &logbook.Case{}, model: model, report: &Report{}}
	w.compileChecks()
	places := positions(description)
	network := rehearsal.Network{Model: model, Replace: w.swapCosts(), Lost: lostMinutes, Undescribed: undescribed, Outputs: outputs(description, model)}
	list := w.candidates()
	for i, item := range model.Items {
		list = append(list, w.itemTests(i, item, w.now(), place{name: complained, ok: true}, true)...)
	}
	for _, c := range list {
		if c.test.Kind == flow.Replace {
			continue
		}
		position := -1
		if c.test.Kind == flow.Probe {
			position = places[model.Nets()[c.test.Net]]
		}
		var after *rehearsal.Answered
		if c.again { // it follows the test by itself
			after = &rehearsal.Answered{Test: len(network.Tests) - 1}
		}
		network.Tests = append(network.Tests, rehearsal.NetworkTest{Test: c.test, Name: c.what, After: after, Cost: c.minutes + setUp, Position: position, Watched: c.test.Kind == flow.Condition})
	}
	bench, err := rehearsal.FromNetwork(network)
	if err != nil {
		return nil, form.Problems{{File: s.File(), Message: err.Error()}}
	}
	return bench, nil
}

// complained is what is watched while something is done to a part.
const complained = "what was complained of"

// outputs are the nets that nothing reads: what the user of the unit sees.
func outputs(d flow.Description, model *flow.Model) []int {
	read := map[string]bool{}
	for _, b := range d.Blocks {
		for _, n := range slices.Concat(b.Inputs, b.Supplies) {
			read[n] = true
		}
	}
	var list []int
	for n, name := range model.Nets() {
		if !read[name] {
			list = append(list, n)
		}
	}
	if len(list) == 0 { // all in one loop
		for n := range model.Nets() {
			list = append(list, n)
		}
	}
	return list
}

// positions ranks the nets along the way from what comes in to what goes out:
// by the longest way to each that enters no loop twice.
func positions(d flow.Description) map[string]int {
	drivers := map[string][]int{}
	var names []string
	note := func(name string) {
		if _, known := drivers[name]; !known {
			drivers[name] = nil
			names = append(names, name)
		}
	}
	for i, b := range d.Blocks {
		for _, n := range b.Outputs {
			note(n)
			drivers[n] = append(drivers[n], i)
		}
	}
	for _, s := range d.Sources {
		note(s.Net)
	}
	depth := map[string]int{}
	var visit func(name string) int
	visit = func(name string) int {
		if deep, known := depth[name]; known {
			return deep
		}
		depth[name] = 0 // met again within a loop
		deep := 0
		for _, i := range drivers[name] {
			for _, in := range slices.Concat(d.Blocks[i].Inputs, d.Blocks[i].Supplies) {
				deep = max(deep, 1+visit(in))
			}
		}
		depth[name] = deep
		return deep
	}
	for _, name := range names {
		visit(name)
	}
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(depth[a], depth[b]) })
	places := map[string]int{}
	for i, name := range names {
		places[name] = i
	}
	return places
}
