package flow_test

import (
	"math"
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

// needed is the gain in ln likelihood below which diagnosis takes a fault for
// idle.
const needed = 0.1

// simulate fills the evidence with what a bench would read, were one or two
// faults drawn at random there: nets in words, cold, warm, and after a part was
// replaced.
func (u *drawn) simulate(t *rapid.T) {
	truth := drawSet(t, u.m, 2)
	r, state := reference{u.d, u.m}, u.m.NewState()
	scenes := []flow.Scene{{}, {Warm: flow.No}, {Warm: flow.Yes}, {Replaced: []int{rapid.IntRange(0, len(u.m.Items)-1).Draw(t, "replaced")}}}
	answers := signal.Answers()
	for range rapid.IntRange(2, 7).Draw(t, "readings") {
		scene := rapid.SampledFrom(scenes).Draw(t, "scene")
		var showing []int
		for _, f := range truth {
			if rapid.Float64Range(0, 1).Draw(t, "shows") < r.active(f, scene) {
				showing = append(showing, f)
			}
		}
		state.Foretell(showing, &scene)
		net := rapid.IntRange(0, len(u.m.Nets())-1).Draw(t, "net")
		x := rapid.Float64Range(0, 1).Draw(t, "answer")
		for word := range answers {
			if x -= answers[word].Of(&state.Nets[net]); x < 0 || word == len(answers)-1 {
				l, _ := signal.FromWord(signal.State(word).String(), signal.Slip)
				u.e.Read(scene, flow.Reading{Net: net, Likelihood: l})
				break
			}
		}
	}
}

// TestSieve: a pair of faults that the sieve holds back, each of which is needed
// to explain the evidence, has not a hundredth of the best set's probability.
func TestSieve(t *testing.T) {
	for _, c := range []struct {
		name string
		fill func(u *drawn, t *rapid.T)
	}{
		{"readings that contradict one another", func(u *drawn, t *rapid.T) {
			enter(u.e, drawEvidence(t, u.m, len(u.d.Sources)+len(u.d.Blocks), 6)...)
		}},
		{"readings of a faulty unit", (*drawn).simulate},
	} {
		t.Run(c.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				u := drawn{d: drawNetwork(t, 3, rapid.IntRange(0, 3).Draw(t, "loops") == 0)}
				var err error
				if u.m, err = flow.Compile(u.d); err != nil {
					t.Fatal(err)
				}
				u.e = u.m.NewEvidence()
				u.e.Complained()
				c.fill(&u, t)
				p := (&unit{m: u.m, e: u.e}).problem()
				bad := make([]float64, p.Items)
				for _, f := range p.Faults {
					bad[f.Item] += f.Prior
				}
				weight := func(set []int) (likelihood, joint float64) {
					likelihood = u.e.LogLikelihood(set)
					joint = likelihood
					for _, f := range set {
						joint += math.Log(p.Faults[f].Prior) - math.Log1p(-bad[p.Faults[f].Item])
					}
					return likelihood, joint
				}
				alone, helping := make([]float64, len(u.m.Candidates)), make([][]bool, len(u.m.Candidates))
				_, best := weight(nil)
				for f := range alone {
					l, joint := weight([]int{f})
					alone[f], best = l, max(best, joint)
					helping[f] = u.e.Helping([]int{f})
				}
				var held [][]int
				everySet(u.m, 2, func(set []int) {
					if len(set) == 2 && !helping[set[0]][set[1]] && !helping[set[1]][set[0]] {
						held = append(held, set)
					}
				})
				for _, set := range held {
					l, joint := weight(set)
					if l < max(alone[set[0]], alone[set[1]])+needed {
						continue // one of them is idle
					}
					if joint > best+math.Log(0.01) { // of the best single fault; is there a better pair?
						everySet(u.m, 2, func(set []int) {
							_, joint := weight(set)
							best = max(best, joint)
						})
					}
					if share := math.Exp(joint - best); share > 0.01 {
						t.Fatalf("%v is held back with %.4f of the best set's probability", names(u.m, set), share)
					}
				}
			})
		})
	}
}
