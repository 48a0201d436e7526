package flow_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"halfsplit/flow"
	"halfsplit/signal"

	"pgregory.net/rapid"
)

func drawReality(t *rapid.T, u *drawn, pieces int) []int {
	truth := drawSet(t, u.m, 2)
	state := u.m.NewState()
	scenes := []flow.Scene{{}, {Warm: flow.No}, {Warm: flow.Yes}, {Replaced: []int{rapid.IntRange(0, len(u.m.Items)-1).Draw(t, "rep")}}}
	u.e = u.m.NewEvidence()
	u.e.Complained()
	answers := signal.Answers()
	for range pieces {
		scene := rapid.SampledFrom(scenes).Draw(t, "scene")
		var showing []int
		for _, f := range truth {
			if rapid.Float64Range(0, 1).Draw(t, "shows") < (reference{u.d, u.m}).active(f, scene) {
				showing = append(showing, f)
			}
		}
		state.Foretell(showing, &scene)
		net := rapid.IntRange(0, len(u.m.Nets())-1).Draw(t, "net")
		x := rapid.Float64Range(0, 1).Draw(t, "x")
		word := 0
		for w := range answers {
			x -= answers[w].Of(&state.Nets[net])
			if x < 0 {
				word = w
				break
			}
		}
		l, _ := signal.FromWord(signal.State(word).String(), signal.Slip)
		u.e.Read(scene, flow.Reading{Net: net, Likelihood: l})
	}
	return truth
}

func TestSieveZ(t *testing.T) {
	hist := map[int]int{}
	worst := 0.0
	total := 0
	rapid.Check(t, func(t *rapid.T) {
		var u drawn
		u.d = drawNetwork(t, 5, rapid.IntRange(0, 3).Draw(t, "loops") == 0)
		u.m, _ = flow.Compile(u.d)
		truth := []int{}
		if os.Getenv("REAL") != "" {
			truth = drawReality(t, &u, rapid.IntRange(2, 7).Draw(t, "n"))
		} else {
			u.pieces = drawEvidence(t, u.m, len(u.d.Sources)+len(u.d.Blocks), 6)
			u.e = u.m.NewEvidence()
			u.e.Complained()
			enter(u.e, u.pieces...)
		}
		p := problem(u.m, u.e)
		bad := make([]float64, len(u.m.Items))
		for _, f := range p.Faults {
			bad[f.Item] += f.Prior
		}
		ll := map[string]float64{}
		lp := func(set []int) float64 {
			s := 0.0
			for _, f := range set {
				s += math.Log(p.Faults[f].Prior) - math.Log1p(-bad[p.Faults[f].Item])
			}
			return s
		}
		best := math.Inf(-1)
		everySet(u.m, 2, func(set []int) {
			l := u.e.LogLikelihood(set)
			ll[fmt.Sprint(set)] = l
			best = max(best, l+lp(set))
		})
		helping := make([][]bool, len(u.m.Candidates))
		for f := range helping {
			helping[f] = u.e.Helping([]int{f})
		}
		everySet(u.m, 2, func(set []int) {
			if len(set) < 2 {
				return
			}
			a, b := set[0], set[1]
			if helping[a][b] || helping[b][a] {
				return
			}
			l := ll[fmt.Sprint(set)]
			if l < ll[fmt.Sprint([]int{a})]+0.1 || l < ll[fmt.Sprint([]int{b})]+0.1 {
				return
			}
			r := math.Exp(l + lp(set) - best)
			hist[int(math.Floor(math.Log10(r)))]++
			total++
			if r > worst {
				worst = r
				fmt.Println("worst", r, names(u.m, set), "gain", l-ll[fmt.Sprint([]int{a})], l-ll[fmt.Sprint([]int{b})], names(u.m, truth), "items", len(u.m.Items))
				if r > 0.01 {
					fmt.Println(u.e.Each([]int{a}), u.e.Each([]int{b}), u.e.Each(set), u.e.Each(nil))
				}
			}
		})
	})
	fmt.Println(total, hist, worst)
	_ = slices.Max[[]int]
}
