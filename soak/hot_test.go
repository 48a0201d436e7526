package soak_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/soak"
)

// A case that warms from 20 to 40 °C in 20 min, stays for 30 and cools in 10 was
// at 35 °C or more for 5 + 30 + 2.5 min.
func TestHotTime(t *testing.T) {
	times := []float64{0, 20, 50, 60}
	temperature := []float64{20, 40, 40, 20}
	nan := math.NaN()
	for _, c := range []struct {
		name        string
		temperature []float64
		limit       float64
		want        float64
		coolest     float64
	}{
		{"hot enough", temperature, 35, 37.5, 35},
		{"all of it", temperature, 20, 60, 20},
		{"never", temperature, 41, 0, nan},
		{"just", temperature, 40, 30, 40},
		{"without a limit", temperature, math.Inf(-1), 60, 20},
		{"a stretch unknown", []float64{20, 40, nan, 20}, 35, 5, 35},
		{"a stretch unknown, no limit", []float64{20, 40, nan, 20}, math.Inf(-1), 60, 20},
		{"nothing known", []float64{nan, nan, nan, nan}, 35, 0, nan},
		{"nothing known, no limit", []float64{nan, nan, nan, nan}, math.Inf(-1), 60, nan},
	} {
		got, coolest := soak.HotTime(times, c.temperature, c.limit)
		if math.Abs(got-c.want) > 1e-9 || coolest != c.coolest && !(math.IsNaN(coolest) && math.IsNaN(c.coolest)) {
			t.Errorf("%s: %v, coolest %v; want %v, %v", c.name, got, coolest, c.want, c.coolest)
		}
	}
}

func TestHotLimit(t *testing.T) {
	if got := soak.HotLimit([]soak.Run{failed(30, 41), failed(35, 38), clean(90, 20), failed(20, unknown)}, 2); got != 36 {
		t.Errorf("%v", got)
	}
	if got := soak.HotLimit([]soak.Run{failed(30, unknown), clean(90, 20)}, 2); !math.IsInf(got, -1) {
		t.Errorf("%v", got)
	}
}

// A higher limit leaves no more time, and the time is within the record.
func TestHotTimeProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "readings")
		var times, temperature []float64
		at := 0.0
		for range n {
			at += rapid.Float64Range(0, 100).Draw(t, "step")
			times = append(times, at)
			temperature = append(temperature, rapid.OneOf(rapid.Float64Range(10, 60), rapid.Just(math.NaN())).Draw(t, "temperature"))
		}
		low := rapid.Float64Range(0, 60).Draw(t, "limit")
		a, coolest := soak.HotTime(times, temperature, low)
		b, _ := soak.HotTime(times, temperature, low+rapid.Float64Range(0, 20).Draw(t, "more"))
		if b > a+1e-9 || a < 0 || a > at+1e-9 || coolest < low {
			t.Fatalf("%v from %v on, %v from higher, of %v; coolest %v", a, low, b, at, coolest)
		}
	})
}
