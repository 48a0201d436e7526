package trace_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"halfsplit/quantity"
	"halfsplit/trace"
)

// Blocks are gathered to one trace, whose times are counted where they are not
// given.
func TestGather(t *testing.T) {
	g := trace.Gather{Trace: trace.Trace{Head: trace.Head{Channels: []trace.Channel{{Name: "a"}}, Interval: 0.5, Start: -1}}}
	for _, v := range [][]float64{{1, 2}, {}, {3}} {
		if err := g.Append(&trace.Block{Values: [][]float64{v}}); err != nil {
			t.Fatal(err)
		}
	}
	if fmt.Sprint(g.Time, g.Values) != "[-1 -0.5 0] [[1 2 3]]" {
		t.Error(g.Time, g.Values)
	}
	g = trace.Gather{Trace: trace.Trace{Head: trace.Head{Channels: []trace.Channel{{Name: "a"}}}}}
	if err := g.Append(&trace.Block{Time: []float64{3, 7}, Values: [][]float64{{1, math.NaN()}}}); err != nil {
		t.Fatal(err)
	}
	times, values := g.Finite(0)
	if fmt.Sprint(g.Time, times, values) != "[3 7] [3] [1]" {
		t.Error(g.Time, times, values)
	}
}

func TestHeadCheck(t *testing.T) {
	good := trace.Head{Channels: []trace.Channel{{Name: "a", Unit: quantity.Volt}, {Name: "b"}}, Origin: time.Unix(0, 0)}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	if i, ok := good.Channel("b"); i != 1 || !ok {
		t.Error(i, ok)
	}
	for what, h := range map[string]trace.Head{
		"no channel": {}, "twice": {Channels: []trace.Channel{{Name: "a"}, {Name: "a"}}}, "unit": {Channels: []trace.Channel{{Unit: "ell"}}},
		"interval": {Channels: good.Channels, Interval: math.NaN()}, "start": {Channels: good.Channels, Start: math.Inf(-1)},
	} {
		if h.Check() == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

// A value between readings is on the line between those that have one.
func TestAt(t *testing.T) {
	nan := math.NaN()
	times, values := []float64{0, 1, 2, 2, 4}, []float64{10, nan, 14, 15, 25}
	for at, want := range map[float64]float64{0: 10, 0.5: 11, 1: 12, 3: 20, 4: 25, -1: nan, 5: nan} {
		if got := trace.At(times, values, at); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Errorf("at %v: %v, want %v", at, got, want)
		}
	}
	if !math.IsNaN(trace.At(nil, nil, 1)) {
		t.Error("a value of nothing")
	}
}

// A stretch holds the readings within its ends and no others.
func TestBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var tr trace.Trace
		at := 0.0
		for range rapid.IntRange(0, 30).Draw(t, "readings") {
			at += float64(rapid.IntRange(0, 3).Draw(t, "step"))
			tr.Time = append(tr.Time, at)
		}
		tr.Values = [][]float64{tr.Time}
		from, to := float64(rapid.IntRange(-2, 60).Draw(t, "from")), float64(rapid.IntRange(-2, 60).Draw(t, "to"))
		want := 0
		for _, x := range tr.Time {
			if x >= from && x <= to {
				want++
			}
		}
		part := tr.Between(from, to)
		if len(part.Time) != want || part.Rows() != want {
			t.Fatalf("%d readings from %v to %v, want %d", len(part.Time), from, to, want)
		}
	})
}

func ExampleAt() {
	minutes := []float64{0, 10, 20}
	celsius := []float64{21, 33, 38}
	fmt.Printf("%.1f °C at 12 min\n", trace.At(minutes, celsius, 12))
	// Output: 34.0 °C at 12 min
}
