package findings_test

import (
	"context"
	"strings"
	"testing"

	"halfsplit/findings"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
)

// benches makes the benches of the circuits of a sheet.
func benches(t *testing.T, text string) *findings.Benches {
	t.Helper()
	s, err := sheet.Parse("series.sheet.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	list, err := findings.CircuitBenches(context.Background(), s, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// TestRehearseRegulator: every fault of the series regulator hunted in units that
// are solved, with parts off within tolerance and readings by a plain multimeter.
func TestRehearseRegulator(t *testing.T) {
	list := benches(t, series)
	if len(list.Benches) != 1 || list.Names[0] != "regulator" {
		t.Fatalf("%+v", list)
	}
	bench := list.Benches[0]
	play := func(hidden bool) rehearsal.Score {
		hunts, err := rehearsal.Play(context.Background(), bench, rehearsal.Halfsplit(), rehearsal.Options{Trials: 1500, Draw: 1, Hidden: hidden, Rules: rehearsal.Rules{Sure: 0.95, Leaning: 0.8}})
		if err != nil {
			t.Fatal(err)
		}
		return rehearsal.Judge(bench, "guarded", hunts)
	}
	known, hidden := play(false), play(true)
	t.Logf("first %.3f, one of three %.3f, calibration error %.3f (%.3f by chance), %.1f tests, %.0f min; hidden faults recognised %.3f",
		known.First.Value, known.Three.Value, known.Error, known.Chance, known.Tests.Mean, known.Testing.Mean, hidden.Beyond.Value)
	if known.First.Value < 0.95 || known.Three.Value < 0.99 {
		t.Errorf("first bad %+v, one of three %+v", known.First, known.Three)
	}
	if known.Error > 0.03 {
		t.Errorf("calibration error %v, %v by chance", known.Error, known.Chance)
	}
	if hidden.Beyond.Value < 0.9 {
		t.Errorf("hidden faults recognised: %+v", hidden.Beyond)
	}
}

// TestRegulatorTests: what can be done on the regulator, and what cannot.
func TestRegulatorTests(t *testing.T) {
	bench := benches(t, series).Benches[0]
	var names []string
	for _, test := range bench.Setup().Tests {
		names = append(names, test.Name)
	}
	all := strings.Join(names, "; ")
	for _, want := range []string{"read TP1 (+12)", "read TP2 (base)", "power off: read TP1 (+12) for its resistance to gnd", "lift and measure D1", "lift and measure Q1"} {
		if !strings.Contains(all, want) {
			t.Errorf("no test %q among %s", want, all)
		}
	}
	if bench.Unseen < 0.05 || bench.Unseen > 0.6 {
		t.Errorf("%.2f of its faults show nowhere; a gain that halves does, an open base lead does not", bench.Unseen)
	}
}

// TestCircuitsNotPlayed: the terminal's switcher sets its own pace; a circuit that
// does not keep the limits of its own sheet is not played either.
func TestCircuitsNotPlayed(t *testing.T) {
	s, err := sheet.Load("../examples/vt9.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	list, err := findings.CircuitBenches(context.Background(), s, findings.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(list.Benches) != 0 || len(list.NotSolved) != 1 || !strings.Contains(list.NotSolved[0].Why, "its own pace") {
		t.Errorf("%+v", list)
	}
	wrong := benches(t, strings.Replace(series, `"+12", nominal: 12 V`, `"+12", nominal: 15 V`, 1))
	if len(wrong.Benches) != 0 || len(wrong.NotSolved) != 1 || !strings.Contains(wrong.NotSolved[0].Why, "one of the two is mistaken") {
		t.Errorf("%+v", wrong)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := findings.CircuitBenches(ctx, s, findings.Options{}); err != nil && err != context.Canceled {
		t.Errorf("cancelled: %v", err)
	}
}
