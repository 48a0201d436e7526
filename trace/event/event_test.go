package event_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/quantity"
	"halfsplit/trace/event"
	"halfsplit/trace/fit"
	"halfsplit/trace/internal/dataset"
	"halfsplit/trace/table"
)

func volts(low, high float64) quantity.Interval {
	return quantity.Interval{Low: low, High: high, Unit: quantity.Volt}
}

// A reference whose supply is stepped down until it falls out of regulation:
// check values computed with pandas (trace/testdata/ORIGIN.md). 918 of 1018
// readings are more than 10 mV below the median at 9.0 V, in four spells; the
// first is row 13.
//
// Outside: recording of J. Pepas, trace/testdata/ORIGIN.md; worked out with pandas.
// Within: exact; medians 5e-5.
func TestRealDropout(t *testing.T) {
	tr, _ := dataset.Load(t, "dropout.csv", table.Options{})
	median := 17632.465
	list, err := event.Excursions(tr.Time, tr.Values[0], quantity.Interval{Low: median - 10_000, High: math.Inf(1)}, 0)
	if err != nil {
		t.Fatal(err)
	}
	readings := 0
	for _, e := range list {
		readings += e.Readings
	}
	if len(list) != 4 || readings != 918 || len(tr.Time) != 1018 {
		t.Errorf("%d spells with %d of %d readings", len(list), readings, len(tr.Time))
	}
	first := list[0]
	if first.Start != tr.Time[13] || first.LastGood != tr.Time[12] {
		t.Errorf("the first begins at %v after %v, row 13 is at %v", first.Start, first.LastGood, tr.Time[13])
	}
	if unix := float64(tr.Origin.Unix()) + first.Start; math.Abs(unix-1519625320.728) > 1e-5 {
		t.Errorf("the first begins at %.3f, want 1519625320.728", unix)
	}
	if first.Confidence < 0.999 {
		t.Errorf("confidence %v", first.Confidence)
	}
	// The sweep that never leaves regulation has no dropout.
	quiet, _ := dataset.Load(t, "sweep.csv.gz", table.Options{})
	none, err := event.Excursions(quiet.Time, quiet.Values[0], quantity.Interval{Low: 17508.5550 - 10_000, High: math.Inf(1)}, 0)
	if err != nil || len(none) > 0 {
		t.Error(none, err)
	}
	dataset.Near(t, "median of the quiet sweep", fit.Median(quiet.Values[0]), 17508.5550, 5e-5)
}

