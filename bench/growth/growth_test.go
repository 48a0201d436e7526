// Package growth times how the cost of a time step grows with the size of the
// circuit.
package growth

import (
	"context"
	"fmt"
	"testing"

	"halfsplit/bench/circuits"
	c "halfsplit/circuit"
)

// BenchmarkStep follows ladders and boards of 50 to 5,000 nodes from rest
// through a few pulses and reports the time of a step, all included: making
// the solver and its operating point are timed apart.
func BenchmarkStep(b *testing.B) {
	for _, kind := range []struct {
		name  string
		make  func(nodes int) *c.Circuit
		until float64
	}{{"ladder", circuits.Ladder, 400e-6}, {"board", circuits.Board, 1e-3}} {
		for _, nodes := range []int{50, 160, 500, 1600, 5000} {
			b.Run(fmt.Sprintf("%s-%d", kind.name, nodes), func(b *testing.B) {
				s, err := kind.make(nodes).Solver(c.Settings{Accuracy: 1e-3})
				if err != nil {
					b.Fatal(err)
				}
				at, err := s.OperatingPoint(context.Background())
				if err != nil {
					b.Fatal(err)
				}
				steps := 0
				for b.Loop() {
					tr, err := s.Transient(context.Background(), c.Run{From: at.State(), Until: kind.until, Record: []c.Quantity{c.Current(map[string]string{"ladder": "V1", "board": "VP"}[kind.name])}})
					if err != nil {
						b.Fatal(err)
					}
					steps += len(tr.Time) - 1
				}
				b.ReportMetric(float64(steps)/float64(b.N), "steps")
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(steps), "µs/step")
				b.ReportMetric(0, "ns/op")
			})
		}
	}
}
