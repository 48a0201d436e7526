package library_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfsplit/library"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// TestList: every sheet says what it is, what it was drawn from, and what can hurt.
func TestList(t *testing.T) {
	list := library.List()
	if len(list) < 8 {
		t.Fatalf("%d sheets", len(list))
	}
	for _, e := range list {
		_, s, err := library.Open(e.Name)
		if err != nil {
			t.Errorf("%s: %v", e.Name, err)
			continue
		}
		for what, text := range map[string]string{"title": e.Title, "kind": e.Kind, "about": e.About, "source": e.Source} {
			if text == "" {
				t.Errorf("%s has no %s", e.Name, what)
			}
		}
		if len(s.Hazards) == 0 || len(s.Points) == 0 {
			t.Errorf("%s: %d hazards, %d test points", e.Name, len(s.Hazards), len(s.Points))
		}
	}
}

// TestOpenUnknown: a name that is none is answered with the one that was meant.
func TestOpenUnknown(t *testing.T) {
	for name, want := range map[string]string{"three-terminl": `did you mean "three-terminal"?`, "../library": "known here", "": "known here"} {
		if _, _, err := library.Open(name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// read solves a circuit of a sheet as it is drawn.
func read(t *testing.T, s *sheet.Sheet, c *sheet.Circuit) (*wiring.Circuit, *prediction.Way) {
	t.Helper()
	wired, err := s.Wire(c, wiring.Running)
	if err != nil {
		t.Fatal(err)
	}
	p, err := prediction.New(wired, prediction.Settings{Samples: 1})
	if err != nil {
		t.Fatal(err)
	}
	f, err := p.Forecast(context.Background(), prediction.Bench{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return wired, &f.Ways[0]
}

// level is what a meter reads at a node.
func level(t *testing.T, w *prediction.Way, of prediction.Aspect, node string) float64 {
	t.Helper()
	v, _, ok := w.Predict(prediction.Observable{Aspect: of, Node: node}, nil)
	if !ok {
		t.Fatalf("nothing is known of %s", node)
	}
	return v
}

// TestCircuitsReadWhatSheetsSay: every circuit has a solution, and reads what rails and
// test points of its sheet say: well within the limits, and rippling less than is
// allowed.
func TestCircuitsReadWhatSheetsSay(t *testing.T) {
	for _, e := range library.List() {
		t.Run(e.Name, func(t *testing.T) {
			t.Parallel()
			_, s, err := library.Open(e.Name)
			if err != nil {
				t.Fatal(err)
			}
			for name, c := range s.Circuits.All() {
				values, err := library.ReadOne(context.Background(), s, c)
				if err != nil {
					t.Fatalf("circuit %s: %v", name.Text, err)
				}
				agrees(t, s, values)
			}
		})
	}
}

// TestNothingTooHot: as drawn no part bears more than it is made for, and no fuse
// blows.
func TestNothingTooHot(t *testing.T) {
	for _, e := range library.List() {
		_, s, err := library.Open(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		for name, c := range s.Circuits.All() {
			if e.Name == "flyback-self-oscillating" { // TestFlyback follows it
				continue
			}
			if _, way := read(t, s, c); len(way.Hot) > 0 || len(way.Blown) > 0 {
				t.Errorf("%s, circuit %s: too hot: %v; blown: %v", e.Name, name.Text, way.Hot, way.Blown)
			}
		}
	}
}

// agrees compares what a circuit reads with what its sheet says.
func agrees(t *testing.T, s *sheet.Sheet, values map[string]map[prediction.Aspect]float64) {
	t.Helper()
	compared := 0
	for node, of := range values {
		if r := s.Rail(node); r != nil && r.Nominal != nil {
			compared++
			within(t, "rail "+node, of[prediction.Level], r.Nominal.Value, r.Limits)
			if r.Ripple != nil && of[prediction.Ripple] > r.Ripple.Value {
				t.Errorf("rail %s ripples by %.3g V; the sheet allows %s", node, of[prediction.Ripple], r.Ripple)
			}
		}
		for _, p := range s.PointsOf(node) {
			if p.Expect == nil || p.Expect.Value == nil {
				continue
			}
			compared++
			aspect := prediction.Level
			if _, mode := quantity.SplitMode(p.Expect.Text); mode == "AC" {
				aspect = prediction.RMS
			}
			within(t, "point "+p.Name.Text, of[aspect], p.Expect.Value.Value, p.Limits)
		}
	}
	if compared == 0 {
		t.Error("nothing to compare with")
	}
}

// within fails where a reading lies further than a third of the limits from what is
// expected.
func within(t *testing.T, what string, reads, expected float64, limits *sheet.Limits) {
	t.Helper()
	allowed := quantity.Interval{Low: 0.95 * expected, High: 1.05 * expected}
	if expected < 0 {
		allowed.Low, allowed.High = allowed.High, allowed.Low
	}
	if limits != nil {
		allowed = limits.Around(expected)
	}
	if third := math.Max(allowed.High-expected, expected-allowed.Low) / 3; math.Abs(reads-expected) > third+1e-3 {
		t.Errorf("%s reads %.4g; the sheet says %.4g, within %.4g..%.4g", what, reads, expected, allowed.Low, allowed.High)
	}
}
