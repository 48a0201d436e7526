package flow_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

// reference foretells slowly what nets do, from the rules as documented and
// nothing else: everything starts good, and all is worked out again and again
// until nothing changes any more.
type reference struct {
	d flow.Description
	m *flow.Model
}

// blocks are all blocks, sources first, as scenes number them.
func (r reference) blocks() []flow.Block {
	var list []flow.Block
	for _, s := range r.d.Sources {
		list = append(list, flow.Block{Name: s.Name, Kind: s.Kind, Outputs: []string{s.Net}})
	}
	return append(list, r.d.Blocks...)
}

// foretell gives what every net does when the given faults show themselves.
func (r reference) foretell(showing []int, scene flow.Scene) map[string]signal.Spread {
	now := map[string]signal.Spread{}
	for _, n := range r.m.Nets() {
		now[n] = signal.Pure(signal.Good)
	}
	for range 2000 {
		next := map[string]signal.Spread{}
		change := 0.0
		for _, n := range r.m.Nets() {
			next[n] = r.net(n, now, showing, scene)
			for s := range next[n] {
				change = max(change, math.Abs(next[n][s]-now[n][s]))
			}
		}
		now = next
		if change < 1e-13 {
			break
		}
	}
	return now
}

// disconnected: pulled, or the item is lifted that is the whole block.
func (r reference) disconnected(number int, b flow.Block, scene flow.Scene) bool {
	if slices.Contains(scene.Without, number) {
		return true
	}
	return slices.ContainsFunc(scene.Lifted, func(i int) bool {
		return r.m.Items[i].Name == b.Name && r.m.Items[i].Block == b.Name && !r.m.Items[i].Rest
	})
}

// acts tells whether a fault has any effect in the scene.
func (r reference) acts(f int, scene flow.Scene) bool {
	item := r.m.Candidates[f].Item
	if slices.Contains(scene.Replaced, item) || slices.Contains(scene.Lifted, item) {
		return false
	}
	for number, b := range r.blocks() {
		if b.Name == r.m.Items[item].Block && r.disconnected(number, b, scene) {
			return false
		}
	}
	return true
}

// net: fed with a good signal it is good. Otherwise all its drivers that are
// connected act on it, and over them what drags it: a bad part across it, a
// block whose input there is shorted (one of its several inputs is), a block
// that pulls its rail down.
func (r reference) net(name string, now map[string]signal.Spread, showing []int, scene flow.Scene) signal.Spread {
	number, _ := r.m.Net(name)
	if slices.Contains(scene.Injected, number) {
		return signal.Pure(signal.Good)
	}
	var drivers, drags []signal.Spread
	for number, b := range r.blocks() {
		if !slices.Contains(b.Outputs, name) || r.disconnected(number, b, scene) {
			continue
		}
		drivers = append(drivers, r.output(b, name, now, showing, scene))
	}
	for _, f := range showing {
		if !r.acts(f, scene) {
			continue
		}
		c, item := r.m.Candidates[f], r.m.Items[r.m.Candidates[f].Item]
		if item.Net == name && item.Block == "" && c.Mode.Output.Said() {
			drags = append(drags, c.Mode.Output)
		}
		for _, b := range r.blocks() {
			if b.Name != item.Block {
				continue
			}
			inputs := unique(b.Inputs)
			if c.Mode.Input.Said() && slices.Contains(inputs, name) {
				var one signal.Spread
				for s, p := range c.Mode.Input {
					one[s] = p / float64(len(inputs))
				}
				one[signal.Good] += 1 - 1/float64(len(inputs))
				drags = append(drags, one)
			}
			if c.Mode.Supply.Said() && slices.Contains(b.Supplies, name) {
				drags = append(drags, c.Mode.Supply)
			}
		}
	}
	if len(drivers) == 0 {
		return laidOver(drags, signal.Pure(signal.Absent))
	}
	return laidOver(drags, together(drivers))
}

