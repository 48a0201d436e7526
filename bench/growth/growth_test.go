package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
)

// BenchmarkStep reports the time of a step, all included; making the solver and
// its operating point are not.
func BenchmarkStep(b *testing.B) {
	for _, kind := range kinds {
		for _, nodes := range sizes {
			b.Run(fmt.Sprintf("%s-%d", kind.name, nodes), func(b *testing.B) {
				run, err := kind.at(nodes)
				if err != nil {
					b.Fatal(err)
				}
				total := 0
				for b.Loop() {
					steps, err := run()
					if err != nil {
						b.Fatal(err)
					}
					total += steps
				}
				b.ReportMetric(float64(total)/float64(b.N), "steps")
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(total), "µs/step")
				b.ReportMetric(0, "ns/op")
			})
		}
	}
}

// TestFit: points on a power law give that law back.
func TestFit(t *testing.T) {
	for _, want := range []float64{0.9, 1, 1.5} {
		var g growth
		for _, nodes := range sizes {
			g.add(nodes, 0.3*math.Pow(float64(nodes), want))
		}
		exponent, factor := g.fit()
		if math.Abs(exponent-want) > 1e-12 || math.Abs(factor-0.3) > 1e-12 {
			t.Errorf("%g nodes^%g, want 0.3 nodes^%g", factor, exponent, want)
		}
	}
}

// TestSmallest: the smallest circuit of each kind can be followed.
func TestSmallest(t *testing.T) {
	for _, kind := range kinds {
		run, err := kind.at(sizes[0])
		if err != nil {
			t.Fatalf("%s: %v", kind.name, err)
		}
		if steps, err := run(); err != nil || steps < 10 {
			t.Errorf("%s: %d steps, error %v; want at least ten", kind.name, steps, err)
		}
	}
}

// TestDraw: the picture is well-formed and says what the exponents are.
func TestDraw(t *testing.T) {
	steep, flat := growth{name: "steep"}, growth{name: "flat"}
	for _, nodes := range sizes {
		steep.add(nodes, float64(nodes)*float64(nodes))
		flat.add(nodes, float64(nodes))
	}
	var out bytes.Buffer
	if err := draw(&out, []growth{steep, flat}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"steep: n^2.00", "flat: n^1.00", "n^1.2"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in the picture", want)
		}
	}
	for d := xml.NewDecoder(&out); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
