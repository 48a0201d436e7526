package flow_test

import (
	"math"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
)

// TestShowing: for faults that are always there, and nothing read yet, what is
// foretold while they show is what is foretold in any case; for one that comes
// and goes, it is what is foretold when it is certain to show.
func TestShowing(t *testing.T) {
	m := compiled(t, terminal())
	scene := flow.Scene{}
	var tests []flow.Test
	for n := range m.Nets() {
		tests = append(tests, flow.Test{Kind: flow.Probe, Net: n, Scene: scene, Level: n%3 == 0})
	}
	for i := range m.Items {
		tests = append(tests, flow.Test{Kind: flow.Measure, Item: i})
	}
	showing, foreteller := m.Showing(), m.NewEvidence().Foreteller(tests)
	compared := 0
	for f, c := range m.Candidates {
		if c.Mode.When != fault.Always {
			continue
		}
		compared++
		for i, want := range foreteller.Chances([]int{f}) {
			for a, p := range showing.Chances(&tests[i], []int{f}) {
				if math.Abs(p-want[a]) > 1e-12 {
					t.Fatalf("%s, test %d: answer %d has chance %v, want %v", c.Name, i, a, p, want[a])
				}
			}
		}
	}
	if compared < 100 {
		t.Errorf("%d faults compared", compared)
	}
	for f, c := range m.Candidates {
		if c.Mode.When == fault.WhenWarm {
			net, _ := m.Net("out of S3")
			spread := showing.Spread(net, &scene, []int{f})
			sum := 0.0
			for _, p := range spread {
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: the states of a net add up to %v", c.Name, sum)
			}
		}
	}
	for i := range tests {
		sum := 0.0
		for _, p := range showing.Undescribed(&tests[i]) {
			sum += p
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("test %d: the answers with something not described add up to %v", i, sum)
		}
	}
}

// TestReadAgain: a second reading leaves the chance of each answer as it was, taken
// over what the first may have been; and the same answer again is likelier than it was.
func TestReadAgain(t *testing.T) {
	m := compiled(t, terminal())
	showing := m.Showing()
	for n := range m.Nets() {
		test := flow.Test{Kind: flow.Probe, Net: n, Level: n%2 == 0}
		for f := 0; f < len(m.Candidates); f += 7 {
			first := showing.Chances(&test, []int{f})
			second := make([]float64, len(first))
			for a, p := range first {
				if p == 0 {
					continue
				}
				again := showing.Again(&test, []int{f}, a)
				sum := 0.0
				for b, q := range again {
					sum += q
					second[b] += p * q
				}
				if math.Abs(sum-1) > 1e-9 || again[a] < p-1e-9 {
					t.Fatalf("%s, net %d: answers add up to %v, the same again has %v after %v", m.Candidates[f].Name, n, sum, again[a], p)
				}
			}
			for a := range first {
				if math.Abs(first[a]-second[a]) > 1e-9 {
					t.Fatalf("%s, net %d: answer %d has chance %v first and %v then", m.Candidates[f].Name, n, a, first[a], second[a])
				}
			}
		}
	}
}

// TestWatched: what fails when warm mostly comes right when it is chilled; what is
// always bad does not, nor does either when another part is chilled.
func TestWatched(t *testing.T) {
	m := compiled(t, terminal())
	showing := m.Showing()
	all := make([]int, len(m.Nets()))
	shares := make([]float64, len(all))
	for n := range all {
		all[n], shares[n] = n, 1/float64(len(all))
	}
	warm, always := 0, 0
	for f, c := range m.Candidates {
		own := flow.Test{Kind: flow.Condition, Item: c.Item, Scene: flow.Scene{Chilled: []int{c.Item}}}
		other := (c.Item + 1) % len(m.Items)
		another := flow.Test{Kind: flow.Condition, Item: other, Scene: flow.Scene{Chilled: []int{other}}}
		right := showing.Watched(&own, []int{f}, all, shares)[0]
		if p := showing.Watched(&another, []int{f}, all, shares)[0]; p > 0.06 {
			t.Errorf("%s: comes right with %.2f when another part is chilled", c.Name, p)
		}
		switch c.Mode.When {
		case fault.WhenWarm:
			warm++
			spread := 0.0 // of nets that are bad at all
			for _, n := range all {
				s := showing.Spread(n, &flow.Scene{}, []int{f})
				if s.Bad() > 0 {
					spread += shares[n]
				}
			}
			if right < 0.85*spread {
				t.Errorf("%s: comes right with %.2f when chilled, of %.2f", c.Name, right, spread)
			}
		case fault.Always:
			always++
			if right > 0.06 {
				t.Errorf("%s: comes right with %.2f when chilled", c.Name, right)
			}
		}
	}
	if warm < 5 || always < 20 {
		t.Errorf("%d that fail warm and %d that always do", warm, always)
	}
}
