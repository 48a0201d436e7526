package main

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"halfsplit/circuit"
)

func find(t *testing.T, name string) trial {
	t.Helper()
	for _, trial := range trials {
		if trial.name == name {
			return trial
		}
	}
	t.Fatalf("there is no trial %q", name)
	return trial{}
}

// Nine classes, and nineteen.
func TestClasses(t *testing.T) {
	for name, want := range map[string]int{"band-pass, ±20 %, uniform": 9, "state-variable, all three outputs": 19} {
		if got := len(find(t, name).classes()); got != want {
			t.Errorf("%s: %d classes, want %d", name, got, want)
		}
	}
}

// The gain of the state-variable filter at low frequency is R2/R1, whatever else:
// with R1 six deviations (10 %) up it is 1/1.1 in the middle, and each resistor
// adds 5/3 % of deviation. 0.02 dB is for the frequency, which is not zero.
func TestBoards(t *testing.T) {
	trial := find(t, "state-variable, low-pass output")
	trial.gains = []gain{{"lp", 1}}
	const boards = 400
	for _, exact := range []bool{false, true} {
		trial.exact = exact
		rows, err := trial.boards(context.Background(), class{"R1", 6 * normal5.Spread}, boards, rand.New(rand.NewPCG(1, 1)))
		if err != nil {
			t.Fatal(err)
		}
		var decibels []float64
		for _, row := range rows {
			decibels = append(decibels, row[0])
		}
		mean, deviation := stat.MeanStdDev(decibels, nil)
		relative := 20 / math.Ln10 * normal5.Spread
		want := relative * math.Sqrt2
		if exact {
			want = relative
		}
		if math.Abs(deviation/want-1) > 4/math.Sqrt(2*boards) {
			t.Errorf("exact %v: deviation %.4f dB, want %.4f", exact, deviation, want)
		}
		if middle := -20 * math.Log10(1.1); math.Abs(mean-middle) > 4*want/math.Sqrt(boards)+0.02 {
			t.Errorf("exact %v: mean %.4f dB, want %.4f", exact, mean, middle)
		}
	}
}

// The right class is named as often as the figures of docs/performance-diagnosis.md
// say, less four standard errors of this smaller run and, for the fewer boards
// known, one point; no oftener than is possible; and with chances that
// can be believed.
func TestNaming(t *testing.T) {
	size := sizes{samples: 400, few: 100, tests: 150}
	if testing.Short() {
		size = sizes{samples: 300, few: 60, tests: 60}
	}
	for _, want := range []struct {
		name  string
		share float64
	}{
		{"band-pass, ±20 %, uniform", 0.954},
		{"band-pass, ±20 %, normal", 0.999},
		{"band-pass, ±50 %, uniform", 1},
		{"state-variable, low-pass output", 0.600},
		{"state-variable, all three outputs", 0.819},
		{"state-variable, all three outputs, capacitors 5 %", 0.684},
	} {
		t.Run(want.name, func(t *testing.T) {
			trial := find(t, want.name)
			o, err := trial.run(context.Background(), size, 7)
			if err != nil {
				t.Fatal(err)
			}
			tests := float64(size.tests * len(trial.classes()))
			chance := 4 * math.Sqrt(want.share*(1-want.share)/tests)
			t.Logf("ours %.3f, one normal %.3f, few %.3f; neighbours %.3f, few %.3f; most possible %.3f; calibration %.3f",
				o.ours.share, o.normal, o.few, o.neighbours, o.fewNearest, o.most, o.ours.calibrated)
			if o.ours.share < want.share-chance-0.01 {
				t.Errorf("named rightly %.3f of the time, want %.3f - %.3f - 0.01 at least", o.ours.share, want.share, chance)
			}
			if o.ours.share > want.share+chance+0.005 {
				t.Errorf("named rightly %.3f of the time, more than can be: %.3f + %.3f + 0.005", o.ours.share, want.share, chance)
			}
			if o.ours.share < o.neighbours[0]-0.005 {
				t.Errorf("named rightly %.3f of the time; one neighbour does so %.3f", o.ours.share, o.neighbours[0])
			}
			if o.ours.calibrated > 0.05 {
				t.Errorf("calibration error %.3f, want 0.05 at most", o.ours.calibrated)
			}
		})
	}
}

// A part in series with another in every product, as R3 with C1 in an integrator,
// cannot be told from it by any gain; what is taken for the other is as likely
// either. All the other mistakes of all three outputs are few.
func TestAmbiguity(t *testing.T) {
	trial := find(t, "state-variable, all three outputs, capacitors 5 %")
	size := sizes{samples: 300, tests: 60}
	known, err := trial.known(context.Background(), size.samples, 7)
	if err != nil {
		t.Fatal(err)
	}
	tests, err := trial.tests(context.Background(), size.tests, 7)
	if err != nil {
		t.Fatal(err)
	}
	densities, err := trial.densities(known, 0)
	if err != nil {
		t.Fatal(err)
	}
	group := map[string]string{"C1+": "R3+", "C1-": "R3-", "C2+": "R4+", "C2-": "R4-", "R7-": "R6+", "R7+": "R6-"}
	of := func(c class) string {
		if g, ok := group[c.String()]; ok {
			return g
		}
		return c.String()
	}
	classes := trial.classes()
	result := judge(densities, tests)
	within, right, total := 0.0, 0.0, 0.0
	for k, row := range result.confusion {
		for i, n := range row {
			total += float64(n)
			if of(classes[k]) == of(classes[i]) {
				within += float64(n)
				if k == i {
					right += float64(n)
				}
			}
		}
	}
	if within/total < 0.93 {
		t.Errorf("the right group %.3f of the time, want 0.93 at least", within/total)
	}
	// 7 classes stand alone and 12 in pairs: 13/19 = 0.68 can be right at the most.
	if share := right / within; math.Abs(share-13.0/19) > 0.05 {
		t.Errorf("right within groups %.3f of the time, want about %.3f", share, 13.0/19)
	}
}

func TestUnworkable(t *testing.T) {
	trial := find(t, "band-pass, ±20 %, uniform")
	trial.resistors = circuit.Tolerance{Spread: 2}
	if _, err := trial.run(context.Background(), sizes{samples: 60, few: 10, tests: 1}, 1); err == nil {
		t.Error("a tolerance of 200 % went through")
	}
}
