package flow_test

import (
	"context"
	"fmt"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// voiceFour is the path of voice four of a Corvane P6, as far as it is known.
func voiceFour() (*flow.Model, error) {
	kind := func(name string) fault.Kind {
		k, _ := fault.Find(name)
		return k
	}
	return flow.Compile(flow.Description{
		Sources: []flow.Source{
			{Name: "source of +15", Net: "+15", Kind: kind("supply")},
			{Name: "keyboard", Net: "pitch", Kind: kind("board")},
		},
		Blocks: []flow.Block{
			{Name: "oscillator", Kind: kind("stage"), Inputs: []string{"pitch"}, Outputs: []string{"tone"}, Supplies: []string{"+15"}},
			{Name: "filter", Kind: kind("op-amp"), Inputs: []string{"tone"}, Outputs: []string{"filtered"}, Supplies: []string{"+15"}},
			{Name: "J4", Kind: kind("connector"), Inputs: []string{"filtered"}, Outputs: []string{"voice"}},
			{Name: "mixer", Kind: kind("op-amp"), Inputs: []string{"voice"}, Outputs: []string{"audio"}, Supplies: []string{"+15"}},
		},
		Shunts: []flow.Shunt{{Part: flow.Part{Name: "C7", Kind: kind("tantalum")}, Net: "+15"}},
	})
}

// What would a dead filter do to the rest?
func ExampleState_Foretell() {
	m, err := voiceFour()
	if err != nil {
		fmt.Println(err)
		return
	}
	filter, _ := m.Item("filter")
	for f, c := range m.Candidates {
		if c.Item != filter || c.Name != "dead" {
			continue
		}
		state := m.NewState()
		state.Foretell([]int{f}, &flow.Scene{})
		for _, name := range []string{"tone", "filtered", "voice", "audio"} {
			net, _ := m.Net(name)
			fmt.Printf("%s: good %.2f, absent %.2f\n", name, state.Nets[net][signal.Good], state.Nets[net][signal.Absent])
		}
		break
	}
	// Output:
	// tone: good 1.00, absent 0.00
	// filtered: good 0.00, absent 1.00
	// voice: good 0.00, absent 0.90
	// audio: good 0.03, absent 0.67
}

// Voice four is silent. The rail is right and there is a tone at the filter's
// input, but nothing behind it. Which part?
func ExampleEvidence() {
	m, err := voiceFour()
	if err != nil {
		fmt.Println(err)
		return
	}
	e := m.NewEvidence()
	e.Complained()
	for _, reading := range []struct{ net, word string }{
		{"audio", "silent"}, {"+15", "good"}, {"tone", "good"}, {"filtered", "nothing"},
	} {
		net, _ := m.Net(reading.net)
		likelihood, _ := signal.FromWord(reading.word, signal.Slip)
		e.Read(flow.Scene{}, flow.Reading{Net: net, Likelihood: likelihood})
	}
	problem := diagnosis.Problem{Items: len(m.Items), Undescribed: 0.05, Model: e}
	for _, c := range m.Candidates {
		problem.Faults = append(problem.Faults, diagnosis.Fault{Item: c.Item, Prior: c.Prior})
	}
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Size: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, p := range diagnosis.Suspicion(posterior.Explanations(&problem), len(m.Items)) {
		switch {
		case p > 0.5:
			fmt.Println("likely:", m.Items[i].Name)
		case p > 0.08:
			fmt.Println("possible:", m.Items[i].Name)
		}
	}
	// Output:
	// likely: filter
	// possible: J4
}

// The output is silent and nothing else is known. What would the next readings
// say, if the filter were dead?
func ExampleForeteller() {
	m, err := voiceFour()
	if err != nil {
		fmt.Println(err)
		return
	}
	e := m.NewEvidence()
	filter, _ := m.Item("filter")
	filtered, _ := m.Net("filtered")
	tests := []flow.Test{
		{Kind: flow.Probe, Net: filtered, Level: true},
		{Kind: flow.Measure, Item: filter},
	}
	for f, c := range m.Candidates {
		if c.Item != filter || c.Name != "dead" {
			continue
		}
		chances := e.Foreteller(tests).Chances([]int{f})
		for a, state := range flow.Levels() {
			if p := chances[0][a]; p > 0.05 {
				fmt.Printf("read filtered: %v, %.0f times in ten\n", state, 10*p)
			}
		}
		fmt.Printf("take out and test the filter: bad %.0f %%\n", 100*chances[1][0])
		break
	}
	// Output:
	// read filtered: absent, 8 times in ten
	// read filtered: low, 2 times in ten
	// take out and test the filter: bad 85 %
}
