package main

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"
)

// By hand: four boards of class 0 and three of class 1 on a line; the scale
// common to all does not matter.
func TestVote(t *testing.T) {
	among := newNeighbours([][][]float64{{{0}, {1}, {2}, {7}}, {{5}, {6}, {8}}})
	for _, test := range []struct {
		at   float64
		want [3]int // of 1, 3 and 5
	}{
		{-9, [3]int{0, 0, 0}},  // 0 | 1 2 | 5 6
		{2.9, [3]int{0, 0, 0}}, // 2 | 1 5 | 0 6
		{6.9, [3]int{0, 1, 1}}, // 7 | 6 8 | 5 2
		{5.4, [3]int{1, 1, 1}}, // 5 | 6 7 | 8 2
	} {
		got := among.vote([]float64{test.at}, []int{1, 3, 5})
		if [3]int(got) != test.want {
			t.Errorf("at %g: %v, want %v", test.at, got, test.want)
		}
	}
}

// The search that stops early finds what going through all of them does.
func TestVoteAsSlowly(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	rows := make([][][]float64, 3)
	for k := range rows {
		for range 60 {
			a := random.NormFloat64()
			rows[k] = append(rows[k], []float64{float64(k) + a, a + 0.3*random.NormFloat64(), random.NormFloat64()})
		}
	}
	among := newNeighbours(rows)
	for range 200 {
		x := []float64{4 * random.Float64(), random.NormFloat64(), random.NormFloat64()}
		at := among.scale(x)
		order := make([]int, len(among.points))
		square := make([]float64, len(order))
		for i, p := range among.points {
			order[i] = i
			for j, v := range p {
				square[i] += (v - at[j]) * (v - at[j])
			}
		}
		sort.Slice(order, func(i, j int) bool { return square[order[i]] < square[order[j]] })
		var count [3]int
		for _, i := range order[:9] {
			count[among.labels[i]]++
		}
		got := among.vote(x, []int{1, 9})
		if got[0] != among.labels[order[0]] {
			t.Errorf("nearest to %v: class %d, want %d", x, got[0], among.labels[order[0]])
		}
		if count[got[1]] != max(count[0], count[1], count[2]) {
			t.Errorf("nine about %v: class %d of votes %v", x, got[1], count)
		}
	}
}

// Cover and Hart's inequality holds with equality for what comes out, and there is
// nothing to gain where chance decides or nothing is wrong.
func TestMostPossible(t *testing.T) {
	for _, accuracy := range []float64{1, 0.95, 0.75, 0.5} {
		for _, classes := range []int{2, 9, 19} {
			least := 1 - mostPossible(accuracy, classes)
			m := float64(classes)
			if got := least * (2 - m/(m-1)*least); math.Abs(got-(1-accuracy)) > 1e-12 {
				t.Errorf("%d classes, %g: least error %g gives back %g", classes, accuracy, least, 1-got)
			}
		}
	}
	for _, classes := range []int{2, 19} {
		blind := 1 / float64(classes)
		if got := mostPossible(blind, classes); math.Abs(got-blind) > 1e-6 {
			t.Errorf("%d classes, blind: %g, want %g", classes, got, blind)
		}
	}
}

// Half of what was called 80 % came true: an error of 0.3.
func TestCalibration(t *testing.T) {
	told := []certainty{{0.8, true}, {0.8, false}, {0.8, true}, {0.8, false}}
	if got := calibration(told); math.Abs(got-0.3) > 1e-12 {
		t.Errorf("%g, want 0.3", got)
	}
	if got := calibration([]certainty{{1, true}, {1, true}}); got != 0 {
		t.Errorf("%g for what is certain and right, want 0", got)
	}
}
