package sparse_test

import (
	"fmt"
	"testing"

	"halfsplit/bench/networks"
	"halfsplit/circuit/sparse"
)

// eachNetwork runs a benchmark on every kind and size of network.
func eachNetwork(b *testing.B, run func(b *testing.B, s *networks.System)) {
	for _, kind := range networks.Kinds {
		for _, n := range []int{50, 500, 5000} {
			s := networks.Make(kind, n, 1)
			b.Run(fmt.Sprintf("%s-%d", kind, n), func(b *testing.B) { run(b, s) })
		}
	}
}

func BenchmarkFreeze(b *testing.B) {
	eachNetwork(b, func(b *testing.B, s *networks.System) {
		for b.Loop() {
			b.StopTimer()
			p := sparse.NewPattern(s.Size)
			for k := range s.Rows {
				p.Entry(s.Rows[k], s.Columns[k])
			}
			b.StartTimer()
			p.Freeze()
		}
	})
}

func BenchmarkFactor(b *testing.B) {
	eachNetwork(b, func(b *testing.B, s *networks.System) {
		p, values := pattern(s), s.Real()
		for b.Loop() {
			if _, err := sparse.Factor(p, values); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkRefactorAndSolve(b *testing.B) {
	b.Run("real", func(b *testing.B) {
		eachNetwork(b, func(b *testing.B, s *networks.System) { refactorAndSolve(b, s, s.Real()) })
	})
	b.Run("complex", func(b *testing.B) {
		eachNetwork(b, func(b *testing.B, s *networks.System) { refactorAndSolve(b, s, s.Values) })
	})
}

func refactorAndSolve[T sparse.Scalar](b *testing.B, s *networks.System, values []T) {
	lu, err := sparse.Factor(pattern(s), values)
	if err != nil {
		b.Fatal(err)
	}
	x := make([]T, s.Size)
	for i := range x {
		x[i] = 1
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := lu.Refactor(values); err != nil {
			b.Fatal(err)
		}
		lu.Solve(x)
	}
}
