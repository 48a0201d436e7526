package soak_test

import (
	"testing"

	"halfsplit/soak"
)

func benchmarkAssess(b *testing.B, history []soak.Run) {
	after := []soak.Run{clean(20, 50), clean(45, 50)}
	given := soak.DefaultAssumptions(0.7)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := soak.Assess(history, after, given); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssessConstantRate(b *testing.B) {
	benchmarkAssess(b, []soak.Run{failed(30, 48)})
}

func BenchmarkAssessWeibull(b *testing.B) {
	benchmarkAssess(b, []soak.Run{failed(30, 48), failed(45, 48), failed(22, 48), clean(60, 48)})
}

func BenchmarkWeibullPosterior(b *testing.B) {
	failures, suspensions := []float64{30, 45, 22}, []float64{60}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := soak.NewWeibullPosterior(failures, suspensions, soak.JeffreysRate(), soak.DefaultShapePrior()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitWeibull(b *testing.B) {
	failures := []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386}
	suspensions := []float64{500, 500, 500, 500, 500, 500, 500, 500, 500, 500}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := soak.FitWeibull(failures, suspensions); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkGammaInterval(b *testing.B) {
	belief, err := soak.JeffreysRate().Update(3, 90)
	must(b, belief, err)
	for b.Loop() {
		if _, err := belief.Interval(0.9); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkClopperPearson(b *testing.B) {
	for b.Loop() {
		if _, err := soak.ClopperPearson(4, 20, 0.9, soak.TwoSided); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSequentialPlanCharacteristic(b *testing.B) {
	plan := soak.SequentialPlans()[0]
	b.ReportAllocs()
	for b.Loop() {
		if _, err := plan.Characteristic(1); err != nil {
			b.Fatal(err)
		}
	}
}