// The chamber's set point becomes 26 at row 60 (row 300 in the long run), and the
// chamber follows within a few rows: check values of the recordings.
//
// Outside: recording of J. Pepas, trace/testdata/ORIGIN.md. Within: a few rows.
func TestRealSteps(t *testing.T) {
	for name, row := range map[string]float64{"chamber-1.csv": 60, "chamber-5.csv": 60, "chamber-16.csv": 60, "chamber-27.csv": 60, "chamber-33.csv": 60, "chamber-40.csv": 300} {
		tr, _ := dataset.Load(t, name, table.Options{})
		set, err := event.Steps(tr.Time, tr.Values[0], 10, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		if len(set) != 1 || set[0].Time != row || math.Abs(set[0].Size-1) > 1e-9 || set[0].Confidence < 0.999 {
			t.Errorf("%s: set point %+v", name, set)
		}
		if name != "chamber-40.csv" { // the others are too short to tell what is usual
			continue
		}
		// The chamber takes some five rows for it, so that it is a step beside a
		// window of thirty.
		oven, err := event.Steps(tr.Time, tr.Values[1], 30, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, s := range oven {
			found = found || s.Time >= row && s.Time <= row+8 && s.Size > 0.5 && s.Size < 1.6
		}
		if !found {
			t.Errorf("%s: chamber %+v", name, oven)
		}
	}
}

// rail is a five-volt rail with noise, a reading a second.
func rail(random *rand.Rand, n int, noise float64) (times, values []float64) {
	for i := range n {
		times, values = append(times, float64(i)), append(values, 5.03+noise*random.NormFloat64())
	}
	return times, values
}

// What a supply does when it fails, each by its kind.
func TestKinds(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 2))
	times, v := rail(random, 1000, 0.005)
	for i := 100; i < 103; i++ {
		v[i] = 4.4 // a sag
	}
	for i := 300; i < 310; i++ {
		v[i] = 0.1 // a restart
	}
	v[500] = 5.9 // one reading too high
	for i := 900; i < 1000; i++ {
		v[i] = 0 // and off
	}
	v[305] = math.NaN()
	list, err := event.Excursions(times, v, volts(4.75, 5.25), 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		kind       event.Kind
		start, end float64
		readings   int
		sure       bool
	}{
		{event.Sag, 100, 103, 3, true}, {event.Restart, 300, 310, 9, true}, {event.Over, 500, 501, 1, false}, {event.Shutdown, 900, 999, 100, true},
	}
	if len(list) != len(want) {
		t.Fatalf("%+v", list)
	}
	for i, w := range want {
		g := list[i]
		if g.Kind != w.kind || g.Start != w.start || g.End != w.end || g.Readings != w.readings {
			t.Errorf("%d: %+v, want %+v", i, g, w)
		}
		if sure := g.Confidence > 0.99; sure != w.sure {
			t.Errorf("%s with %d readings: confidence %v", g.Kind, g.Readings, g.Confidence)
		}
	}
	// The same on a negative rail.
	for i := range v {
		v[i] = -v[i]
	}
	mirrored, err := event.Excursions(times, v, volts(-5.25, -4.75), 0)
	if err != nil {
		t.Fatal(err)
	}
	for i := range mirrored {
		if mirrored[i].Kind != list[i].Kind || mirrored[i].Extreme != -list[i].Extreme {
			t.Errorf("mirrored: %+v, want %+v", mirrored[i], list[i])
		}
	}
	// The one reading that is not sure enough cuts no run.
	sure, doubtful := event.Sure(mirrored)
	if len(sure) != 3 || doubtful != 1 {
		t.Errorf("%d sure, %d doubtful", len(sure), doubtful)
	}
	// And the runs they cut it into, none after the last.
	temperature := make([]float64, len(times))
	for i := range temperature {
		temperature[i] = 20 + 0.02*times[i]
	}
	runs := event.Runs(times, v, temperature, sure, 60)
	var got []string
	for _, r := range runs {
		got = append(got, fmt.Sprintf("%g..%g %v %.2f", r.Start, r.End, r.Failed, r.Temperature))
	}
	if fmt.Sprint(got) != "[0..100 true 22.00 103..300 true 26.00 310..900 true 38.00]" {
		t.Error(got)
	}
}

// Noise that reaches the limit by itself is no event to rely on.
func TestNoiseAtTheLimit(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 3))
	times, v := rail(random, 5000, 0.1)
	list, err := event.Excursions(times, v, volts(4.75, 5.4), 0)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	believed := 0
	for _, e := range list {
		if e.Confidence > 0.5 {
			believed++
		}
	}
	if len(list) < 10 || believed > 1 {
		t.Errorf("%d of %d are believed", believed, len(list))
	}
}

// A supply that tries to start again and again, every 1.25 s, and one that drops
// out at random.
func TestHiccup(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	var times, v []float64
	for i := range 4000 {
		x := float64(i) * 0.01
		times = append(times, x)
		level := 5.0
		if x > 10 && x < 30 && math.Mod(x-10, 1.25) < 0.8 {
			level = 0.2
		}
		v = append(v, level+0.01*random.NormFloat64())
	}
	list, err := event.Excursions(times, v, volts(4.75, 5.25), 0)
	if err != nil {
		t.Fatal(err)
	}
	cycles := event.Cycles(list)
	if len(cycles) != 1 {
		t.Fatalf("%+v", cycles)
	}
	c := cycles[0]
	if c.Times != 16 || math.Abs(c.Period-1.25) > 0.001 || math.Abs(c.Off-0.64) > 0.01 || c.Confidence < 0.999 {
		t.Errorf("%+v", c)
	}
	if runs := event.Runs(times, v, nil, list, 5); len(runs) != 2 || !runs[0].Failed || runs[1].Failed || !math.IsNaN(runs[0].Temperature) {
		t.Errorf("one failure of many cycles: %+v", runs)
	}
	var random1 []event.Excursion
	at := 0.0
	for range 40 {
		at += 100 * random.ExpFloat64()
		random1 = append(random1, event.Excursion{Start: at, End: at + 0.1})
	}
	if c := event.Cycles(random1); len(c) > 1 {
		t.Errorf("random dropouts look like %+v", c)
	}
}

