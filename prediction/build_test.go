package prediction

import (
	"context"
	"math"
	"testing"

	"halfsplit/fault"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// part writes down a part; its value is read as on a sheet.
func written(name, kind, value string, nodes ...string) wiring.Part {
	p := wiring.Part{Name: name, Kind: kind, Nodes: nodes}
	if value != "" {
		k, _ := wiring.Find(kind)
		q, err := quantity.ParseAs(value, k.Value)
		if err != nil {
			panic(err) // a slip in a test
		}
		p.Value = &q
	}
	return p
}

// within gives a part a tolerance, as a share either way.
func within(share float64, p wiring.Part) wiring.Part {
	p.Tolerance = &quantity.Tolerance{Low: -share, High: share, Unit: quantity.Percent}
	return p
}

// with gives a part settings.
func with(p wiring.Part, settings ...string) wiring.Part {
	for i := 0; i < len(settings); i += 2 {
		p.Settings = append(p.Settings, wiring.Entry{Name: settings[i], Text: settings[i+1]})
	}
	return p
}

// predictor makes one of a circuit; negative ModelError stands for exact models.
func predictor(t testing.TB, set Settings, parts ...wiring.Part) *Predictor {
	t.Helper()
	c, err := wiring.New("gnd", parts, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(c, set)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// foretold works out a case.
func foretold(t testing.TB, p *Predictor, bench Bench, troubles ...Trouble) *Forecast {
	t.Helper()
	f, err := p.Forecast(context.Background(), bench, troubles)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, w := range f.Ways {
		sum += w.Weight
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Fatalf("the weights add up to %g", sum)
	}
	return f
}

// example is the circuit of one of the example sheets.
func example(t testing.TB, name string) *wiring.Circuit {
	t.Helper()
	s, err := sheet.Load("../examples/" + name + ".sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := s.Wire(s.Circuits[0].Value, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// trouble is an act of a part, by the mode and the number within it.
func trouble(t testing.TB, p *Predictor, part, mode string, nth int) Trouble {
	t.Helper()
	for _, placed := range p.drawn.Parts {
		for _, a := range placed.Acts() {
			if placed.Name == part && a.Mode == mode {
				if nth--; nth < 0 {
					return Trouble{Part: part, Act: a}
				}
			}
		}
	}
	t.Fatalf("no act of %s %s", part, mode)
	return Trouble{}
}

// open is a lead that is open altogether.
func lifted(part, pin string) Trouble {
	return Trouble{Part: part, Act: fault.Act{Mode: "open", Changes: []fault.Change{{Effect: fault.InLead, Pins: []string{pin}, Value: 1e12}}}}
}

func levelOf(node string) Observable  { return Observable{Aspect: Level, Node: node} }
func rippleOf(node string) Observable { return Observable{Aspect: Ripple, Node: node} }

// read predicts an observable of the first way.
func read(t testing.TB, f *Forecast, of Observable, taken ...Read) (mean, deviation float64) {
	t.Helper()
	mean, deviation, ok := f.Ways[0].Predict(of, taken)
	if !ok {
		t.Fatalf("nothing is known of the %v of %s", of.Aspect, of.Node)
	}
	return mean, deviation
}

// near compares two figures by a share.
func near(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > share*math.Abs(want) {
		t.Errorf("%s is %g, want %g to %g", what, got, want, share)
	}
}
