package flow_test

import (
	"math"
	"testing"

	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// Worked examples: common practice, no source.

// A self-test prints something under some faults.
func TestChecks(t *testing.T) {
	u := onBench(t, powered())
	check := &flow.Check{
		Rows: []flow.Row{
			{Cause: flow.Cause{Item: u.item("U1")}, Chance: []float64{0, 0.9, 0.1}},
			{Cause: flow.Cause{Item: u.item("U2"), Mode: "output stuck low"}, Chance: []float64{0, 0, 1}},
			{Cause: flow.Cause{Item: -1, Net: u.net("+5"), NotGood: true}, Chance: []float64{0, 0, 1}},
			{Cause: flow.Cause{Item: -1, Net: u.net("clock"), State: signal.StuckHigh}, Chance: []float64{0, 0.5, 0.5}},
		},
		Otherwise: []float64{0.97, 0.02, 0.01},
	}
	answers := func(faults ...int) []float64 {
		state := u.m.NewState()
		state.Foretell(faults, &flow.Scene{})
		return check.Answers(state, faults)
	}
	slip := func(p float64) float64 { return (1-signal.Slip)*p + signal.Slip/3 }
	for _, c := range []struct {
		name   string
		faults []int
		want   []float64 // before slips
	}{
		{"nothing wrong", nil, []float64{0.97, 0.02, 0.01}},
		{"U1, in any way", []int{u.fault("U1", "output open")}, []float64{0, 0.9, 0.1}},
		{"U2 stuck low", []int{u.fault("U2", "output stuck low")}, []float64{0, 0, 1}},
		{"U2 in another way", []int{u.fault("U2", "output open")}, []float64{0.97, 0.02, 0.01}},
		{"no supply", []int{u.fault("source of +5", "dead")}, []float64{0, 0, 1}},
		{"clock stuck high", []int{u.fault("source of clock", "does not start", signal.StuckHigh)}, []float64{0, 0.5, 0.5}},
		{"clock stuck low is another state", []int{u.fault("source of clock", "does not start", signal.StuckLow)}, []float64{0.97, 0.02, 0.01}},
		{"two causes: half of each", []int{u.fault("U1", "output open"), u.fault("U2", "output stuck low")}, []float64{0, 0.45, 0.55}},
	} {
		for a, got := range answers(c.faults...) {
			if want := slip(c.want[a]); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s: answer %d has chance %.4f, want %.4f", c.name, a, got, want)
			}
		}
	}
	u.e.Checked(flow.Scene{}, flow.CheckReading{Check: check, Answer: 1})
	u.suspects(0.7, 0.15, "U1")
}

// A block whose parts are listed has them as suspects, and one more for
// whatever else is in it.
func TestListedParts(t *testing.T) {
	d := chain()
	d.Blocks[2].Parts = []flow.Part{{Name: "Q3", Kind: kind("transistor")}, {Name: "C8", Kind: kind("electrolytic"), Odds: 3}}
	u := onBench(t, d)
	u.reads(flow.Scene{}, "b: good", "c: hum", "d: hum")
	u.suspects(0.9, 0.05, "Q3", "C8", "rest of C")
	if s := u.suspicion(); s["C8"] < s["Q3"] || s["C8"] < s["rest of C"] {
		t.Errorf("hum after a dry electrolytic: C8 %.2f, Q3 %.2f, the rest %.2f", s["C8"], s["Q3"], s["rest of C"])
	}
	u.e.Tested(flow.PartReading{Item: u.item("C8"), Healthy: 0.03, Modes: shows(u.m.Items[u.item("C8")].Kind)})
	u.suspects(0.9, 0.1, "C8")
	if item := u.m.Items[u.item("C")]; item.Name != "rest of C" || !item.Rest {
		t.Errorf("C stands for %+v, want the rest of it", item)
	}
}

// shows is the chance, for each mode, that a test shows it.
func shows(k fault.Kind) []float64 {
	var chances []float64
	for _, m := range k.Modes {
		chances = append(chances, m.Shows)
	}
	return chances
}

// A part that tested good is nearly cleared of what the test shows, and not of
// what it does not.
func TestPartTestedGood(t *testing.T) {
	u := onBench(t, supplyTree())
	u.reads(flow.Scene{}, "fused: good", "raw: hum")
	before := u.suspicion()["C1"]
	modes := shows(u.m.Items[u.item("C1")].Kind)
	for i := range modes {
		modes[i] = 1 - modes[i]
	}
	u.e.Tested(flow.PartReading{Item: u.item("C1"), Healthy: 0.97, Modes: modes})
	if after := u.suspicion()["C1"]; before < 0.5 || after > before/2 {
		t.Errorf("C1 tested good: suspicion goes from %.2f to %.2f", before, after)
	}
}

// A rail that was read without its load is not cleared of being weak.
func TestReadingWithoutLoad(t *testing.T) {
	weak := func(l signal.Likelihood) float64 {
		u := onBench(t, supplyTree())
		u.reads(flow.Scene{}, "audio: bad")
		u.e.Read(flow.Scene{}, flow.Reading{Net: u.net("+12"), Likelihood: l})
		return u.suspicion()["U1"]
	}
	good := likelihood(t, "good")
	if loaded, bare := weak(good), weak(good.Unloaded()); bare < 2*loaded {
		t.Errorf("the regulator: suspicion %.3f after a good reading under load, %.3f without load", loaded, bare)
	}
	// And a DC meter does not clear it of ripple.
	noisy := func(l signal.Likelihood) float64 {
		u := onBench(t, supplyTree())
		u.e.Read(flow.Scene{}, flow.Reading{Net: u.net("raw"), Likelihood: l})
		u.reads(flow.Scene{}, "audio: hum")
		return u.suspicion()["C1"]
	}
	if seen, averaged := noisy(good), noisy(good.Averaged()); averaged < 2*seen {
		t.Errorf("the reservoir: suspicion %.3f with the scope, %.3f with a DC meter", seen, averaged)
	}
}
