package flow_test

import (
	"fmt"
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"
)

// terminal describes a unit of 60 blocks such as one finds in a display
// terminal: a supply with a fuse, a rectifier and three regulators, a
// processor with a bus of six drivers, a feedback loop, and four chains of
// chips, stages and joints that live on the rails.
func terminal() flow.Description {
	d := flow.Description{Sources: []flow.Source{{Name: "mains side", Net: "secondary", Kind: kind("supply")}}}
	add := func(name, kindName, in, out, supply string) {
		d.Blocks = append(d.Blocks, block(name, kindName, in, out, supply))
	}
	add("F1", "fuse", "secondary", "fused", "")
	add("D1", "rectifier", "fused", "raw", "")
	add("U1", "regulator", "raw", "+5", "")
	add("U2", "regulator", "raw", "+12", "")
	add("U3", "regulator", "raw", "-12", "")
	add("Y1", "oscillator", "", "clock", "+5")
	add("U4", "processor", "clock data", "address control", "+5")
	for i := range 6 {
		add(fmt.Sprintf("U1%d", i), "rom", "address control", "data", "+5")
	}
	add("U20", "chip", "clock hold", "count carry", "+5")
	add("U21", "chip", "count", "hold", "+5")
	last := [4]string{"data", "address", "carry", "control"}
	for i := range 45 {
		kindName, rail := "chip", "+5"
		switch {
		case i%9 == 4:
			kindName = "joint"
		case i%4 == 3:
			kindName, rail = "stage", "+12 -12"
		}
		name := fmt.Sprintf("S%d", i)
		if kindName == "joint" {
			rail = ""
		}
		add(name, kindName, last[i%4], "out "+name, rail)
		d.Blocks[len(d.Blocks)-1].Outputs = []string{"out of " + name}
		d.Blocks[len(d.Blocks)-1].Inputs = []string{last[i%4]}
		last[i%4] = "out of " + name
	}
	d.Shunts = []flow.Shunt{
		{Part: flow.Part{Name: "C1", Kind: kind("electrolytic")}, Net: "raw"},
		{Part: flow.Part{Name: "C2", Kind: kind("tantalum")}, Net: "+5"},
		{Part: flow.Part{Name: "C3", Kind: kind("tantalum")}, Net: "+12"},
	}
	return d
}

// terminalEvidence is twenty readings in three scenes: cold, warm, and warm
// with a joint pressed.
func terminalEvidence(m *flow.Model) *flow.Evidence {
	e := m.NewEvidence()
	joint, _ := m.Item("S4")
	scenes := []flow.Scene{{Warm: flow.No}, {Warm: flow.Yes}, {Warm: flow.Yes, Pressed: []int{joint}}}
	words := []string{"good", "good", "bad", "idle", "good", "wrong", "low"}
	for i := range 20 {
		net, ok := m.Net(fmt.Sprintf("out of S%d", (i*7)%45))
		if !ok {
			panic("no such net")
		}
		l, _ := signal.FromWord(words[i%len(words)], signal.Slip)
		e.Read(scenes[i%3], flow.Reading{Net: net, Likelihood: l})
	}
	return e
}

func compiled(b testing.TB, d flow.Description) *flow.Model {
	b.Helper()
	m, err := flow.Compile(d)
	if err != nil {
		b.Fatal(err)
	}
	return m
}

func BenchmarkLogLikelihoodSingles(b *testing.B) {
	m := compiled(b, terminal())
	e := terminalEvidence(m)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		e.LogLikelihood([]int{n % len(m.Candidates)})
		n++
	}
}

func BenchmarkLogLikelihoodPairs(b *testing.B) {
	m := compiled(b, terminal())
	e := terminalEvidence(m)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		first, second := n%len(m.Candidates), (n*7919+211)%len(m.Candidates)
		n++
		if m.Candidates[first].Item == m.Candidates[second].Item {
			continue
		}
		e.LogLikelihood([]int{min(first, second), max(first, second)})
	}
}

func BenchmarkForetell(b *testing.B) {
	m := compiled(b, terminal())
	state, scene := m.NewState(), flow.Scene{}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		state.Foretell([]int{n % len(m.Candidates)}, &scene)
		n++
	}
}

func BenchmarkHelping(b *testing.B) {
	m := compiled(b, terminal())
	e := terminalEvidence(m)
	e.Helping(nil) // weighs every fault alone, once
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		e.Helping([]int{n % len(m.Candidates)})
		n++
	}
}

func BenchmarkChances(b *testing.B) {
	m := compiled(b, terminal())
	e := terminalEvidence(m)
	scene := flow.Scene{Warm: flow.Yes}
	tests := make([]flow.Test, 0, len(m.Nets()))
	for n := range m.Nets() {
		tests = append(tests, flow.Test{Kind: flow.Probe, Net: n, Scene: scene})
	}
	f := e.Foreteller(tests)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		f.Chances([]int{n % len(m.Candidates)})
		n++
	}
}
