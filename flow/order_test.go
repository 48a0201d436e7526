package flow_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/flow"

	"pgregory.net/rapid"
)

// TestOrderOfDescription: in what order blocks are written down, and what nets
// are called, changes nothing.
func TestOrderOfDescription(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t, 6, 6)
		renamed := map[string]string{}
		for i, n := range rapid.Permutation(u.m.Nets()).Draw(t, "nets") {
			renamed[n] = fmt.Sprintf("w%d", i)
		}
		other := flow.Description{
			Sources: rapid.Permutation(u.d.Sources).Draw(t, "sources"),
			Blocks:  rapid.Permutation(u.d.Blocks).Draw(t, "blocks"),
			Shunts:  rapid.Permutation(u.d.Shunts).Draw(t, "shunts"),
		}
		rename := func(nets []string) []string {
			var list []string
			for _, n := range nets {
				list = append(list, renamed[n])
			}
			return list
		}
		for i := range other.Sources {
			other.Sources[i].Net = renamed[other.Sources[i].Net]
		}
		for i := range other.Blocks {
			b := &other.Blocks[i]
			b.Inputs, b.Outputs, b.Supplies = rename(b.Inputs), rename(b.Outputs), rename(b.Supplies)
			slices.Reverse(b.Inputs)
		}
		for i := range other.Shunts {
			other.Shunts[i].Net = renamed[other.Shunts[i].Net]
		}
		m, err := flow.Compile(other)
		if err != nil {
			t.Fatal(err)
		}
		// The same faults, scenes and pieces of evidence by their new numbers.
		key := func(m *flow.Model, f int, renamed map[string]string) string {
			words := strings.Fields(m.Candidates[f].Name)
			for i, w := range words {
				if n, ok := renamed[w]; ok {
					words[i] = n
				}
			}
			return fmt.Sprint(m.Items[m.Candidates[f].Item].Name, words, m.Candidates[f].Mode.Output)
		}
		number := map[string]int{}
		for f := range m.Candidates {
			number[key(m, f, nil)] = f
		}
		items := func(list []int) []int {
			var numbers []int
			for _, i := range list {
				n, _ := m.Item(u.m.Items[i].Name)
				numbers = append(numbers, n)
			}
			return numbers
		}
		net := func(n int) int {
			n, _ = m.Net(renamed[u.m.Nets()[n]])
			return n
		}
		blocks := reference{u.d, u.m}.blocks()
		scene := func(s flow.Scene) flow.Scene {
			s.Replaced, s.Lifted, s.Chilled, s.Heated, s.Pressed, s.Piggybacked = items(s.Replaced), items(s.Lifted), items(s.Chilled), items(s.Heated), items(s.Pressed), items(s.Piggybacked)
			for i, b := range s.Without {
				s.Without = slices.Clone(s.Without)
				s.Without[i], _ = m.Block(blocks[b].Name)
			}
			for i, n := range s.Injected {
				s.Injected = slices.Clone(s.Injected)
				s.Injected[i] = net(n)
			}
			return s
		}
		e := m.NewEvidence()
		for _, p := range u.pieces {
			p.scene = scene(p.scene)
			switch {
			case p.reading != nil:
				r := *p.reading
				r.Net = net(r.Net)
				p.reading = &r
			case p.check != nil:
				c := *p.check.Check
				c.Rows = slices.Clone(c.Rows)
				for i := range c.Rows {
					if cause := &c.Rows[i].Cause; cause.Item >= 0 {
						cause.Item = items([]int{cause.Item})[0]
					} else {
						cause.Net = net(cause.Net)
					}
				}
				p.check = &flow.CheckReading{Check: &c, Answer: p.check.Answer}
			default:
				r := *p.part
				r.Item = items([]int{r.Item})[0]
				p.part = &r
			}
			enter(e, p)
		}
		for range 4 {
			set := drawSet(t, u.m, 3)
			var same []int
			for _, f := range set {
				g, ok := number[key(u.m, f, renamed)]
				if !ok {
					t.Fatalf("%v is not among the faults", key(u.m, f, renamed))
				}
				if a, b := u.m.Candidates[f].Prior, m.Candidates[g].Prior; math.Abs(a-b) > 1e-12 {
					t.Fatalf("%v: prior %v, in another order %v", names(u.m, []int{f}), a, b)
				}
				same = append(same, g)
			}
			slices.Sort(same)
			if a, b := u.e.LogLikelihood(set), e.LogLikelihood(same); math.Abs(a-b) > 1e-7 {
				t.Fatalf("%v: ln likelihood %v, in another order %v", names(u.m, set), a, b)
			}
		}
		if a, b := u.e.Undescribed(), e.Undescribed(); math.Abs(a-b) > 1e-9 {
			t.Fatalf("not described: ln likelihood %v, in another order %v", a, b)
		}
	})
}