// A step is told from a ramp and from noise.
func TestStepsAndRamps(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 5))
	times, v := rail(random, 2000, 0.002)
	for i := range v {
		switch {
		case i >= 700 && i < 900:
			v[i] += 0.0004 * float64(i-700) // a ramp of 80 mV in 200 s
		case i >= 900:
			v[i] += 0.08
		}
		if i >= 1500 {
			v[i] -= 0.03
		}
	}
	list, err := event.Steps(times, v, 20, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 1 || list[0].Time != 1500 || math.Abs(list[0].Size+0.03) > list[0].Error {
		t.Errorf("%+v", list)
	}
}

// A drift is found where there is one, and not in noise that hangs together.
func TestDrift(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 6))
	times, v := rail(random, 3000, 0.002)
	false_ := 0
	for trial := range 40 {
		last := 0.0
		for i := range v {
			last = 0.95*last + 0.001*random.NormFloat64()
			v[i] = 5 + last
		}
		_, ok, err := event.DriftOf(times, v)
		if err != nil {
			t.Fatal(trial, err)
		}
		if ok {
			false_++
		}
	}
	if false_ > 6 { // 2 expected
		t.Errorf("%d of 40 series without drift have one", false_)
	}
	for i := range v {
		v[i] += 2e-6 * times[i]
	}
	d, ok, err := event.DriftOf(times, v)
	if err != nil || !ok || !d.Interval.Contains(2e-6) {
		t.Errorf("%+v %v %v", d, ok, err)
	}
}

func TestRefusals(t *testing.T) {
	x := []float64{1, 2, 3}
	for what, run := range map[string]func() error{
		"no limit":        func() error { _, err := event.Excursions(x, x, volts(math.Inf(-1), math.Inf(1)), 0); return err },
		"upside down":     func() error { _, err := event.Excursions(x, x, volts(3, 1), 0); return err },
		"too much":        func() error { _, err := event.Excursions(x, x, volts(1, 2), 1); return err },
		"lengths":         func() error { _, err := event.Excursions(x[:1], x, volts(1, 2), 0); return err },
		"no number":       func() error { _, err := event.Excursions(x, x, volts(1, 2), math.NaN()); return err },
		"a short window":  func() error { _, err := event.Steps(x, x, 2, 0); return err },
		"a negative size": func() error { _, err := event.Steps(x, x, 9, -1); return err },
	} {
		if run() == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

// Whatever the readings: each reading outside belongs to one spell, spells do not
// overlap, and a wider limit has no more readings outside.
func TestExcursionsProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOf(rapid.OneOf(rapid.Float64Range(0, 10), rapid.Just(math.NaN()), rapid.Just(math.Inf(1)))).Draw(t, "values")
		times := make([]float64, len(v))
		for i := range times {
			times[i] = float64(i)
		}
		count := func(limit quantity.Interval) int {
			list, err := event.Excursions(times, v, limit, 0)
			if err != nil {
				t.Fatal(err)
			}
			readings, before := 0, math.Inf(-1)
			for _, e := range list {
				if e.Start < before || e.End < e.Start || e.Readings < 1 || !(e.Confidence >= 0 && e.Confidence <= 1) {
					t.Fatalf("%+v after %v", e, before)
				}
				before = e.End
				readings += e.Readings
			}
			want := 0
			for _, x := range v {
				if !math.IsNaN(x) && !limit.Contains(x) {
					want++
				}
			}
			if readings != want {
				t.Fatalf("%d readings in spells, %d outside", readings, want)
			}
			event.Cycles(list)
			for _, r := range event.Runs(times, v, v, list, 1) {
				if !(r.End >= r.Start) {
					t.Fatalf("%+v", r)
				}
			}
			return readings
		}
		if count(volts(4, 6)) < count(volts(3, 7)) {
			t.Fatal("a wider limit has more outside")
		}
	})
}

func ExampleExcursions() {
	times := []float64{0, 1, 2, 3, 4, 5, 6, 7}
	rail := []float64{5.02, 5.01, 5.02, 4.31, 4.28, 5.00, 5.01, 5.02}
	list, err := event.Excursions(times, rail, quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range list {
		fmt.Printf("%s at %g s for %g s, down to %g V\n", e.Kind, e.Start, e.Length(), e.Extreme)
	}
	// Output: sag at 3 s for 2 s, down to 4.28 V
}
