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
