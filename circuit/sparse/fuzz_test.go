package sparse_test

import (
	"errors"
	"math"
	"testing"

	"halfsplit/circuit/sparse"
)

// FuzzFactor makes a small matrix out of bytes: the first is its size, then
// each three are row, column and a value of up to ±15 with a power of ten from
// -7 to 7. Whatever they say, there is either a named singular place or a
// solution that meets the equations as well as the condition allows.
func FuzzFactor(f *testing.F) {
	f.Add([]byte{3, 0, 0, 0x12, 1, 1, 0x12, 2, 2, 0x12, 0, 1, 0x34})
	f.Add([]byte{4, 0, 3, 0x97, 3, 0, 0x97, 1, 1, 0x70, 2, 2, 0x7f, 1, 2, 0xf0, 0, 0, 0x03})
	f.Add([]byte{2, 0, 0, 0x17, 0, 1, 0x17, 1, 0, 0x17, 1, 1, 0x17})
	f.Add([]byte{1})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 {
			return
		}
		n := 1 + int(data[0]%24)
		m := newMatrix[float64](n)
		for data = data[1:]; len(data) >= 3; data = data[3:] {
			value := float64(int(data[2]>>4)-8) * math.Pow(10, float64(int(data[2]&15)-7))
			m.add(int(data[0])%n, int(data[1])%n, value)
		}
		lu, err := sparse.Factor(m.pattern, m.values)
		var s *sparse.Singular
		if errors.As(err, &s) {
			if s.Row < 0 || s.Row >= n || s.Column < 0 || s.Column >= n {
				t.Fatalf("singular at row %d, column %d of a matrix of size %d", s.Row, s.Column, n)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		rcond := lu.ReciprocalCondition(m.values)
		if !(rcond > 1e-9) {
			return
		}
		b := make([]float64, n)
		for i := range b {
			b[i] = float64(i%5) - 1.5
		}
		var rows, columns []int
		for k := range m.values {
			i, j := m.pattern.Position(k)
			rows, columns = append(rows, i), append(columns, j)
		}
		x := append([]float64(nil), b...)
		lu.SolveRefined(m.values, x)
		if r := residual(rows, columns, m.values, x, b); !(r < 1e-6) {
			t.Errorf("residual %.1e at condition %.1e", r, 1/rcond)
		}
		x = append(x[:0], b...)
		lu.SolveTransposed(x)
		for i, v := range x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("transposed solution: element %d is %g", i, v)
			}
		}
	})
}
