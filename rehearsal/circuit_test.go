package rehearsal_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfsplit/fault"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/rehearsal"
	"halfsplit/signal"
	"halfsplit/wiring"
)

// divider is a circuit of 10 V over two resistors of 1 kΩ with every act of both:
// the middle should be at 5 V ± 10 %.
func divider(t *testing.T) rehearsal.Circuit {
	t.Helper()
	part := func(name, kind, value string, nodes ...string) wiring.Part {
		k, _ := wiring.Find(kind)
		q, err := quantity.ParseAs(value, k.Value)
		if err != nil {
			t.Fatal(err)
		}
		return wiring.Part{Name: name, Kind: kind, Value: &q, Nodes: nodes}
	}
	wired, err := wiring.New("gnd", []wiring.Part{
		part("supply", "dc source", "10 V", "top", "gnd"), part("R1", "resistor", "1k", "top", "middle"), part("R2", "resistor", "1k", "middle", "gnd"),
	}, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	predictor, err := prediction.New(wired, prediction.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := rehearsal.Circuit{
		Predictor: predictor, Nodes: wired.Nodes(), Lost: 60, Undescribed: 0.1,
		Outputs: []rehearsal.CircuitOutput{{Node: "middle", Rail: prediction.Rail{Expectation: signal.Expectation{Nominal: 5, Low: 4.5, High: 5.5}}}},
		Meter:   func(_ prediction.Observable, value float64) float64 { return 0.003*math.Abs(value) + 0.003 },
		Tests: []rehearsal.CircuitTest{
			{Name: "read middle", Cost: 1, Position: 0, Of: prediction.Observable{Aspect: prediction.Level, Node: "middle"}},
			{Name: "power off: middle", Cost: 3, Position: -1, Bench: prediction.Bench{Off: true}, Of: prediction.Observable{Aspect: prediction.Resistance, Node: "middle"}},
		},
	}
	for i, name := range []string{"R1", "R2"} {
		c.Suspects = append(c.Suspects, rehearsal.Suspect{Name: name, Replace: 10})
		for _, act := range fault.Acts("resistor", 2) {
			c.Faults = append(c.Faults, rehearsal.CircuitFault{Suspect: i, Name: act.String(), Prior: act.Share, Trouble: prediction.Trouble{Part: name, Act: act}})
		}
	}
	return c
}

// TestDividerFromBothSides: an open R1 and an open R2 leave the middle at nothing
// and at 10 V: one reading names the resistor, whatever the tolerances. A drifted
// one can be told from the other by ohms only.
func TestDividerFromBothSides(t *testing.T) {
	bench, err := rehearsal.FromCircuit(context.Background(), divider(t))
	if err != nil {
		t.Fatal(err)
	}
	hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{Trials: 300, Draw: 4, Rules: rehearsal.Rules{Leaning: 1}})
	if err != nil {
		t.Fatal(err)
	}
	setup := bench.Setup()
	opens := 0
	for _, hunt := range hunts {
		truth := setup.Hypotheses[hunt.Truth]
		if truth.Undescribed() || !strings.Contains(truth.Name, "open") {
			continue
		}
		opens++
		if hunt.Named[0] != truth.Suspects[0] {
			t.Errorf("%s: named %d with %.2f", truth.Name, hunt.Named[0], hunt.Stated[0])
		}
	}
	if opens < 20 {
		t.Errorf("only %d of 300 units had an open resistor", opens)
	}
	if score := rehearsal.Judge(bench, "halfsplit", hunts); score.Error > score.Chance+0.03 {
		t.Errorf("calibration error %v, %v by chance", score.Error, score.Chance)
	}
}

// TestCircuitHuntsRepeat: the outcome does not depend on how many hunts are played
// at a time.
func TestCircuitHuntsRepeat(t *testing.T) {
	play := func(workers int) rehearsal.Score {
		bench, err := rehearsal.FromCircuit(context.Background(), divider(t))
		if err != nil {
			t.Fatal(err)
		}
		hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{Trials: 60, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		return rehearsal.Judge(bench, "", hunts)
	}
	if one, many := play(1), play(4); one.Cost != many.Cost || one.Error != many.Error {
		t.Errorf("%+v, then %+v", one, many)
	}
}

// TestCircuitThatCannotBePlayed: each reason is said.
func TestCircuitThatCannotBePlayed(t *testing.T) {
	for want, change := range map[string]func(*rehearsal.Circuit){
		"nothing is described that could be wrong":             func(c *rehearsal.Circuit) { c.Faults = nil },
		"nothing is described at which a trouble would show":   func(c *rehearsal.Circuit) { c.Outputs = nil },
		"must lie in 0 to below 1":                             func(c *rehearsal.Circuit) { c.Undescribed = 1 },
		"no fault of the circuit shows at an output":           func(c *rehearsal.Circuit) { c.Outputs[0].Rail.Low, c.Outputs[0].Rail.High = -1e3, 1e3 },
		"rehearsal: replacing R1 (suspect 0) costs -1; it mus": func(c *rehearsal.Circuit) { c.Suspects[0].Replace = -1 },
	} {
		c := divider(t)
		change(&c)
		if _, err := rehearsal.FromCircuit(context.Background(), c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := rehearsal.FromCircuit(ctx, divider(t)); err != context.Canceled {
		t.Errorf("cancelled: %v", err)
	}
}