// output: what the block's own faults leave alone follows its inputs and rails.
func (r reference) output(b flow.Block, out string, now map[string]signal.Spread, showing []int, scene flow.Scene) signal.Spread {
	var causes, echoes, own []signal.Spread
	cause := func(n string, effect signal.Spread) {
		if r.follows(b.Outputs, n) {
			echoes = append(echoes, effect)
		} else {
			causes = append(causes, effect)
		}
	}
	for _, n := range unique(b.Inputs) {
		in := now[n]
		cause(n, b.Kind.Follow.Out(&in))
	}
	for _, n := range unique(b.Supplies) {
		in := now[n]
		cause(n, fault.Starved(&in))
	}
	for _, f := range showing {
		c := r.m.Candidates[f]
		if r.m.Items[c.Item].Block != b.Name || !r.acts(f, scene) || !c.Mode.Output.Said() {
			continue
		}
		if len(b.Outputs) > 1 && strings.HasPrefix(c.Name, "output ") && !strings.HasPrefix(c.Name, "output "+out+" ") {
			continue // another output of the chip is bad
		}
		bad := c.Mode.Output
		if slices.Contains(scene.Piggybacked, c.Item) {
			for _, s := range []signal.State{signal.Floating, signal.Absent} {
				bad[signal.Good] += flow.Helps * bad[s]
				bad[s] -= flow.Helps * bad[s]
			}
		}
		own = append(own, bad)
	}
	return laidOver(own, together(causes, echoes...))
}

// follows tells whether a net depends on any of the given ones.
func (r reference) follows(from []string, net string) bool {
	reached := slices.Clone(from)
	for i := 0; i < len(reached); i++ {
		for _, b := range r.blocks() {
			if !slices.Contains(b.Inputs, reached[i]) && !slices.Contains(b.Supplies, reached[i]) {
				continue
			}
			for _, out := range b.Outputs {
				if !slices.Contains(reached, out) {
					reached = append(reached, out)
				}
			}
		}
	}
	return slices.Contains(reached, net)
}

// together: good only when every cause leaves it good, and otherwise wrong in
// the ways of the causes, in proportion. What comes back through a feedback
// loop is no further cause: it is as good as the worst of these, or as the
// causes leave it.
func together(causes []signal.Spread, echoes ...signal.Spread) signal.Spread {
	good, wrong := 1.0, 0.0
	for _, c := range causes {
		good *= c[signal.Good]
	}
	for _, c := range echoes {
		good = min(good, c[signal.Good])
	}
	all := slices.Concat(causes, echoes)
	for _, c := range all {
		wrong += 1 - c[signal.Good]
	}
	var joined signal.Spread
	for _, c := range all {
		for s := signal.Absent; s < signal.States && wrong > 0; s++ {
			joined[s] += c[s] / wrong * (1 - good)
		}
	}
	joined[signal.Good] = good
	return joined
}

// laidOver: where the causes leave it good, what is below decides.
func laidOver(causes []signal.Spread, below signal.Spread) signal.Spread {
	upper := together(causes)
	share := upper[signal.Good]
	upper[signal.Good] = 0
	for s := range upper {
		upper[s] += share * below[s]
	}
	return upper
}

func unique(nets []string) []string {
	var list []string
	for _, n := range nets {
		if !slices.Contains(list, n) {
			list = append(list, n)
		}
	}
	return list
}

// TestForetellAgreesWithReference: for up to three faults in any scene, every
// net does what the slow reference says, to rounding where nothing feeds back.
func TestForetellAgreesWithReference(t *testing.T) {
	for _, c := range []struct {
		name      string
		loops     bool
		tolerance float64
	}{{"no feedback", false, 1e-12}, {"feedback", true, 0.0001}} {
		t.Run(c.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := drawNetwork(t, 8, c.loops)
				m, err := flow.Compile(d)
				if err != nil {
					t.Fatal(err)
				}
				r, state := reference{d, m}, m.NewState()
				for range 4 { // one after the other in the same working space
					faults := drawSet(t, m, 3)
					scene := drawScene(t, m, len(r.blocks()))
					want := r.foretell(faults, scene)
					state.Foretell(faults, &scene)
					for n, name := range m.Nets() {
						sum := 0.0
						for s, p := range state.Nets[n] {
							sum += p
							if math.Abs(p-want[name][s]) > c.tolerance || !(p >= 0) {
								t.Fatalf("faults %v in %+v: %s is %v with %v, want %v", names(m, faults), scene, name, signal.State(s), p, want[name][s])
							}
						}
						if math.Abs(sum-1) > 1e-9 {
							t.Fatalf("%s: the states add up to %v", name, sum)
						}
					}
				}
			})
		})
	}
}

// names writes faults for people.
func names(m *flow.Model, faults []int) []string {
	list := []string{}
	for _, f := range faults {
		list = append(list, m.Items[m.Candidates[f].Item].Name+" "+m.Candidates[f].Name)
	}
	return list
}
