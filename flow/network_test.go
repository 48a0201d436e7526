package flow_test

import (
	"fmt"

	"halfsplit/flow"

	"pgregory.net/rapid"
)

// drawNetwork draws a small unit: sources, blocks of mixed kinds with one or
// two outputs, some with rails or with parts inside, now and then a bus, and
// parts across nets. Every input of a block comes from before it, so that
// nothing feeds back, unless loops are asked for.
func drawNetwork(t *rapid.T, most int, loops bool) flow.Description {
	kinds := []string{"chip", "driver", "stage", "regulator", "joint", "connector", "op-amp", "rectifier", "static ram", "transistor", "supply", "transformer"}
	var d flow.Description
	var nets []string
	read := map[string]bool{}
	add := func() string {
		nets = append(nets, fmt.Sprintf("n%d", len(nets)))
		return nets[len(nets)-1]
	}
	some := func(label string, from, to int) []string {
		var list []string
		for range rapid.IntRange(from, to).Draw(t, label) {
			n := rapid.SampledFrom(nets).Draw(t, label)
			list = append(list, n)
			read[n] = true
		}
		return list
	}
	for i := range rapid.IntRange(1, 2).Draw(t, "sources") {
		d.Sources = append(d.Sources, flow.Source{Name: fmt.Sprintf("source %d", i), Net: add(), Kind: kind(rapid.SampledFrom([]string{"supply", "stage", "oscillator"}).Draw(t, "kind"))})
	}
	for i := range rapid.IntRange(2, most).Draw(t, "blocks") {
		b := flow.Block{
			Name: fmt.Sprintf("B%d", i), Kind: kind(rapid.SampledFrom(kinds).Draw(t, "kind")),
			Inputs: some("inputs", 0, 2), Supplies: some("supplies", 0, 1),
			Odds: rapid.SampledFrom([]float64{0, 0, 3}).Draw(t, "odds"),
		}
		bus := ""
		for _, n := range nets[len(d.Sources):] {
			if !read[n] && rapid.IntRange(0, 5).Draw(t, "bus") == 0 {
				bus = n
			}
		}
		switch {
		case bus != "":
			b.Outputs = []string{bus}
		case rapid.IntRange(0, 3).Draw(t, "outputs") == 0:
			b.Outputs = []string{add(), add()}
		default:
			b.Outputs = []string{add()}
		}
		if rapid.IntRange(0, 4).Draw(t, "parts") == 0 {
			b.Parts = []flow.Part{{Name: b.Name + " Q1", Kind: kind("transistor")}, {Name: b.Name + " C1", Kind: kind("electrolytic")}}
		}
		d.Blocks = append(d.Blocks, b)
	}
	if loops {
		for range rapid.IntRange(1, 2).Draw(t, "loops") {
			b := &d.Blocks[rapid.IntRange(0, len(d.Blocks)-1).Draw(t, "fed back to")]
			b.Inputs = append(b.Inputs, rapid.SampledFrom(nets).Draw(t, "fed back"))
		}
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "shunts") {
		d.Shunts = append(d.Shunts, flow.Shunt{
			Part: flow.Part{Name: fmt.Sprintf("C%d", i), Kind: kind(rapid.SampledFrom([]string{"tantalum", "electrolytic", "zener"}).Draw(t, "kind"))},
			Net:  rapid.SampledFrom(nets).Draw(t, "across"),
		})
	}
	return d
}

// drawSet draws a set of up to so many faults, at most one for each item, in
// ascending order.
func drawSet(t *rapid.T, m *flow.Model, most int) []int {
	var set []int
	bad := map[int]bool{}
	next := 0
	for range rapid.IntRange(0, most).Draw(t, "faults") {
		if next == len(m.Candidates) {
			break
		}
		f := rapid.IntRange(next, len(m.Candidates)-1).Draw(t, "fault")
		if item := m.Candidates[f].Item; !bad[item] {
			bad[item] = true
			set = append(set, f)
		}
		next = f + 1
	}
	return set
}

// drawScene draws a state of the unit. Half the time nothing is done to parts.
func drawScene(t *rapid.T, m *flow.Model, blocks int) flow.Scene {
	s := flow.Scene{Warm: flow.Answer(rapid.IntRange(0, 2).Draw(t, "warm"))}
	item := func(label string, odds int) []int {
		if rapid.IntRange(1, odds).Draw(t, label) > 1 {
			return nil
		}
		return []int{rapid.IntRange(0, len(m.Items)-1).Draw(t, label)}
	}
	s.Replaced, s.Lifted = item("replaced", 4), item("lifted", 5)
	if rapid.IntRange(0, 5).Draw(t, "without") == 0 {
		s.Without = []int{rapid.IntRange(0, blocks-1).Draw(t, "without")}
	}
	if rapid.IntRange(0, 5).Draw(t, "injected") == 0 {
		s.Injected = []int{rapid.IntRange(0, len(m.Nets())-1).Draw(t, "injected")}
	}
	if rapid.Bool().Draw(t, "calm") {
		return s
	}
	s.Chilled, s.Heated, s.Pressed, s.Piggybacked = item("chilled", 3), item("heated", 4), item("pressed", 3), item("piggybacked", 3)
	return s
}
