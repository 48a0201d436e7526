package table

import (
	"bytes"
	"fmt"
	"math"
	"testing"
)

// logged is a stretch of a logger's file: time, rail, temperature.
func logged(rows int) []byte {
	var b bytes.Buffer
	for i := range rows {
		x := float64(1_000_000 + i)
		fmt.Fprintf(&b, "%.2f,%.5f,%.3f\n", x*0.01, 5+0.02*math.Sin(x*0.7)+0.003*math.Sin(x*12.1), 25+18*(1-math.Exp(-x/2e6)))
	}
	return b.Bytes()
}

// BenchmarkParse is one core parsing text that lies in its cache.
func BenchmarkParse(b *testing.B) {
	text := logged(8192)
	r, err := Open(bytes.NewReader(text), Options{})
	if err != nil {
		b.Fatal(err)
	}
	p := newParser(r.dialect, 0)
	var out parsed
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		p.stretch(text, &out)
	}
	if out.rows != 8192 {
		b.Fatal(out.rows)
	}
}
