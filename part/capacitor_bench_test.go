package part_test

import (
	"testing"

	"halfsplit/part"
)

func BenchmarkJudge(b *testing.B) {
	reading := part.CapacitorReading{
		Capacitance: value(9.5e-6), ESR: value(5), Frequency: 120,
		Leakage: value(2e-6), LeakageVoltage: 50, LeakageAfter: 120,
		Look: part.LooksSound, Place: part.OutOfCircuit,
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := coupling.Judge(reading); err != nil {
			b.Fatal(err)
		}
	}
}
