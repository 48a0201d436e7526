package density

import (
	"math/rand/v2"
	"testing"
)

func benchmarkCloud(b *testing.B) (*Cloud, []int, []float64) {
	random := rand.New(rand.NewPCG(1, 1))
	rows := make([][]float64, 1000)
	for i := range rows {
		for range 6 {
			rows[i] = append(rows[i], random.NormFloat64())
		}
	}
	c, err := New(rows)
	if err != nil {
		b.Fatal(err)
	}
	return c, []int{0, 1, 2, 3, 4, 5}, []float64{0.01, 0.01, 0.01, 0.01, 0.01, 0.01}
}

// BenchmarkOf is the density of six readings from 1,000 boards, its width found.
func BenchmarkOf(b *testing.B) {
	c, columns, u := benchmarkCloud(b)
	for b.Loop() {
		if _, err := c.Of(columns, u); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLog is that density at one point.
func BenchmarkLog(b *testing.B) {
	c, columns, u := benchmarkCloud(b)
	d, err := c.Of(columns, u)
	if err != nil {
		b.Fatal(err)
	}
	x := make([]float64, 6)
	for b.Loop() {
		d.Log(x)
	}
}
