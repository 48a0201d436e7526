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
// nothing else. Blocks are taken in the order of signal flow. Those that depend
// on one another are worked out together, again and again until nothing changes
// any more, or as often as a feedback loop is gone round at most.
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
	now, healthy := map[string]signal.Spread{}, map[string]signal.Spread{}
	for _, n := range r.m.Nets() {
		now[n] = signal.Pure(signal.Good)
	}
	blocks := r.blocks()
	for _, b := range blocks {
		healthy[b.Name] = signal.Pure(signal.Good)
	}
	needs := func(a, b flow.Block) bool { // a depends on b
		return slices.ContainsFunc(slices.Concat(a.Inputs, a.Supplies), func(n string) bool {
			return slices.Contains(b.Outputs, n) || r.follows(b.Outputs, n)
		})
	}
	for len(blocks) > 0 {
		var loop, rest []flow.Block
		first := slices.IndexFunc(blocks, func(a flow.Block) bool { // needs only what needs it too
			return !slices.ContainsFunc(blocks, func(b flow.Block) bool { return needs(a, b) && !needs(b, a) })
		})
		for i, b := range blocks {
			if i == first || (needs(b, blocks[first]) && needs(blocks[first], b)) {
				loop = append(loop, b)
			} else {
				rest = append(rest, b)
			}
		}
		for range flow.Sweeps {
			change := 0.0
			for _, b := range loop {
				healthy[b.Name] = r.healthy(b, now)
			}
			for _, b := range loop {
				for _, n := range b.Outputs {
					net := r.net(n, healthy, showing, scene)
					for s := range net {
						change = max(change, math.Abs(net[s]-now[n][s]))
					}
					now[n] = net
				}
			}
			if change < 1e-13 {
				break
			}
		}
		blocks = rest
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
func (r reference) net(name string, healthy map[string]signal.Spread, showing []int, scene flow.Scene) signal.Spread {
	number, _ := r.m.Net(name)
	if slices.Contains(scene.Injected, number) {
		return signal.Pure(signal.Good)
	}
	var drivers, drags []signal.Spread
	loop := r.follows([]string{name}, name)
	for number, b := range r.blocks() {
		if !slices.Contains(b.Outputs, name) || r.disconnected(number, b, scene) {
			continue
		}
		drivers = append(drivers, r.output(b, name, healthy[b.Name], showing, scene))
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
		drivers = append(drivers, signal.Pure(signal.Absent))
	}
	return laidOver(drags, together(drivers, loop), loop)
}

// loops tells whether a block depends on its own outputs.
func (r reference) loops(b flow.Block) bool {
	return slices.ContainsFunc(slices.Concat(b.Inputs, b.Supplies), func(n string) bool {
		return slices.Contains(b.Outputs, n) || r.follows(b.Outputs, n)
	})
}

// healthy: what a block puts out, were nothing wrong with it, follows its inputs
// and rails.
func (r reference) healthy(b flow.Block, now map[string]signal.Spread) signal.Spread {
	var causes []signal.Spread
	for _, n := range unique(b.Inputs) {
		in := now[n]
		causes = append(causes, b.Kind.Follow.Out(&in))
	}
	for _, n := range unique(b.Supplies) {
		in := now[n]
		causes = append(causes, fault.Starved(&in))
	}
	return together(causes, r.loops(b))
}

// output: what the block's own faults leave alone is as if it were healthy.
func (r reference) output(b flow.Block, out string, healthy signal.Spread, showing []int, scene flow.Scene) signal.Spread {
	var own []signal.Spread
	for _, f := range showing {
		c := r.m.Candidates[f]
		if r.m.Items[c.Item].Block != b.Name || !r.acts(f, scene) || !c.Mode.Output.Said() {
			continue
		}
		if len(b.Outputs) > 1 && strings.HasPrefix(c.Name, "output ") && !strings.HasPrefix(c.Name, "output "+out+" ") {
			continue // another output of the chip is bad
		}
		bad := c.Mode.Output
		if slices.Contains(scene.Piggybacked, c.Item) && !r.m.Items[c.Item].Kind.Capacitor() {
			for _, s := range []signal.State{signal.Floating, signal.Absent} {
				bad[signal.Good] += flow.Helps * bad[s]
				bad[s] -= flow.Helps * bad[s]
			}
		}
		own = append(own, bad)
	}
	return laidOver(own, healthy, r.loops(b))
}

// follows tells whether a net depends, by way of at least one block, on any of
// the given ones.
func (r reference) follows(from []string, net string) bool {
	var reached []string
	next := slices.Clone(from)
	for len(next) > 0 {
		n := next[0]
		next = next[1:]
		for _, b := range r.blocks() {
			if !slices.Contains(b.Inputs, n) && !slices.Contains(b.Supplies, n) {
				continue
			}
			for _, out := range b.Outputs {
				if !slices.Contains(reached, out) {
					reached = append(reached, out)
					next = append(next, out)
				}
			}
		}
	}
	return slices.Contains(reached, net)
}

// both is the chance of good when two causes leave it good with these chances;
// in a feedback loop what comes back is no further cause, and the worst counts.
func both(p, q float64, loop bool) float64 {
	if loop {
		return min(p, q)
	}
	return p * q
}

// together: good only when every cause leaves it good, and otherwise wrong in
// the ways of the causes, in proportion.
func together(causes []signal.Spread, loop bool) signal.Spread {
	good, wrong := 1.0, 0.0
	for _, c := range causes {
		good = both(good, c[signal.Good], loop)
		wrong += 1 - c[signal.Good]
	}
	var joined signal.Spread
	for _, c := range causes {
		for s := signal.Absent; s < signal.States && wrong > 0; s++ {
			joined[s] += c[s] / wrong * (1 - good)
		}
	}
	joined[signal.Good] = good
	return joined
}

// laidOver: where the causes leave it good, what is below decides.
func laidOver(causes []signal.Spread, below signal.Spread, loop bool) signal.Spread {
	upper := together(causes, loop)
	left := upper[signal.Good]
	good := both(left, below[signal.Good], loop)
	for s := signal.Absent; s < signal.States && below[signal.Good] < 1; s++ {
		upper[s] += (left - good) * below[s] / (1 - below[signal.Good])
	}
	upper[signal.Good] = good
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
	}{{"no feedback", false, 1e-12}, {"feedback", true, 0.002}} {
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
