package flow_test

import (
	"context"
	"strings"
	"testing"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// kind is the kind of that name.
func kind(name string) fault.Kind {
	k, ok := fault.Find(name)
	if !ok {
		panic("no kind is called " + name)
	}
	return k
}

// block writes a block in a line: nets are separated by spaces.
func block(name, kindName, in, out, supply string) flow.Block {
	return flow.Block{
		Name: name, Kind: kind(kindName),
		Inputs: strings.Fields(in), Outputs: strings.Fields(out), Supplies: strings.Fields(supply),
	}
}

// source writes a net that comes from outside.
func source(kindName, net string) flow.Source {
	return flow.Source{Name: "source of " + net, Net: net, Kind: kind(kindName)}
}

// across writes a part across a net.
func across(part, kindName, net string) flow.Shunt {
	return flow.Shunt{Part: flow.Part{Name: part, Kind: kind(kindName)}, Net: net}
}

// unit is a unit on the bench: its description compiled, and what was read.
type unit struct {
	t testing.TB
	m *flow.Model
	e *flow.Evidence
}

func onBench(t testing.TB, d flow.Description) *unit {
	t.Helper()
	m, err := flow.Compile(d)
	if err != nil {
		t.Fatal(err)
	}
	u := &unit{t, m, m.NewEvidence()}
	u.e.Complained() // a unit on the bench does not work as it should
	return u
}

func (u *unit) net(name string) int {
	u.t.Helper()
	n, ok := u.m.Net(name)
	if !ok {
		u.t.Fatalf("no net is called %q", name)
	}
	return n
}

func (u *unit) item(name string) int {
	u.t.Helper()
	i, ok := u.m.Item(name)
	if !ok {
		u.t.Fatalf("no item is called %q", name)
	}
	return i
}

func (u *unit) block(name string) int {
	u.t.Helper()
	b, ok := u.m.Block(name)
	if !ok {
		u.t.Fatalf("no block is called %q", name)
	}
	return b
}

// fault is the candidate of that item whose name begins so, the first of them
// that leaves its output in the state, where one is named.
func (u *unit) fault(itemName, mode string, state ...signal.State) int {
	u.t.Helper()
	item := u.item(itemName)
	for f, c := range u.m.Candidates {
		if c.Item == item && strings.HasPrefix(c.Name, mode) && (len(state) == 0 || c.Mode.Output[state[0]] == 1) {
			return f
		}
	}
	u.t.Fatalf("%s has no fault %q %v", itemName, mode, state)
	return 0
}

// likelihood is that of a word.
func likelihood(t testing.TB, word string) signal.Likelihood {
	t.Helper()
	l, ok := signal.FromWord(word, signal.Slip)
	if !ok {
		t.Fatalf("%q is no word of the bench", word)
	}
	return l
}

// reads enters readings in words, each as "net: word".
func (u *unit) reads(scene flow.Scene, readings ...string) {
	u.t.Helper()
	for _, r := range readings {
		net, word, _ := strings.Cut(r, ": ")
		u.e.Read(scene, flow.Reading{Net: u.net(net), Likelihood: likelihood(u.t, word)})
	}
}

// foretold is what a net does under faults in a scene.
func (u *unit) foretold(net string, scene flow.Scene, faults ...int) signal.Spread {
	u.t.Helper()
	state := u.m.NewState()
	state.Foretell(faults, &scene)
	return state.Nets[u.net(net)]
}

// problem is the diagnosis that goes with the evidence.
func (u *unit) problem() diagnosis.Problem {
	p := diagnosis.Problem{Items: len(u.m.Items), Undescribed: 0.02, Model: u.e}
	for _, c := range u.m.Candidates {
		p.Faults = append(p.Faults, diagnosis.Fault{Item: c.Item, Prior: c.Prior})
	}
	return p
}

// explanations are what explains the evidence, by falling probability.
func (u *unit) explanations() []diagnosis.Explanation {
	u.t.Helper()
	problem := u.problem()
	posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{Sets: 2000, Size: 3, Beam: 20})
	if err != nil {
		u.t.Fatal(err)
	}
	return posterior.Explanations(&problem)
}

// suspicion is the probability, for each item, that it has a part in the
// trouble.
func (u *unit) suspicion() map[string]float64 {
	u.t.Helper()
	named := map[string]float64{}
	for i, p := range diagnosis.Suspicion(u.explanations(), len(u.m.Items)) {
		named[u.m.Items[i].Name] = p
	}
	return named
}

// suspects checks the bounds of suspicion: at least the first for those named
// together, at most the second for each other item.
func (u *unit) suspects(together, other float64, items ...string) {
	u.t.Helper()
	sum := 0.0
	suspicion := u.suspicion()
	for _, name := range items {
		u.item(name)
		sum += suspicion[name]
		delete(suspicion, name)
	}
	if sum < together {
		u.t.Errorf("%s: suspicion %.3f together, want at least %v", strings.Join(items, ", "), sum, together)
	}
	for name, p := range suspicion {
		if p > other {
			u.t.Errorf("%s: suspicion %.3f, want at most %v", name, p, other)
		}
	}
}

// likeliest is the first way of the best explanation, in words.
func (u *unit) likeliest() string {
	u.t.Helper()
	best := u.explanations()[0]
	if best.Undescribed {
		return "something not described"
	}
	return strings.Join(names(u.m, best.Ways[0].Faults), ", ")
}
