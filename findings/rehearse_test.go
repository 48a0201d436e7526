package findings_test

import (
	"context"
	"strings"
	"testing"

	"halfsplit/findings"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
)

// TestRehearseExamples: hunts on the two example sheets. The ranges are those
// of 95 %: a goal fails when it lies outside. On the terminal, chips that hang on one
// line keep it a little below 99 % (docs/rehearsal.md).
func TestRehearseExamples(t *testing.T) {
	for name, goal := range map[string]struct{ first, three float64 }{"p6": {0.95, 0.99}, "vt9": {0.95, 0.98}} {
		t.Run(name, func(t *testing.T) {
			s, err := sheet.Load("../examples/" + name + ".sheet.yaml")
			if err != nil {
				t.Fatal(err)
			}
			bench, err := findings.Bench(s)
			if err != nil {
				t.Fatal(err)
			}
			scores := map[string]rehearsal.Score{}
			for _, strategy := range []rehearsal.Strategy{rehearsal.Halfsplit(), rehearsal.AtRandom(), rehearsal.UsualSuspects()} {
				hunts, err := rehearsal.Play(context.Background(), bench, strategy, rehearsal.Options{Trials: 40, Draw: 2, Rules: rehearsal.Rules{Sure: 0.95}})
				if err != nil {
					t.Fatal(err)
				}
				scores[strategy.Name] = rehearsal.Judge(bench, strategy.Name, hunts)
			}
			own := scores["halfsplit"]
			t.Logf("%.1f tests, first bad in %.2f (%.2f to %.2f), calibration error %.3f, %.3f by chance", own.Tests.Mean, own.First.Value, own.First.Low, own.First.High, own.Error, own.Chance)
			if own.First.High < goal.first || own.Three.High < goal.three {
				t.Errorf("first bad %+v, one of three %+v", own.First, own.Three)
			}
			if own.Error > own.Chance+0.03 {
				t.Errorf("calibration error %v, %v by chance", own.Error, own.Chance)
			}
			if random := scores["at random"]; own.Cost.Mean >= random.Cost.Mean {
				t.Errorf("%v minutes in all, %v with tests at random", own.Cost.Mean, random.Cost.Mean)
			}
			if usual := scores["usual suspects first"]; own.Innocent.Mean >= usual.Innocent.Mean {
				t.Errorf("%v good parts replaced, %v when replacing the usual suspects", own.Innocent.Mean, usual.Innocent.Mean)
			}
		})
	}
}

// TestRehearseWithoutDependence: a sheet in which nothing can be at fault is
// refused with a reason.
func TestRehearseWithoutDependence(t *testing.T) {
	s, err := sheet.Parse("bare.yaml", []byte("sheet: 1\nmodel: {name: bare}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := findings.Bench(s); err == nil || !strings.Contains(err.Error(), "depend on one another") {
		t.Errorf("%v", err)
	}
}
