package metrology_test

import (
	"testing"

	"halfsplit/metrology"
)

func BenchmarkEvaluate(b *testing.B) {
	meter := plainMeter()
	r := metrology.Reading{Function: metrology.DCVolts, Values: []float64{4.78}, Resolution: 0.01}
	for b.Loop() {
		if _, err := meter.Evaluate(r); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkJudge(b *testing.B, readings ...float64) {
	m := must(plainMeter().Evaluate(metrology.Reading{Function: metrology.DCVolts, Values: readings, Resolution: 0.01}))
	limit := ttl()
	for b.Loop() {
		if _, err := metrology.Judge(m, limit); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeWithin(b *testing.B)           { benchmarkJudge(b, 5.02) }
func BenchmarkJudgeTooClose(b *testing.B)         { benchmarkJudge(b, 4.78) }
func BenchmarkJudgeTooCloseRepeated(b *testing.B) { benchmarkJudge(b, 4.70, 4.86, 4.78) }

func BenchmarkConform(b *testing.B) {
	for name, dof := range map[string]float64{"normal": 0, "student": 4} {
		b.Run(name, func(b *testing.B) {
			e, limit := metrology.Estimate{Value: 4.78, U: 0.03, DOF: dof}, ttl()
			for b.Loop() {
				if _, err := metrology.Conform(e, limit); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkGlobalRisks(b *testing.B) {
	limit := metrology.Limit{Low: -1, High: 1}
	for b.Loop() {
		if _, err := metrology.GlobalRisks(metrology.Prior{Deviation: 0.5}, 0.125, limit, limit); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPropagate(b *testing.B) {
	inputs := []metrology.Input{{Value: 12, U: 0.1}, {Value: 2, U: 0.05}}
	for b.Loop() {
		if _, err := metrology.Propagate(func(x []float64) float64 { return x[0] * x[1] }, inputs, nil); err != nil {
			b.Fatal(err)
		}
	}
}
